"""Parts minus deducts: the net area, the effective area and the edge of one named stretch. In m² and metres."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from quoting.core.plane_shapes import Quadrilateral
from quoting.core.rounding import CONTEXT
from quoting.core.shapes import Shape, format_area
from quoting.core.units import LARGEST_AREA, format_length, format_length_us, format_number


class AreaFault(ValueError):
    """The parts, deducts and texture make no area; the sentence says why."""


class NoParts(AreaFault):
    """Nothing was measured."""

    def __init__(self) -> None:
        super().__init__("Measure at least one part.")


class DeductsExceedParts(AreaFault):
    """Nothing is left of the parts."""

    def __init__(self) -> None:
        super().__init__("Nothing is left: the deducts take out as much as the parts measure, or more.")


class AreaTooLarge(AreaFault):
    """Over 1 km²."""

    def __init__(self) -> None:
        super().__init__("The area is larger than 1 km²: check the units.")


class TextureFault(AreaFault):
    """True surface over plan surface can't be under 1."""

    def __init__(self) -> None:
        super().__init__("The texture must be 1 (flat) or more.")


class CountFault(AreaFault):
    """A part can't be repeated less than once."""

    def __init__(self) -> None:
        super().__init__("The count of a part must be a whole number, 1 or more.")


@dataclass(frozen=True, slots=True)
class Part:
    """One measured shape, repeated `count` times; what it is called, if anything."""

    shape: Shape
    count: int = 1
    name: str = ""

    def __post_init__(self) -> None:
        if self.count < 1:
            raise CountFault

    def title(self) -> str:
        """Its name, or its shape's."""
        return self.name or self.shape.kind


@dataclass(frozen=True, slots=True)
class PartFigures:
    """One line of a long-hand sum: a part, what it adds or (a deduct) takes out in m², and its edge in metres."""

    part: Part
    area: Decimal
    edge: Decimal | None
    is_deduct: bool = False

    def sign(self) -> str:
        """`+`, or `−` for a deduct."""
        return "−" if self.is_deduct else "+"

    def measures(self, units: str = "us") -> str:
        """What was measured: `32′ 0″ × 14′ 6″`."""
        times = f"{self.part.count} × " if self.part.count > 1 else ""
        working = self.part.shape.working(units)
        return f"{times}({working})" if times else working

    def working(self, units: str = "us") -> str:
        """The whole line: `less planter: Ø 6′ 0″, π ÷ 4 × Ø² = 28.27 ft²`."""
        name = f"{self.part.name}: " if self.part.name else ""
        less = "less " if self.is_deduct else ""
        return f"{less}{name}{self.measures(units)} = {format_area(self.area, units)}"


@dataclass(frozen=True, slots=True)
class AreaFigures:
    """What was measured of one area: `net` is plan area, for labour; `effective` is net × texture, for materials.

    `edge` is that of the parts, deducts not subtracted; None where a part's is unknown.
    """

    net: Decimal
    effective: Decimal
    edge: Decimal | None
    texture: Decimal
    parts: tuple[PartFigures, ...]
    warnings: tuple[str, ...]

    def lines(self, units: str = "us") -> tuple[str, ...]:
        """A working for each part and deduct, then for the net area, then for the effective one if it differs."""
        lines = [part.working(units) for part in self.parts]
        if len(self.parts) > 1:
            lines.append(self._sum(units))
        if self.texture != 1:
            lines.append(self._effective(units))
        return tuple(lines)

    def working(self, units: str = "us") -> str:
        """The same in one line."""
        return "; ".join(self.lines(units))

    def _sum(self, units: str) -> str:
        terms = "".join(f" {part.sign()} {format_area(part.area, units).split(' ')[0]}" for part in self.parts)
        return f"{terms.removeprefix(' + ')} = {format_area(self.net, units)}"

    def _effective(self, units: str) -> str:
        texture = format_number(self.texture, max(0, -int(self.texture.normalize().as_tuple().exponent)))
        return f"{format_area(self.net, units)} × {texture} texture = {format_area(self.effective, units)}"


def measure(
    parts: Sequence[Part],
    deducts: Sequence[Part] = (),
    texture: Decimal = Decimal(1),
    units: str = "us",
    *,
    edges: bool = True,
) -> AreaFigures:
    """Net area = Σ parts − Σ deducts; effective area = net × texture; edge = Σ edges of the parts.

    `units` ("us" or "metric") is for the warnings, which name a part that doesn't close. Without `edges` they are
    left out, for who only asks whether there is an area. Raises AreaFault.
    """
    if not parts:
        raise NoParts
    if not (texture.is_finite() and texture >= 1):
        raise TextureFault
    with localcontext(CONTEXT):
        figures = (
            *(_figures(part, False, edges) for part in parts),
            *(_figures(part, True, edges) for part in deducts),
        )
        gross = sum((part.area for part in figures if not part.is_deduct), Decimal(0))
        net = gross - sum((part.area for part in figures if part.is_deduct), Decimal(0))
        if gross > LARGEST_AREA:
            raise AreaTooLarge
        if net <= 0:
            raise DeductsExceedParts
        sides = [part.edge for part in figures if not part.is_deduct]
        known = [edge for edge in sides if edge is not None]
        return AreaFigures(
            net=net,
            effective=net * texture,
            edge=sum(known, Decimal(0)) if len(known) == len(sides) else None,
            texture=texture,
            parts=figures,
            warnings=tuple(_warnings(figures, units)),
        )


def _figures(part: Part, is_deduct: bool, edges: bool) -> PartFigures:
    edge = part.shape.edge() if edges else None
    return PartFigures(part, part.shape.area() * part.count, None if edge is None else edge * part.count, is_deduct)


def _warnings(figures: Sequence[PartFigures], units: str) -> list[str]:
    warnings = []
    places = {False: 0, True: 0}
    for figure in figures:
        places[figure.is_deduct] += 1
        shape = figure.part.shape
        if isinstance(shape, Quadrilateral) and shape.q is not None and not shape.closes():
            title = figure.part.name or f"{'Deduct' if figure.is_deduct else 'Part'} {places[figure.is_deduct]}"
            measured, computed = (_as_read(length, units) for length in (shape.q, shape.computed_q()))
            warnings.append(
                f"{title}: diagonal q doesn’t close: it reads {measured}, the other five say {computed}. "
                "Read q again; if it stays, one of the five is wrong."
            )
    return warnings


def _as_read(metres: Decimal, units: str) -> str:
    """A length as one would read it off a tape: to the nearest eighth of an inch, or to the millimetre."""
    return format_length(metres, units) if units == "metric" else format_length_us(metres)
