"""The plan as a whole: one scale, figures, words, the sheet, hostile names and absurd sizes."""

from dataclasses import replace
from decimal import Decimal
from math import isfinite
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.shapes import (
    Circle,
    Ellipse,
    Measured,
    Offsets,
    Polygon,
    Rectangle,
    Sector,
    Steps,
    Trapezoid,
    Triangle,
)
from quoting.documents.drawing import Drawing, Line, Path, Text
from quoting.documents.plan import PlanArea, PlanPart, draw_plan
from tests.sample_plan import deck, steps, tape, walk, whole

SVG = "{http://www.w3.org/2000/svg}"


def words(drawing: Drawing) -> list[str]:
    return sorted(thing.words for thing in drawing.primitives if isinstance(thing, Text))


def svg(drawing: Drawing) -> ElementTree.Element:
    return ElementTree.fromstring(render_to_string("parts/_plan.html", {"drawing": drawing}))  # noqa: S314 - our own


def level_dimensions(drawing: Drawing) -> list[float]:
    """The lengths of the level dimension lines in px."""
    lines = [thing for thing in drawing.primitives if isinstance(thing, Line) and thing.cls == "dim"]
    return sorted(line.x2 - line.x1 for line in lines if line.y1 == line.y2)


def area(*parts: PlanPart, name: str = "Yard", surface: str = "broom-finished concrete") -> PlanArea:
    return PlanArea(letter="A", name=name, surface=surface, parts=parts, net=Decimal(10))


def square(side: str = "1") -> PlanPart:
    return PlanPart(name="Pad", shape=Rectangle(length=Decimal(side), width=Decimal(side)))


def assert_on_the_sheet(drawing: Drawing) -> None:
    for thing in drawing.primitives:
        left, top, right, bottom = thing.box
        assert all(map(isfinite, thing.box))
        assert left >= -0.1
        assert top >= -0.1
        assert right <= drawing.width + 0.1
        assert bottom <= drawing.height + 0.1


def test_a_small_pad_is_drawn_at_the_largest_scale() -> None:
    drawing = draw_plan((area(square()),), width_px=620)
    # 44 px a foot ÷ 0.3048 m a foot = 144.3570 px a metre; 1 m square.
    (outline,) = [thing for thing in drawing.primitives if thing.cls == "area"]
    assert round(drawing.scale, 3) == 144.357
    assert round(outline.box[2] - outline.box[0], 3) == 144.357
    assert round(outline.box[3] - outline.box[1], 3) == 144.357


def test_all_areas_share_one_scale() -> None:
    drawing = draw_plan(whole(), width_px=620)
    # The deck is 32 ft = 9.7536 m, the walk 24 ft 3 in = 7.3914 m, the steps 5 ft = 1.524 m, a spacing 4 ft = 1.2192 m.
    metres = [round(px / drawing.scale, 4) for px in level_dimensions(drawing)]
    assert [length for length in metres if length not in {1.9304}] == [1.2192, 1.524, 7.3914, 9.7536]


def test_the_figures_are_those_that_were_measured() -> None:
    assert words(draw_plan(whole(), width_px=620)) == sorted(
        [
            *("32′ 0″", "14′ 6″", "4′ 0″", "Ø 6′ 0″", "planter", "A", "Pool deck", "532.4 ft²"),
            *("2′ 1″", "3′ 5″", "4′ 2″", "4′ 5″", "4′ 2″", "3′ 5″", "2′ 1″"),
            *("5′ 0″", "3 × 12″, rise 7″", "B", "Steps", "23.8 ft²"),
            *("24′ 3″", "4′ 2″", "6′ 2″", "5′ 8″", "6′ 4″", "C", "Front walk", "136.1 ft²"),
            *("0", "5 ft", "Drawn to one scale. The places of A, B and C to one another are not measured."),
        ]
    )


def test_a_metric_plan_says_metres() -> None:
    told = words(draw_plan((steps(),), width_px=350, units="metric"))
    assert told == ["0", "0.5 m", "1.52 m", "2.21 m²", "3 × 305 mm, rise 178 mm", "B", "Drawn to scale.", "Steps"]


