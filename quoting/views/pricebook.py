"""The price book: an edition read and edited in place, copied, published, deleted, held against another."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from quoting.forms.pricebook import BeginForm, CopyForm, EditionForm, LedgerFilter, VersionForm
from quoting.models import ChangedMeanwhile, Condition, Edition, Option, Surface
from quoting.models.pricebook import free_edition_name
from quoting.services.comparison import Difference, Noun, compare, sample_jobs
from quoting.services.editions import (
    AlreadyCalled,
    EditionFrozen,
    StillUsed,
    copy_edition,
    delete_draft,
    describe_draft,
    keep_rows,
    publish_edition,
)
from quoting.services.pricebook import read_book
from quoting.services.publication import NotReady, find_lacks
from quoting.services.starter_edition import create_starter_edition
from quoting.views.access import office_only
from quoting.views.hands import show_hands
from quoting.views.ledger import lay_out
from quoting.views.mast import the_firm

MEANWHILE = "Somebody changed this edition meanwhile. Look at it once more, then decide."


def find_edition(pk: int) -> Edition:
    """The edition with this key, or 404."""
    return get_object_or_404(Edition.objects.select_related("based_on"), pk=pk)


def find_draft(pk: int) -> Edition:
    """The draft with this key, or 404: what is published has no pages to change it."""
    edition = find_edition(pk)
    if not edition.is_drafted:
        raise Http404("This edition never changes.")
    return edition


@office_only
@require_GET
def prices(request: HttpRequest) -> HttpResponse:
    """The edition that is published, else the newest; without any, the page to begin on."""
    edition = Edition.objects.published().first() or Edition.objects.first()
    if edition is None:
        form = BeginForm(initial={"units": the_firm(request).units})
        return render(request, "pricebook/begin.html", {"form": form})
    return redirect("edition", pk=edition.pk)


@office_only
@require_POST
def begin(request: HttpRequest) -> HttpResponse:
    """Write the starter edition, where there is no edition yet."""
    if edition := Edition.objects.first():
        return redirect("edition", pk=edition.pk)
    firm, form = the_firm(request), BeginForm(request.POST)
    units = (form.is_valid() and form.cleaned_data["units"]) or firm.units
    edition = create_starter_edition(currency=firm.currency, units=units)
    messages.success(
        request, f"Edition {edition.name} is drafted from starting values. Replace them by your own, then publish."
    )
    return redirect("edition", pk=edition.pk)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def edition(request: HttpRequest, pk: int) -> HttpResponse:
    """One edition. A draft's figures are edited in place; what differs from the edition before is shown beside them."""
    edition = find_edition(pk)
    if request.method == "POST" and not edition.is_drafted:
        messages.error(request, str(EditionFrozen(edition)))
        return redirect("edition", pk=pk)
    book = read_book(edition)
    against = read_book(edition.based_on) if edition.based_on else None
    differences = compare(against, book) if against else []
    asked = LedgerFilter({"surface": Surface.STAMPED, "condition": Condition.WORN, **request.GET.dict()})
    asked.is_valid()
    ledger = lay_out(book, asked.cleaned_data, differences)
    form = ledger.edit_with(request.POST or None, edition.version) if edition.is_drafted else None
    status = 200
    if request.method == "POST" and form is not None:
        if not form.is_valid():
            status = 422
        else:
            both = form.both_changed()
            rows = form.changed_rows()
            typed = form.cleaned_data["version"]
            if both and typed != edition.version:
                return two_hands(request, edition, both, back_url=request.get_full_path())
            try:
                if rows:
                    keep_rows(edition=edition, version=edition.version, rows=rows)
            except ChangedMeanwhile:
                messages.error(request, MEANWHILE)
            else:
                count = len([name for name in form.changed_data if name in form.cells])
                messages.success(request, f"Kept: {count} {'figure' if count == 1 else 'figures'} changed.")
            return redirect(request.get_full_path())
    context = {
        "edition": edition,
        "book": book,
        "against": edition.based_on,
        "differences": differences,
        "ledger": ledger,
        "asked": asked,
        "form": form,
        "narrowed": any(asked.cleaned_data.get(name) for name in ("q", "kept", "changed")),
        "older_url": _with(request, after=ledger.older) if ledger.older else "",
        "first_url": _with(request, after=None) if asked.cleaned_data.get("after") else "",
        "editions": Edition.objects.all()[:50],
        "jobs": sample_jobs(against, book, the_firm(request)) if against and differences else [],
    }
    return render(request, "pricebook/edition.html", context, status=status)


def _with(request: HttpRequest, **changes: Any) -> str:
    query = request.GET.copy()
    for name, value in changes.items():
        query.pop(name, None)
        if value is not None:
            query[name] = str(value)
    return f"{request.path}?{query.urlencode()}" if query else request.path


