"""Making two people one, and erasing somebody: both asked once, with the consequence."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from customers.forms import SurvivorForm, VersionForm
from customers.models import ChangedMeanwhile, Customer
from customers.services import MergeRefused, merged_facts, refuse_merge
from quoting.services.customers import StillOut, erase_customer, merge_customers, papers_of
from quoting.views.access import office_only
from quoting.views.customers import LONGEST_SEARCH, find_person

MOST_FOUND = 20
SIDES = (
    ("Name", "name"),
    ("E-mail", "email"),
    ("Telephone", "phone"),
    ("Other telephone", "other_phone"),
    ("Postal address", "post_address"),
    ("Notes", "notes"),
)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def person_merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Look for the double (?q=…), see both side by side (?other=…), and make them one."""
    stays = find_person(pk)
    if request.method == "POST":
        return _merge(request, stays)
    if stays.merged_into_id:
        return redirect("person", pk=stays.merged_into_id)
    other = request.GET.get("other", "")
    if other.isascii() and other.isdigit() and len(other) <= 18:
        return _side_by_side(request, stays, find_person(int(other)))
    words = request.GET.get("q", "")[:LONGEST_SEARCH].strip().replace("\0", "")
    others = Customer.objects.current().filter(erased_at=None).exclude(pk=pk).prefetch_related("properties")
    found = list(others.found_by(words)[:MOST_FOUND]) if words else []
    return render(request, "customers/merge_find.html", {"who": stays, "words": words, "found": found})


def _merge(request: HttpRequest, stays: Customer) -> HttpResponse:
    form = SurvivorForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Look for the other person first.")
        return redirect("person-merge", pk=stays.pk)
    data = form.cleaned_data
    goes = data["other"]
    try:
        merge_customers(
            by=request.user, stays=stays, version=data["version"], goes=goes, goes_version=data["other_version"]
        )
    except MergeRefused as refused:
        messages.error(request, str(refused))
        return redirect("person", pk=stays.pk)
    except ChangedMeanwhile as changed:
        stays.refresh_from_db()
        goes.refresh_from_db()
        return _side_by_side(request, stays, goes, said=f"{changed} Look at both once more.", status=409)
    messages.success(request, f"{goes.name} and {stays.name} are one person now.")
    return redirect("person", pk=stays.pk)


def _side_by_side(
    request: HttpRequest, stays: Customer, goes: Customer, said: str = "", status: int = 200
) -> HttpResponse:
    try:
        refuse_merge(stays, goes)
    except MergeRefused as refused:
        messages.error(request, str(refused))
        return redirect("person", pk=stays.merged_into_id or stays.pk)
    after = {"name": stays.name} | merged_facts(stays, goes)
    context = {
        "who": stays,
        "other": goes,
        "rows": [(label, getattr(stays, name), getattr(goes, name), after[name]) for label, name in SIDES],
        "stay_places": list(stays.properties.all()),
        "moving": list(goes.properties.all()),
        "said": said,
    }
    return render(request, "customers/merge.html", context, status=status)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def person_erase(request: HttpRequest, pk: int) -> HttpResponse:
    """Erase what is kept of somebody; says first what goes and what must stay."""
    who = find_person(pk)
    if who.merged_into_id:
        return redirect("person", pk=who.merged_into_id)
    form = VersionForm(request.POST or None)
    said = ""
    if form.is_valid():
        try:
            left = erase_customer(by=request.user, customer=who, version=form.cleaned_data["version"])
        except StillOut as still:
            said = str(still)
        except ChangedMeanwhile as changed:
            said = f"{changed} Look once more."
            who.refresh_from_db()
        else:
            messages.success(
                request, "Erased. What had to stay is named on this page." if left else "Erased, all of it."
            )
            return redirect("person", pk=left.pk) if left else redirect("people")
    papers = list(papers_of(who).values_list("number", flat=True))
    context = {"who": who, "papers": papers, "said": said}
    return render(request, "customers/erase.html", context, status=409 if said else 200)
