"""The result types of materials: what a step needs of one, and what is bought of it over the whole scope."""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.batches import Batch
from quoting.core.film import dry_film, wet_film
from quoting.core.ground import Ground
from quoting.core.material_lines import buying_lines, cost_lines
from quoting.core.scope import Charging, CoverageUse, DilutionUse, Material, MixUse, Pack, Units, Use
from quoting.core.units import Dimension
from quoting.core.use_lines import use_lines
from quoting.core.uses import coverages
from quoting.core.working_lines import WorkingLine, one_line


@dataclass(frozen=True, slots=True, kw_only=True)
class UseFigure:
    """What one step needs of one material, waste included; `need` in m³, kg or each, `raw` before any density.

    For a mix, `raw` is the volume of mix and `batches` the mix sheet. `of` is the material.
    """

    of: Material
    use: Use
    waste: Decimal
    need: Decimal
    raw: Decimal
    weights: tuple[Decimal, ...]
    """What spreads the need over the ground's areas; they come to `weight`."""
    weight: Decimal
    ground: Ground
    units: Units
    batches: tuple[Batch, ...] = ()

    @property
    def material(self) -> str:
        """Key of the material."""
        return self.of.key

    @property
    def name(self) -> str:
        """Name of the material."""
        return self.of.name

    @property
    def dimension(self) -> Dimension:
        """What the material is sold by."""
        return self.of.packs[0].size.dimension

    @property
    def coats(self) -> int:
        """How many coats are put on; 0 for what is not spread."""
        if isinstance(self.use, CoverageUse):
            return len(coverages(self.use))
        return self.use.coats if isinstance(self.use, MixUse | DilutionUse) else 0

    @property
    def wet_films(self) -> tuple[Decimal, ...]:
        """Wet film of each coat in metres; none for what is not spread by volume."""
        if isinstance(self.use, CoverageUse):
            return tuple(
                wet_film(each.magnitude) for each in coverages(self.use) if each.dimension is Dimension.AREA_PER_VOLUME
            )
        if isinstance(self.use, MixUse | DilutionUse):
            return (wet_film(self.use.coverage.magnitude),) * self.use.coats
        return ()

    @property
    def dry_films(self) -> tuple[Decimal, ...]:
        """What stays of each coat, in metres; none for a material without solids, or a powder."""
        if self.of.solids is None or isinstance(self.use, MixUse):
            return ()
        solids = self.of.solids
        if isinstance(self.use, DilutionUse):
            solids /= 1 + self.use.parts_water
        return tuple(dry_film(wet, solids) for wet in self.wet_films)

    def scoops(self, batch: Batch) -> Decimal | None:
        """How many scoops the powder of one batch is; None without a scoop that is weighed."""
        scoop = self.of.scoop
        if scoop is None or scoop.dimension is not Dimension.MASS:
            return None
        return batch.powder / scoop.magnitude

    @property
    def lines(self) -> tuple[WorkingLine, ...]:
        """From the ground to the need."""
        return use_lines(self)

    @property
    def working(self) -> str:
        """The lines in one."""
        return one_line(self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoughtPack:
    """So many of one pack."""

    pack: Pack
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialFigure:
    """A material over the whole scope: needed, taken from stock, bought and left over (m³, kg, each), and its cost."""

    of: Material
    need: Decimal
    needed_by: tuple[tuple[str, UseFigure], ...]
    taken: Decimal
    bought: tuple[BoughtPack, ...]
    bought_size: Decimal
    left_over: Decimal
    cost: Decimal
    unit_price: Decimal
    """What one canonical unit is charged at: of the set bought for charge "used", of stock for charge "packs"."""
    units: Units

    @property
    def material(self) -> str:
        """Its key."""
        return self.of.key

    @property
    def name(self) -> str:
        """Its name."""
        return self.of.name

    @property
    def dimension(self) -> Dimension:
        """What it is sold by."""
        return self.of.packs[0].size.dimension

    @property
    def charge(self) -> Charging:
        """What it is charged at."""
        return self.of.charge

    @property
    def lines(self) -> tuple[WorkingLine, ...]:
        """From what the steps need to the packs that are bought."""
        return buying_lines(self)

    @property
    def working(self) -> str:
        """The lines in one: `464.00 ft² × 1.12 texture ÷ 200 ft²/gal × 1.05 waste = 2.73 gal → 3 × 1 gal`."""
        return one_line(self.lines)

    @property
    def cost_lines(self) -> tuple[WorkingLine, ...]:
        """From the packs to the cost."""
        return cost_lines(self)

    @property
    def cost_working(self) -> str:
        """Those lines in one."""
        return one_line(self.cost_lines)
