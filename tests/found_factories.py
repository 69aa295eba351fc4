"""Factories of what was found: findings, photographs, the advice that was taken, tones and samples."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from quoting.models import AdviceChoice, Finding, Photo, Sample, Tone
from tests.factories import AreaFactory, JobFactory, OwnerFactory


class FindingFactory(DjangoModelFactory):
    """A tape test that took nothing off, read on the spot; on an area of its own folder unless one is given."""

    class Meta:
        model = Finding

    area = factory.SubFactory(AreaFactory)
    job = factory.SelfAttribute("area.job")
    kind = "tape"
    answers = factory.LazyFunction(lambda: {"result": "clean"})
    reading = "holds"
    started_at = datetime(2026, 6, 1, 14, 0, tzinfo=UTC)
    found_at = datetime(2026, 6, 1, 14, 0, tzinfo=UTC)
    found_by = factory.SubFactory(OwnerFactory)


class WaitingFindingFactory(FindingFactory):
    """A plastic sheet, laid and not read yet."""

    kind = "plastic-sheet"
    answers = factory.LazyFunction(dict)
    reading = ""
    found_at = None


class PhotoFactory(DjangoModelFactory):
    """A row without files."""

    class Meta:
        model = Photo

    job = factory.SubFactory(JobFactory)
    name = factory.Sequence(lambda n: f"{n:032x}")
    position = factory.Sequence(lambda n: n)
    width = 2400
    height = 1800
    bytes = 1_000_000
    sha256 = factory.Sequence(lambda n: f"{n:064x}")
    added_by = factory.SubFactory(OwnerFactory)


class AdviceChoiceFactory(DjangoModelFactory):
    """The advice followed: recolour."""

    class Meta:
        model = AdviceChoice

    area = factory.SubFactory(AreaFactory)
    approach = "recolour"
    chosen_at = datetime(2026, 6, 2, 9, 0, tzinfo=UTC)
    chosen_by = factory.SubFactory(OwnerFactory)


class ToneFactory(DjangoModelFactory):
    """Graphite in the recesses, 6 oz a gallon, from no price book."""

    class Meta:
        model = Tone

    job = factory.SubFactory(JobFactory)
    position = factory.Sequence(lambda n: n)
    role = "base, in the recesses"
    colour = "Graphite"
    strength = Decimal(6)


class SampleFactory(DjangoModelFactory):
    """A sample on the slab that nobody has approved yet."""

    class Meta:
        model = Sample

    area = factory.SubFactory(AreaFactory)
    job = factory.SelfAttribute("area.job")
    recipe = "1. base: Graphite: 6 oz (170 g) a gallon of water"
    made_on = date(2026, 6, 2)
    made_by = factory.SubFactory(OwnerFactory)
