"""Rows of areas on one scale, and the scale bar."""

from itertools import combinations

import pytest

from quoting.documents.drawing import Rect, Text, overlap
from quoting.documents.plan import draw_plan
from quoting.documents.plan_areas import Block
from quoting.documents.plan_rows import lay_rows, round_length, scale_bar
from tests.sample_plan import walk, whole


def block(left: float, top: float, right: float, bottom: float) -> Block:
    thing = Rect(cls="bar", x=left, y=top, width=right - left, height=bottom - top)
    return Block(things=(thing,), box=(left, top, right, bottom))


def places(blocks: list[Block], bar: Block, width: float) -> list[tuple[float, float]]:
    return [(thing.x, thing.y) for thing in lay_rows(blocks, bar, width)]


def test_a_row_stands_on_one_ground_line() -> None:
    # Both end 10 px below the ground line, which lies 80 px down, the height of the higher one; 28 px between them.
    laid = places([block(0, -80, 100, 10), block(0, -30, 50, 10)], block(0, -20, 60, 0), 300)
    assert laid == [(0, 0), (128, 50), (206, 60)]


def test_what_finds_no_room_begins_a_row_below() -> None:
    # The first row ends 10 px below its ground line at 80, then 22 px, then 30 px up from the next ground line.
    laid = places([block(0, -80, 200, 10), block(0, -30, 150, 10)], block(0, -20, 60, 0), 300)
    assert laid == [(0, 0), (0, 112), (178, 122)]


def test_figures_of_all_rows_begin_at_one_left_edge() -> None:
    # The first has 40 px of dimension lines at its left, the second 10: the second moves 30 px in.
    laid = places([block(-40, -50, 200, 0), block(-10, -50, 200, 0)], block(0, -20, 20, 0), 300)
    assert [x for x, _ in laid] == [0, 30, 268]


@pytest.mark.parametrize(("most", "length"), [(9.99, 5), (10, 10), (0.7, 0.5), (49, 20), (1999, 1000)])
def test_a_scale_bar_is_a_round_number(most: float, length: float) -> None:
    assert round(round_length(most), 9) == length


@pytest.mark.parametrize(("units", "words"), [("us", "10 ft"), ("metric", "2 m")])
def test_the_bar_is_as_long_as_it_says(units: str, words: str) -> None:
    # At 40 px a metre 130 px are 3.25 m or 10.66 ft: 2 m = 80 px in four pieces, 10 ft = 3.048 m = 121.92 px in five.
    bar = scale_bar(40, units)
    pieces = [thing.width for thing in bar.things if isinstance(thing, Rect)]
    assert (round(sum(pieces), 6), len(pieces)) == ((121.92, 5) if units == "us" else (80, 4))
    assert [thing.words for thing in bar.things if isinstance(thing, Text)] == ["0", words]


@pytest.mark.parametrize("width_px", [320, 350, 518, 620, 670])
def test_no_words_of_the_sample_stand_on_others(width_px: int) -> None:
    texts = [thing for thing in draw_plan(whole(), width_px=width_px).primitives if isinstance(thing, Text)]
    assert [(a.words, b.words) for a, b in combinations(texts, 2) if overlap(a.box, b.box)] == []


@pytest.mark.parametrize("width_px", [350, 664])
def test_no_words_of_a_measured_part_stand_on_others(width_px: int) -> None:
    drawing = draw_plan((walk(q="9.5", mark="q"),), width_px=width_px, highlight=("C", 1))
    texts = [thing for thing in drawing.primitives if isinstance(thing, Text)]
    assert [(a.words, b.words) for a, b in combinations(texts, 2) if overlap(a.box, b.box)] == []
