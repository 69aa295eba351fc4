"""The payments of a contract as they stand through every change: they add up to the contract sum to the cent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal

from quoting.core.contracts import NONE, ContractSum, PaidWith
from quoting.core.payments import Payment
from quoting.core.pricing import split_exactly


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One payment of the contract as it stands now: what was accepted, what it comes to with the changes, and what of
    it is billed. `change` is the number of the change whose own payment it is; `made_of` says what was accepted and
    what each change put on it or took off it.
    """

    place: int
    name: str
    trigger: str
    agreed: Decimal
    amount: Decimal
    billed: Decimal
    change: str = ""
    made_of: tuple[tuple[str, Decimal], ...] = ()

    @property
    def left(self) -> Decimal:
        """What is not billed yet."""
        return self.amount - self.billed


@dataclass(slots=True)
class _Slot:
    """A payment while the changes are put on it; `place` counts those that were accepted, 0 for a change's own."""

    name: str
    trigger: str
    agreed: Decimal
    amount: Decimal
    place: int
    change: str = ""
    made_of: list[tuple[str, Decimal]] = field(default_factory=list)

    def note(self, words: str) -> None:
        """Write down what has come on it, or gone off it, since the last note."""
        moved = self.amount - sum((amount for _words, amount in self.made_of), NONE)
        if moved:
            self.made_of.append((words, moved))


def schedule(contract: ContractSum, billed: Decimal) -> tuple[Part, ...]:
    """The payments as they stand now, in their order; what is billed fills them in it.

    Each change is put on the payments as it says. What is taken off and is more than that payment comes off the ones
    before it, then off the ones after it. Taxes that a certificate took off come off all of them, in proportion.
    """
    payments = contract.payments or (Payment(name="In all", amount=contract.original.total),)
    slots = [
        _Slot(name=each.name, trigger=each.trigger, agreed=each.amount, amount=each.amount, place=place)
        for place, each in enumerate(payments, start=1)
    ]
    _note(slots, "as accepted")
    _take_taxes_off(slots, contract, 0)
    for number, change in enumerate(contract.changes, start=1):
        total = change.of.total
        if change.paid_with is PaidWith.OWN and total > 0:
            trigger = f"when change {change.number} is done" if change.number else "when this change is done"
            slot = _Slot(change.title or f"Change {change.number}", trigger, NONE, NONE, 0, change.number)
            slots.insert(max(len(slots) - 1, 1), slot)
            _put(slots, slots.index(slot), total)
        elif change.paid_with is PaidWith.NEXT:
            _put(slots, _place_of(slots, change.place), total)
        elif change.paid_with is PaidWith.SPREAD:
            _spread(slots, _place_of(slots, change.place), total, contract.currency)
        else:
            _put(slots, len(slots) - 1, total)
        _note(slots, f"change {change.number}")
        _take_taxes_off(slots, contract, number)
    parts, left = [], billed
    for place, slot in enumerate(slots, start=1):
        taken = max(min(left, slot.amount), NONE)
        left -= taken
        parts.append(
            Part(
                place=place, name=slot.name, trigger=slot.trigger, agreed=slot.agreed, amount=slot.amount,
                billed=taken, change=slot.change, made_of=tuple(slot.made_of),
            )
        )  # fmt: skip
    return tuple(parts)


def next_part(parts: Iterable[Part]) -> Part | None:
    """The first payment of which something is not billed; None when all is."""
    return next((part for part in parts if part.left > 0), None)


def next_accepted(parts: Iterable[Part]) -> int:
    """The payment that a change issued now is paid with when it says the next: its place among those accepted.

    Never the deposit where there are others, since regions cap what may be asked for before the work.
    """
    accepted = [part for part in parts if not part.change]
    found = next((place for place, part in enumerate(accepted, start=1) if part.left > 0), len(accepted))
    return max(found, min(2, len(accepted)))


def _take_taxes_off(slots: list[_Slot], contract: ContractSum, after: int) -> None:
    """Taxes taken off when so many changes were accepted come off the payments in proportion to what they were then."""
    for each in contract.taxes_off:
        if min(each.after, len(contract.changes)) == after:
            _spread(slots, 0, each.of.total, contract.currency)
            _note(slots, "taxes taken off")


def _note(slots: list[_Slot], words: str) -> None:
    for slot in slots:
        slot.note(words)


def _place_of(slots: list[_Slot], place: int) -> int:
    """Where the accepted payment of this place stands; the last where there is none."""
    return next((i for i, slot in enumerate(slots) if slot.place == place), len(slots) - 1)


def _put(slots: list[_Slot], place: int, amount: Decimal) -> None:
    """Add to one payment; what it can't bear comes off the ones before it, then off the ones after it. What is added
    goes first to a payment that earlier deductions have left below nothing.
    """
    for slot in slots:
        filled = max(min(-slot.amount, amount), NONE)
        slot.amount += filled
        amount -= filled
    slots[place].amount += amount
    lacking = max(-slots[place].amount, NONE)
    slots[place].amount += lacking
    for other in (*range(place - 1, -1, -1), *range(place + 1, len(slots))):
        taken = max(min(slots[other].amount, lacking), NONE)
        slots[other].amount -= taken
        lacking -= taken
    slots[place].amount -= lacking


def _spread(slots: list[_Slot], first: int, amount: Decimal, currency: str) -> None:
    """Add to all payments from this one on, in proportion to what they come to, by largest remainder in cents."""
    weights = [max(slot.amount, NONE) for slot in slots[first:]]
    whole = sum(weights, NONE)
    if not whole or -amount > whole:
        _put(slots, len(slots) - 1, amount)
        return
    shares = split_exactly(abs(amount), weights, currency)
    for place, share in enumerate(shares, start=first):
        if share:
            _put(slots, place, share.copy_sign(amount))
