"""What a drawing is made of: lines, paths, circles, boxes and words, each with its class and its ink.

One SVG unit is one CSS pixel and text is never scaled. The class colours a thing on the screen (light or dark); the
presentation attributes carry the same ink on paper, where inline SVG gets no page style. Every user's word is kept as
plain text here; the one template that prints a drawing escapes it.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from math import cos, radians, sin

SANS = "Source Sans Pro"
SERIF = "Source Serif Pro"
INK, SECOND, EDGE, HATCH, OXIDE, PAPER = "#16191b", "#454b4e", "#8b9091", "#d9dcd9", "#8a2b17", "#fff"

Attributes = tuple[tuple[str, str], ...]
Box = tuple[float, float, float, float]
Point = tuple[float, float]

NO_FILL = ("fill", "none")
INKS: dict[str, Attributes] = {
    "area": (NO_FILL, ("stroke", INK), ("stroke-width", "1.75"), ("stroke-linejoin", "round")),
    "area guess": (NO_FILL, ("stroke", INK), ("stroke-width", "1.75"), ("stroke-dasharray", "7 4")),
    "area on": (NO_FILL, ("stroke", OXIDE), ("stroke-width", "2.5"), ("stroke-linecap", "round")),
    "area tread": (NO_FILL, ("stroke", INK), ("stroke-width", "1.25")),
    "base hid": (NO_FILL, ("stroke", SECOND), ("stroke-width", "0.75"), ("stroke-dasharray", "8 3 2 3")),
    "hid": (NO_FILL, ("stroke", SECOND), ("stroke-width", "0.75"), ("stroke-dasharray", "5 3")),
    "hid on": (NO_FILL, ("stroke", OXIDE), ("stroke-width", "1.75"), ("stroke-dasharray", "7 4")),
    "ext": (NO_FILL, ("stroke", EDGE), ("stroke-width", "0.6")),
    "ord": (NO_FILL, ("stroke", EDGE), ("stroke-width", "0.6")),
    "ord on": (NO_FILL, ("stroke", OXIDE), ("stroke-width", "1.5")),
    "dim": (NO_FILL, ("stroke", INK), ("stroke-width", "0.75")),
    "dim on": (NO_FILL, ("stroke", OXIDE), ("stroke-width", "1.25")),
    "tick": (NO_FILL, ("stroke", INK), ("stroke-width", "1.5")),
    "tick on": (NO_FILL, ("stroke", OXIDE), ("stroke-width", "1.5")),
    "work": (NO_FILL, ("stroke", INK), ("stroke-width", "6")),
    "hatch": (NO_FILL, ("stroke", HATCH), ("stroke-width", "0.8")),
    "void": (("fill", PAPER), ("stroke", INK), ("stroke-width", "1"), ("stroke-dasharray", "5 3")),
    "clear": (("fill", PAPER),),
    "bubble": (("fill", PAPER), ("stroke", INK), ("stroke-width", "1.25")),
    "bar": (("fill", INK), ("stroke", INK), ("stroke-width", "0.75")),
    "bar alt": (("fill", PAPER), ("stroke", INK), ("stroke-width", "0.75")),
    "t-dim": (("font-family", SANS), ("fill", INK)),
    "t-area": (("font-family", SANS), ("fill", INK), ("font-weight", "600")),
    "t-key": (("font-family", SANS), ("fill", INK), ("font-weight", "600")),
    "t-name": (("font-family", SERIF), ("fill", INK)),
    "t-note": (("font-family", SERIF), ("fill", SECOND), ("font-style", "italic")),
    "t-hand": (("font-family", SANS), ("fill", OXIDE), ("font-weight", "600")),
}


def number(value: float) -> str:
    """A coordinate as SVG text: one decimal, no exponent, no minus zero."""
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text in {"-0", ""} else text


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A straight line in px."""

    cls: str
    x1: float
    y1: float
    x2: float
    y2: float
    tag = "line"
    words = ""

    def moved(self, dx: float, dy: float) -> Line:
        return replace(self, x1=self.x1 + dx, y1=self.y1 + dy, x2=self.x2 + dx, y2=self.y2 + dy)

    @property
    def box(self) -> Box:
        return min(self.x1, self.x2), min(self.y1, self.y2), max(self.x1, self.x2), max(self.y1, self.y2)

    @property
    def attributes(self) -> Attributes:
        ends = (("x1", self.x1), ("y1", self.y1), ("x2", self.x2), ("y2", self.y2))
        return (("class", self.cls), *((name, number(value)) for name, value in ends), *INKS[self.cls])


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A path in px: (letter, points) commands of M, L, Q, C and Z. `fill` names a pattern that fills it."""

    cls: str
    commands: tuple[tuple[str, tuple[Point, ...]], ...]
    fill: str = ""
    tag = "path"
    words = ""

    def moved(self, dx: float, dy: float) -> Path:
        return replace(self, commands=tuple((k, tuple((x + dx, y + dy) for x, y in pts)) for k, pts in self.commands))

    @property
    def box(self) -> Box:
        """The box of all points and control points, which holds the curve as well."""
        points = [point for _, points in self.commands for point in points]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def attributes(self) -> Attributes:
        d = "".join(k + " ".join(f"{number(x)} {number(y)}" for x, y in points) for k, points in self.commands)
        if self.fill:
            return (("class", self.cls), ("d", d), ("fill", f"url(#{self.fill})"))
        return (("class", self.cls), ("d", d), *INKS[self.cls])


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle in px."""

    cls: str
    cx: float
    cy: float
    r: float
    tag = "circle"
    words = ""

    def moved(self, dx: float, dy: float) -> Circle:
        return replace(self, cx=self.cx + dx, cy=self.cy + dy)

    @property
    def box(self) -> Box:
        return self.cx - self.r, self.cy - self.r, self.cx + self.r, self.cy + self.r

    @property
    def attributes(self) -> Attributes:
        sizes = (("cx", self.cx), ("cy", self.cy), ("r", self.r))
        return (("class", self.cls), *((name, number(value)) for name, value in sizes), *INKS[self.cls])


