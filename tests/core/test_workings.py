"""Every figure's long-hand sum, worked through with a pocket calculator."""

import re
from decimal import Decimal

import pytest

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.working_lines import WorkingLine, given, worked
from quoting.core.workings import Workings
from tests.calculator import DoesNotAddUp, work_through
from tests.sample_scopes import everything, pool_deck


@pytest.fixture(scope="module", params=["us", "metric"])
def workings(request: pytest.FixtureRequest) -> Workings:
    return work_out(scope_from_data(everything() | {"units": request.param}))


def test_every_area_adds_up(workings: Workings) -> None:
    for area in workings.areas:
        work_through(area.lines)


def test_every_steps_hours_add_up(workings: Workings) -> None:
    for step in workings.steps:
        assert abs(work_through(step.lines) - step.person_hours) < Decimal("0.01")


def test_every_need_adds_up(workings: Workings) -> None:
    for step in workings.steps:
        for use in step.materials:
            work_through(use.lines)


def test_every_purchase_and_cost_adds_up(workings: Workings) -> None:
    for material in workings.materials:
        work_through(material.lines)
        assert abs(work_through(material.cost_lines) - material.cost) < Decimal("0.6")


def test_price_and_taxes_add_up(workings: Workings) -> None:
    assert work_through(workings.price.lines) == workings.price.of.price
    for tax in workings.price.of.taxes:
        work_through(workings.price.tax_lines(tax))


def test_a_line_reads_left_to_right(workings: Workings) -> None:
    """No label holds an operator before a number, which would be typed by mistake."""
    lines = [line for step in workings.steps for use in step.materials for line in use.lines]
    lines += [line for step in workings.steps for line in step.lines]
    lines += [line for material in workings.materials for line in (*material.lines, *material.cost_lines)]
    assert [line for line in lines if re.search(r"[×÷+−=→]", line.label)] == []


def test_the_calculator_finds_a_wrong_sum() -> None:
    with pytest.raises(DoesNotAddUp, match="the calculator shows 6"):
        work_through([WorkingLine("", "2", "ft"), WorkingLine("×", "3", "ft"), WorkingLine("=", "6.02", "ft²")])


def test_one_line_of_a_single_use_goes_on_to_the_packs() -> None:
    """32 × 14.5 = 464 ft², less π × 3² = 28.27; × 1.12 ÷ 150 × 1.05 = 3.416 gal → 3.50 gal × 6 oz = 21 oz."""
    workings = work_out(scope_from_data(pool_deck()))
    assert workings.materials[0].working == (
        "435.73 ft² × 1.12 texture ÷ 150 ft²/gal × 1.05 waste = 3.42 gal, of mix "
        "→ 3.50 gal, mixed in batches × 6 oz/gal, strength = 21.00 oz → 2 × 1 lb"
    )


def test_a_plain_coverage_reads_as_in_the_trade() -> None:
    data = pool_deck()
    del data["areas"][0]["deducts"]
    data["materials"] = {"sealer": {"name": "Sealer", "packs": [{"size": "1 gal", "price": "58"}]}}
    use = {"by": "coverage", "coverage": "200 ft**2/gal"}
    data["work"][0]["materials"] = [{"material": "sealer", "waste": "0.05", "use": use}]
    workings = work_out(scope_from_data(data))
    # 464 × 1.12 ÷ 200 × 1.05 = 2.72832
    assert (
        workings.materials[0].working == "464.00 ft² × 1.12 texture ÷ 200 ft²/gal × 1.05 waste = 2.73 gal → 3 × 1 gal"
    )


def test_an_areas_lines_show_what_was_measured() -> None:
    area = work_out(scope_from_data(pool_deck())).areas[0]
    assert area.lines == (
        WorkingLine("", "464.00", "ft², 32′ 0″ × 14′ 6″"),
        WorkingLine("−", "28.27", "ft², Ø 6′ 0″, π ÷ 4 × Ø²"),
        WorkingLine("=", "435.73", "ft², net"),
        WorkingLine("×", "1.12", "texture"),
        WorkingLine("=", "488.01", "ft², true surface"),
    )


def test_hours_are_worked_before_the_set_up_is_added() -> None:
    step = work_out(scope_from_data(pool_deck())).steps[0]
    assert step.working == "435.73 ft² ÷ 220 ft²/h + 0.5 h, set-up = 2.48 person-hours"


@pytest.mark.parametrize(
    ("value", "text"),
    [("0", "0.00"), ("1234.5", "1,234.50"), ("0.045194", "0.04519"), ("0.5", "0.5000"), ("2.725", "2.73")],
)
def test_a_worked_figure_has_two_decimals_or_four_digits(value: str, text: str) -> None:
    assert worked(Decimal(value)) == text


@pytest.mark.parametrize(
    ("value", "text"), [("200.0000000000001", "200"), ("1.12", "1.12"), ("0.0208333333", "0.0208333")]
)
def test_a_given_figure_shows_as_it_was_given(value: str, text: str) -> None:
    assert given(Decimal(value)) == text


def test_wet_and_dry_film_of_each_coat() -> None:
    """1604.17 ÷ 260 = 6.17 mil and ÷ 320 = 5.01 mil wet; a quarter of it stays. 1604.17 ft² by a mil is 231 in³."""
    sealer = work_out(scope_from_data(everything())).steps[5].materials[0]
    mil = Decimal("0.0000254")
    assert [round(film / mil, 2) for film in sealer.wet_films] == [Decimal("6.17"), Decimal("5.01")]
    assert [round(film / mil, 2) for film in sealer.dry_films] == [Decimal("1.54"), Decimal("1.25")]


def test_a_powder_in_water_leaves_no_dry_film() -> None:
    base_tone = work_out(scope_from_data(everything())).steps[4].materials[0]
    assert (len(base_tone.wet_films), base_tone.dry_films) == (1, ())
