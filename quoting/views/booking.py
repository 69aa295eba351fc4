"""What the crew wrote of material on a visit: looked over by the office, and booked into stock with one press."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from quoting.documents.booking import StockLine
from quoting.documents.crew_figures import amount_text
from quoting.forms.booking import BookForm, LineForm
from quoting.models import ChangedMeanwhile, Entry, Visit
from quoting.services import booking as acts
from quoting.services.stock import TooMuch
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.visits import find_visit

MEANWHILE = "What is on hand, or what the crew wrote, changed while you had this open. Nothing was booked: look again."


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def visit_stock(request: HttpRequest, number: str, visit: int) -> HttpResponse:
    """What was used and left over, lot by lot, with what it means for the stock; put right where it is wrong."""
    found = find_visit(request, number, visit)
    units = str(the_firm(request).units)
    lines = acts.lines_to_book(found)
    posted = request.POST or None
    forms = [LineForm(posted, prefix=f"l{place}", line=line, units=units) for place, line in enumerate(lines)]
    form = BookForm(posted, initial={"once": uuid4(), "seen": _seen(lines), "free": _is_last(found)})
    if form.is_valid() and _booked_before(found, form):
        messages.success(request, "It is booked.")
        return redirect("visit-stock", number=number, visit=visit)
    if form.is_bound and form.is_valid() and form.cleaned_data["seen"] != _seen(lines):
        messages.error(request, MEANWHILE)
        return redirect("visit-stock", number=number, visit=visit)
    sound = [each.is_valid() for each in forms]  # every line is asked, so that all faults show at once
    if form.is_valid() and all(sound) and lines:
        try:
            acts.book_work(
                visit=found, by=request.user, once=form.cleaned_data["once"], free=form.cleaned_data["free"],
                lines=[each.booked for each in forms],
            )  # fmt: skip
        except (acts.TooFew, TooMuch) as fault:
            form.add_error(None, str(fault))
        except (acts.BookedAlready, ChangedMeanwhile):
            messages.error(request, MEANWHILE)
            return redirect("visit-stock", number=number, visit=visit)
        else:
            messages.success(request, "It is booked.")
            return redirect("visit-stock", number=number, visit=visit)
    context = {
        "job": found.job, "visit": found, "form": form, "rows": [_row(each, units) for each in forms],
        "faulty": [form, *forms],
        "booked": Entry.objects.filter(visit=found, booked__isnull=False).select_related("by", "booked__by"),
    }  # fmt: skip
    return render(request, "crew/stock_book.html", context, status=422 if form.is_bound else 200)


def _booked_before(visit: Visit, form: BookForm) -> bool:
    return Entry.objects.filter(visit=visit, booked__once=form.cleaned_data["once"]).exists()


def _seen(lines: tuple[StockLine, ...]) -> str:
    """What the page showed: entries and stock; where it differs when the form comes back, it is shown again."""
    wrote = "-".join(str(entry.pk) for line in lines for entry in line.wrote)
    held = "-".join(f"{row.pk}.{row.version}" for line in lines for row in line.rows)
    return f"{wrote}/{held}"


def _is_last(visit: Visit) -> bool:
    return not Visit.objects.filter(job=visit.job_id).exclude(state=Visit.State.DONE).exclude(pk=visit.pk).exists()


def _row(form: LineForm, units: str) -> dict[str, Any]:
    """A line as it is read: what is on hand, and what the crew wrote of it."""
    line = form.line
    opened = line.open_row
    return {
        "form": form,
        "line": line,
        "size": line.rows[0].size_text if line.rows else "",
        "open_now": amount_text(opened.left, opened.dimension, units) if opened else "",
        "wrote": [
            (entry, entry.get_kind_display(), entry.data["called"], entry.data.get("packs"), entry.data.get("batch"))
            for entry in line.wrote
        ],
    }
