"""How a material is used up: each way of using gives a need, in the dimension that the material's packs are sold in."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core.batches import Batch, mixed_volume, split_into_batches
from quoting.core.ground import Ground
from quoting.core.rounding import ceil_count
from quoting.core.scope import (
    EDGE,
    CoverageUse,
    CrackUse,
    DilutionUse,
    EachUse,
    JointUse,
    LengthUse,
    Material,
    MaterialUse,
    MixUse,
    StirredUse,
    Use,
)
from quoting.core.units import Dimension, Quantity

_ONE = Decimal(1)

_HELD = {
    Dimension.AREA_PER_VOLUME: Dimension.VOLUME,
    Dimension.AREA_PER_MASS: Dimension.MASS,
    Dimension.VOLUME_PER_LENGTH: Dimension.VOLUME,
    Dimension.MASS_PER_LENGTH: Dimension.MASS,
    Dimension.COUNT_PER_LENGTH: Dimension.COUNT,
}


class UseFault(ValueError):
    """The way of using doesn't go with the material's packs; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What one step uses of one material, in m³, kg or each, waste included; and the weights that spread it over the
    areas.

    `raw` is the need before any density, in the dimension that the use itself reckons in: for a mix, the volume of the
    mix.
    """

    need: Decimal
    raw: Decimal
    weights: tuple[Decimal, ...]
    weight: Decimal
    batches: tuple[Batch, ...] = ()


def reckoned_in(use: Use) -> Dimension:
    """The dimension that the use itself gives: a volume, a mass or a count. Raises UseFault for rates of both kinds."""
    if isinstance(use, CoverageUse):
        found = {_HELD[each.dimension] for each in coverages(use)}
        if len(found) > 1:
            raise UseFault("the rates must be all by volume or all by mass.")
        return found.pop()
    if isinstance(use, LengthUse):
        return _HELD[use.per_length.dimension]
    if isinstance(use, MixUse | StirredUse):
        return Dimension.MASS
    return Dimension.COUNT if isinstance(use, EachUse) else Dimension.VOLUME


def coverages(use: CoverageUse) -> tuple[Quantity, ...]:
    """The coverage of each coat."""
    if use.rates:
        return use.rates
    return () if use.coverage is None else (use.coverage,) * (use.coats or 1)


def density_of(use: Use, material: Material) -> Quantity | None:
    """The use's own density, or else the material's."""
    return getattr(use, "density", None) or material.density


def check_use(use: Use, material: Material) -> None:
    """Raises UseFault where the use gives one dimension, the packs hold another, and no density joins them."""
    given, packed = reckoned_in(use), material.packs[0].size.dimension
    if given is packed or ({given, packed} == {Dimension.VOLUME, Dimension.MASS} and density_of(use, material)):
        return
    pack = f"“{material.packs[0].size.text}”, {packed}"
    if Dimension.COUNT in (given, packed):
        raise UseFault(f"the use gives {given}, but the packs are sold as {pack}.")
    raise UseFault(f"the use gives {given}, but the packs are sold as {pack}: give a “density” to join them.")


def need_of(each: MaterialUse, material: Material, ground: Ground) -> Need:
    """What a step on this ground needs of the material. Expects a use that check_use accepts."""
    use = each.use
    raw, weights, weight = _RAW[type(use)](use, ground)
    raw *= _ONE + each.waste
    if isinstance(use, MixUse):
        step = None if use.batch_step is None else use.batch_step.magnitude
        batches = split_into_batches(raw, use.batch.magnitude, step, use.strength.magnitude)
        powder = use.strength.magnitude * mixed_volume(batches)
        return Need(need=_joined(powder, use, material), raw=raw, weights=weights, weight=weight, batches=batches)
    return Need(need=_joined(raw, use, material), raw=raw, weights=weights, weight=weight)


def _joined(raw: Decimal, use: Use, material: Material) -> Decimal:
    """The need by mass of one by volume, or the reverse, where the packs are sold so."""
    given, packed = reckoned_in(use), material.packs[0].size.dimension
    density = None if given is packed else density_of(use, material)
    if density is None:
        return raw
    return raw * density.magnitude if packed is Dimension.MASS else raw / density.magnitude


_Raw = tuple[Decimal, tuple[Decimal, ...], Decimal]


def _coverage(use: CoverageUse, ground: Ground) -> _Raw:
    if use.rates:
        raw = sum((ground.effective / rate.magnitude for rate in use.rates), Decimal(0))
    else:
        raw = ground.effective * (use.coats or 1) / use.coverage.magnitude  # type: ignore[union-attr]
    return raw, ground.effectives, ground.effective


def _mix(use: MixUse, ground: Ground) -> _Raw:
    return ground.effective * use.coats / use.coverage.magnitude, ground.effectives, ground.effective


def _dilution(use: DilutionUse, ground: Ground) -> _Raw:
    solution = ground.effective * use.coats / use.coverage.magnitude
    return solution / (_ONE + use.parts_water), ground.effectives, ground.effective


def _stirred(use: StirredUse, ground: Ground) -> _Raw:
    into = ground.effective * use.coats / use.coverage.magnitude
    return into * use.strength.magnitude, ground.effectives, ground.effective


def _along(length: Any, ground: Ground) -> _Raw:
    if length != EDGE:
        return length.magnitude, ground.nets, ground.net
    if ground.edge is None:
        raise UseFault("the edge of these areas is not known.")
    return ground.edge, ground.edges, ground.edge


def _length(use: LengthUse, ground: Ground) -> _Raw:
    length, weights, weight = _along(use.length, ground)
    return length * use.per_length.magnitude, weights, weight


def _crack(use: CrackUse, ground: Ground) -> _Raw:
    length, weights, weight = _along(use.length, ground)
    return length * use.width.magnitude * use.depth.magnitude, weights, weight


def joint_share(use: JointUse) -> Decimal:
    """The fraction of the paved area that is joint."""
    length, width, joint = use.unit_length.magnitude, use.unit_width.magnitude, use.joint.magnitude
    return _ONE - length * width / ((length + joint) * (width + joint))


def _joint(use: JointUse, ground: Ground) -> _Raw:
    return ground.net * joint_share(use) * use.depth.magnitude, ground.nets, ground.net


def _each(use: EachUse, ground: Ground) -> _Raw:
    if use.per_area is None:
        return Decimal(use.count or 0), ground.nets, ground.net
    return Decimal(ceil_count(ground.net / use.per_area.magnitude)), ground.nets, ground.net


_RAW: dict[type, Callable[[Any, Ground], _Raw]] = {
    CoverageUse: _coverage,
    MixUse: _mix,
    DilutionUse: _dilution,
    StirredUse: _stirred,
    LengthUse: _length,
    CrackUse: _crack,
    JointUse: _joint,
    EachUse: _each,
}
