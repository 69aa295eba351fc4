"""Words on a crowded plan: none over another, and what has no room stands in a key by its number."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from quoting.core.shapes import Offsets, Rectangle, Trapezoid
from quoting.documents.drawing import Circle, Drawing, Text, overlap
from quoting.documents.plan import PlanArea, PlanPart, draw_plan
from tests.documents.test_plan import AREAS, PARTS, assert_on_the_sheet
from tests.sample_plan import deck, tape, whole


def words_over_words(drawing: Drawing) -> list[tuple[str, str]]:
    """Words whose boxes share more than a pixel of ground with those of others."""
    texts = [thing for thing in drawing.primitives if isinstance(thing, Text)]
    boxes = [(x0 + 1, y0 + 1, x1 - 1, y1 - 1) for x0, y0, x1, y1 in (text.box for text in texts)]
    return [
        (one.words, other.words)
        for place, one in enumerate(texts)
        for later, other in enumerate(texts[place + 1 :], start=place + 1)
        if overlap(boxes[place], boxes[later])
    ]


def slabs(count: int) -> PlanArea:
    """A path of slabs in a row, 3 ft and 4 ft long in turn, 2 ft 6 in wide."""
    parts = [
        PlanPart(name=f"Slab {n}", shape=Rectangle(length=tape(4 - n % 2), width=tape(2, "6")))
        for n in range(1, count + 1)
    ]
    return PlanArea(letter="A", name="Path", surface="concrete pavers", parts=tuple(parts), net=Decimal(11))


def said(drawing: Drawing) -> list[str]:
    return [thing.words.replace("\u00a0", " ") for thing in drawing.primitives if isinstance(thing, Text)]


LESS_THAN_ITS_BASE = PlanArea(
    letter="",
    name="",
    surface="steps",
    parts=(
        PlanPart(name="", shape=Rectangle(length=Decimal("0.01"), width=Decimal("0.01"))),
        PlanPart(name="", shape=Trapezoid(a=Decimal(1000), b=Decimal("3111.84"), height=Decimal("0.01"))),
        PlanPart(name="", shape=Rectangle(length=Decimal("0.01"), width=Decimal("0.01"))),
        PlanPart(name="", shape=Offsets(spacing=Decimal(10000), offsets=(Decimal("0.01"),) * 2), place="below"),
    ),
    net=Decimal("0.01"),
)
"""Parts whose whole outline lies on the base line of offsets."""


@settings(max_examples=40, deadline=None)
@given(
    st.lists(AREAS, max_size=3).map(tuple),
    st.lists(PARTS, max_size=14).map(tuple),
    st.sampled_from([350, 620, 672]),
    st.sampled_from(["us", "metric"]),
    st.sampled_from([None, ("", 0), ("Z", 0), ("Z", 1)]),
)
@example((LESS_THAN_ITS_BASE,), (), 620, "us", None)
def test_no_words_are_written_over_others(areas, parts, width_px, units, highlight):
    row = replace(deck(), letter="Z", parts=parts) if parts else None
    drawing = draw_plan((*areas, *([row] if row else [])), width_px=width_px, units=units, highlight=highlight)
    assert words_over_words(drawing) == []


@pytest.mark.parametrize("width_px", [320, 350, 620, 672])
@pytest.mark.parametrize("count", [2, 6, 14, 30])
def test_a_row_of_small_parts_is_readable_at_every_width(count, width_px):
    drawing = draw_plan((slabs(count),), width_px=width_px)
    assert words_over_words(drawing) == []
    assert_on_the_sheet(drawing)


def test_small_parts_on_a_phone_are_numbered_and_told_below():
    """Fourteen slabs are 49 ft, on 326 px at the most: 6.65 px a foot, 26.6 px for 4 ft; its figure needs
    13 × (2 × 0.53 + 2 × 0.28 + 0.53) = 28.
    """
    drawing = draw_plan((slabs(14),), width_px=350)
    told = said(drawing)
    assert [word for word in told if word.isdigit() and word != "0"] == [str(n) for n in range(1, 15)]
    key = " ".join(line for line in told if "Slab" in line)
    assert key.startswith("A: 1 Slab 1, 3′ 0″ × 2′ 6″; 2 Slab 2, 4′ 0″ × 2′ 6″; ")
    assert key.endswith("14 Slab 14, 4′ 0″ × 2′ 6″.")


def test_a_key_does_not_make_the_drawing_small():
    drawing = draw_plan((slabs(14),), width_px=350)
    # 49 ft on 326 px at the most: 326 ÷ (49 × 0.3048) = 21.8 px a metre.
    assert drawing.scale > 20


def test_numbers_stand_on_their_parts():
    drawing = draw_plan((slabs(14),), width_px=350)
    numbers = [thing for thing in drawing.primitives if isinstance(thing, Text) and thing.cls == "t-key"][1:]
    xs = [text.x for text in drawing.primitives if text in numbers]
    assert len(xs) >= 13
    assert [thing for thing in drawing.primitives if isinstance(thing, Circle) and thing.r == 1.2] == []


def test_a_plan_with_room_has_no_key():
    assert [word for word in said(draw_plan(whole(), width_px=620)) if word.startswith("A:")] == []
