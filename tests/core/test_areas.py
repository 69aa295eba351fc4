"""Parts minus deducts."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.core.areas import (
    AreaTooLarge,
    CountFault,
    DeductsExceedParts,
    NoParts,
    Part,
    TextureFault,
    measure,
)
from quoting.core.shapes import Circle, Measured, Offsets, Quadrilateral, Rectangle, Steps
from quoting.core.units import parse_length, to_unit

sizes = st.decimals(min_value="0.01", max_value=100, places=3)


def tape(text: str) -> Decimal:
    return parse_length(text, zero=True).magnitude


def square(side: str) -> Rectangle:
    return Rectangle(length=Decimal(side), width=Decimal(side))


DECK = Rectangle(length=tape("32 ft"), width=tape("14' 6\""))
PLANTER = Circle(diameter=tape("6 ft"))
CURVE = Offsets(
    spacing=tape("4 ft"),
    offsets=tuple(map(tape, ("0 ft", "2' 1\"", "3' 5\"", "4' 2\"", "4' 5\"", "4' 2\"", "3' 5\"", "2' 1\"", "0 ft"))),
)


def test_deducts_are_taken_from_parts():
    # 100 + 25 − 16 = 109
    figures = measure([Part(square("10")), Part(square("5"))], [Part(square("4"))])
    assert (figures.net, figures.effective) == (109, 109)


def test_texture_makes_the_effective_area():
    # 100 × 1.12
    figures = measure([Part(square("10"))], texture=Decimal("1.12"))
    assert (figures.net, figures.effective) == (100, 112)


def test_the_edge_is_that_of_the_parts_alone():
    # 40 + 20; the deduct's 16 stays out
    assert measure([Part(square("10")), Part(square("5"))], [Part(square("4"))]).edge == 60


def test_one_unknown_edge_makes_the_whole_unknown():
    assert measure([Part(square("10")), Part(Measured(size=Decimal(5)))]).edge is None


def test_a_deduct_without_an_edge_changes_no_edge():
    assert measure([Part(square("10"))], [Part(Measured(size=Decimal(5)))]).edge == 40


def test_count_repeats_a_part_with_its_edge():
    figures = measure([Part(square("10"), count=3)])
    assert (figures.net, figures.edge) == (300, 120)


def test_a_deck_with_a_curve_and_a_planter():
    # 464.00 + 96.67 − 28.27 = 532.39 (unrounded 464 + 96.666… − 28.274…)
    figures = measure([Part(DECK), Part(CURVE, name="curved edge")], [Part(PLANTER, name="planter")], Decimal("1.12"))
    assert figures.lines() == (
        "32′ 0″ × 14′ 6″ = 464.00 ft²",
        "curved edge: 9 offsets at 4′ 0″, Simpson: 4′ 0″ ÷ 3 × (0.00 + 4 × 12.50 + 2 × 11.25 + 0.00) = 96.67 ft²",
        "less planter: Ø 6′ 0″, π ÷ 4 × Ø² = 28.27 ft²",
        "464.00 + 96.67 − 28.27 = 532.39 ft²",
        "532.39 ft² × 1.12 texture = 596.28 ft²",
    )


def test_the_working_is_one_line():
    assert measure([Part(DECK, count=2)]).working() == "2 × (32′ 0″ × 14′ 6″) = 928.00 ft²"


def test_a_metric_working():
    # 32 ft = 9.7536 m, 14.5 ft = 4.4196 m; 43.1070… m²
    assert measure([Part(DECK)]).working("metric") == "9.754 m × 4.42 m = 43.11 m²"


def test_nothing_measured_is_refused():
    with pytest.raises(NoParts, match="Measure at least one part"):
        measure([])


@pytest.mark.parametrize("side", ["10", "11"])
def test_deducts_that_leave_nothing_are_refused(side: str):
    with pytest.raises(DeductsExceedParts, match="Nothing is left"):
        measure([Part(square("10"))], [Part(square(side))])


@pytest.mark.parametrize("texture", ["0.99", "0", "-1", "NaN", "Infinity"])
def test_a_texture_under_one_is_refused(texture: str):
    with pytest.raises(TextureFault, match=r"1 \(flat\) or more"):
        measure([Part(square("10"))], texture=Decimal(texture))


@pytest.mark.parametrize("count", [0, -2])
def test_a_part_is_there_once_at_least(count: int):
    with pytest.raises(CountFault):
        Part(square("1"), count=count)


def test_more_than_a_square_kilometre_is_refused():
    assert measure([Part(square("1000"))]).net == 1_000_000
    with pytest.raises(AreaTooLarge, match="larger than 1 km²"):
        measure([Part(square("1000")), Part(square("0.01"))])


def landing(q: str) -> Quadrilateral:
    names = ("6' 2\"", "5' 8\"", "6' 4\"", "5' 6 1/2\"", "8' 5\"", q)
    return Quadrilateral(**dict(zip("abcdpq", map(tape, names), strict=True)))


def test_a_part_that_does_not_close_is_warned_of_by_name():
    assert measure([Part(landing("8' 9 1/2\""), name="Landing")]).warnings == (
        "Landing: diagonal q doesn’t close: it reads 8′ 9½″, the other five say 8′ 4½″. "
        "Read q again; if it stays, one of the five is wrong.",
    )


def test_a_nameless_part_is_warned_of_by_its_place():
    parts = [Part(square("5")), Part(landing("8' 9 1/2\""))]
    assert measure(parts).warnings[0].startswith("Part 2: diagonal q")
    assert measure([Part(square("50"))], [Part(landing("8' 9 1/2\""))]).warnings[0].startswith("Deduct 1: diagonal q")


def test_a_warning_in_metres():
    # 105.5 in = 2.6797 m; 100.47 in = 2.5520 m, which is no millimetre more
    assert (
        "it reads 2.68 m, the other five say 2.552 m"
        in measure([Part(landing("8' 9 1/2\""))], units="metric").warnings[0]
    )


def test_a_part_that_closes_is_not_warned_of():
    assert measure([Part(landing("8' 4 1/2\""))]).warnings == ()


def test_steps_count_treads_and_risers():
    # 3 steps, 4 ft wide, 12 in tread, 7 in riser: 3 × 4 × 19 ÷ 12 = 19 ft²
    flight = Steps(count=3, width=tape("4 ft"), tread=tape("12 in"), riser=tape("7 in"))
    assert to_unit(measure([Part(flight)]).net, "ft**2") == 19


@given(sizes, sizes, sizes)
def test_a_longer_part_is_never_less_area(length: Decimal, width: Decimal, more: Decimal):
    before = measure([Part(Rectangle(length=length, width=width))])
    after = measure([Part(Rectangle(length=length + more, width=width))])
    assert after.net > before.net


@given(st.lists(sizes, min_size=1, max_size=6))
def test_parts_add_up(sides: list[Decimal]):
    figures = measure([Part(Rectangle(length=side, width=side)) for side in sides])
    assert figures.net == sum(part.area for part in figures.parts) == sum(side * side for side in sides)