def two_hands(request: HttpRequest, edition: Edition, rows: list[Any], *, back_url: str) -> HttpResponse:
    """Both figures side by side, and the choice; nothing has been written."""
    title = f"Somebody changed edition {edition.name} while you had it open"
    return show_hands(request, rows, version=edition.version, title=title, back_url=back_url)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def edition_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy an edition to a new draft under a name of its own."""
    source = find_edition(pk)
    draft = Edition(name=free_edition_name(timezone.localdate().year), units=source.units)
    form = CopyForm(request.POST or None, instance=draft)
    if request.method == "POST" and form.is_valid():
        words = {name: form.cleaned_data[name] for name in ("name", "takes_over", "note", "units")}
        try:
            new = copy_edition(edition=source, **words)
        except AlreadyCalled as error:
            form.add_error("name", str(error))
        else:
            messages.success(request, f"Edition {new.name} is drafted. {source.name} stays as it is.")
            return redirect("edition", pk=new.pk)
    context = {"form": form, "edition": source, "title": f"Copy {source.name}", "act": "Draft the copy"}
    context["words"] = (
        f"Every material, rate, charge and system of {source.name} is copied to a draft. Options and papers keep the "
        "edition that they were priced with."
    )
    return render(request, "pricebook/row.html", context, status=status_of(form))


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def edition_words(request: HttpRequest, pk: int) -> HttpResponse:
    """Name, day and note of a draft."""
    edition = find_draft(pk)
    form = EditionForm(request.POST or None, instance=edition, initial={"version": edition.version})
    if request.method == "POST" and form.is_valid():
        version = form.cleaned_data["version"] or edition.version
        if (both := form.both_changed()) and version != edition.version:
            return two_hands(request, edition, both, back_url=request.path)
        words = {name: form.cleaned_data[name] for name in ("name", "takes_over", "note")}
        try:
            describe_draft(edition=edition, version=edition.version, **words)
        except (ChangedMeanwhile, EditionFrozen):
            messages.error(request, MEANWHILE)
        else:
            messages.success(request, f"Edition {edition.name} is kept.")
        return redirect("edition", pk=pk)
    context = {"form": form, "edition": edition, "title": f"Edition {edition.name}", "act": "Keep it"}
    return render(request, "pricebook/row.html", context, status=status_of(form))


def status_of(form: Any) -> int:
    """422 for a form that came back with something to mend, so that htmx and tests can tell."""
    return 422 if form.is_bound and form.errors else 200


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def edition_publish(request: HttpRequest, pk: int) -> HttpResponse:
    """What is still missing; without a lack, the question and its consequence."""
    edition = find_draft(pk)
    form = VersionForm(request.POST or None)
    if request.method == "POST":
        try:
            version = form.cleaned_data["version"] if form.is_valid() else 0
            publish_edition(edition=edition, version=version)
        except ChangedMeanwhile:
            messages.error(request, MEANWHILE)
            return redirect("edition-publish", pk=pk)
        except EditionFrozen as error:
            messages.error(request, str(error))
        except NotReady:
            return redirect("edition-publish", pk=pk)
        else:
            messages.success(request, f"Published: {edition.name} is what new options are priced with from now on.")
        return redirect("edition", pk=pk)
    before = Edition.objects.published().first()
    context = {
        "edition": edition,
        "before": before,
        "lacks": [(lack, lack_url(edition, lack.noun, lack.pk)) for lack in find_lacks(read_book(edition))],
        "drafted_options": Option.objects.filter(edition=before).count() if before else 0,
    }
    return render(request, "pricebook/publish.html", context)


def lack_url(edition: Edition, noun: str, pk: int) -> str:
    """The page on which a lack is made good."""
    names = {"material": "material", "system": "system", "step": "system-step"}
    return reverse(names[noun], args=[edition.pk, pk]) if noun in names else reverse("edition", args=[edition.pk])


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def edition_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a draft, asked once."""
    edition = find_draft(pk)
    if request.method == "POST":
        form = VersionForm(request.POST)
        try:
            delete_draft(edition=edition, version=form.cleaned_data["version"] if form.is_valid() else 0)
        except ChangedMeanwhile:
            messages.error(request, MEANWHILE)
            return redirect("edition-delete", pk=pk)
        except (StillUsed, EditionFrozen) as error:
            messages.error(request, str(error))
            return redirect("edition", pk=pk)
        messages.success(request, f"The draft {edition.name} is deleted.")
        return redirect("prices")
    context = {
        "edition": edition,
        "title": f"Delete the draft {edition.name}?",
        "words": "All its figures go and don’t come back. Published editions and everything that was issued stay.",
        "act": f"Delete {edition.name}",
        "back_url": reverse("edition", args=[pk]),
    }
    return render(request, "pricebook/ask.html", context)


@office_only
@require_GET
def edition_against(request: HttpRequest, pk: int, other: int) -> HttpResponse:
    """Two editions side by side: only what differs, both figures and the change, and what it does to a sample job."""
    new, old = find_edition(pk), find_edition(other)
    old_book, new_book = read_book(old), read_book(new)
    differences = compare(old_book, new_book)
    context = {
        "edition": new,
        "other": old,
        "count": len(differences),
        "groups": by_noun(differences),
        "jobs": sample_jobs(old_book, new_book, the_firm(request)) if differences else [],
        "editions": Edition.objects.exclude(pk=new.pk)[:50],
    }
    return render(request, "pricebook/against.html", context)


MOST_DIFFERENCES = 500


def by_noun(differences: list[Difference]) -> list[tuple[str, list[Difference]]]:
    """The differences under the headings of the book; of very many, the first 500."""
    found: dict[Noun, list[Difference]] = {}
    for each in differences[:MOST_DIFFERENCES]:
        found.setdefault(each.place.noun, []).append(each)
    return [(str(noun.value), rows) for noun, rows in found.items()]
