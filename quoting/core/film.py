"""How thick a coat lies: wet and dry film, and the coverage that gives them.

Thickness in metres (1 mil = 0.001 in = 25.4 µm), coverage in m²/m³, so that one is the inverse of the other; solids and
thinner are fractions by volume. Source of the dry-film rule: MIL-HDBK-1110 (1996), 5.20.1.4.
"""

from decimal import Decimal

from quoting.core.rounding import CONTEXT, WIDE


class FilmFault(ValueError):
    """A film can't be worked out from these figures; the sentence says why."""


def wet_film(coverage: Decimal) -> Decimal:
    """Wet film thickness of one coat at this coverage: a gallon over 1604 1/6 ft² lies one mil thick.

    Raises FilmFault unless the coverage is more than zero.
    """
    if not coverage > 0:
        raise FilmFault("The coverage must be more than zero.")
    return CONTEXT.divide(Decimal(1), coverage)


def dry_film(wet: Decimal, solids: Decimal) -> Decimal:
    """What stays of a wet film: wet × solids by volume. Raises FilmFault for solids outside 0 to 1."""
    _check_solids(solids)
    return CONTEXT.multiply(wet, solids)


def wet_film_for(dry: Decimal, solids: Decimal, thinner: Decimal = Decimal(0)) -> Decimal:
    """The wet film that dries to `dry`: dry × (1 + thinner) ÷ solids, `thinner` being parts added to one of product.

    Raises FilmFault for solids outside 0 to 1, or a negative thinner.
    """
    _check_solids(solids)
    if thinner < 0:
        raise FilmFault("The thinner must not be negative.")
    return CONTEXT.divide(WIDE.multiply(dry, WIDE.add(Decimal(1), thinner)), solids)


def coverage_for(dry: Decimal, solids: Decimal) -> Decimal:
    """The coverage that dries to `dry`, without loss. Raises FilmFault for a dry film or solids that can't be."""
    if not dry > 0:
        raise FilmFault("The dry film must be more than zero.")
    _check_solids(solids)
    return CONTEXT.divide(solids, dry)


def dry_film_from_mass(mass: Decimal, density: Decimal, solids: Decimal, area: Decimal) -> Decimal:
    """The dry film of a weighed amount of product (kg, kg/m³) on an area (m²): mass ÷ density × solids ÷ area.

    Raises FilmFault for a density, an area or solids that can't be.
    """
    if not (density > 0 and area > 0):
        raise FilmFault("The density and the area must be more than zero.")
    _check_solids(solids)
    return CONTEXT.divide(WIDE.multiply(mass, solids), WIDE.multiply(density, area))


def _check_solids(solids: Decimal) -> None:
    if not 0 < solids <= 1:
        raise FilmFault("Solids by volume must be more than 0 % and at most 100 %.")