def test_the_description_tells_the_plan_in_words() -> None:
    assert draw_plan((steps(), walk()), width_px=620).desc == (
        "Two areas drawn to one scale. "
        "B, Steps: Steps, three steps 5 feet wide, tread 1 foot, riser 7 inches: 23.8 square feet. "
        "C, Front walk: Walk, rectangle 24 feet 3 inches by 4 feet 2 inches and Landing, four-sided, "
        "a 6 feet 2 inches, "
        "b 5 feet 8 inches, c 6 feet 4 inches, d 5 feet 6 and a half inches, diagonals p 8 feet 5 inches and "
        "q 8 feet 4 and a half inches: 136.1 square feet. "
        "The places of B and C to one another are not measured."
    )


def test_a_reading_that_does_not_close_is_oxide_and_nothing_else_is() -> None:
    drawing = draw_plan((walk(q="9.5", mark="q"),), width_px=664, highlight=("C", 1))
    oxide = [thing for thing in drawing.primitives if thing.cls in {"t-hand"} or thing.cls.endswith(" on")]
    assert [(thing.tag, thing.cls, thing.words) for thing in oxide] == [
        ("line", "hid on", ""),
        ("text", "t-hand", "q  8′ 9½″"),
    ]


def test_the_part_being_measured_shows_its_letters_and_its_neighbour_is_cut() -> None:
    told = words(draw_plan((walk(),), width_px=664, highlight=("C", 1)))
    assert [word for word in told if "  " in word or "cut" in word] == [
        "1  Walk",
        "2  Landing",
        "24′ 3″, cut",
        "Drawn to scale. Where a part is cut, its figure gives the whole length.",
        "a  6′ 2″",
        "b  5′ 8″",
        "c  6′ 4″",
        "d  5′ 6½″",
        "p  8′ 5″",
        "q  8′ 4½″",
    ]


def test_a_strip_two_hundred_times_as_long_as_wide_is_cut() -> None:
    strip = PlanPart(name="Strip", shape=Rectangle(length=Decimal(60), width=Decimal("0.3")))
    drawing = draw_plan((area(strip),), width_px=620)
    # 60 m = 196 ft 10.2 in.
    assert "196′ 10¼″, cut" in words(drawing)
    assert_on_the_sheet(drawing)


def test_a_shape_that_nobody_measured_is_dashed_and_says_so() -> None:
    drawing = draw_plan((area(PlanPart(name="", shape=Measured(size=Decimal(12)))),), width_px=620)
    assert "shape not measured" in words(drawing)
    outline = next(thing for thing in drawing.primitives if thing.cls == "area guess")
    left, top, right, bottom = outline.box
    assert round((right - left) * (bottom - top) / drawing.scale**2, 6) == 12


def test_only_surfaces_with_joints_show_them() -> None:
    drawing = draw_plan(whole(), width_px=620, prefix="pw")
    assert [pattern.id for pattern in drawing.patterns] == ["pw-ashlar", "pw-bond"]
    fills = [thing.fill for thing in drawing.primitives if isinstance(thing, Path) and thing.fill]
    assert fills == ["pw-ashlar", "pw-ashlar", "pw-bond", "pw-bond"]


def test_joints_too_fine_to_be_seen_are_left_out() -> None:
    assert draw_plan((area(square("100"), surface="clay pavers"),), width_px=350).patterns == ()


def test_the_base_line_of_offsets_is_no_edge() -> None:
    drawing = draw_plan((deck(),), width_px=620)
    rectangle, curve = [thing for thing in drawing.primitives if thing.cls == "area"]
    # Neither outline closes: the side between them is the dash-dot base line alone.
    assert [letter for letter, _ in rectangle.commands] == ["M", "L", "L", "M", "L"] or [
        letter for letter, _ in rectangle.commands
    ].count("L") == 3
    assert "Z" not in [letter for letter, _ in (*rectangle.commands, *curve.commands)]
    assert [thing.cls for thing in drawing.primitives].count("base hid") == 1


def test_the_same_plan_is_the_same_drawing() -> None:
    assert draw_plan(whole(), width_px=670) == draw_plan(whole(), width_px=670)


def test_a_plan_without_areas_says_that_nothing_is_measured() -> None:
    assert words(draw_plan((), width_px=350)) == ["0", "2 ft", "Nothing is measured yet."]


def test_ids_carry_the_prefix() -> None:
    root = svg(draw_plan(whole(), width_px=350, prefix="pn"))
    assert [element.get("id") for element in root.iter() if element.get("id")] == [
        "pn-t",
        "pn-d",
        "pn-ashlar",
        "pn-bond",
    ]
    assert root.get("aria-labelledby") == "pn-t pn-d"
    assert root.get("viewBox") == f"0 0 {root.get('width')} {root.get('height')}"


