"""Wet and dry films, in metres; coverage in m²/m³."""

from decimal import Decimal

import pytest

from quoting.core.film import FilmFault, coverage_for, dry_film, dry_film_from_mass, wet_film, wet_film_for


def test_a_wet_film_is_the_inverse_of_the_coverage():
    # 10 m² from a litre are 10,000 m²/m³: a tenth of a millimetre
    assert wet_film(Decimal(10_000)) == Decimal("0.0001")


def test_solids_are_what_stays():
    assert dry_film(Decimal("0.0002"), Decimal("0.35")) == Decimal("0.00007")


def test_a_dry_film_needs_a_thicker_wet_one():
    assert wet_film_for(Decimal("0.00007"), Decimal("0.35")) == Decimal("0.0002")


def test_coverage_and_wet_film_agree():
    # 35 % of a wet film of 0.2 mm, which is 5,000 m²/m³
    assert coverage_for(Decimal("0.00007"), Decimal("0.35")) == Decimal(5000)


def test_a_film_by_weight():
    # 2 kg at 1,000 kg/m³ are 0.002 m³; half of that on 10 m² is 0.1 mm
    assert dry_film_from_mass(Decimal(2), Decimal(1000), Decimal("0.5"), Decimal(10)) == Decimal("0.0001")


@pytest.mark.parametrize("solids", ["0", "-0.1", "1.01", "35"])
def test_solids_that_cannot_be_are_refused(solids: str):
    with pytest.raises(FilmFault, match="at most 100 %"):
        dry_film(Decimal(1), Decimal(solids))


def test_no_coverage_gives_no_film():
    with pytest.raises(FilmFault, match="coverage must be more than zero"):
        wet_film(Decimal(0))


def test_no_dry_film_gives_no_coverage():
    with pytest.raises(FilmFault, match="dry film must be more than zero"):
        coverage_for(Decimal(0), Decimal(1))


def test_less_than_no_thinner_is_refused():
    with pytest.raises(FilmFault, match="thinner must not be negative"):
        wet_film_for(Decimal(1), Decimal(1), Decimal(-1))


def test_nothing_weighs_on_nothing():
    with pytest.raises(FilmFault, match="density and the area"):
        dry_film_from_mass(Decimal(1), Decimal(0), Decimal(1), Decimal(1))
