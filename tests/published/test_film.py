"""Films, spreading rates and application rates against outside sources."""

from decimal import Decimal

import pytest

from quoting.core.film import coverage_for, dry_film, dry_film_from_mass, wet_film, wet_film_for
from quoting.core.rounding import round_half_up
from quoting.core.units import from_unit, parse_quantity, to_unit


def mils(metres: Decimal) -> Decimal:
    return to_unit(metres, "mil")


def of_mils(number: str) -> Decimal:
    return from_unit(Decimal(number), "mil")


def per_gallon(coverage: Decimal) -> Decimal:
    return to_unit(coverage, "ft**2/gal")


@pytest.mark.parametrize(("wet", "area", "near"), [("1", "1604.17", "0.01"), ("10", "160.417", "0.001")])
def test_the_area_of_a_gallon(wet: str, area: str, near: str):
    # a gauge maker's formula sheet, basis 231 in³: 1604 1/6 ft² at 1 mil, and its worked example at 10 mil
    assert abs(per_gallon(coverage_for(of_mils(wet), Decimal(1))) - Decimal(area)) < Decimal(near)


def test_dry_film_is_wet_film_by_solids():
    # MIL-HDBK-1110 (1996), 5.20.1.4, procedure 13; worked in a painting-trade bulletin (second hand): 8 mil wet, 35 %
    assert mils(dry_film(of_mils("8"), Decimal("0.35"))) == Decimal("2.8")


def test_a_spreading_rate():
    # a coatings data sheet's worked example: 65 % solids, 5.0 mil dry; 208.52 with the constant 1604
    assert abs(per_gallon(coverage_for(of_mils("5"), Decimal("0.65"))) - Decimal("208.52")) < Decimal("0.05")


def test_a_spreading_rate_in_metric():
    # the same sheet, 65 % solids, 125 µm dry: 5.2 m²/L (it misprints the constant once as 100 instead of 1000)
    rate = coverage_for(Decimal("0.000125"), Decimal("0.65"))
    assert to_unit(rate, "m**2/L") == Decimal("5.2")


@pytest.mark.parametrize(("metres", "area"), [("0.0001", 10), ("0.000001", 1000)])
def test_a_litre_spread(metres: str, area: int):
    # the same sheet: 1 L covers 10 m² at 100 µm, 1,000 m² at 1 µm
    assert to_unit(coverage_for(Decimal(metres), Decimal(1)), "m**2/L") == area


def test_a_spreading_table_at_35_per_cent():
    # a trade bulletin's table: 1604 × 0.35 ÷ 2
    assert round_half_up(per_gallon(coverage_for(of_mils("2"), Decimal("0.35"))), 0) == 281


@pytest.mark.parametrize(
    ("dry", "rate"),
    [("1", 481), ("2", 241), ("3", 160), ("4", 120), ("5", 96), ("6", 80), ("8", 60), ("10", 48)],
)
def test_a_spreading_table_at_30_per_cent(dry: str, rate: int):
    # the same table
    assert abs(per_gallon(coverage_for(of_mils(dry), Decimal("0.30"))) - rate) <= Decimal("0.5")


def test_a_thinned_coat():
    # the same bulletin: 2.8 mil dry, 10 % thinner, 35 % solids: 8.8 mil wet
    assert mils(wet_film_for(of_mils("2.8"), Decimal("0.35"), Decimal("0.10"))) == Decimal("8.8")


def test_a_film_by_weight():
    # a finishing-trade answer (2007): dry mils = 1604 × W × solids ÷ (density × area).
    # 10 lb at 8 lb/gal, 40 %, on 200 ft²: 1604.17 × 10 × 0.4 ÷ 1600 = 4.0104 mil
    film = dry_film_from_mass(
        parse_quantity("10 lb").magnitude,
        parse_quantity("8 lb/gal").magnitude,
        Decimal("0.4"),
        parse_quantity("200 ft**2").magnitude,
    )
    assert round_half_up(mils(film), 4) == Decimal("4.0104")


def test_a_gallon_over_400_square_feet():
    # after a worked forum answer: 231 ÷ 57,600 in = 4.0 mil
    assert round_half_up(mils(wet_film(parse_quantity("400 ft**2/gal").magnitude)), 1) == Decimal("4.0")


@pytest.mark.parametrize(("coverage", "wet"), [("100", "16.04"), ("150", "10.69"), ("200", "8.02"), ("300", "5.35")])
def test_wet_films_of_common_sealer_rates(coverage: str, wet: str):
    # 1604 1/6 ÷ rate, from the gauge maker's sheet
    assert round_half_up(mils(wet_film(parse_quantity(f"{coverage} ft**2/gal").magnitude)), 2) == Decimal(wet)


def test_thinning_lowers_the_dry_film():
    # MIL-HDBK-1110, 9.6.8.3: with the same wet film; so the wet film for the same dry one must rise
    wet, solids = of_mils("8"), Decimal("0.35")
    assert dry_film(wet, solids / Decimal("1.1")) < dry_film(wet, solids)
    assert wet_film_for(of_mils("2"), solids, Decimal("0.1")) > wet_film_for(of_mils("2"), solids)


@pytest.mark.parametrize(("us", "metric"), [("300", "7.4"), ("200", "5.0")])
def test_cure_and_seal_rates(us: str, metric: str):
    # ASTM C1315 (older edition) summary: soft pairs, within 0.1 m²/L
    rate = parse_quantity(f"{us} ft**2/gal").magnitude
    assert abs(to_unit(rate, "m**2/L") - Decimal(metric)) <= Decimal("0.1")


@pytest.mark.parametrize(
    ("surface", "low", "high"),
    [
        ("steel-trowelled concrete", "150", "300"),
        ("textured concrete", "100", "200"),
        ("exposed aggregate", "100", "200"),
        ("precast", "100", "250"),
        ("dense brick", "100", "300"),
        ("coarse brick", "75", "200"),
        ("natural stone", "100", "300"),
    ],
)
def test_a_first_coat_lies_between_five_and_22_mils(surface: str, low: str, high: str):
    # Construction Waterproofing Handbook, Table 3.11, p. 3.21: ranges of the first coat in ft²/gal.
    # 1604 1/6 ÷ 300 = 5.35 mil is the thinnest of them and 1604 1/6 ÷ 75 = 21.39 mil the thickest
    thick, thin = (mils(wet_film(parse_quantity(f"{rate} ft**2/gal").magnitude)) for rate in (low, high))
    assert (surface, Decimal("5.34") < thin < thick < Decimal("21.40")) == (surface, True)
