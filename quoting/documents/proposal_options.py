"""What is offered and what it costs, as the homeowner reads it: never a cost, a margin or a markup."""

from __future__ import annotations

from collections.abc import Sequence

from quoting.core.pricing import Price, TaxAmount
from quoting.core.scope import TaxBase
from quoting.documents.contexts import Facts, drawn, listed, percent_text, sum_text
from quoting.documents.offers import Offer, OfferedAddOn, OfferedOption, Worked, areas_of
from quoting.documents.proposal_measures import area_text
from quoting.documents.proposal_work import coats_of_sealer, days_of
from quoting.documents.stretches import PaymentStretch, draw_payments

TAXED = {TaxBase.MATERIALS: "the materials’ share", TaxBase.LABOUR: "the labour’s share", TaxBase.PRICE: "the price"}
ROWS = (
    ("mends", "What it mends"),
    ("does_not_mend", "What it does not mend"),
    ("life", "Seal again after"),
    ("look", "Look"),
    ("slip", "Slip when wet"),
)
"""What is said of an option in words, row by row; the fields of Option."""

FIELD_PX = 518

TABLE_LETTERS = 110
"""Letters of a line as wide as the sheet."""

MOST_LINES = 36
"""Of the options' table that stands on one sheet with its head and its totals; a longer one may break between rows."""


def option_facts(offered: OfferedOption, place: int) -> Facts:
    """An option with its price, tax and total."""
    option, price = offered.option, offered.alone.workings.price
    currency = price.currency
    return {
        "place": str(place),
        "name": option.name,
        "advised": "yes" if option.advised else "",
        "price": sum_text(price.of.price, currency),
        "taxes": [
            {"words": _tax_words(tax), "base": sum_text(tax.base, currency), "amount": sum_text(tax.amount, currency)}
            for tax in _told_taxes(price.of.taxes)
        ],
        "total": sum_text(price.of.total, currency),
    }


def side_by_side(offer: Offer, units: str) -> Facts:
    """The options' table: what each is in words, what each area costs in it, price, tax and total."""
    told = [{"label": label, "cells": [getattr(each.option, field) for each in offer.options]} for field, label in ROWS]
    told.append({"label": "Coats of sealer", "cells": [coats_of_sealer(each.option) for each in offer.options]})
    told.append({"label": "Visits", "cells": [_visits(each) for each in offer.options]})
    rows = [row for row in told if any(cell not in {"", "0"} for cell in row["cells"])]
    areas = _area_rows(offer, units)
    return {
        "rows": rows,
        "areas": areas,
        "whole": "yes" if _lines(rows, areas, len(offer.options)) <= MOST_LINES else "",
        "discounts": _discounts(offer),
        "prices": [_price_cell(each.alone) for each in offer.options],
        "taxes": _tax_rows([each.alone for each in offer.options]),
        "totals": [sum_text(each.alone.workings.price.of.total, each.alone.scope.currency) for each in offer.options],
    }


def add_on_facts(offered: OfferedOption, add_on: OfferedAddOn, place: int, several: bool) -> Facts:
    """An extra: what it adds to its option's price now, and what it costs later, alone, where it can stand alone."""
    before, after = offered.alone.workings.price.of, add_on.together.workings.price.of
    currency = offered.alone.scope.currency
    own = [area for area in areas_of([add_on.option]) if area not in areas_of([offered.option])]
    return {
        "name": add_on.option.name,
        "with": str(place) if several else "",
        "letters": [area.letter for area in own],
        "where": listed(area.name for area in own),
        "now": sum_text(after.price - before.price, currency),
        "taxed": sum_text(after.total - before.total, currency) if _told_taxes(after.taxes) else "",
        "less": _less(before, after),
        "later": sum_text(add_on.alone.workings.price.of.price, currency) if add_on.alone else "",
        "says": _says(add_on),
    }


