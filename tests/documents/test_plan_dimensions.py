"""Dimension lines by hand, in px: y downwards."""

import pytest

from quoting.documents.drawing import Line
from quoting.documents.plan_dimensions import DimensionLine, reading_turn
from quoting.documents.plan_sketch import Sketch


def test_a_dimension_line_below_an_edge() -> None:
    sketch = Sketch()
    DimensionLine((0, 100), (100, 100), "10′ 0″", 28).draw(sketch)
    drawn = [
        (thing.cls, *(round(value, 2) for value in (thing.x1, thing.y1, thing.x2, thing.y2)))
        for thing in sketch.things
        if isinstance(thing, Line)
    ]
    # Extension lines from 4 px before the edge to 5 px beyond the line; ticks at 45°, 3.5 px either way.
    assert drawn == [
        ("ext", 0, 104, 0, 133),
        ("ext", 100, 104, 100, 133),
        ("dim", 0, 128, 100, 128),
        ("tick", -3.5, 124.5, 3.5, 131.5),
        ("tick", 96.5, 124.5, 103.5, 131.5),
    ]
    figure = sketch.things[-1]
    assert (figure.words, figure.x, figure.y, figure.turn, figure.anchor) == ("10′ 0″", 50, 123, 0, "middle")


def test_a_figure_on_an_upright_line_reads_from_the_right() -> None:
    # The left edge runs downwards, so that the outside is on its right hand as it is walked.
    figure = DimensionLine((100, 0), (100, 90), "9′ 0″", 22).words
    assert (round(figure.x, 6), round(figure.y, 6), figure.turn) == (73, 45, -90)


def test_a_line_too_short_for_its_figure_has_it_level_on_the_far_side() -> None:
    left = DimensionLine((100, 0), (100, 20), "12′ 10⅛″", 22).words
    below = DimensionLine((0, 100), (20, 100), "12′ 10⅛″", 28).words
    assert (left.x, left.y, left.turn, left.anchor) == (70, 14.5, 0, "end")
    assert (below.x, below.y, below.turn, below.anchor) == (10, 144, 0, "middle")


@pytest.mark.parametrize(
    ("q", "turn"), [((10, 0), 0), ((-10, 0), 0), ((0, 10), -90), ((0, -10), -90), ((10, 10), 45), ((-10, 10), -45)]
)
def test_text_never_stands_on_its_head(q: tuple[int, int], turn: int) -> None:
    assert round(reading_turn((0, 0), q), 6) == turn