def test_ink_is_in_attributes_and_never_in_a_style() -> None:
    printed = render_to_string("parts/_plan.html", {"drawing": draw_plan(whole(), width_px=620)})
    assert " style=" not in printed
    assert 'stroke="#16191b"' in printed


@pytest.mark.parametrize(
    "name", ["<script>x</script>", 'a" onload="x', "&amp;", "]]>", "\x00\x1b\ud800", "石の庭 🌿", ""]
)
def test_a_hostile_name_stays_words(name: str) -> None:
    one = replace(deck(), name=name, letter=name[:2])
    one = replace(one, parts=(*one.parts[:2], replace(one.parts[2], name=name)))
    root = svg(draw_plan((one,), width_px=620))
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "title", "desc", "defs", "pattern", "path", "line", "circle", "rect", "text"}
    assert {key for element in root.iter() for key in element.attrib if key.startswith("on")} == set()


@pytest.mark.parametrize("width_px", [320, 350, 620, 670])
def test_the_sample_stays_on_its_sheet(width_px: int) -> None:
    drawing = draw_plan(whole(), width_px=width_px)
    assert drawing.width == width_px
    assert drawing.height <= 1.8 * width_px
    assert_on_the_sheet(drawing)


def test_thirty_areas_stay_on_their_sheet() -> None:
    many = tuple(replace(area(square(str(3 + i % 7)), name=f"Area {i}"), letter=chr(65 + i % 26)) for i in range(30))
    drawing = draw_plan(many, width_px=350)
    assert drawing.width == 350
    assert drawing.height < 4000
    assert_on_the_sheet(drawing)


lengths = st.decimals(min_value="0.01", max_value="10000", places=2, allow_nan=False)
SHAPES = st.one_of(
    st.builds(Rectangle, length=lengths, width=lengths),
    st.builds(lambda a: Triangle(a=a, b=a, c=a * Decimal("1.9")), lengths),
    st.builds(Trapezoid, a=lengths, b=lengths, height=lengths),
    st.builds(Circle, diameter=lengths),
    st.builds(Ellipse, length=lengths, width=lengths),
    st.builds(Sector, radius=lengths, angle=st.decimals(min_value=1, max_value=360, places=1)),
    st.builds(lambda w, h: Polygon(points=((Decimal(0), Decimal(0)), (w, Decimal(0)), (w / 3, h))), lengths, lengths),
    st.builds(Offsets, spacing=lengths, offsets=st.lists(lengths, min_size=2, max_size=12).map(tuple)),
    st.builds(Steps, count=st.integers(1, 200), width=lengths, tread=lengths, riser=lengths),
    st.builds(Measured, size=lengths),
)
PARTS = st.builds(
    PlanPart,
    name=st.text(max_size=40),
    shape=SHAPES,
    kind=st.sampled_from(["part", "part", "deduct"]),
    place=st.sampled_from(["right", "left", "above", "below"]),
    x=st.none() | lengths,
    y=st.none() | lengths,
    count=st.integers(1, 3),
    mark=st.sampled_from(["", "length", "width", "y1", "spacing", "diameter", "a"]),
)
AREAS = st.builds(
    PlanArea,
    letter=st.text(max_size=3),
    name=st.text(max_size=60),
    surface=st.sampled_from(["stamped concrete", "concrete pavers", "steps"]),
    parts=st.lists(PARTS, min_size=1, max_size=5).map(tuple),
    net=lengths,
)


@settings(max_examples=60, deadline=None)
@given(st.lists(AREAS, max_size=5).map(tuple), st.sampled_from([350, 620, 670]), st.sampled_from(["us", "metric"]))
def test_nothing_is_ever_drawn_off_the_sheet(areas: tuple[PlanArea, ...], width_px: int, units: str) -> None:
    drawing = draw_plan(areas, width_px=width_px, units=units)
    assert_on_the_sheet(drawing)
    printed = render_to_string("parts/_plan.html", {"drawing": drawing})
    ElementTree.fromstring(printed)  # noqa: S314 - our own
    assert "nan" not in {value for thing in drawing.primitives for _, value in thing.attributes}
    assert drawing.height < 6 * width_px
    assert drawing.width < 2 * width_px


def test_the_tape_reads_inches_exactly() -> None:
    # 14 ft 6 in = 174 in × 0.0254 m = 4.4196 m.
    assert tape(14, "6") == Decimal("4.4196")
