"""Counts as dimension lines: one scale, ticks at both ends, nothing outside the sheet."""

import pytest

from quoting.documents.drawing import Line, Text
from quoting.documents.outcomes import Row, draw_rows

ROWS = [
    Row(label="May 2026", won=2, lost=1, open=1, figure="2 of 4"),
    Row(label="June 2026", figure="none"),
    Row(label="July 2026", lost=8, figure="0 of 8"),
]


def drawn(rows, width=350):
    return draw_rows(rows, width_px=width, title="Offers", desc="x", prefix="p")


def lengths(drawing) -> list[tuple[str, float]]:
    lines = [thing for thing in drawing.primitives if isinstance(thing, Line) and thing.cls != "tick"]
    return [(line.cls, round(line.x2 - line.x1, 6)) for line in lines]


def test_stretches_are_in_proportion():
    stretches = lengths(drawn(ROWS))
    one = stretches[1][1]
    assert [cls for cls, _ in stretches] == ["work", "dim", "hid", "dim"]
    assert [round(length / one, 6) for _, length in stretches] == [2, 1, 1, 8]


def test_one_offer_alone_is_no_long_line():
    assert lengths(drawn([Row(label="May", won=1, figure="1 of 1")], 670)) == [("work", 48.0)]


def test_a_row_without_offers_has_its_word_and_no_line():
    drawing = drawn([Row(label="June", figure="none")])
    assert lengths(drawing) == []
    assert [thing.words for thing in drawing.primitives if isinstance(thing, Text)] == ["June", "none"]


@pytest.mark.parametrize("width", [350, 670])
def test_nothing_leaves_the_sheet(width):
    rows = [*ROWS, Row(label="a reason that is much longer than there is room for it", lost=300, figure="300")]
    drawing = drawn(rows, width)
    for thing in drawing.primitives:
        left, top, right, bottom = thing.box
        assert 0 <= left <= right <= width
        assert 0 <= top <= bottom <= drawing.height


def test_no_rows_give_an_empty_sheet():
    assert drawn([]).primitives == ()
