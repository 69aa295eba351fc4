"""The long-hand sum of what a step needs of a material, for each way of using."""

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from quoting.core.batches import mixed_volume
from quoting.core.rounding import ceil_count
from quoting.core.scope import (
    EDGE,
    CoverageUse,
    CrackUse,
    DilutionUse,
    EachUse,
    JointUse,
    LengthUse,
    MixUse,
    StirredUse,
)
from quoting.core.units import Dimension, to_unit
from quoting.core.uses import coverages, density_of, joint_share, reckoned_in
from quoting.core.working_lines import LongHand, WorkingLine, given, is_heavy, sign_of, worked

if TYPE_CHECKING:
    from quoting.core.material_workings import UseFigure

_VOLUME_UNIT = {"ft": "ft**3", "m": "m**3"}


def use_lines(figure: "UseFigure") -> tuple[WorkingLine, ...]:
    """The lines from the ground to the need."""
    hand = LongHand(figure.units)
    _LINES[type(figure.use)](hand, figure.use, figure)
    return hand.done()


def mass_unit(hand: LongHand, kilograms: Decimal) -> str:
    """The unit that a mass of this size is shown in."""
    return hand.shown.heavy if is_heavy(kilograms) else hand.shown.mass


def unit_of(hand: LongHand, dimension: Dimension, need: Decimal) -> str:
    """The unit that a need is shown in."""
    return mass_unit(hand, need) if dimension is Dimension.MASS else hand.shown.unit(dimension)


def _start(hand: LongHand, figure: "UseFigure") -> None:
    """The effective area: net × texture for one texture, else the sum."""
    ground = figure.ground
    if ground.texture is None:
        hand.start(ground.effective, hand.shown.area, ", true surface")
        return
    hand.start(ground.net, hand.shown.area)
    hand.factor("×", ground.texture, "texture")


def _waste(hand: LongHand, figure: "UseFigure") -> None:
    hand.factor("×", 1 + figure.waste, "waste")


def _result(hand: LongHand, figure: "UseFigure") -> None:
    """The need; where a density joins it to the packs, first as the use gives it."""
    reckoned = reckoned_in(figure.use)
    if reckoned is figure.dimension:
        hand.worked("=", figure.need, unit_of(hand, reckoned, figure.need))
        return
    density = density_of(figure.use, figure.of)
    if density is None:
        return
    heavy = unit_of(hand, Dimension.MASS, figure.need)
    volume = hand.shown.volume
    hand.worked("=", figure.raw, heavy if reckoned is Dimension.MASS else volume)
    hand.given("×" if reckoned is Dimension.VOLUME else "÷", density.magnitude, f"{heavy}/{volume}", "density")
    hand.worked("=", figure.need, heavy if figure.dimension is Dimension.MASS else volume)


def _coverage(hand: LongHand, use: CoverageUse, figure: "UseFigure") -> None:
    held = unit_of(hand, reckoned_in(use), figure.raw)
    unit = f"{hand.shown.area}/{held}"
    _start(hand, figure)
    rates = coverages(use)
    hand.given("÷", rates[0].magnitude, unit, "coat 1" if use.rates else "")
    if use.rates:
        held_so_far = figure.ground.effective / rates[0].magnitude
        for coat, rate in enumerate(rates[1:], start=2):
            hand.worked("=", held_so_far, held)
            share = figure.ground.effective / rate.magnitude
            hand.worked("+", share, held, f"coat {coat} at {given(to_unit(rate.magnitude, unit))} {sign_of(unit)}")
            held_so_far += share
        if len(rates) > 1 and figure.waste:
            hand.worked("=", held_so_far, held)
    else:
        hand.factor("×", len(rates), "coats")
    _waste(hand, figure)
    _result(hand, figure)


def _mix(hand: LongHand, use: MixUse, figure: "UseFigure") -> None:
    volume = hand.shown.volume
    _start(hand, figure)
    hand.given("÷", use.coverage.magnitude, f"{hand.shown.area}/{volume}")
    hand.factor("×", use.coats, "coats")
    _waste(hand, figure)
    hand.worked("=", figure.raw, volume, "of mix")
    mixed = mixed_volume(figure.batches)
    mass = mass_unit(hand, use.strength.magnitude * mixed)
    hand.worked("→", mixed, volume, "mixed in batches")
    hand.given("×", use.strength.magnitude, f"{mass}/{volume}", "strength")
    powder = use.strength.magnitude * mixed
    if figure.dimension is Dimension.MASS:
        hand.worked("=", figure.need, mass)
        return
    hand.worked("=", powder, mass)
    density = density_of(use, figure.of)
    if density is not None:
        hand.given("÷", density.magnitude, f"{mass}/{volume}", "density")
    hand.worked("=", figure.need, volume)


