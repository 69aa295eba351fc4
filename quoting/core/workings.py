"""The result types: every quantity and amount of a scope, each with how it came about.

Magnitudes are canonical (m, m², m³, kg, h, each) and unrounded; sums of money have exactly the currency's decimals.
Each figure has `lines`, the long-hand sum, and `working`, the same in one line; both are made when they are asked for.
`workings_file.py` writes workings as JSON.
"""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.areas import AreaFigures
from quoting.core.ground import Ground
from quoting.core.labour import along_edge, labour_quantity
from quoting.core.material_workings import BoughtPack, MaterialFigure, UseFigure
from quoting.core.price_lines import price_lines, tax_lines
from quoting.core.pricing import Price, TaxAmount
from quoting.core.scope import Labour, Pricing, Scope, Step, Units
from quoting.core.units import Dimension, Quantity, to_unit
from quoting.core.working_lines import LongHand, WorkingLine, one_line, spoken, worked

__all__ = [
    "AreaFigure",
    "BoughtPack",
    "MaterialFigure",
    "PriceFigure",
    "StepFigure",
    "UseFigure",
    "WorkingLine",
    "Workings",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaFigure:
    """One area: `net` and `effective` in m², `edge` in m or None; `figures` holds its parts and deducts."""

    name: str
    surface: str
    figures: AreaFigures
    units: Units

    @property
    def net(self) -> Decimal:
        """Plan area, for labour."""
        return self.figures.net

    @property
    def effective(self) -> Decimal:
        """Net area × texture, for materials."""
        return self.figures.effective

    @property
    def edge(self) -> Decimal | None:
        """The perimeter of the parts, deducts not subtracted."""
        return self.figures.edge

    @property
    def lines(self) -> tuple[WorkingLine, ...]:
        """Part by part, with what was measured of each, to the net area; then the texture."""
        parts = self.figures.parts
        return self._sum([": ".join(filter(None, [part.part.name, part.measures(self.units)])) for part in parts])

    def _sum(self, labels: list[str]) -> tuple[WorkingLine, ...]:
        hand = LongHand(self.units)
        for i, (part, label) in enumerate(zip(self.figures.parts, labels, strict=True)):
            hand.worked("" if i == 0 else part.sign(), part.area, hand.shown.area, label)
        if len(self.figures.parts) > 1:
            hand.worked("=", self.net, hand.shown.area, "net")
        if self.figures.texture != 1:
            hand.factor("×", self.figures.texture, "texture")
            hand.worked("=", self.effective, hand.shown.area, "true surface")
        return hand.done()

    @property
    def working(self) -> str:
        """The same in one line, the parts by name or shape only."""
        return one_line(self._sum([spoken(part.part.title()) for part in self.figures.parts]))


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFigure:
    """The hours and the cost of one step, and what it uses."""

    of: Step
    person_hours: Decimal
    elapsed_hours: Decimal
    labour_cost: Decimal
    ground: Ground
    materials: tuple[UseFigure, ...]
    units: Units

    @property
    def step(self) -> str:
        """What is done."""
        return self.of.step

    @property
    def areas(self) -> tuple[str, ...]:
        """Names of the areas it is done on."""
        return self.of.areas

    @property
    def lines(self) -> tuple[WorkingLine, ...]:
        """From the quantity to the person-hours."""
        hand, labour = LongHand(self.units), self.of.labour
        if labour is not None and labour.rate is not None:
            self._by_rate(hand, labour)
        else:
            hand.put("", worked(self.person_hours), "person-hours" + (" given" if labour else ": no labour"))
        return hand.done()

    def _by_rate(self, hand: LongHand, labour: Labour) -> None:
        if labour.rate is None:
            return
        quantity = labour_quantity(labour, self.ground)
        unit = hand.shown.unit(labour.rate.dimension)
        above = unit.split("/", 1)[0]
        if labour.rate.dimension is Dimension.COUNT_PER_TIME:
            hand.put("", f"{labour.count:,}", "each")
        elif isinstance(labour.length, Quantity):
            hand.given("", quantity, above)
        else:
            hand.start(quantity, above, " of edge" if along_edge(labour) else "")
        hand.factor("×", labour.passes, "passes")
        hand.given("÷", labour.rate.magnitude, unit)
        hand.factor("×", labour.difficulty, "difficulty")
        if labour.setup is not None and labour.setup.magnitude:
            hand.given("+", labour.setup.magnitude, "hour", "set-up")
        hand.put("=", worked(self.person_hours), "person-hours")

    @property
    def working(self) -> str:
        """The lines in one."""
        return one_line(self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceFigure:
    """The price with its shares: `by_area` splits it over the areas exactly, in their order."""

    of: Price
    pricing: Pricing
    currency: str
    by_area: tuple[tuple[str, Decimal], ...]

    @property
    def lines(self) -> tuple[WorkingLine, ...]:
        """From direct cost to the price."""
        return price_lines(self.of, self.pricing)

    @property
    def working(self) -> str:
        """The lines in one."""
        return one_line(self.lines)

    def tax_lines(self, tax: TaxAmount) -> tuple[WorkingLine, ...]:
        """From a tax's base to its amount."""
        return tax_lines(tax)


@dataclass(frozen=True, slots=True, kw_only=True)
class Workings:
    """Every figure of a scope. `warnings` are sentences for the owner; none of them stops a price."""

    scope: Scope
    areas: tuple[AreaFigure, ...]
    steps: tuple[StepFigure, ...]
    materials: tuple[MaterialFigure, ...]
    price: PriceFigure
    warnings: tuple[str, ...]

    @property
    def person_hours(self) -> Decimal:
        """Of all steps."""
        return sum((step.person_hours for step in self.steps), Decimal(0))

    @property
    def net(self) -> Decimal:
        """Of all areas, in m²."""
        return sum((area.net for area in self.areas), Decimal(0))

    @property
    def price_per_area(self) -> Decimal:
        """The price a square foot or a square metre of net area, not rounded."""
        return self.price.of.price / to_unit(self.net, "ft**2" if self.scope.units is Units.US else "m**2")
