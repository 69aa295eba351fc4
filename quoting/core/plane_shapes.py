"""The shapes of a few readings: rectangle, triangle, quadrilateral, trapezoid, circle, ellipse, sector."""

from dataclasses import dataclass
from decimal import Decimal, localcontext
from typing import ClassVar

from quoting.core.rounding import WIDE, carried
from quoting.core.shape_rules import (
    PI,
    CannotClose,
    ShapeFault,
    format_area,
    heron,
    in_wide,
    need_positive,
    need_triangle,
    plain_number,
)
from quoting.core.units import format_length

CLOSURE_FLOOR = Decimal("0.0508")
"""2 in, in metres: a misclosure up to this is the tape's, whatever the size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """Four right angles."""

    kind: ClassVar[str] = "rectangle"
    length: Decimal
    width: Decimal

    def __post_init__(self) -> None:
        need_positive(length=self.length, width=self.width)

    @in_wide
    def area(self) -> Decimal:
        return self.length * self.width

    @in_wide
    def edge(self) -> Decimal:
        return 2 * (self.length + self.width)

    def working(self, units: str) -> str:
        return f"{format_length(self.length, units)} × {format_length(self.width, units)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Triangle:
    """Three sides; Heron's formula. Three that lie flat (1, 2, 3) have an area of 0."""

    kind: ClassVar[str] = "triangle"
    a: Decimal
    b: Decimal
    c: Decimal

    def __post_init__(self) -> None:
        need_positive(a=self.a, b=self.b, c=self.c)
        need_triangle(self.a, self.b, self.c, "a, b and c")

    @in_wide
    def area(self) -> Decimal:
        return heron(self.a, self.b, self.c)

    @in_wide
    def edge(self) -> Decimal:
        return self.a + self.b + self.c

    def working(self, units: str) -> str:
        a, b, c = (format_length(side, units) for side in (self.a, self.b, self.c))
        unit = "m" if units == "metric" else "ft"
        half = plain_number(self.edge() / 2, units)
        return f"a {a}, b {b}, c {c}, s {half} {unit}, √(s(s−a)(s−b)(s−c))"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quadrilateral:
    """Sides a, b, c, d in order round; diagonal p parts (a, b) from (c, d); q, if measured too, checks the tape."""

    kind: ClassVar[str] = "quadrilateral"
    a: Decimal
    b: Decimal
    c: Decimal
    d: Decimal
    p: Decimal
    q: Decimal | None = None

    def __post_init__(self) -> None:
        need_positive(a=self.a, b=self.b, c=self.c, d=self.d, p=self.p, q=self.q)
        need_triangle(self.a, self.b, self.p, "a, b and the diagonal p")
        need_triangle(self.c, self.d, self.p, "c, d and the diagonal p")

    @in_wide
    def area(self) -> Decimal:
        return heron(self.a, self.b, self.p) + heron(self.c, self.d, self.p)

    @in_wide
    def edge(self) -> Decimal:
        return self.a + self.b + self.c + self.d

    @in_wide
    def computed_q(self) -> Decimal:
        """The second diagonal as the other five readings give it.

        With p laid along x from its end at a and d: the corner between a and b stands at x = (a² + p² − b²) ÷ 2p and
        2A ÷ p to one side, the corner between c and d likewise to the other.
        """
        along_ab = (self.a**2 + self.p**2 - self.b**2) / (2 * self.p)
        along_cd = (self.d**2 + self.p**2 - self.c**2) / (2 * self.p)
        across = 2 * (heron(self.a, self.b, self.p) + heron(self.c, self.d, self.p)) / self.p
        return ((along_ab - along_cd) ** 2 + across**2).sqrt()

    def misclosure(self) -> Decimal | None:
        """Measured q − computed q in metres; None where q was not measured."""
        return None if self.q is None else carried(self.q - self.computed_q())

    def closes(self) -> bool:
        """Whether the misclosure is within 1 % of q, or within 2 in if that is larger. True without a measured q."""
        misclosure = self.misclosure()
        return misclosure is None or abs(misclosure) <= max(self.computed_q() / 100, CLOSURE_FLOOR)

    def working(self, units: str) -> str:
        a, b, c, d, p = (format_length(side, units) for side in (self.a, self.b, self.c, self.d, self.p))
        first = Triangle(a=self.a, b=self.b, c=self.p).area()
        second = Triangle(a=self.c, b=self.d, c=self.p).area()
        halves = f"{format_area(first, units)} + {format_area(second, units)}"
        return f"a {a}, b {b}, c {c}, d {d}, p {p}: two triangles {halves}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Trapezoid:
    """Parallel sides a and b, and the height between them; c and d are the slanted sides, if measured."""

    kind: ClassVar[str] = "trapezoid"
    a: Decimal
    b: Decimal
    height: Decimal
    c: Decimal | None = None
    d: Decimal | None = None

    def __post_init__(self) -> None:
        need_positive(a=self.a, b=self.b, height=self.height, c=self.c, d=self.d)
        for name, side in (("c", self.c), ("d", self.d)):
            if side is not None and side < self.height:
                raise CannotClose(f"Side {name} can't be shorter than the height between a and b. Measure again.")

    @in_wide
    def area(self) -> Decimal:
        return (self.a + self.b) / 2 * self.height

    def edge(self) -> Decimal | None:
        if self.c is None or self.d is None:
            return None
        with localcontext(WIDE):
            return carried(self.a + self.b + self.c + self.d)

    def working(self, units: str) -> str:
        a, b, height = (format_length(side, units) for side in (self.a, self.b, self.height))
        return f"({a} + {b}) ÷ 2 × {height}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """By its diameter."""

    kind: ClassVar[str] = "circle"
    diameter: Decimal

    def __post_init__(self) -> None:
        need_positive(diameter=self.diameter)

    @in_wide
    def area(self) -> Decimal:
        return PI * self.diameter**2 / 4

    @in_wide
    def edge(self) -> Decimal:
        return PI * self.diameter

    def working(self, units: str) -> str:
        return f"Ø {format_length(self.diameter, units)}, π ÷ 4 × Ø²"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipse:
    """By its full length and width."""

    kind: ClassVar[str] = "ellipse"
    length: Decimal
    width: Decimal

    def __post_init__(self) -> None:
        need_positive(length=self.length, width=self.width)

    @in_wide
    def area(self) -> Decimal:
        return PI * self.length * self.width / 4

    @in_wide
    def edge(self) -> Decimal:
        """Ramanujan's second approximation, 1914: π (a + b)(1 + 3h ÷ (10 + √(4 − 3h))), h = (a − b)² ÷ (a + b)²."""
        both = (self.length + self.width) / 2
        h = ((self.length - self.width) / 2) ** 2 / both**2
        return PI * both * (1 + 3 * h / (10 + (4 - 3 * h).sqrt()))

    def working(self, units: str) -> str:
        return f"π ÷ 4 × {format_length(self.length, units)} × {format_length(self.width, units)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """A slice of a circle: its radius, and its angle in degrees, 360 at most."""

    kind: ClassVar[str] = "sector"
    radius: Decimal
    angle: Decimal

    def __post_init__(self) -> None:
        need_positive(radius=self.radius, angle=self.angle)
        if self.angle > 360:
            raise ShapeFault("The angle must be 360° or less.")

    @in_wide
    def area(self) -> Decimal:
        return PI * self.radius**2 * self.angle / 360

    @in_wide
    def edge(self) -> Decimal:
        return 2 * self.radius + PI * self.radius * self.angle / 180

    def working(self, units: str) -> str:
        return f"r {format_length(self.radius, units)}, π × r² × {self.angle.normalize():f}° ÷ 360°"
