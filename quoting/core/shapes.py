"""The shapes that a part can have: size → area and edge. Lengths in metres, areas in m², all Decimal.

Each shape checks its sizes when it is made and raises a ShapeFault with the sentence to show. `area()` and `edge()` are
worked out with 60 digits and carried with 28; `edge()` is None where the sizes don't tell it. `working(units)` is what
stands before the equals sign in a working. Formulas: plane geometry; Heron; the shoelace rule; Simpson's 1/3 rule;
Ramanujan's second approximation for the round of an ellipse.
"""

from collections.abc import Mapping
from dataclasses import MISSING, fields
from typing import Any

from quoting.core.plane_shapes import Circle, Ellipse, Quadrilateral, Rectangle, Sector, Trapezoid, Triangle
from quoting.core.shape_rules import (
    MOST_POINTS,
    PI,
    CannotClose,
    CrossesItself,
    NotPositive,
    Shape,
    ShapeFault,
    SizeMissing,
    TooFewOffsets,
    TooFewPoints,
    TooManyPoints,
    format_area,
)
from quoting.core.surveyed_shapes import Measured, Offsets, Polygon, Steps

__all__ = [
    "MOST_POINTS",
    "PI",
    "SHAPES",
    "CannotClose",
    "Circle",
    "CrossesItself",
    "Ellipse",
    "Measured",
    "NotPositive",
    "Offsets",
    "Polygon",
    "Quadrilateral",
    "Rectangle",
    "Sector",
    "Shape",
    "ShapeFault",
    "SizeMissing",
    "Steps",
    "TooFewOffsets",
    "TooFewPoints",
    "TooManyPoints",
    "Trapezoid",
    "Triangle",
    "format_area",
    "make_shape",
]

SHAPES: dict[str, type] = {
    shape.kind: shape
    for shape in (
        Rectangle,
        Triangle,
        Quadrilateral,
        Trapezoid,
        Circle,
        Ellipse,
        Sector,
        Polygon,
        Offsets,
        Steps,
        Measured,
    )
}
"""Every shape by its name in a scope file."""

_OTHER_NAMES = {"measured": {"area": "size", "edge": "around"}}
"""Where a scope file's word for a size is a method of the shape."""


def make_shape(kind: str, sizes: Mapping[str, Any]) -> Shape:
    """The shape of that name with its sizes, by the scope file's names: canonical Decimals, tuples of them, or a count.

    Raises ShapeFault: SizeMissing for a size that is wanting or one that the shape doesn't have.
    """
    if kind not in SHAPES:
        raise ShapeFault(f"“{kind[:40]}” is not a shape: write one of {', '.join(SHAPES)}.")
    shape = SHAPES[kind]
    others = _OTHER_NAMES.get(kind, {})
    spoken = {field: name for name, field in others.items()}
    known = {spoken.get(field.name, field.name): field for field in fields(shape) if field.init}
    for name in sizes:
        if name not in known:
            raise SizeMissing(f"A {kind} has no {name[:40]}; it needs {', '.join(known)}.")
    for name, field in known.items():
        if field.default is MISSING and sizes.get(name) is None:
            raise SizeMissing(f"A {kind} needs its {name}.")
    made: Shape = shape(**{others.get(name, name): size for name, size in sizes.items()})
    return made
