"""For the bookkeeper: tax, sales, payments, deposits held of some days, on a page and in files; bills for machines."""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from quoting.core.books import from_minor
from quoting.core.contracts import NONE
from quoting.core.sales_tax import tax_lines, untaxed
from quoting.documents.ubl import NotOpen, ubl_of
from quoting.forms.bookkeeper import PeriodForm, periods
from quoting.models import Paper
from quoting.services.bookkeeper import Sale, deposits_held, payments_of, sales_of
from quoting.services.bookkeeper_file import TABLES, write_table
from quoting.views.access import office_only
from quoting.views.mast import the_firm
from quoting.views.papers import SANDBOX

LEAF = 100
"""Bills and payments on the page; the files hold them all."""

MACHINES_READ = (Paper.Kind.INVOICE, Paper.Kind.CREDIT_NOTE)


@office_only
@require_safe
def bookkeeper(request: HttpRequest) -> HttpResponse:
    """Tax, sales, payments and deposits held; of this month until another period is asked for."""
    today, currency = timezone.localdate(), the_firm(request).currency
    usual = periods(today)
    _name, since, until = usual[0]
    form = PeriodForm(request.GET if "since" in request.GET else {"since": since, "until": until})
    if not form.is_valid():
        return render(request, "money/bookkeeper.html", {"form": form, "usual": _links(usual)}, status=422)
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    sales, payments, held = sales_of(since, until), payments_of(since, until), deposits_held(until)
    sold = [sale.sold for sale in sales]
    lines = tax_lines(sold)
    context = {
        "form": form,
        "usual": _links(usual),
        "since": since,
        "until": until,
        "currency": currency,
        "query": urlencode({"since": since.isoformat(), "until": until.isoformat()}),
        "tables": TABLES,
        "taxes": lines,
        "untaxed": untaxed(sold),
        "tax_charged": sum((line.tax for line in lines), NONE),
        "sales": sales[:LEAF],
        "more_sales": max(0, len(sales) - LEAF),
        "sums": _sums(sales),
        "payments": [(row, from_minor(minor, row.currency)) for row, minor in payments[:LEAF]],
        "more_payments": max(0, len(payments) - LEAF),
        "paid": from_minor(sum(minor for _row, minor in payments), currency),
        "held": [(each.job, from_minor(each.amount, each.currency)) for each in held],
        "held_in_all": from_minor(sum(each.amount for each in held), currency),
    }
    return render(request, "money/bookkeeper.html", context)


@office_only
@require_safe
def bookkeeper_file(request: HttpRequest, what: str) -> HttpResponseBase:
    """One of the tables as a CSV file."""
    form = PeriodForm(request.GET)
    if what not in TABLES or not form.is_valid():
        raise Http404
    since, until = form.cleaned_data["since"], form.cleaned_data["until"]
    return StreamingHttpResponse(
        (line.encode() for line in write_table(what, since, until)),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="{what}-{since}-{until}.csv"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )


@office_only
@require_safe
def bill_for_machines(request: HttpRequest, number: str) -> HttpResponse:
    """A bill or a credit note as UBL 2.1 after EN 16931, made from what was frozen when it was issued."""
    paper = get_object_or_404(Paper.objects.only("number", "kind", "facts"), number=number, kind__in=MACHINES_READ)
    try:
        content = ubl_of(json.loads(paper.facts))
    except NotOpen as why:
        messages.error(request, str(why))
        return redirect("bill", number=number)
    answer = HttpResponse(content, content_type="application/xml; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{paper.kind}-{number}.xml"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, no-store"
    answer["Content-Security-Policy"] = SANDBOX
    return answer


def _links(usual: list[tuple[str, Any, Any]]) -> list[tuple[str, str]]:
    return [(words, urlencode({"since": since, "until": until})) for words, since, until in usual]


def _sums(sales: Iterable[Sale]) -> dict[str, Decimal]:
    bills = [sale.bill for sale in sales]
    return {
        "price": sum((bill.price for bill in bills), NONE),
        "tax": sum((bill.tax for bill in bills), NONE),
        "total": sum((bill.total for bill in bills), NONE),
    }
