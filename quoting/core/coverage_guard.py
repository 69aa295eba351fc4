"""The coverage guard: what should be gone when an area is coated, and what it means when more or less is.

In m³ of what is put on (for a mix or a solution, the mixture), m² of true surface, and m of wet film. A gallon over
1604 1/6 ft² lies one mil thick.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum

from quoting.core.film import dry_film, wet_film
from quoting.core.rounding import CONTEXT
from quoting.core.scope import CoverageUse, DilutionUse, MixUse
from quoting.core.units import Dimension, from_unit
from quoting.core.uses import coverages
from quoting.core.workings import UseFigure, Workings

SPREAD = Decimal("0.15")
"""How far coverage goes up and down where no range is known: common practice, no published source."""

BLOTCHY = from_unit(Decimal(120), "ft**2/gal")
"""A blotchy failure of acrylic: 5 gal on 600 ft², which is 13 wet mils. Common practice, no published source."""

_ONE = Decimal(1)


class GuardFault(ValueError):
    """The guard can't answer; the sentence says why."""


class Judged(StrEnum):
    """What was used, in a word."""

    RIGHT = "right"
    TOO_THIN = "too-thin"
    TOO_THICK = "too-thick"


class Puts(StrEnum):
    """What is put on: a film, a colour mix, or a solution that is washed off."""

    FILM = "film"
    COLOUR = "colour"
    SOLUTION = "solution"


DO = {
    (Puts.FILM, Judged.RIGHT): ("go-on",),
    (Puts.FILM, Judged.TOO_THIN): ("check-area", "cross-roll-while-wet", "leave-for-next-coat"),
    (Puts.FILM, Judged.TOO_THICK): ("stop", "roll-out-puddles-while-wet", "no-coat-on-top", "call"),
    (Puts.COLOUR, Judged.RIGHT): ("go-on",),
    (Puts.COLOUR, Judged.TOO_THIN): ("check-area", "check-strength", "second-pass-same-strength"),
    (Puts.COLOUR, Judged.TOO_THICK): ("stop", "broom-off-excess", "rag-test-before-sealing", "call"),
    (Puts.SOLUTION, Judged.RIGHT): ("go-on",),
    (Puts.SOLUTION, Judged.TOO_THIN): ("check-area", "go-over-again"),
    (Puts.SOLUTION, Judged.TOO_THICK): ("rinse-longer", "check-area"),
}
"""What to do, as keys of the crew's words, in order."""

BLOTCHY_DO = "expect-blotches"
DO_KEYS = (*dict.fromkeys(key for keys in DO.values() for key in keys), BLOTCHY_DO)
"""Every key, for the test that each language has words for all of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverageRange:
    """The coverage of one coat from `low` to `high`, m²/m³: a low coverage uses more."""

    low: Decimal
    high: Decimal

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.high:
            raise GuardFault("A range of coverage goes from low to high, and is more than nothing.")


@dataclass(frozen=True, slots=True, kw_only=True)
class GuardLine:
    """One coat of one material on one area: `low` to `high` should be gone when it is done, as it is `planned`.

    `thin` and `thick` are the wet films of that range; `solids` what of it stays, None where none is known.
    """

    place: int
    step: str
    area: str
    material: str
    name: str
    coat: int
    coats: int
    puts: Puts
    surface: Decimal
    coverage: CoverageRange
    waste: Decimal
    planned: Decimal
    solids: Decimal | None = None

    @property
    def low(self) -> Decimal:
        """With the high coverage, and nothing lost."""
        return CONTEXT.divide(self.surface, self.coverage.high)

    @property
    def high(self) -> Decimal:
        """With the low coverage, and all of the waste lost."""
        return CONTEXT.multiply(CONTEXT.divide(self.surface, self.coverage.low), _ONE + self.waste)

    @property
    def thin(self) -> Decimal:
        """Wet film at `low`."""
        return wet_film(self.coverage.high)

    @property
    def thick(self) -> Decimal:
        """Wet film at the low coverage."""
        return wet_film(self.coverage.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The answer to what was used: the word, what to do as keys, the coverage and the thickest film that it can mean.

    `off` is by how much it lies outside the range, 0 inside.
    """

    line: GuardLine
    used: Decimal
    word: Judged
    do: tuple[str, ...]
    coverage: Decimal | None
    wet_film: Decimal
    dry_film: Decimal | None
    off: Decimal


def guard_lines(
    workings: Workings, ranges: Mapping[tuple[str, str, int], CoverageRange] | None = None, spread: Decimal = SPREAD
) -> tuple[GuardLine, ...]:
    """A line for each area and coat of all that is spread by volume, in the order of the steps, coats and areas.

    `ranges` gives the coverage of a material on an area in a coat by (material, area, coat); else it is the planned one
    less and more by `spread`. Raises GuardFault for a spread that can't be.
    """
    if not 0 <= spread < 1:
        raise GuardFault("A spread is a share, under 100 %.")
    known = ranges or {}
    lines = []
    with localcontext(CONTEXT):
        for place, step in enumerate(workings.steps):
            for use in step.materials:
                planned = coats_of(use)
                for coat, coverage in enumerate(planned, 1):
                    for area, surface in zip(step.areas, step.ground.effectives, strict=True):
                        around = CoverageRange(low=coverage * (_ONE - spread), high=coverage * (_ONE + spread))
                        lines.append(
                            GuardLine(
                                place=place,
                                step=step.step,
                                area=area,
                                material=use.material,
                                name=use.name,
                                coat=coat,
                                coats=len(planned),
                                puts=_puts(use),
                                surface=surface,
                                coverage=known.get((use.material, area, coat), around),
                                waste=use.waste,
                                planned=surface / coverage * (_ONE + use.waste),
                                solids=_solids(use),
                            )
                        )
    return tuple(lines)


def coats_of(use: UseFigure) -> tuple[Decimal, ...]:
    """The planned coverage of each coat, m²/m³; none for what is not spread by volume."""
    if isinstance(use.use, CoverageUse):
        return tuple(each.magnitude for each in coverages(use.use) if each.dimension is Dimension.AREA_PER_VOLUME)
    if isinstance(use.use, MixUse | DilutionUse):
        return (use.use.coverage.magnitude,) * use.use.coats
    return ()


def judge(line: GuardLine, used: Decimal) -> Judgement:
    """Right, too thin or too thick. Raises GuardFault for less than nothing."""
    if used < 0:
        raise GuardFault("What was used is nothing or more.")
    low, high = line.low, line.high
    word = Judged.TOO_THIN if used < low else Judged.TOO_THICK if used > high else Judged.RIGHT
    coverage = CONTEXT.divide(line.surface, used) if used else None
    film = wet_film(coverage) if coverage is not None else Decimal(0)
    do = DO[line.puts, word]
    if line.puts is Puts.FILM and coverage is not None and coverage <= BLOTCHY:
        do = (*do, BLOTCHY_DO)
    return Judgement(
        line=line,
        used=used,
        word=word,
        do=do,
        coverage=coverage,
        wet_film=film,
        dry_film=dry_film(film, line.solids) if line.solids is not None and film else None,
        off=max(low - used, used - high, Decimal(0)),
    )


def _puts(use: UseFigure) -> Puts:
    if isinstance(use.use, MixUse):
        return Puts.COLOUR
    return Puts.SOLUTION if isinstance(use.use, DilutionUse) else Puts.FILM


def _solids(use: UseFigure) -> Decimal | None:
    return use.of.solids if _puts(use) is Puts.FILM else None
