"""The crew's mix sheet: each batch with its water and powder, and the stretch of which area it covers.

Batches end at the borders of areas where they can: the last bucket of an area is rounded up to the batch step. What is
over goes into the next batch, so that the sheet's batches hold the same water as the workings'.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from itertools import pairwise

from quoting.core.batches import mixed_volume
from quoting.core.material_workings import UseFigure
from quoting.core.rounding import CONTEXT, ceil_to, round_half_up
from quoting.core.scope import Area, MixUse
from quoting.core.units import Dimension, Quantity
from quoting.core.workings import StepFigure, Workings

_NONE = Decimal(0)

MIX_ORDER = ("water-first", "weigh-powder", "powder-into-water", "stir", "strain", "keep-stirring")
"""What is done with each batch, in order, as keys of the sheet's words."""

BOX_RULE = "box-what-is-left"
"""The key of the rule: mix what is left with the next batch, within an area, and never begin a bucket at a lap."""


class MixFault(ValueError):
    """There is nothing to mix; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """An area that is coloured: its true surface in m², and its length in m where it is one plain rectangle."""

    name: str
    effective: Decimal
    length: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """What a batch covers of an area in one coat: from one share of it to another, 0 to 1; in m where it has a length,
    and as true surface in m².
    """

    area: str
    coat: int
    from_share: Decimal
    to_share: Decimal
    surface: Decimal
    length: Decimal | None = None

    @property
    def begins(self) -> Decimal | None:
        """Metres along the area's length where it begins; None without a length."""
        return None if self.length is None else self.from_share * self.length

    @property
    def ends(self) -> Decimal | None:
        """Metres along the area's length where it ends."""
        return None if self.length is None else self.to_share * self.length

    @property
    def whole(self) -> bool:
        """Whether it is all of the area."""
        return self.from_share == 0 and self.to_share == 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetBatch:
    """One bucket: water in m³, powder in kg. `weigh` is the powder as the scale can show it.

    `tone_step` is by which share the tone changes when the scale is off by one step, `strength_step` the same in kg/m³.
    """

    number: int
    water: Decimal
    powder: Decimal
    scoops: Decimal | None
    stretches: tuple[Stretch, ...]
    partial: bool
    weigh: Decimal
    tone_step: Decimal
    strength_step: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class MixSheet:
    """All batches of one powder in one step. `boxed` are runs of batches that meet within an area: what is left of one
    is mixed into the next.
    """

    step: str
    material: str
    name: str
    strength: Decimal
    coats: int
    batches: tuple[SheetBatch, ...]
    boxed: tuple[tuple[int, ...], ...]
    scale_step: Decimal
    order: tuple[str, ...] = MIX_ORDER

    @property
    def water(self) -> Decimal:
        """Of all batches, m³."""
        return sum((batch.water for batch in self.batches), _NONE)

    @property
    def powder(self) -> Decimal:
        """Of all batches, kg."""
        return sum((batch.powder for batch in self.batches), _NONE)


def mix_sheets(workings: Workings, scale_step: Decimal, *, at_borders: bool = True) -> tuple[MixSheet, ...]:
    """A sheet for every mix of the workings, in the order of the steps. `scale_step` in kg. Raises MixFault."""
    areas = {area.name: area for area in workings.scope.areas}
    return tuple(
        mix_sheet(step.step, use, _grounds(step, areas), scale_step, at_borders=at_borders)
        for step in workings.steps
        for use in step.materials
        if isinstance(use.use, MixUse)
    )


def _grounds(step: StepFigure, areas: dict[str, Area]) -> tuple[Ground, ...]:
    return tuple(
        Ground(name=name, effective=effective, length=plain_length(areas[name]))
        for name, effective in zip(step.areas, step.ground.effectives, strict=True)
    )


def plain_length(area: Area) -> Decimal | None:
    """The longer side in m of an area that is one rectangle and nothing taken out of it; else None."""
    if len(area.parts) != 1 or area.deducts or area.parts[0].shape != "rectangle" or area.parts[0].count != 1:
        return None
    sides = [size.magnitude for _name, size in area.parts[0].sizes if isinstance(size, Quantity)]
    return max(sides)


