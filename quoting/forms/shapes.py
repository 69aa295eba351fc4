"""The shapes as a form asks for them: which measures, in the order in which a tape calls them out, and their names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["length", "inches", "angle", "whole", "area", "lengths", "points"]
"""What is typed: a length whose bare number is feet (or metres), one whose bare number is inches (or centimetres), …"""


@dataclass(frozen=True, slots=True)
class Measure:
    """One blank: its name in the scope file, what it is called, where the tape lies, and what is typed in it."""

    name: str
    label: str
    words: str = ""
    kind: Kind = "length"
    required: bool = True


@dataclass(frozen=True, slots=True)
class ShapeAsked:
    """A shape and its measures. `how` says how the tape goes; `example` is a call in one line."""

    key: str
    label: str
    how: str
    example: str
    measures: tuple[Measure, ...]

    @property
    def fewest(self) -> int:
        """How many measures a call must have at least; those that may stay empty come last."""
        return sum(measure.required for measure in self.measures)


SHAPES: dict[str, ShapeAsked] = {
    shape.key: shape
    for shape in (
        ShapeAsked(
            "rectangle",
            "rectangle",
            "Four right angles.",
            "32' × 14' 6\"",
            (Measure("length", "Length"), Measure("width", "Width")),
        ),
        ShapeAsked(
            "triangle",
            "triangle",
            "Three sides, in any order.",
            "12', 9' 6\", 8'",
            (Measure("a", "a"), Measure("b", "b"), Measure("c", "c")),
        ),
        ShapeAsked(
            "quadrilateral",
            "four-sided",
            "Sides in order round, then both diagonals; the second one checks the tape.",
            "6' 2\", 5' 8\", 6' 4\", 5' 6 1/2\", 8' 5\", 8' 4 1/2\"",
            (
                Measure("a", "a", "first side"),
                Measure("b", "b", "next round"),
                Measure("c", "c", "next round"),
                Measure("d", "d", "back to the start"),
                Measure("p", "p", "from a–d to b–c"),
                Measure("q", "q", "from a–b to c–d", required=False),
            ),
        ),
        ShapeAsked(
            "trapezoid",
            "trapezoid",
            "Two parallel sides and the height between them; the slanted sides only for the edge.",
            "20', 14', 8' 6\"",
            (
                Measure("a", "a", "parallel"),
                Measure("b", "b", "parallel"),
                Measure("height", "Height", "between them"),
                Measure("c", "c", "slanted", required=False),
                Measure("d", "d", "slanted", required=False),
            ),
        ),
        ShapeAsked("circle", "circle", "Straight across the middle.", "6'", (Measure("diameter", "Diameter"),)),
        ShapeAsked(
            "ellipse",
            "ellipse",
            "Full length and full width, across the middle.",
            "18' × 11'",
            (Measure("length", "Length"), Measure("width", "Width")),
        ),
        ShapeAsked(
            "sector",
            "slice of a circle",
            "Radius, and the angle between the two straight sides.",
            "9' 6\", 90",
            (Measure("radius", "Radius"), Measure("angle", "Angle", "degrees", "angle")),
        ),
        ShapeAsked(
            "polygon",
            "corners by coordinates",
            "Each corner from one fixed point: along, then out. One corner a line, in order round.",
            "0, 0, 32', 0, 32', 14' 6\", 0, 18'",
            (Measure("points", "Corners", "along, out", "points"),),
        ),
        ShapeAsked(
            "offsets",
            "curved edge by offsets",
            "A straight base line, and how far the edge stands off it at equal steps, both ends included.",
            "4', 0, 2' 1\", 3' 5\", 4' 2\", 4' 5\", 4' 2\", 3' 5\", 2' 1\", 0",
            (
                Measure("spacing", "Every", "along the base line"),
                Measure("offsets", "Offsets", "from end to end", "lengths"),
            ),
        ),
        ShapeAsked(
            "steps",
            "steps",
            "How many, how wide, how deep the tread, how high the riser.",
            "3, 5', 12, 7",
            (
                Measure("count", "How many", "", "whole"),
                Measure("width", "Width"),
                Measure("tread", "Tread", "", "inches"),
                Measure("riser", "Riser", "", "inches"),
            ),
        ),
        ShapeAsked(
            "measured",
            "area as given",
            "From a drawing or another’s tape; the edge if it is known.",
            "240 ft²",
            (Measure("area", "Area", "", "area"), Measure("edge", "Edge", "length round it", "length", required=False)),
        ),
    )
}
