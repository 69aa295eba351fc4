"""Batches laid along the areas."""

from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.batches import mixed_volume
from quoting.core.mix_sheet import MixFault, MixSheet, mix_sheet, mix_sheets
from quoting.core.rounding import round_half_up
from quoting.core.scope_file import scope_from_data
from quoting.core.units import from_unit, to_unit
from quoting.core.work_out import work_out
from quoting.core.workings import UseFigure, Workings
from tests.sample_scopes import everything, pool_deck

D = Decimal
HALF_OUNCE = from_unit(D("0.5"), "oz")


def coloured(*widths: str, batch_step: str = "0.25 gal", coats: int = 1, **area: Any) -> Workings:
    """Areas of so many ft by 10 ft, coloured at 6 oz/gal and 100 ft²/gal in batches of 5 gal, nothing wasted."""
    scope = pool_deck()
    scope["areas"] = [
        {"name": name, "parts": [{"shape": "rectangle", "length": f"{width} ft", "width": "10 ft"}]} | area
        for name, width in zip("ABCDEFGH", widths, strict=False)
    ]
    step = scope["work"][0]
    step["areas"] = [area["name"] for area in scope["areas"]]
    step["materials"][0] |= {"waste": "0"}
    step["materials"][0]["use"] |= {"coverage": "100 ft**2/gal", "batch_step": batch_step, "coats": coats}
    return work_out(scope_from_data(scope))


def sheet_of(workings: Workings, scale_step: Decimal = HALF_OUNCE, *, at_borders: bool = True) -> MixSheet:
    (sheet,) = mix_sheets(workings, scale_step, at_borders=at_borders)
    return sheet


def use_of(workings: Workings) -> UseFigure:
    return workings.steps[0].materials[0]


def shown(sheet: MixSheet) -> list[tuple[str, list[str]]]:
    """Gallons of each batch, and its stretches along the areas in ft."""
    return [
        (
            f"{round_half_up(to_unit(batch.water, 'gal'), 4).normalize():f}",
            [
                f"{stretch.area} {round_half_up(to_unit(stretch.begins, 'ft'), 2).normalize():f}"
                f"–{round_half_up(to_unit(stretch.ends, 'ft'), 2).normalize():f}"
                for stretch in batch.stretches
                if stretch.begins is not None and stretch.ends is not None
            ],
        )
        for batch in sheet.batches
    ]


def test_batches_run_along_an_area():
    # 120 ft × 10 ft = 1,200 ft² = 12 gal: 5 gal for each 50 ft
    assert shown(sheet_of(coloured("120"))) == [("5", ["A 0–50"]), ("5", ["A 50–100"]), ("2", ["A 100–120"])]


def test_batches_break_at_the_border_of_an_area():
    # A takes 3 gal, B 7: a bucket of 3, then 5 and 2
    assert shown(sheet_of(coloured("30", "70"))) == [("3", ["A 0–30"]), ("5", ["B 0–50"]), ("2", ["B 50–70"])]


def test_without_borders_the_first_bucket_runs_over():
    assert shown(sheet_of(coloured("30", "70"), at_borders=False)) == [
        ("5", ["A 0–30", "B 0–20"]),
        ("5", ["B 20–70"]),
    ]


def test_what_is_over_at_a_border_goes_into_the_next_batch():
    # A takes 3.1 gal and gets 3.25; B takes 4.9, and all 8 are mixed: 4.75 and the 0.15 that is over
    assert shown(sheet_of(coloured("31", "49"))) == [("3.25", ["A 0–31"]), ("4.75", ["B 0–49"])]


def test_a_small_area_is_done_with_what_is_over():
    # A takes 3.1 gal and gets 3.25; B, 1 ft by 10, takes 0.1 of what is over; C takes 1.8; 5 are mixed
    assert shown(sheet_of(coloured("31", "1", "18"))) == [("3.25", ["A 0–31", "B 0–10"]), ("1.75", ["C 0–18"])]


def test_two_coats_are_laid_one_after_the_other():
    sheet = sheet_of(coloured("30", "10", coats=2))
    assert [[(each.area, each.coat) for each in batch.stretches] for batch in sheet.batches] == [
        [("A", 1)],
        [("B", 1)],
        [("A", 2)],
        [("B", 2)],
    ]


