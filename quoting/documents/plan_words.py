"""Figures and words of a plan: lengths as a tape is called out, areas, and the whole plan told in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Literal

from quoting.core.rounding import round_half_up
from quoting.core.shapes import (
    Circle,
    Ellipse,
    Measured,
    Offsets,
    Polygon,
    Quadrilateral,
    Rectangle,
    Sector,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.core.tape import format_length_us
from quoting.core.units import format_number
from quoting.documents.drawing import clean

if TYPE_CHECKING:
    from quoting.documents.plan_parts import PlanArea, PlanPart

Units = Literal["us", "metric"]
Shape = (
    Rectangle | Triangle | Quadrilateral | Trapezoid | Circle | Ellipse | Sector | Polygon | Offsets | Steps | Measured
)

INCH = Decimal("0.0254")
SQUARE_FOOT = Decimal("0.09290304")
EIGHTHS_IN_WORDS = (
    "",
    "an eighth",
    "a quarter",
    "three eighths",
    "a half",
    "five eighths",
    "three quarters",
    "seven eighths",
)
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def length_figure(metres: Decimal, units: Units) -> str:
    """A length as the drawing gives it: `14′ 6½″` to the nearest eighth of an inch, or `4.43 m`."""
    if units == "metric":
        return f"{format_number(metres, 2)} m"
    return format_length_us(metres)


def short_figure(metres: Decimal, units: Units) -> str:
    """A tread or a riser: `12″`, or `305 mm`."""
    if units == "metric":
        return f"{format_number(metres * 1000, 0)} mm"
    return format_length_us(metres, inches_only=True)


def area_figure(square_metres: Decimal, units: Units) -> str:
    """An area as its label gives it: `532.4 ft²`, or `49.46 m²`."""
    if units == "metric":
        return f"{format_number(square_metres, 2)} m²"
    return f"{format_number(square_metres / SQUARE_FOOT, 1)} ft²"


def length_words(metres: Decimal, units: Units) -> str:
    """A length to be read out: `14 feet 6 and a half inches`, or `4.43 metres`."""
    if units == "metric":
        return f"{format_number(metres, 2)} metres"
    feet, eighths = divmod(int(round_half_up(metres / INCH * 8, 0)), 96)
    whole, part = divmod(eighths, 8)
    inches = " and ".join(word for word in (str(whole) if whole else "", EIGHTHS_IN_WORDS[part]) if word)
    said = [f"{feet} {'foot' if feet == 1 else 'feet'}"] if feet or not inches else []
    if inches:
        said.append(f"{inches} {'inch' if whole <= 1 and not (whole and part) else 'inches'}")
    return " ".join(said)


def area_words(square_metres: Decimal, units: Units) -> str:
    """An area to be read out: `532.4 square feet`."""
    figure, _ = area_figure(square_metres, units).split(" ")
    return f"{figure} square {'metres' if units == 'metric' else 'feet'}"


def count_words(count: int) -> str:
    """Small numbers as words, larger ones as figures."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def listed(words: Iterable[str]) -> str:
    """`A, B and C`."""
    *front, last = words
    return f"{', '.join(front)} and {last}" if front else last


def shape_words(shape: Shape, units: Units) -> str:
    """One shape told in words, with each of its measures."""

    def told(metres: Decimal) -> str:
        return length_words(metres, units)

    def sides(names: str) -> str:
        return ", ".join(f"{name} {told(getattr(shape, name))}" for name in names)

    match shape:
        case Rectangle(length=length, width=width):
            return f"rectangle {told(length)} by {told(width)}"
        case Triangle():
            return f"triangle, {sides('abc')}"
        case Quadrilateral(q=q):
            diagonals = "diagonals p " if q is not None else "diagonal p "
            second = f" and q {told(q)}" if q is not None else ""
            return f"four-sided, {sides('abcd')}, {diagonals}{told(shape.p)}{second}"
        case Trapezoid(height=height):
            return f"trapezoid, parallel sides {told(shape.a)} and {told(shape.b)}, {told(height)} apart"
        case Circle(diameter=diameter):
            return f"circle {told(diameter)} across"
        case Ellipse(length=length, width=width):
            return f"ellipse {told(length)} by {told(width)}"
        case Sector(radius=radius, angle=angle):
            return f"sector of radius {told(radius)} and {plain(angle)} degrees"
        case Polygon(points=points):
            return f"shape of {count_words(len(points))} corners"
        case Offsets(spacing=spacing, offsets=offsets):
            return f"curved edge of {count_words(len(offsets))} offsets at {told(spacing)}"
        case Steps(count=count, width=width, tread=tread, riser=riser):
            steps = "one step" if count == 1 else f"{count_words(count)} steps"
            return f"{steps} {told(width)} wide, tread {told(tread)}, riser {told(riser)}"
        case Measured(size=size):
            return f"{area_words(size, units)}, shape not measured"


def plain(value: Decimal) -> str:
    """A number without trailing noughts or exponent, to two decimals."""
    text = f"{round_half_up(Decimal(value), 2):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def describe(areas: Sequence[PlanArea], units: Units, notes: Sequence[str]) -> str:
    """The whole plan in words: each area with its parts, what is taken out, and its net area."""
    said = []
    if areas:
        count = count_words(len(areas)).capitalize()
        said.append(f"{count} area drawn to scale." if len(areas) == 1 else f"{count} areas drawn to one scale.")
    for area in areas:
        parts = [_part_words(part, units) for part in area.parts if part.kind == "part"]
        deducts = [_part_words(part, units) for part in area.parts if part.kind == "deduct"]
        less = f", less {listed(deducts)}" if deducts else ""
        measured = listed(parts) if parts else "no part"
        name = ", ".join(word for word in (clean(area.letter), clean(area.name)) if word)
        said.append(f"{name}: {measured}{less}: {area_words(area.net, units)}.")
    return " ".join([*said, *notes])


def _part_words(part: PlanPart, units: Units) -> str:
    times = f"{count_words(part.count)} times " if part.count > 1 else ""
    name = f"{clean(part.name)}, " if part.name else ""
    return f"{name}{times}{shape_words(part.shape, units)}"