def _less(before: Price, after: Price) -> str:
    """Why an extra adds less with tax than before it, "" where it does not: the whole is worked out anew, and what
    a tax is on may be a smaller part of the price then.
    """
    if after.total - before.total >= after.price - before.price:
        return ""
    pairs = zip(_told_taxes(before.taxes), _told_taxes(after.taxes), strict=True)
    fallen = dict.fromkeys(TAXED[tax.tax.on] for was, tax in pairs if tax.amount < was.amount)
    return f"tax is on {listed(fallen)} of the whole price, which is a little smaller with it"


def payment_facts(offered: OfferedOption) -> list[Facts]:
    """The payments of an option's total; they add up to it."""
    currency = offered.alone.scope.currency
    return [
        {"name": payment.name, "trigger": payment.trigger, "amount": sum_text(payment.amount, currency)}
        for payment in offered.payments
    ]


def payments_drawing(offered: OfferedOption) -> Facts:
    """The payments of an option as one dimension line."""
    currency = offered.alone.scope.currency
    stretches = [
        PaymentStretch(
            words=f"{payment.name}, {payment.trigger}" if payment.trigger else payment.name,
            amount=payment.amount,
            figure=sum_text(payment.amount, currency),
        )
        for payment in offered.payments
    ]
    return drawn(draw_payments(stretches, width_px=FIELD_PX))


def _lines(rows: Sequence[Facts], areas: Sequence[Facts], options: int) -> int:
    """About how many lines the options' table takes, as wide as its columns are."""
    column, first = TABLE_LETTERS * 77 // 100 // options, TABLE_LETTERS * 23 // 100
    longest = [max(len(cell) for cell in row["cells"]) for row in rows]
    told = sum(-(-letters // column) for letters in longest)
    return told + sum(-(-(len(row["name"]) + len(row["net"]) + 6) // first) for row in areas)


def _area_rows(offer: Offer, units: str) -> list[Facts]:
    """One row for each area of an option, with its share of each price; what an option leaves out says so."""
    rows = []
    for area in areas_of(each.option for each in offer.options):
        shares = [dict(each.alone.workings.price.by_area) for each in offer.options]
        nets = [
            figure.net for each in offer.options for figure in each.alone.workings.areas if figure.name == area.name
        ]
        rows.append(
            {
                "letter": area.letter,
                "name": area.name,
                "net": area_text(nets[0], units),
                "cells": [
                    sum_text(share[area.name], each.alone.scope.currency) if area.name in share else ""
                    for share, each in zip(shares, offer.options, strict=True)
                ],
            }
        )
    return rows


def _discounts(offer: Offer) -> list[str]:
    """The discount that each price holds already; [] where none does."""
    found = [
        sum_text(each.alone.workings.price.of.discount, each.alone.scope.currency)
        if each.alone.workings.price.of.discount
        else ""
        for each in offer.options
    ]
    return found if any(found) else []


def _price_cell(worked: Worked) -> str:
    return sum_text(worked.workings.price.of.price, worked.scope.currency)


def _tax_rows(worked: Sequence[Worked]) -> list[Facts]:
    taxes = [_told_taxes(each.workings.price.of.taxes) for each in worked]
    return [
        {
            "label": _tax_words(lines[0]),
            "cells": [sum_text(tax.amount, each.scope.currency) for tax, each in zip(lines, worked, strict=True)],
        }
        for lines in zip(*taxes, strict=True)
    ]


def _told_taxes(taxes: Sequence[TaxAmount]) -> list[TaxAmount]:
    """The taxes that are reckoned on something."""
    return [tax for tax in taxes if tax.tax.on is not TaxBase.NONE]


def _tax_words(tax: TaxAmount) -> str:
    return f"{tax.tax.name}, {percent_text(tax.tax.rate)} on {TAXED[tax.tax.on]}"


def _visits(offered: OfferedOption) -> str:
    """How often we come, and from the first to the last day: 4, within 6 days."""
    count, days = len(offered.alone.visits), max(days_of(offered.option).values())
    return str(count) if days <= count else f"{count}, within {days} days"


def _says(add_on: OfferedAddOn) -> str:
    """What an extra is in words: what it mends or looks like, else nothing."""
    return add_on.option.mends or add_on.option.look or add_on.option.slip