def test_the_last_partial_batch_has_the_same_strength():
    # 6 oz × 5 = 30 oz, 6 × 2 = 12 oz
    powders = [to_unit(batch.powder, "oz") for batch in sheet_of(coloured("120")).batches]
    assert [round_half_up(each, 10) for each in powders] == [30, 30, 12]
    assert [batch.partial for batch in sheet_of(coloured("120")).batches] == [False, False, True]


def test_the_scale_s_step_changes_the_tone_of_a_small_batch_more():
    # half an ounce of 30 is 1.67 %, of 12 it is 4.17 %; in 5 gal 0.1 oz/gal, in 2 gal 0.25 oz/gal
    first, _second, last = sheet_of(coloured("120")).batches
    assert [round_half_up(each.tone_step, 4) for each in (first, last)] == [D("0.0167"), D("0.0417")]
    strengths = [round_half_up(to_unit(each.strength_step, "oz/gal"), 10) for each in (first, last)]
    assert strengths == [D("0.1"), D("0.25")]


def test_the_powder_is_weighed_as_the_scale_shows_it():
    # 3.25 gal × 6 oz = 19.5 oz; a scale in whole ounces shows 20
    (batch, _next) = sheet_of(coloured("31", "49"), from_unit(D(1), "oz")).batches
    assert round_half_up(to_unit(batch.weigh, "oz"), 10) == 20


def test_batches_that_meet_within_an_area_are_boxed():
    assert sheet_of(coloured("120")).boxed == ((1, 2, 3),)
    assert sheet_of(coloured("30", "70")).boxed == ((2, 3),)
    assert sheet_of(coloured("30", "40")).boxed == ()


def test_an_area_that_is_no_rectangle_has_shares():
    batches = sheet_of(work_out(scope_from_data(pool_deck()))).batches
    (stretch,) = batches[0].stretches
    assert (stretch.whole, stretch.length, stretch.begins, stretch.ends) == (True, None, None, None)
    # 435.7256 ft² × 1.12 = 488.01 ft² of true surface
    assert round_half_up(to_unit(stretch.surface, "ft**2"), 2) == D("488.01")


def test_scoops_where_the_material_has_one():
    # a scoop of 2 oz
    sheet = sheet_of(work_out(scope_from_data(everything())))
    assert all(batch.scoops == batch.powder / from_unit(D(2), "oz") for batch in sheet.batches)


def test_a_step_without_a_mix_is_refused():
    workings = work_out(scope_from_data(everything()))
    with pytest.raises(MixFault, match="Nothing is mixed"):
        mix_sheet("Wash", workings.steps[0].materials[0], (), HALF_OUNCE)


def test_a_scale_without_a_step_is_refused():
    with pytest.raises(MixFault, match="steps of more than nothing"):
        sheet_of(coloured("10"), D(0))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 130), min_size=1, max_size=6),
    st.sampled_from(["0.25 gal", "1 gal", "2 gal", "5 gal", "0.3 gal"]),
    st.integers(1, 2),
    st.booleans(),
)
def test_batches_sum_to_the_need_and_cover_every_area(widths: list[int], step: str, coats: int, at_borders: bool):
    workings = coloured(*map(str, widths), batch_step=step, coats=coats)
    sheet = sheet_of(workings, at_borders=at_borders)
    use = use_of(workings)
    assert round_half_up(sheet.water, 18) == round_half_up(mixed_volume(use.batches), 18)
    assert round_half_up(sheet.powder, 15) == round_half_up(use.need, 15)
    assert all(0 < batch.water <= from_unit(D(5), "gal") for batch in sheet.batches)
    assert all(batch.stretches for batch in sheet.batches)
    for area in workings.areas:
        for coat in range(1, coats + 1):
            mine = [
                each
                for batch in sheet.batches
                for each in batch.stretches
                if (each.area, each.coat) == (area.name, coat)
            ]
            assert (mine[0].from_share, mine[-1].to_share) == (0, 1)
            assert all(a.to_share == b.from_share for a, b in pairwise(mine))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 130), min_size=1, max_size=6))
def test_no_batch_is_stretched_over_more_than_is_mixed(widths: list[int]):
    sheet = sheet_of(coloured(*map(str, widths)))
    poured = covered = D(0)
    for batch in sheet.batches:
        poured += batch.water
        covered += sum((stretch.surface for stretch in batch.stretches), D(0))
        # 100 ft² a gallon
        assert covered <= poured * from_unit(D(100), "ft**2/gal") + D("1e-12")
