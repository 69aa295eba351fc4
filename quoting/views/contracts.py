"""What is agreed, as the folder shows it: the contract sum and its days, taxes by name, each change order."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from quoting.core.contracts import ContractSum
from quoting.documents.agreed import DoesNotAddUp
from quoting.documents.invoices import signed_text
from quoting.models import ChangeOrder, Job
from quoting.services.contracts import contract_of


def agreed_in(job: Job) -> dict[str, Any]:
    """What the clause Agreed shows: `agreed`, None while nothing is; in a number of queries that does not grow."""
    try:
        contract = contract_of(job)
    except DoesNotAddUp as fault:
        return {"agreed": {"fault": str(fault)}}
    if contract is None:
        return {"agreed": None}
    rows = ChangeOrder.objects.filter(job=job).select_related("paper").defer("paper__pdf", "paper__facts")
    changes = list(rows.order_by("paper__revision", "pk"))
    return {"agreed": _shown(contract) | {"changes": changes, "paper": contract.paper}}


def _shown(contract: ContractSum) -> dict[str, Any]:
    """Price, taxes, sum and days in three columns: as accepted, the changes, now."""
    currency = contract.currency
    columns = (contract.original, contract.changed, contract.now)
    names = dict.fromkeys(tax.name for tax in contract.now.taxes)
    taxes = [
        (
            name,
            [
                signed_text(sum((tax.amount for tax in each.taxes if tax.name == name), Decimal("0.00")), currency)
                for each in columns
            ],
        )
        for name in names
    ]
    days = (contract.days, sum(change.days for change in contract.changes), contract.days_now)
    return {
        "currency": currency,
        "price": [signed_text(each.price, currency) for each in columns],
        "taxes": taxes,
        "total": [signed_text(each.total, currency) for each in columns],
        "days": days if contract.days is not None else None,
        "fault": "",
    }
