"""Sample rows of the price book."""

from __future__ import annotations

from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from quoting.models import (
    Charge,
    Coverage,
    Edition,
    LabourTask,
    Material,
    Pack,
    PriceList,
    RestorationSystem,
    StepMaterial,
    SystemStep,
    UnitPrice,
)


class EditionFactory(DjangoModelFactory):
    """A drafted edition with nothing in it."""

    class Meta:
        model = Edition

    name = factory.Sequence(lambda n: f"Edition {n + 1}")


class MaterialFactory(DjangoModelFactory):
    """A sealer without packs or coverage."""

    class Meta:
        model = Material

    edition = factory.SubFactory(EditionFactory)
    key = factory.Sequence(lambda n: f"sealer-{n}")
    name = factory.Sequence(lambda n: f"Solvent acrylic {n}")
    kind = Material.Kind.LIQUID
    group = Material.Group.SEALERS


class PackFactory(DjangoModelFactory):
    """Five gallons for 239.00."""

    class Meta:
        model = Pack

    material = factory.SubFactory(MaterialFactory)
    size = Decimal(5)
    unit = "gal"
    price = Decimal("239.00")


class CoverageFactory(DjangoModelFactory):
    """First coat on worn stamped concrete: 180, 220, 260 ft² a gallon."""

    class Meta:
        model = Coverage

    material = factory.SubFactory(MaterialFactory)
    surface = "stamped"
    condition = "worn"
    coat = 1
    low = Decimal(180)
    likely = Decimal(220)
    high = Decimal(260)


class LabourTaskFactory(DjangoModelFactory):
    """350 ft² an hour after 0.75 h of set-up."""

    class Meta:
        model = LabourTask

    edition = factory.SubFactory(EditionFactory)
    key = factory.Sequence(lambda n: f"task-{n}")
    name = factory.Sequence(lambda n: f"Seal {n}")
    rate = Decimal(350)
    setup = Decimal("0.75")


class ChargeFactory(DjangoModelFactory):
    """Travel, 32.00 a visit."""

    class Meta:
        model = Charge

    edition = factory.SubFactory(EditionFactory)
    key = factory.Sequence(lambda n: f"charge-{n}")
    name = "Travel"
    amount = Decimal("32.00")


class UnitPriceFactory(DjangoModelFactory):
    class Meta:
        model = UnitPrice

    edition = factory.SubFactory(EditionFactory)
    name = "Crack filled with paste, a foot"
    price = Decimal("6.50")


class RestorationSystemFactory(DjangoModelFactory):
    """A system for worn stamped concrete without steps."""

    class Meta:
        model = RestorationSystem

    edition = factory.SubFactory(EditionFactory)
    key = factory.Sequence(lambda n: f"system-{n}")
    name = factory.Sequence(lambda n: f"Reseal {n}")
    surfaces = factory.LazyFunction(lambda: ["stamped"])
    conditions = factory.LazyFunction(lambda: ["worn"])


class SystemStepFactory(DjangoModelFactory):
    """A step without task or hours."""

    class Meta:
        model = SystemStep

    system = factory.SubFactory(RestorationSystemFactory)
    key = factory.Sequence(lambda n: f"step-{n}")
    name = factory.Sequence(lambda n: f"Seal {n}")


class StepMaterialFactory(DjangoModelFactory):
    """One coat of a sealer of the same edition."""

    class Meta:
        model = StepMaterial

    step = factory.SubFactory(SystemStepFactory)
    material = factory.SubFactory(MaterialFactory, edition=factory.SelfAttribute("..step.system.edition"))
    use = factory.LazyFunction(lambda: {"by": "coverage", "coats": 1})


class PriceListFactory(DjangoModelFactory):
    class Meta:
        model = PriceList

    edition = factory.SubFactory(EditionFactory)
    sha256 = "0" * 64
    name = "prices.csv"
    content = b""
