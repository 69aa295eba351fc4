"""Lengths, areas and shapes as the plan writes and tells them."""

from decimal import Decimal

import pytest

from quoting.core.shapes import Measured, Offsets, Sector
from quoting.documents.plan_words import area_figure, length_figure, length_words, listed, shape_words, short_figure

INCH = Decimal("0.0254")


@pytest.mark.parametrize(
    ("inches", "figure", "words"),
    [
        ("384", "32′ 0″", "32 feet"),
        ("66.5", "5′ 6½″", "5 feet 6 and a half inches"),
        ("12.125", "1′ ⅛″", "1 foot an eighth inch"),
        ("1", "1″", "1 inch"),
    ],
)
def test_lengths_are_told_as_a_tape_reads(inches: str, figure: str, words: str) -> None:
    metres = Decimal(inches) * INCH
    assert length_figure(metres, "us") == figure
    assert length_words(metres, "us") == words


def test_metric_lengths_are_metres_and_treads_millimetres() -> None:
    assert length_figure(Decimal("4.4196"), "metric") == "4.42 m"
    assert short_figure(Decimal("0.3048"), "metric") == "305 mm"
    assert short_figure(Decimal("0.3048"), "us") == "12″"


def test_areas_round_half_up() -> None:
    # 23.25 ft² × 0.09290304 m²: half up is 23.3, half to even would be 23.2.
    assert area_figure(Decimal("23.25") * Decimal("0.09290304"), "us") == "23.3 ft²"
    assert area_figure(Decimal("1234.565"), "metric") == "1,234.57 m²"


def test_shapes_are_told_with_their_measures() -> None:
    offsets = Offsets(spacing=48 * INCH, offsets=(Decimal(0), Decimal(1), Decimal(0)))
    assert shape_words(offsets, "us") == "curved edge of three offsets at 4 feet"
    assert (
        shape_words(Sector(radius=Decimal(2), angle=Decimal(90)), "metric")
        == "sector of radius 2.00 metres and 90 degrees"
    )
    assert shape_words(Measured(size=Decimal(12)), "metric") == "12.00 square metres, shape not measured"


def test_a_list_ends_with_and() -> None:
    assert [listed(["A"]), listed(["A", "B"]), listed(["A", "B", "C"])] == ["A", "A and B", "A, B and C"]
