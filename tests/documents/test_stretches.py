"""Payments and days as dimension lines."""

from decimal import Decimal
from itertools import combinations
from math import isfinite
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.documents.drawing import Drawing, Line, Text, overlap
from quoting.documents.stretches import DayMark, DayStretch, PaymentStretch, draw_days, draw_payments


def payment(words: str, amount: str) -> PaymentStretch:
    return PaymentStretch(words=words, amount=Decimal(amount), figure=amount)


def lines(drawing: Drawing, cls: str) -> list[tuple[float, float]]:
    found = [thing for thing in drawing.primitives if isinstance(thing, Line) and thing.cls == cls]
    return [(round(line.x1, 3), round(line.x2, 3)) for line in found]


def texts(drawing: Drawing) -> list[str]:
    return [thing.words for thing in drawing.primitives if isinstance(thing, Text)]


def test_payments_are_as_long_as_their_shares() -> None:
    payments = [payment("deposit", "100.00"), payment("colour on", "300.00"), payment("hand-over", "100.00")]
    drawing = draw_payments(payments, width_px=512)
    # 512 − 2 × 6 = 500 px for 500.00: 100, 300 and 100 px.
    assert lines(drawing, "dim") == [(6, 106), (106, 406), (406, 506)]
    assert texts(drawing) == ["100.00", "300.00", "100.00", "deposit", "colour on", "hand-over"]
    assert drawing.desc == "deposit 100.00, colour on 300.00, hand-over 100.00"


def test_crowded_payment_labels_step_down() -> None:
    payments = [payment("when the first coat is on", "10.00"), payment("when the second coat is on", "10.00")]
    drawing = draw_payments(payments, width_px=200)
    first, second = [thing for thing in drawing.primitives if isinstance(thing, Text)][2:]
    assert second.y - first.y == 16


def test_payments_of_nothing_share_the_line_evenly() -> None:
    assert lines(draw_payments([payment("a", "0"), payment("b", "0")], width_px=212), "dim") == [(6, 106), (106, 206)]


def test_days_lie_to_scale() -> None:
    stretches = [DayStretch(first=1, last=1, words="wash"), DayStretch(first=2, last=3, words="dries", kind="hold")]
    drawing = draw_days(stretches, [DayMark(day=5, words="walk on it")], width_px=408, days=10)
    # 408 − 8 = 400 px for 10 days: 40 px each from x = 4; a visit stands 6 px in, drying 1 px; day 5 is at 4 + 4 × 40.
    assert lines(drawing, "work") == [(10, 38)]
    # The word stands on the line: 12 × (4 × 0.53 + 0.28) = 28.8 px wide about 84, and 5 px clear on both sides.
    assert [(round(x1, 1), round(x2, 1)) for x1, x2 in lines(drawing, "hid")] == [(45, 64.6), (103.4, 123)]
    assert lines(drawing, "dim") == [(4, 404), (164, 164)]
    assert drawing.desc == "Day 1 wash; days 2 to 3 dries; from day 5 walk on it."


def test_days_that_matter_are_bold_and_the_first_says_day() -> None:
    drawing = draw_days(
        [DayStretch(first=1, last=1, words="wash")], [DayMark(day=3, words="walk")], width_px=408, days=4
    )
    heads = [(thing.words, thing.cls) for thing in drawing.primitives if isinstance(thing, Text)][:4]
    assert heads == [("day 1", "t-area"), ("3", "t-area"), ("2", "t-dim"), ("4", "t-dim")]


def test_a_mark_without_room_at_its_right_is_written_at_its_left() -> None:
    drawing = draw_days([], [DayMark(day=10, words="mats and grill back")], width_px=300)
    (mark,) = [thing for thing in drawing.primitives if isinstance(thing, Text) and thing.words.startswith("mats")]
    assert mark.anchor == "end"


