"""The bookkeeper's tables as CSV files, written so that no spreadsheet runs what somebody typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from decimal import Decimal

from customers.csv_cells import csv_line, harmless
from quoting.core.books import from_minor
from quoting.core.sales_tax import tax_lines, untaxed
from quoting.services.bookkeeper import deposits_held, payments_of, sales_of

TABLES = {"tax": "Tax", "sales": "Sales", "payments": "Payments", "deposits": "Deposits held"}
"""The files by the word of their address."""

HEADS = {
    "tax": ("region", "tax", "rate", "sales", "taxable", "exempt", "tax charged", "exempt by reason"),
    "sales": ("number", "kind", "issued", "folder", "customer", "region", "before tax", "tax", "total", "credits",
              "certificate"),
    "payments": ("on", "kind", "method", "amount", "currency", "reference", "folder", "customer"),
    "deposits": ("folder", "customer", "place", "amount", "currency"),
}  # fmt: skip


def write_table(what: str, since: date, until: date) -> Iterator[str]:
    """One of TABLES, line by line. Deposits are those at the end of the last day."""
    yield csv_line(HEADS[what])
    rows = {"tax": _tax, "sales": _sales, "payments": _payments, "deposits": _deposits}[what]
    for cells in rows(since, until):
        yield csv_line([_cell(cell) for cell in cells])


def _cell(value: object) -> str:
    """Figures and days as they are; words so that they are not run."""
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    return harmless(" ".join(str(value).split()))


def _tax(since: date, until: date) -> Iterator[Sequence[object]]:
    sold = [sale.sold for sale in sales_of(since, until)]
    for line in tax_lines(sold):
        reasons = "; ".join(f"{reason}: {amount:f}" for reason, amount in line.reasons)
        yield line.region, line.name, line.rate, line.sales, line.taxable, line.exempt, line.tax, reasons
    for region, reason, amount in untaxed(sold):
        yield region, "none", Decimal(0), amount, Decimal("0.00"), amount, Decimal("0.00"), f"{reason}: {amount:f}"


def _sales(since: date, until: date) -> Iterator[Sequence[object]]:
    for sale in sales_of(since, until):
        row, place = sale.invoice, sale.invoice.job.property
        credited = row.credits.paper.number if row.credits and row.credits.paper else ""
        yield (
            str(row), row.get_kind_display(), row.issued_on, row.job.number, place.customer.name, sale.region,
            sale.bill.price, sale.bill.tax, sale.bill.total, credited, sale.exempt_by,
        )  # fmt: skip


def _payments(since: date, until: date) -> Iterable[Sequence[object]]:
    for row, minor in payments_of(since, until):
        yield (
            row.on, row.get_kind_display(), row.get_method_display(), from_minor(minor, row.currency), row.currency,
            row.reference, row.job.number, row.job.property.customer.name,
        )  # fmt: skip


def _deposits(_since: date, until: date) -> Iterable[Sequence[object]]:
    for held in deposits_held(until):
        place = held.job.property
        yield held.job.number, place.customer.name, place.street, from_minor(held.amount, held.currency), held.currency