def mix_sheet(
    step: str, use: UseFigure, grounds: Sequence[Ground], scale_step: Decimal, *, at_borders: bool = True
) -> MixSheet:
    """The sheet of one mix, laid coat after coat along the areas in their order.

    Raises MixFault for a use that is no mix, one without batches, or a scale without a step.
    """
    mix = use.use
    if not isinstance(mix, MixUse) or not use.batches:
        raise MixFault("Nothing is mixed in this step.")
    if not scale_step > 0:
        raise MixFault("A scale shows steps of more than nothing.")
    with localcontext(CONTEXT):
        legs = _legs(grounds, mix.coats, use.raw)
        step_size = mix.batch.magnitude / 4 if mix.batch_step is None else mix.batch_step.magnitude
        buckets = _buckets(legs, mixed_volume(use.batches), mix.batch.magnitude, step_size, at_borders)
        strength = mix.strength.magnitude
        batches, boxed = list[SheetBatch](), list[list[int]]()
        done = _NONE
        for number, (water, reaches) in enumerate(buckets, 1):
            stretches = _stretches(legs, done, reaches)
            if number > 1 and _continues(batches[-1].stretches, stretches):
                if not boxed or boxed[-1][-1] != number - 1:
                    boxed.append([number - 1])
                boxed[-1].append(number)
            done = reaches
            batches.append(_batch(use, number, water, strength, scale_step, stretches, mix.batch.magnitude))
    return MixSheet(
        step=step,
        material=use.material,
        name=use.name,
        strength=strength,
        coats=mix.coats,
        batches=tuple(batches),
        boxed=tuple(map(tuple, boxed)),
        scale_step=scale_step,
    )


@dataclass(frozen=True, slots=True)
class _Leg:
    """One coat on one area: the mix it takes, from `begins` to `ends` of all that is mixed, m³."""

    ground: Ground
    coat: int
    begins: Decimal
    ends: Decimal


def _legs(grounds: Sequence[Ground], coats: int, volume: Decimal) -> list[_Leg]:
    whole = sum((ground.effective for ground in grounds), _NONE) * coats
    legs, surface = list[_Leg](), _NONE
    for coat in range(1, coats + 1):
        for ground in grounds:
            begins = volume * surface / whole
            surface += ground.effective
            legs.append(_Leg(ground, coat, begins, volume if surface == whole else volume * surface / whole))
    return legs


_Bucket = tuple[Decimal, Decimal]
"""The water of a bucket, and how far along the legs it reaches."""


def _buckets(legs: Sequence[_Leg], mixed: Decimal, batch: Decimal, step: Decimal, at_borders: bool) -> list[_Bucket]:
    """The buckets that hold all that is mixed; across borders where a bucket of its own would cover nothing."""
    buckets = _run([leg.ends for leg in legs] if at_borders else [legs[-1].ends], mixed, batch, step)
    reaches = [Decimal(0), *(reach for _water, reach in buckets)]
    if any(before == after for before, after in pairwise(reaches)):
        return _run([legs[-1].ends], mixed, batch, step)
    return buckets


def _run(ends: Sequence[Decimal], mixed: Decimal, batch: Decimal, step: Decimal) -> list[_Bucket]:
    buckets, poured, slack = list[_Bucket](), _NONE, mixed * Decimal("1e-20")
    for i, end in enumerate(ends):
        last = i == len(ends) - 1
        stop = mixed if last else end
        while stop - poured > slack:
            water = min(batch, mixed - poured, stop - poured if last else ceil_to(stop - poured, step))
            poured += water
            buckets.append((water, end if stop - poured <= slack else min(poured, end)))
        # What was over from the bucket before may do for a small area: then that bucket reaches to the end of it.
        if buckets[-1][1] < end:
            buckets[-1] = (buckets[-1][0], end)
    return buckets


def _stretches(legs: Sequence[_Leg], begins: Decimal, ends: Decimal) -> tuple[Stretch, ...]:
    found = []
    for leg in legs:
        low, high = max(begins, leg.begins), min(ends, leg.ends)
        if low < high:
            size = leg.ends - leg.begins
            first = _NONE if low == leg.begins else (low - leg.begins) / size
            last = Decimal(1) if high == leg.ends else (high - leg.begins) / size
            found.append(
                Stretch(
                    area=leg.ground.name,
                    coat=leg.coat,
                    from_share=first,
                    to_share=last,
                    surface=leg.ground.effective * (last - first),
                    length=leg.ground.length,
                )
            )
    return tuple(found)


def _continues(before: Sequence[Stretch], after: Sequence[Stretch]) -> bool:
    """Whether two batches meet inside an area."""
    return bool(after) and bool(before) and after[0].from_share > 0 and before[-1].area == after[0].area


def _batch(
    use: UseFigure,
    number: int,
    water: Decimal,
    strength: Decimal,
    scale_step: Decimal,
    stretches: tuple[Stretch, ...],
    full: Decimal,
) -> SheetBatch:
    powder = strength * water
    scoop = use.of.scoop
    by_mass = scoop is not None and scoop.dimension is Dimension.MASS
    return SheetBatch(
        number=number,
        water=water,
        powder=powder,
        scoops=powder / scoop.magnitude if scoop is not None and by_mass else None,
        stretches=stretches,
        partial=water < full,
        weigh=round_half_up(powder / scale_step, 0) * scale_step,
        tone_step=scale_step / powder,
        strength_step=scale_step / water,
    )
