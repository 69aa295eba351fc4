"""How a change is paid, in words and as the payments of the contract before and after it."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from quoting.core.contracts import NONE, Agreed, Change, ContractSum, PaidWith
from quoting.core.schedule import Part, schedule
from quoting.documents.contexts import Facts
from quoting.documents.invoices import signed_text


def payment_facts(
    contract: ContractSum, of: Agreed, *, number: str, title: str, paid_with: PaidWith, place: int
) -> Facts:
    """With which payment the change is due, and every payment before and after it; `place` is the next one's among
    those accepted. What is taken off has no payment of its own, and comes off the last.
    """
    if paid_with is PaidWith.OWN and of.total <= 0:
        paid_with = PaidWith.LAST
    change = Change(number=number, of=of, title=title, paid_with=paid_with, place=place)
    before = schedule(contract, NONE)
    after = schedule(replace(contract, changes=(*contract.changes, change)), NONE)
    had = {_key(part): part.amount for part in before}
    return {
        "paid_with": str(paid_with),
        "paid_place": str(place),
        "paid_words": _words(after, paid_with, place, of.total),
        "payments": [
            {
                "name": part.name,
                "trigger": part.trigger,
                "before": signed_text(had[_key(part)], contract.currency) if _key(part) in had else "",
                "after": signed_text(part.amount, contract.currency),
            }
            for part in after
        ]
        if len(after) > 1
        else [],
    }


def _key(part: Part) -> tuple[str, str, str]:
    return part.change, part.name, part.trigger


def _words(parts: tuple[Part, ...], paid_with: PaidWith, place: int, total: Decimal) -> str:
    """One sentence; nothing where the change comes to nothing, or all is paid at once."""
    if not total or len(parts) < 2:
        return ""
    does = "It is paid with" if total > 0 else "It comes off"
    if paid_with is PaidWith.OWN:
        return "It is paid by itself, when this change is done."
    accepted = [part for part in parts if not part.change]
    if paid_with is PaidWith.SPREAD and place < len(accepted):
        names = [part.name for part in accepted[place - 1 :]]
        return f"{does} the payments from “{names[0]}” on, in proportion."
    part = accepted[place - 1] if paid_with is PaidWith.NEXT and place <= len(accepted) else parts[-1]
    which = "the last payment, " if part is parts[-1] else "the next payment, "
    return f"{does} {which}“{part.name}”{f', due {part.trigger}' if part.trigger else ''}."
