"""What a bill said, as plain texts and back: the figures that are kept with an issued bill and stand on its paper."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from quoting.core.contracts import Agreed, AreaLine, TaxShare, added, negative
from quoting.documents.contexts import Facts
from quoting.models import Invoice


def figures_of(bill: Agreed, currency: str) -> Facts:
    """The lines, taxes and sums of a bill, or of a credit note, as texts."""
    return {
        "currency": currency,
        "lines": [{"area": line.area, "amount": f"{line.amount:f}"} for line in bill.lines],
        "taxes": [
            {
                "name": tax.name,
                "rate": f"{tax.rate.normalize():f}",
                "on": tax.on,
                "base": f"{tax.base:f}",
                "amount": f"{tax.amount:f}",
            }
            for tax in bill.taxes
        ],
        "price": f"{bill.price:f}",
        "total": f"{bill.total:f}",
    }


def bill_from(figures: Mapping[str, Any]) -> Agreed:
    """The bill that these texts tell of."""
    return Agreed(
        lines=tuple(AreaLine(area=line["area"], amount=Decimal(line["amount"])) for line in figures["lines"]),
        taxes=tuple(
            TaxShare(
                name=tax["name"],
                rate=Decimal(tax["rate"]),
                on=tax["on"],
                base=Decimal(tax["base"]),
                amount=Decimal(tax["amount"]),
            )
            for tax in figures["taxes"]
        ),
    )


def bill_of(invoice: Invoice) -> Agreed:
    """What an issued bill, or a credit note, said."""
    return bill_from(json.loads(invoice.figures))


def billed_by(invoices: Iterable[Invoice]) -> Agreed:
    """Issued bills together, less what was credited of them."""
    return added(
        negative(bill_of(each)) if each.kind == Invoice.Kind.CREDIT else bill_of(each)
        for each in invoices
        if each.state == Invoice.State.ISSUED
    )
