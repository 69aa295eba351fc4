"""People: the list, one person with everything that belongs to him, and writing both down. Owner and office only."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import Prefetch
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from customers.forms import AddPersonForm, AddPlaceForm, PersonForm, PlaceForm, person_of, place_of
from customers.models import ChangedMeanwhile, Customer, CustomerQuerySet, Property, digits_of
from customers.services import add_customer, add_property, keep_customer, keep_property
from quoting.models import Job, Proposal
from quoting.services.customers import export_customer, people_by_offer
from quoting.views.access import office_only
from quoting.views.hands import two_hands

LEAF = 50
"""People on one leaf of the list."""

LONGEST_SEARCH = 200
STATES = {"none": "no folder yet", **dict(Proposal.State.choices)}


def with_everything(people: CustomerQuerySet) -> CustomerQuerySet:
    """With properties, folders and the state of their offers, in three more queries."""
    return people.prefetch_related("properties", Prefetch("properties__jobs", queryset=Job.objects.with_offer()))


def newest_folder(who: Customer) -> Job | None:
    """The folder that was opened last at one of this person's properties. Reads what `with_everything` brings."""
    jobs = [job for place in who.properties.all() for job in place.jobs.all()]
    return max(jobs, key=lambda job: (job.opened_at, job.pk), default=None)


@office_only
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Everybody by name, by search and state of the offer, leaf by leaf; the address names where a leaf begins."""
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    state = request.GET.get("state", "")
    state = state if state in STATES else ""
    found = Customer.objects.current()
    if words:
        found = found.found_by(words)
    if state:
        found = people_by_offer(found, state)
    leaf, earlier, later = _leaf(found, request.GET.get("after", ""), request.GET.get("before", ""))
    kept = {name: value for name, value in (("q", words), ("state", state)) if value}
    context = {
        "people": [(who, newest_folder(who)) for who in leaf],
        "words": words,
        "state": state,
        "states": STATES,
        "newer_url": f"?{urlencode(kept | {'before': leaf[0].pk})}" if earlier else "",
        "older_url": f"?{urlencode(kept | {'after': leaf[-1].pk})}" if later else "",
        "narrowed": bool(kept),
    }
    return render(request, "customers/list.html", context)


def _leaf(found: CustomerQuerySet, after: str, before: str) -> tuple[list[Customer], bool, bool]:
    """One leaf by key, and whether there are people before and after it."""
    found = with_everything(found)
    mark = Customer.objects.filter(pk=_key(after or before)).first() if after or before else None
    if mark is None:
        rows = list(found[: LEAF + 1])
        return rows[:LEAF], False, len(rows) > LEAF
    if after:
        rows = list(found.after(mark)[: LEAF + 1])
        return rows[:LEAF], bool(rows), len(rows) > LEAF
    rows = list(found.before(mark)[: LEAF + 1])
    return rows[:LEAF][::-1], len(rows) > LEAF, bool(rows)


def _key(text: str) -> int:
    """A key from the address; 0, which nobody has, for what is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 18 else 0


def find_person(pk: int) -> Customer:
    """The person with this key, or 404."""
    if pk >= 10**18:
        raise Http404
    return get_object_or_404(Customer, pk=pk)


@office_only
@require_safe
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything that belongs to one person; the address of someone who was merged leads to who stayed."""
    who = find_person(pk)
    if who.merged_into_id:
        return redirect("person", pk=who.merged_into_id)
    who = with_everything(Customer.objects.filter(pk=pk)).prefetch_related("merged_from").get()
    jobs = [job for place in who.properties.all() for job in place.jobs.all()]
    offers = [offer for job in jobs for offer in job.proposals.all() if offer.paper]
    offers.sort(key=lambda offer: offer.paper.issued_at, reverse=True)
    context = {
        "who": who,
        "dial": digits_of(who.phone),
        "places": list(who.properties.all()),
        "folders": len(jobs),
        "papers": offers,
    }
    return render(request, "customers/person.html", context)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def person_add(request: HttpRequest) -> HttpResponse:
    """Write down somebody new, unless it is somebody who is there already."""
    form = AddPersonForm(request.POST or None)
    if form.is_valid():
        who = add_customer(person=form.person, place=form.place)
        messages.success(request, f"{who.name} is in the file.")
        return redirect("person", pk=who.pk)
    return render(request, "customers/person_add.html", {"form": form}, status=_status(form))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def person_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is written about somebody."""
    who = _standing(pk)
    form = PersonForm(request.POST or None, initial=person_of(who))
    back = reverse("person", args=[pk])
    if form.is_valid():
        try:
            keep_customer(customer=who, version=form.cleaned_data["version"] or 0, person=form.person)
        except ChangedMeanwhile:
            now = Customer.objects.get(pk=pk)
            title = f"{now.name}: changed by somebody else"
            return two_hands(request, form, person_of(now), version=now.version, title=title, back_url=back)
        messages.success(request, "Kept.")
        return redirect(back)
    return render(request, "customers/person_edit.html", {"form": form, "who": who}, status=_status(form))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def property_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down one more property of somebody."""
    who = _standing(pk)
    form = AddPlaceForm(request.POST or None, owner=who.pk)
    if form.is_valid():
        place = add_property(customer=who, place=form.place)
        messages.success(request, f"{place.street}: written down.")
        return redirect("person", pk=who.pk)
    return render(request, "customers/property.html", {"form": form, "who": who}, status=_status(form))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def property_edit(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """Change what is written about a property. Papers that were issued keep the address that they name."""
    who = _standing(pk)
    row = get_object_or_404(Property, pk=min(place, 10**18), customer=who)
    form = PlaceForm(request.POST or None, initial=place_of(row))
    back = reverse("person", args=[pk])
    if form.is_valid():
        try:
            keep_property(property=row, version=form.cleaned_data["version"] or 0, place=form.place)
        except ChangedMeanwhile:
            now = Property.objects.get(pk=row.pk)
            title = f"{now.street}: changed by somebody else"
            return two_hands(request, form, place_of(now), version=now.version, title=title, back_url=back)
        messages.success(request, "Kept.")
        return redirect(back)
    return render(request, "customers/property.html", {"form": form, "who": who, "place": row}, status=_status(form))


@office_only
@never_cache
@require_safe
def person_export(request: HttpRequest, pk: int) -> HttpResponse:
    """All that is kept of one person, to hand over: a JSON file."""
    told = export_customer(_standing(pk))
    answer = JsonResponse(told, json_dumps_params={"ensure_ascii": False, "indent": 1})
    answer["Content-Disposition"] = f'attachment; filename="person-{pk}.json"'
    return answer


def _standing(pk: int) -> Customer:
    """A person who was not merged into another; the pages of the one who was are gone."""
    who = find_person(pk)
    if who.merged_into_id:
        raise Http404
    return who


def _status(form: Any) -> int:
    return 422 if form.is_bound else 200
