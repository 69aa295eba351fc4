"""What a plan is drawn from: areas of parts and deducts, each a shape of the core beside the part before it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from quoting.core.shapes import Measured, Rectangle
from quoting.documents.drawing import Box, around, overlap
from quoting.documents.plan_figures import Figure
from quoting.documents.plan_shapes import figure_of
from quoting.documents.plan_words import Shape

Place = Literal["right", "left", "above", "below"]

LONG = 4.0
"""A part this many times as long as the longest of its neighbours is cut."""

THIN = 20.0
"""A lone part this many times as long as it is wide is cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPart:
    """One measured shape of an area, or one that is taken out of it.

    `shape` holds metres. `place` says beside which edge of the part before it the part lies. A deduct may give `x` and
    `y`: the metres from the lower left corner of the first part to the middle of a round deduct, or to the lower left
    corner of any other. `mark` names the measure that is being typed or does not close: `q`, `length`, `y3` for the
    fourth offset.
    """

    name: str
    shape: Shape
    kind: Literal["part", "deduct"] = "part"
    place: Place = "right"
    x: Decimal | None = None
    y: Decimal | None = None
    count: int = 1
    mark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanArea:
    """An area with its letter, its surface, its parts, its net area in m² and its edge in m (None where unknown)."""

    letter: str
    name: str
    surface: str
    parts: tuple[PlanPart, ...]
    net: Decimal
    edge: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A part whose figure lies where it is drawn, in metres, y upwards. `index` is its place among the area's parts."""

    part: PlanPart
    index: int
    figure: Figure

    @property
    def box(self) -> Box:
        return self.figure.box


def place_parts(area: PlanArea, *, highlight: int | None = None, narrow: bool = False) -> tuple[PlacedPart, ...]:
    """The parts of an area side by side as their places say, then its deducts; very long rectangles are cut."""
    cuts = _cuts(area, highlight, narrow)
    placed: list[PlacedPart] = []
    for index, part in enumerate(area.parts):
        if part.kind == "part":
            figure = figure_of(part.shape, place=part.place if placed else "", drawn=cuts.get(index))
            if placed:
                figure = _beside(figure, part.place, placed)
            placed.append(PlacedPart(part=part, index=index, figure=figure))
    return (*placed, *_deducts(area, placed))


def _beside(figure: Figure, place: Place, placed: list[PlacedPart]) -> Figure:
    left, low, right, high = placed[-1].box
    _, _, width, height = figure.box
    x, y = (left + right - width) / 2, (low + high - height) / 2
    x = {"right": right, "left": left - width}.get(place, x)
    y = {"above": high, "below": low - height}.get(place, y)
    for _ in placed:
        moved = figure.moved(x, y)
        hit = next((other.box for other in placed if overlap(_shrunk(other.box), _shrunk(moved.box))), None)
        if hit is None:
            return moved
        x = {"right": hit[2], "left": hit[0] - width}.get(place, x)
        y = {"above": hit[3], "below": hit[1] - height}.get(place, y)
    return figure.moved(x, y)


def _shrunk(box: Box) -> Box:
    """A hair smaller, so that parts which only touch do not count as overlapping."""
    dx, dy = (box[2] - box[0]) * 1e-6, (box[3] - box[1]) * 1e-6
    return box[0] + dx, box[1] + dy, box[2] - dx, box[3] - dy


def _deducts(area: PlanArea, placed: list[PlacedPart]) -> list[PlacedPart]:
    deducts = [(index, part) for index, part in enumerate(area.parts) if part.kind == "deduct"]
    left, low, right, high = placed[0].box if placed else (0.0, 0.0, 0.0, 0.0)
    loose = [index for index, part in deducts if part.x is None or part.y is None]
    found = []
    for index, part in deducts:
        figure = figure_of(part.shape)
        _, _, width, height = figure.box
        if part.x is None or part.y is None:
            across = (loose.index(index) + 1) / (len(loose) + 1) if len(loose) > 1 else 0.72
            x, y = left + (right - left) * across - width / 2, (low + high - height) / 2
        else:
            x, y = left + _near(part.x), low + _near(part.y)
            if figure.round:
                x, y = x - width / 2, y - height / 2
        found.append(PlacedPart(part=part, index=index, figure=figure.moved(x, y)))
    return found


def _near(value: Decimal) -> float:
    """A deduct's place in metres; absurd ones are held within 10 km so that the drawing stays a drawing."""
    number = float(value)
    return max(-10_000.0, min(10_000.0, number)) if number == number else 0.0  # NaN is not itself


def _cuts(area: PlanArea, highlight: int | None, narrow: bool) -> dict[int, tuple[str, float]]:
    """Which rectangles are cut, along which axis and to what drawn length in metres."""
    parts = [(index, part) for index, part in enumerate(area.parts) if part.kind == "part"]
    if any(part.kind == "deduct" for part in area.parts):
        return {}
    boxes = {index: figure_of(part.shape).box for index, part in parts}
    reach = {index: max(box[2], box[3]) for index, box in boxes.items()}
    cuts: dict[int, tuple[str, float]] = {}
    for order, (index, part) in enumerate(parts):
        if index == highlight or not isinstance(part.shape, Rectangle | Measured):
            continue
        width, height = boxes[index][2:]
        axis, long, short = ("x", width, height) if width >= height else ("y", height, width)
        beside = {"right", "left"} if axis == "x" else {"above", "below"}
        after = parts[order + 1][1].place if order + 1 < len(parts) else ""
        if (order and part.place not in beside) or (after and after not in beside):
            continue
        if highlight in reach and highlight is not None:
            if long > 1.5 * reach[highlight] and long > 2 * short:
                cuts[index] = (axis, max(reach[highlight] * (0.6 if narrow else 1.0), 1.2 * short))
            continue
        others = max((value for other, value in reach.items() if other != index), default=0.0)
        if long > max(LONG * others, THIN * short):
            cuts[index] = (axis, max(2 * others, THIN / 2 * short))
    return cuts


def box_of(placed: tuple[PlacedPart, ...]) -> Box:
    """The box around everything placed, in metres."""
    return around([one.box for one in placed])
