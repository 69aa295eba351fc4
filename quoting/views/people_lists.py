"""People as CSV: written for a spreadsheet, and a file read into the books, looked at first."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from customers.list_forms import ColumnsForm, PeopleFileForm, TakePeopleForm
from customers.models import ChangedMeanwhile, Customer, PeopleList
from customers.people_doubles import WHYS, Planned, fingerprint, plan_people
from customers.people_file import MOST_ROWS, Reading, read_people, write_people
from customers.people_lists import (
    OtherPlan,
    PeopleListFaults,
    Taken,
    TakenAlready,
    choose_columns,
    forget_list,
    keep_list,
)
from quoting.services.people_lists import take_people
from quoting.views.access import office_only

MOST_SHOWN = 200
"""Of those who are new, and of those who are known; a form of more is too long for anybody to read."""


@office_only
@require_safe
def people_csv(request: HttpRequest) -> HttpResponseBase:
    """Everybody with their properties, as a file for a spreadsheet."""
    people = Customer.objects.current().filter(erased_at=None)
    return StreamingHttpResponse(
        (line.encode() for line in write_people(people)),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="people-{timezone.localdate().isoformat()}.csv"',
            "Cache-Control": "no-store",
        },
    )


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def people_list_read(request: HttpRequest) -> HttpResponse:
    """Take in a CSV file; what it would do is shown before anybody is written down."""
    form = PeopleFileForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            return redirect("people-list", pk=keep_list(name=file.name, content=file.read()).pk)
        except (PeopleListFaults, TakenAlready) as error:
            form.add_error("file", str(error))
    context = {"form": form, "most": MOST_ROWS}
    return render(request, "customers/list_read.html", context, status=422 if form.errors else 200)


@office_only
@require_http_methods(["GET", "HEAD", "POST"])
def people_list(request: HttpRequest, pk: int) -> HttpResponse:
    """What a file would do; taking it over does all of it."""
    row = _waiting(pk)
    reading = read_people(bytes(row.content), row.columns)
    planned = [] if reading.faults else plan_people(reading.entries)
    known = [each for each in planned if each.known and not each.nothing_new]
    first = {"version": row.version, "shown": fingerprint(planned)}
    form = TakePeopleForm(request.POST or None, initial=first, known=known[:MOST_SHOWN])
    if request.method == "POST" and not reading.faults and form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("version", "shown", "usual")}
        try:
            done = take_people(by=request.user, row=row, said=form.said, **given)  # type: ignore[arg-type]
        except (OtherPlan, ChangedMeanwhile) as error:
            messages.error(request, str(error))
            return redirect("people-list", pk=pk)
        except (TakenAlready, PeopleListFaults) as error:
            messages.error(request, str(error))
        else:
            messages.success(request, _told(row, done))
        return redirect("people")
    return _report(request, row, reading, planned, known, form)


def _report(
    request: HttpRequest,
    row: PeopleList,
    reading: Reading,
    planned: list[Planned],
    known: list[Planned],
    form: TakePeopleForm,
) -> HttpResponse:
    new = [each for each in planned if each.known is None]
    context = {
        "row": row,
        "reading": reading,
        "form": form,
        "columns": ColumnsForm(heads=reading.heads, columns=reading.columns),
        "sample": _across(reading),
        "new": new[:MOST_SHOWN],
        "new_count": len(new),
        "known": [(each, WHYS[each.why], field) for each, field in form.rows()],
        "known_count": len(known),
        "same_count": sum(each.nothing_new for each in planned),
        "places_count": sum(len(each.places) for each in new),
        "most": MOST_SHOWN,
    }
    return render(request, "customers/list_report.html", context, status=422 if form.errors else 200)


@office_only
@require_POST
def people_list_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what each column is; the report is made anew."""
    row = _waiting(pk)
    reading = read_people(bytes(row.content), row.columns)
    form = ColumnsForm(request.POST, heads=reading.heads, columns=reading.columns)
    if form.is_valid():
        choose_columns(row=row, columns=form.columns)
        return redirect("people-list", pk=pk)
    context = {"row": row, "reading": reading, "columns": form, "sample": _across(reading), "choosing": True}
    return render(request, "customers/list_report.html", context, status=422)


@office_only
@require_POST
def people_list_forget(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget a file that has not been taken over."""
    forget_list(_waiting(pk))
    messages.success(request, "The file is forgotten. Nobody was written down.")
    return redirect("people")


def _waiting(pk: int) -> PeopleList:
    return get_object_or_404(PeopleList, pk=min(pk, 10**18), taken_at=None)


def _across(reading: Reading) -> list[str]:
    """The first cells of each column, so that one sees what it holds."""
    return [
        "; ".join(cells[place] for cells in reading.sample if place < len(cells) and cells[place])
        for place in range(len(reading.heads))
    ]


def _told(row: PeopleList, done: Taken) -> str:
    parts = [f"{done.added} added", f"{done.joined} put together with somebody who was there"]
    parts += [f"{done.places} properties written down"] + ([f"{done.left} left out"] if done.left else [])
    return f"{row.name} is taken over: {', '.join(parts)}."
