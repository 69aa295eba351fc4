"""The factory of region rules."""

from __future__ import annotations

from datetime import date

import factory
from factory.django import DjangoModelFactory

from quoting.models import RegionRule
from tests.factories import FirmFactory


class RegionRuleFactory(DjangoModelFactory):
    """A cap on the deposit, switched off: the lesser of a tenth of the price and 1,000.00."""

    class Meta:
        model = RegionRule

    firm = factory.SubFactory(FirmFactory)
    key = factory.Sequence(lambda n: f"rule-{n}")
    region = "California"
    kind = RegionRule.Kind.DEPOSIT_CAP
    name = "Limit on the down payment"
    figures = factory.LazyFunction(lambda: {"of": "lesser", "fraction": "0.10", "amount": "1000.00"})
    source = "Code 1, section 2"
    as_of = date(2026, 1, 1)