@dataclass(frozen=True, slots=True, kw_only=True)
class Rect:
    """An upright box in px."""

    cls: str
    x: float
    y: float
    width: float
    height: float
    tag = "rect"
    words = ""

    def moved(self, dx: float, dy: float) -> Rect:
        return replace(self, x=self.x + dx, y=self.y + dy)

    @property
    def box(self) -> Box:
        return self.x, self.y, self.x + self.width, self.y + self.height

    @property
    def attributes(self) -> Attributes:
        sizes = (("x", self.x), ("y", self.y), ("width", self.width), ("height", self.height))
        return (("class", self.cls), *((name, number(value)) for name, value in sizes), *INKS[self.cls])


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """Words at a base line point, `turn` degrees clockwise about it. `size` in px."""

    cls: str
    x: float
    y: float
    words: str
    size: float = 13
    anchor: str = "start"
    turn: float = 0
    tag = "text"

    def moved(self, dx: float, dy: float) -> Text:
        return replace(self, x=self.x + dx, y=self.y + dy)

    @property
    def box(self) -> Box:
        width = width_of(self.words, self.size)
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        corners = [(left + x, y) for x in (0, width) for y in (-0.78 * self.size, 0.24 * self.size)]
        a = radians(self.turn)
        turned = [(self.x + x * cos(a) - y * sin(a), self.y + x * sin(a) + y * cos(a)) for x, y in corners]
        xs, ys = [x for x, _ in turned], [y for _, y in turned]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def attributes(self) -> Attributes:
        given: Attributes = (("class", self.cls), ("x", number(self.x)), ("y", number(self.y)))
        given += (*INKS[self.cls], ("font-size", number(self.size)))
        if self.anchor != "start":
            given += (("text-anchor", self.anchor),)
        if number(self.turn) != "0":
            given += (("transform", f"rotate({number(self.turn)} {number(self.x)} {number(self.y)})"),)
        return given


Primitive = Line | Path | Circle | Rect | Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A tile of joints, repeated at scale; `d` is its path in px."""

    id: str
    width: float
    height: float
    d: str

    @property
    def attributes(self) -> Attributes:
        size = (("width", f"{self.width:.3f}"), ("height", f"{self.height:.3f}"))
        return (("id", self.id), *size, ("patternUnits", "userSpaceOnUse"))

    @property
    def path_attributes(self) -> Attributes:
        return (("class", "hatch"), ("d", self.d), *INKS["hatch"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A finished drawing: its size in px, its title and its description in words, patterns and primitives in order.

    `prefix` keeps the ids of several drawings on one page apart. `scale` is px a metre, 0 where nothing is to a length.
    """

    width: int
    height: int
    title: str
    desc: str
    primitives: tuple[Primitive, ...]
    patterns: tuple[Pattern, ...] = ()
    prefix: str = "plan"
    scale: float = 0.0

    @property
    def attributes(self) -> Attributes:
        size = (
            ("width", str(self.width)),
            ("height", str(self.height)),
            ("viewBox", f"0 0 {self.width} {self.height}"),
        )
        return (*size, ("role", "img"), ("aria-labelledby", f"{self.prefix}-t {self.prefix}-d"))


def width_of(words: str, size: float) -> float:
    """About how wide words are in px: a little more than Source Sans and Serif need, as other fonts are wider."""
    return size * sum(_em(character) for character in words)


def _em(character: str) -> float:
    if character in "ijlI.,:;'|!′ \u00a0()-·":
        return 0.28
    if character in "WMHŴÆŒ":
        return 0.97
    if character in "½¼¾⅛⅜⅝⅞mw@…%":
        return 0.88
    if unicodedata.combining(character):
        return 0.0
    if ord(character) >= 0x2E80 or unicodedata.east_asian_width(character) in "WF":
        return 1.05
    return 0.66 if character.isupper() else 0.53


def clean(words: str, *, most: int = 0) -> str:
    """A user's words on one line, without what XML cannot hold; cut with … where longer than `most` characters."""
    kept = "".join(" " if character.isspace() else character for character in words)
    kept = "".join(
        c for c in kept if unicodedata.category(c) not in {"Cc", "Cs", "Cn", "Co"} and c not in "\ufffe\uffff"
    )
    kept = " ".join(kept.split())
    return kept if not most or len(kept) <= most else kept[: most - 1].rstrip() + "…"


def shorten(words: str, size: float, width: float) -> str:
    """Words cut with … so that they are no wider than `width` px."""
    if width_of(words, size) <= width:
        return words
    kept = words
    while kept and width_of(kept + "…", size) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share any ground."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def around(boxes: list[Box]) -> Box:
    """The smallest box around boxes; an empty list is a point at 0, 0."""
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)
