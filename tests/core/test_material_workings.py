"""What a step needs of a material: films and scoops."""

from decimal import Decimal

from quoting.core.material_workings import UseFigure
from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from tests.sample_scopes import everything


def test_wet_and_dry_film_of_each_coat() -> None:
    """1604.17 ÷ 260 = 6.17 mil and ÷ 320 = 5.01 mil wet; a quarter of it stays. 1604.17 ft² by a mil is 231 in³."""
    sealer = work_out(scope_from_data(everything())).steps[5].materials[0]
    mil = Decimal("0.0000254")
    assert [round(film / mil, 2) for film in sealer.wet_films] == [Decimal("6.17"), Decimal("5.01")]
    assert [round(film / mil, 2) for film in sealer.dry_films] == [Decimal("1.54"), Decimal("1.25")]


def test_a_powder_in_water_leaves_no_dry_film() -> None:
    base_tone = work_out(scope_from_data(everything())).steps[4].materials[0]
    assert (len(base_tone.wet_films), base_tone.dry_films) == (1, ())


def figure(step: int) -> UseFigure:
    return work_out(scope_from_data(everything())).steps[step].materials[0]


def test_a_diluted_sealer_leaves_its_share_of_solids() -> None:
    """1604.17 ÷ 120 = 13.37 mil wet; of five parts one is concentrate, with 30 % solids: 0.80 mil."""
    data = everything()
    data["materials"]["cleaner"]["solids"] = "0.3"
    cleaner = work_out(scope_from_data(data)).steps[0].materials[0]
    mil = Decimal("0.0000254")
    assert [round(film / mil, 2) for film in (*cleaner.wet_films, *cleaner.dry_films)] == [
        Decimal("13.37"),
        Decimal("0.80"),
    ]


def test_what_is_not_spread_has_no_coats_and_no_film() -> None:
    tape = figure(1)
    assert (tape.coats, tape.wet_films, tape.dry_films) == (0, (), ())


def test_scoops_of_a_batch() -> None:
    """Five gallons at 6 oz are 30 oz: fifteen scoops of 2 oz."""
    base_tone = figure(4)
    assert round(base_tone.scoops(base_tone.batches[0]), 9) == 15


def test_a_material_without_a_scoop_has_no_scoops() -> None:
    data = everything()
    del data["materials"]["base-tone"]["scoop"]
    base_tone = work_out(scope_from_data(data)).steps[4].materials[0]
    assert base_tone.scoops(base_tone.batches[0]) is None
