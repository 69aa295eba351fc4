"""A small firm, price book and folder for tests of options: figures that can be worked by hand."""

from dataclasses import dataclass, field
from decimal import Decimal

from quoting.models import Area, Edition, Firm, Job, LabourTask, Material, Option, RestorationSystem, StepMaterial
from tests.factories import (
    AreaFactory,
    ChargeFactory,
    CoverageFactory,
    EditionFactory,
    FirmFactory,
    JobFactory,
    LabourTaskFactory,
    MaterialFactory,
    OptionFactory,
    OptionGroupFactory,
    OptionStepFactory,
    PackFactory,
    PartFactory,
    RestorationSystemFactory,
    StepMaterialFactory,
    SystemStepFactory,
)


@dataclass
class House:
    """A firm at 39.00 an hour, no overhead, no minimum, half of the cost as markup; one edition with one sealer.

    The edition is a draft, so that tests can add to it, until `publish` is called.
    """

    firm: Firm = field(
        default_factory=lambda: FirmFactory(overhead=Decimal(0), profit_kind="markup", profit=Decimal("0.5"))
    )
    edition: Edition = field(default_factory=lambda: EditionFactory(name="2026-1"))
    job: Job = field(default_factory=JobFactory)

    def __post_init__(self) -> None:
        """A sealer of 50.00 a gallon: on worn stamped concrete 200 ft² a gallon, the second coat 250; bare, 100."""
        self.sealer: Material = MaterialFactory(edition=self.edition, key="sealer", name="Sealer", solids="0.2")
        PackFactory(material=self.sealer, size=1, price="50.00")
        self.goes(self.sealer, "stamped", "worn", 200)
        self.goes(self.sealer, "stamped", "worn", 250, coat=2)
        self.goes(self.sealer, "stamped", "bare", 100)
        self.task: LabourTask = LabourTaskFactory(
            edition=self.edition, key="seal", name="Seal", rate=400, setup=1, textured="1.25", awkward="1.5"
        )
        self.travel = ChargeFactory(edition=self.edition, key="travel", name="Travel", amount="30.00", per="visit")

    def publish(self) -> None:
        """Publish the edition; it never changes again."""
        Edition.objects.published().update(state="superseded")
        self.edition.state = "published"
        self.edition.save(update_fields=["state"])

    def goes(self, material: Material, surface: str, condition: str, likely: int, coat: int = 1) -> None:
        """The sealer goes so far, a tenth less and more at the ends of the range."""
        CoverageFactory(
            material=material,
            surface=surface,
            condition=condition,
            coat=coat,
            low=likely - 50,
            likely=likely,
            high=likely + 50,
        )

    def area(self, name: str = "Deck", square: str = "20 ft", **facts: object) -> Area:
        """A square area: 400 ft² unless its side is given."""
        area = AreaFactory(job=self.job, name=name, position=self.job.areas.count(), **facts)
        PartFactory(area=area, measures={"shape": "rectangle", "length": square, "width": square})
        return area

    def system(self, key: str = "reseal", visit: int = 1, use: dict[str, object] | None = None) -> RestorationSystem:
        """A system of one step: the sealer, one coat unless another use is given."""
        system = RestorationSystemFactory(edition=self.edition, key=key, name=key.capitalize(), mends="Dull sealer.")
        step = SystemStepFactory(system=system, key="seal", name="Seal", task=self.task, visit=visit)
        StepMaterialFactory(step=step, material=self.sealer, use=use or {"by": "coverage", "coats": 1})
        return system

    def option(self, *areas: Area, system: RestorationSystem | None = None, **facts: object) -> Option:
        """An option with the steps of the system, all on, and no charge."""
        option = OptionFactory(job=self.job, edition=self.edition, **facts)
        group = OptionGroupFactory(option=option, system=system or self.system(), areas=list(areas))
        for step in group.system.steps.all():
            OptionStepFactory(group=group, step=step)
        return option


def step_material(system: RestorationSystem) -> StepMaterial:
    """The first material of the first step."""
    return system.steps.first().materials.first()


def whole(option: Option) -> Option:
    """The option again, with everything that decides its price."""
    return Option.objects.with_everything().get(pk=option.pk)