def assert_on_the_sheet(drawing: Drawing) -> None:
    ElementTree.fromstring(render_to_string("parts/_plan.html", {"drawing": drawing}))  # noqa: S314 - our own
    for thing in drawing.primitives:
        left, top, right, bottom = thing.box
        assert all(map(isfinite, thing.box))
        assert min(left, top) >= -0.1
        assert right <= drawing.width + 0.1
        assert bottom <= drawing.height + 0.1


AMOUNTS = st.decimals(min_value=0, max_value="999999999.99", places=2)
PAYMENTS = st.builds(PaymentStretch, words=st.text(max_size=80), amount=AMOUNTS, figure=st.text(max_size=20))
DAYS = st.integers(1, 400)


@settings(max_examples=60, deadline=None)
@given(st.lists(PAYMENTS, max_size=8), st.sampled_from([320, 518]))
def test_payments_stay_on_their_sheet(payments: list[PaymentStretch], width_px: int) -> None:
    assert_on_the_sheet(draw_payments(payments, width_px=width_px))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.builds(DayStretch, first=DAYS, last=DAYS, words=st.text(max_size=40)), max_size=8),
    st.lists(st.builds(DayMark, day=DAYS, words=st.text(max_size=40)), max_size=6),
    st.sampled_from([320, 518]),
)
def test_days_stay_on_their_sheet(stretches: list[DayStretch], marks: list[DayMark], width_px: int) -> None:
    assert_on_the_sheet(draw_days(stretches, marks, width_px=width_px))


def assert_no_words_meet(drawing: Drawing) -> None:
    words = [thing for thing in drawing.primitives if isinstance(thing, Text) and thing.words]
    upright = [thing for thing in drawing.primitives if isinstance(thing, Line) and thing.x1 == thing.x2]
    assert [(a.words, b.words) for a, b in combinations(words, 2) if overlap(a.box, b.box)] == []
    assert [text.words for line in upright for text in words if overlap(line.box, text.box)] == []


RECOLOUR = [
    DayStretch(first=1, last=1, words="Wash, fill cracks"),
    DayStretch(first=3, last=3, words="Mask edges, base tone, second tone"),
    DayStretch(first=4, last=4, words="Seal, first coat"),
    DayStretch(first=6, last=6, words="Seal, second coat"),
    DayStretch(first=2, last=2, words="dries", kind="hold"),
    DayStretch(first=5, last=5, words="dries", kind="hold"),
]
ALLOWED = [DayMark(day=7, words="walk on it"), DayMark(day=9, words="park on it, furniture back")]


@pytest.mark.parametrize("width_px", [320, 350, 518])
def test_words_that_would_meet_stand_in_rows_each_with_its_day(width_px: int) -> None:
    drawing = draw_days(RECOLOUR, ALLOWED, width_px=width_px)
    assert_no_words_meet(drawing)
    told = texts(drawing)
    assert [told[told.index(words) - 1] for words in ("Mask edges, base tone, second tone", "walk on it")] == [
        "day 3",
        "from day 7",
    ]
    assert [words for words in told if words == "dries"] == ["dries", "dries"]


@pytest.mark.parametrize(("width_px", "beside"), [(518, True), (350, False)])
def test_what_is_allowed_stands_beside_what_is_done_where_there_is_room(width_px: int, beside: bool) -> None:
    placed = draw_days(RECOLOUR, ALLOWED, width_px=width_px).primitives
    down = {thing.words: thing.y for thing in placed if isinstance(thing, Text)}
    assert (down["Wash, fill cracks"] == down["walk on it"]) == beside


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.builds(DayStretch, first=DAYS, last=DAYS, words=st.text(max_size=40)), max_size=8),
    st.lists(st.builds(DayMark, day=DAYS, words=st.text(max_size=40)), max_size=6),
    st.sampled_from([320, 518]),
)
def test_no_words_of_days_meet(stretches: list[DayStretch], marks: list[DayMark], width_px: int) -> None:
    assert_no_words_meet(draw_days(stretches, marks, width_px=width_px))
