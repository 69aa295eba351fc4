"""Lots as they are looked over before the crew's work is booked into stock, and what the office says of each."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.core.stock import Drawn
from quoting.core.units import Quantity
from quoting.models import Entry, Lot


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine:
    """One lot of equal packs that the crew took from, and what its figures say of it.

    Without `rows` it is not in stock: it was bought for this job and never taken in. `wrote` are the entries.
    """

    key: str
    material: str
    name: str
    lot: str
    rows: tuple[Lot, ...]
    drawn: Drawn
    wrote: tuple[Entry, ...]

    @property
    def full(self) -> int:
        """Full packs on hand."""
        return sum(row.count for row in self.rows if not row.opened)

    @property
    def open_row(self) -> Lot | None:
        """The open pack, if there is one."""
        return next((row for row in self.rows if row.opened), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBooked:
    """What the office says of a line: full packs that were opened, what is left in the open one, and of one that was
    not in stock its size, how many full ones came back, and where they are kept."""

    line: StockLine
    opened: int = 0
    left: Quantity | None = None
    size: Quantity | None = None
    full: int = 0
    place: str = ""