def _dilution(hand: LongHand, use: DilutionUse, figure: "UseFigure") -> None:
    _start(hand, figure)
    hand.given("÷", use.coverage.magnitude, f"{hand.shown.area}/{hand.shown.volume}")
    hand.factor("×", use.coats, "coats")
    hand.factor("÷", 1 + use.parts_water, "parts, one of them concentrate")
    _waste(hand, figure)
    _result(hand, figure)


def _stirred(hand: LongHand, use: StirredUse, figure: "UseFigure") -> None:
    volume = hand.shown.volume
    _start(hand, figure)
    hand.given("÷", use.coverage.magnitude, f"{hand.shown.area}/{volume}")
    hand.factor("×", use.coats, "coats")
    hand.worked("=", figure.ground.effective * use.coats / use.coverage.magnitude, volume, "that it goes into")
    mass = unit_of(hand, Dimension.MASS, figure.raw)
    hand.given("×", use.strength.magnitude, f"{mass}/{volume}")
    _waste(hand, figure)
    _result(hand, figure)


def _along(hand: LongHand, length: Any, figure: "UseFigure") -> None:
    if length == EDGE:
        hand.start(figure.ground.edge or Decimal(0), hand.shown.length, " of edge")
    else:
        hand.given("", length.magnitude, hand.shown.length)


def _length(hand: LongHand, use: LengthUse, figure: "UseFigure") -> None:
    _along(hand, use.length, figure)
    unit = unit_of(hand, reckoned_in(use), figure.raw)
    hand.given("×", use.per_length.magnitude, f"{unit}/{hand.shown.length}")
    _waste(hand, figure)
    _result(hand, figure)


def _volume(hand: LongHand, figure: "UseFigure") -> None:
    """From a volume by feet or metres to the volume that packs are sold by."""
    volume = _VOLUME_UNIT[hand.shown.length]
    density = density_of(figure.use, figure.of)
    if figure.dimension is Dimension.MASS and density is not None:
        hand.worked("=", figure.raw, volume)
        mass = mass_unit(hand, figure.need)
        hand.given("×", density.magnitude, f"{mass}/{volume}", "density")
        hand.worked("=", figure.need, mass)
        return
    hand.worked("=", figure.raw, volume)
    hand.put("×", {"ft": "7.480519", "m": "1,000"}[hand.shown.length], f"{hand.shown.volume} in one")
    hand.worked("=", figure.need, hand.shown.volume)


_SMALL = {"ft": ("in", 12), "m": ("mm", 1000)}
"""What a width is called out in, and how many of them make one of the long unit."""


def _small(hand: LongHand, magnitude: Decimal, label: str) -> None:
    """A width or a depth, in the unit that it is called out in."""
    unit, _ = _SMALL[hand.shown.length]
    hand.put("×", given(to_unit(magnitude, unit)), f"{unit} {label}")


def _made_long(hand: LongHand, times: int) -> None:
    """So many small lengths brought to the unit that the first length is in."""
    long = hand.shown.length
    unit, many = _SMALL[long]
    power = "²" if times == 2 else ""
    hand.put("÷", f"{many**times:,}", f"{unit}{power} to {long}{power}")


def _crack(hand: LongHand, use: CrackUse, figure: "UseFigure") -> None:
    _along(hand, use.length, figure)
    _small(hand, use.width.magnitude, "wide")
    _small(hand, use.depth.magnitude, "deep")
    _made_long(hand, 2)
    _waste(hand, figure)
    _volume(hand, figure)


def _joint(hand: LongHand, use: JointUse, figure: "UseFigure") -> None:
    hand.start(figure.ground.net, hand.shown.area)
    hand.put("×", worked(joint_share(use)), f"share of joints, {use.joint.text} round {_paver(use)}")
    _small(hand, use.depth.magnitude, "deep")
    _made_long(hand, 1)
    _waste(hand, figure)
    _volume(hand, figure)


def _paver(use: JointUse) -> str:
    return f"{use.unit_length.text} by {use.unit_width.text}"


def _each(hand: LongHand, use: EachUse, figure: "UseFigure") -> None:
    if use.per_area is None:
        hand.put("", f"{use.count:,}", "each")
    else:
        hand.start(figure.ground.net, hand.shown.area)
        hand.given("÷", use.per_area.magnitude, hand.shown.area, "for each")
        begun = ceil_count(figure.ground.net / use.per_area.magnitude)
        hand.put("→", f"{begun:,}", "each begun")
    _waste(hand, figure)
    if figure.waste:
        hand.worked("=", figure.need, "each")


_LINES: dict[type, Callable[[LongHand, Any, "UseFigure"], None]] = {
    CoverageUse: _coverage,
    MixUse: _mix,
    DilutionUse: _dilution,
    StirredUse: _stirred,
    LengthUse: _length,
    CrackUse: _crack,
    JointUse: _joint,
    EachUse: _each,
}
