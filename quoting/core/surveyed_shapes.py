"""The shapes of many readings: polygon, offsets, steps, and the area that was measured otherwise. In metres and m²."""

from dataclasses import dataclass, field
from decimal import Decimal, localcontext
from typing import ClassVar

from quoting.core.outlines import Corner, Point, cross_sums, first_contact, to_integers
from quoting.core.rounding import WIDE, carried
from quoting.core.shape_rules import (
    MOST_POINTS,
    CrossesItself,
    NotPositive,
    ShapeFault,
    TooFewOffsets,
    TooFewPoints,
    TooManyPoints,
    in_wide,
    need_positive,
    plain_number,
)
from quoting.core.tape import format_length_us, reads_on_tape
from quoting.core.units import format_length, format_number, to_unit

LONG_TREAD = Decimal("0.6096")
"""24 in, in metres: shorter treads and risers are shown in inches."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygon:
    """Corners in order round, either way; the shoelace rule. The outline must not touch or cross itself."""

    kind: ClassVar[str] = "polygon"
    points: tuple[Point, ...]
    _corners: tuple[list[Corner], int] = field(init=False, repr=False, compare=False)
    """As whole numbers, and their scale: turned once, since the check, the area and its working all ask for them."""

    def __post_init__(self) -> None:
        if len(self.points) < 3:
            raise TooFewPoints("A polygon needs at least three corners.")
        if len(self.points) > MOST_POINTS:
            raise TooManyPoints(f"A polygon can have {MOST_POINTS} corners at most; part it in two.")
        if not all(value.is_finite() for point in self.points for value in point):
            raise NotPositive("Each corner must have two plain lengths.")
        object.__setattr__(self, "_corners", to_integers(self.points))
        corners, _ = self._corners
        seen: dict[tuple[int, int], int] = {}
        for place, corner in enumerate(corners, start=1):
            if corner in seen:
                raise CrossesItself(f"Corner {place} repeats corner {seen[corner]}: give each corner once.")
            seen[corner] = place
        contact = first_contact(corners)
        if contact:
            first, second = (f"{side + 1} to {(side + 1) % len(corners) + 1}" for side in contact)
            raise CrossesItself(f"The outline touches or crosses itself: the side from corner {first} meets {second}.")

    def area(self) -> Decimal:
        """Exact in integers until the last division, so neither direction nor first corner changes a digit."""
        corners, scale = self._corners
        down, up = cross_sums(corners)
        with localcontext(WIDE):
            return carried(Decimal(abs(down - up)) / (2 * scale**2))

    @in_wide
    def edge(self) -> Decimal:
        following = (*self.points[1:], self.points[0])
        return sum(
            (((x - u) ** 2 + (y - v) ** 2).sqrt() for (x, y), (u, v) in zip(self.points, following, strict=True)),
            Decimal(0),
        )

    def working(self, units: str) -> str:
        corners, scale = self._corners
        with localcontext(WIDE):
            sums = [Decimal(total) / scale**2 for total in cross_sums(corners)]
        if units != "metric":
            sums = [to_unit(total, "ft**2") for total in sums]
        down, up = (format_number(total, 2) for total in sums)
        return f"{len(corners)} corners by coordinates, |{down} − {up}| ÷ 2"


@dataclass(frozen=True, slots=True, kw_only=True)
class Offsets:
    """A base line with offsets at equal spacing. Simpson's 1/3 rule over an even number of strips.

    Of an odd number the last strip is a trapezoid. Offsets may be 0, but not all of them.
    """

    kind: ClassVar[str] = "offsets"
    spacing: Decimal
    offsets: tuple[Decimal, ...]

    def __post_init__(self) -> None:
        need_positive(spacing=self.spacing)
        if len(self.offsets) < 2:
            raise TooFewOffsets("Give at least two offsets.")
        if len(self.offsets) > MOST_POINTS:
            raise TooManyPoints(f"A part can have {MOST_POINTS} offsets at most; part it in two.")
        for place, offset in enumerate(self.offsets, start=1):
            if not (offset.is_finite() and offset >= 0):
                raise NotPositive(f"Offset {place} must not be negative.")
        if not any(self.offsets):
            raise NotPositive("At least one offset must be more than zero.")

    def _sums(self) -> tuple[tuple[Decimal, ...], Decimal, Decimal]:
        """The offsets under Simpson's rule (an odd number), and the sums of those at odd and at even places inside."""
        simpson = self.offsets if len(self.offsets) % 2 else self.offsets[:-1]
        return simpson, sum(simpson[1:-1:2], Decimal(0)), sum(simpson[2:-1:2], Decimal(0))

    @in_wide
    def area(self) -> Decimal:
        simpson, odd, even = self._sums()
        area = Decimal(0)
        if len(simpson) > 1:
            area = self.spacing * (simpson[0] + 4 * odd + 2 * even + simpson[-1]) / 3
        if len(simpson) < len(self.offsets):
            area += self.spacing * (self.offsets[-2] + self.offsets[-1]) / 2
        return area

    def edge(self) -> None:
        """Unknown: the curve between two offsets was not measured."""
        return None

    def working(self, units: str) -> str:
        with localcontext(WIDE):
            simpson, odd, even = self._sums()
        spacing = format_length(self.spacing, units)
        sums = []
        if len(simpson) > 1:
            first, last, fours, twos = (plain_number(value, units) for value in (simpson[0], simpson[-1], odd, even))
            sums.append(f"{spacing} ÷ 3 × ({first} + 4 × {fours} + 2 × {twos} + {last})")
        if len(simpson) < len(self.offsets):
            before, last = (plain_number(value, units) for value in self.offsets[-2:])
            sums.append(f"{spacing} ÷ 2 × ({before} + {last})")
        rule = ", Simpson: " if len(simpson) > 1 else ": "
        return f"{len(self.offsets)} offsets at {spacing}{rule}{' + '.join(sums)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A flight of `count` treads and as many risers. The edge is that of the nosings."""

    kind: ClassVar[str] = "steps"
    count: int
    width: Decimal
    tread: Decimal
    riser: Decimal

    def __post_init__(self) -> None:
        if not 1 <= self.count <= MOST_POINTS:
            raise ShapeFault(f"The number of steps must be between 1 and {MOST_POINTS}.")
        need_positive(width=self.width, tread=self.tread, riser=self.riser)

    @in_wide
    def area(self) -> Decimal:
        return self.count * self.width * (self.tread + self.riser)

    @in_wide
    def edge(self) -> Decimal:
        return self.count * self.width

    def working(self, units: str) -> str:
        tread, riser = (_short_length(length, units) for length in (self.tread, self.riser))
        return f"{self.count} × {format_length(self.width, units)} × ({tread} + {riser})"


def _short_length(metres: Decimal, units: str) -> str:
    if units != "metric" and metres < LONG_TREAD and reads_on_tape(metres):
        return format_length_us(metres, inches_only=True)
    return format_length(metres, units)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """An area that was measured otherwise, such as with a wheel or off a plan; with its edge, if known."""

    kind: ClassVar[str] = "measured"
    size: Decimal
    around: Decimal | None = None

    def __post_init__(self) -> None:
        need_positive(area=self.size, edge=self.around)

    def area(self) -> Decimal:
        """As given."""
        return self.size

    def edge(self) -> Decimal | None:
        """As given."""
        return self.around

    def working(self, units: str) -> str:
        """Measured areas have no sum."""
        return "as measured"
