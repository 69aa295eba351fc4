"""Batches of a mix: whole ones, and one last that is rounded up. In m³ of water and kg of powder."""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT, ceil_to, sig20


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """So many equal batches: the water (m³) and the powder (kg) of one."""

    count: int
    water: Decimal
    powder: Decimal


def split_into_batches(volume: Decimal, batch: Decimal, step: Decimal | None, strength: Decimal) -> tuple[Batch, ...]:
    """Whole batches and one last batch for a volume of mix, the last rounded up to `step`, at most a batch.

    `step` is a quarter of a batch where it is None. Every batch has the same strength (kg/m³), the last one too: the
    powder follows the water. None at all for a volume of zero.
    """
    step = batch / 4 if step is None else step
    whole = int(sig20(CONTEXT.divide(volume, batch)))
    rest = volume - whole * batch
    batches = [Batch(count=whole, water=batch, powder=strength * batch)] if whole else []
    # A rest that is only the 28th digit of a quotient is none.
    if sig20(volume) > sig20(whole * batch):
        last = min(ceil_to(rest, step), batch)
        if last == batch and batches:
            return (Batch(count=whole + 1, water=batch, powder=strength * batch),)
        batches.append(Batch(count=1, water=last, powder=strength * last))
    return tuple(batches)


def mixed_volume(batches: tuple[Batch, ...]) -> Decimal:
    """The water of all batches, in m³."""
    return sum((batch.count * batch.water for batch in batches), Decimal(0))
