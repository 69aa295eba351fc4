"""What an extra stirs into a sealer, and a charge that is a share of direct cost, in the scope of an option."""

from decimal import Decimal

import pytest

from quoting.core.rounding import round_half_up
from quoting.models import StepMaterial
from quoting.services.scope import scope_of, workings_of
from tests.factories import MaterialFactory, OptionChargeFactory, PackFactory
from tests.sample_options import House, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


def use_of(house: House, option):
    """The first use of the first step."""
    return scope_of(house.firm, whole(option)).work[0].materials[0].use


# what is stirred into the sealer


def grit_on(house: House, areas, **use: object):
    """An extra that stirs 4 oz of grit into a gallon; by itself the book has it go 250 ft² a gallon, coat 2."""
    grit = MaterialFactory(edition=house.edition, key="grit", name="Grit", kind="dry", group="sealers", strength=4)
    PackFactory(material=grit, size=1, unit="lb", price="18.00")
    house.goes(grit, "stamped", "worn", 250)
    system = house.system("grit", use={"by": "stirred", "coats": 1, **use})
    StepMaterial.objects.filter(step__system=system).update(material=grit)
    return house.option(*areas, system=system, name="Grit")


def test_grit_by_itself_goes_as_far_as_the_book_has_it(house):
    extra = grit_on(house, [house.area()])
    use = use_of(house, extra)
    assert (use.strength.text, use.coverage.text) == ("4 oz/gal", "250 ft**2/gal")
    # 400 ÷ 250 × 4 = 6.4 oz
    figure = workings_of(house.firm, whole(extra)).materials[0]
    assert round_half_up(figure.need / Decimal("0.028349523125"), 6) == Decimal("6.4")


def test_grit_goes_as_far_as_the_last_coat_of_the_sealer_that_it_is_stirred_into(house):
    deck = house.area()
    option = house.option(
        deck, system=house.system(use={"by": "coverage", "rates": ["160 ft**2/gal", "200 ft**2/gal"]})
    )
    extra = grit_on(house, [deck])
    scope = scope_of(house.firm, whole(option), [whole(extra)])
    assert scope.work[1].materials[0].use.coverage.text == "200 ft**2/gal"


def test_grit_on_other_areas_does_not_follow(house):
    option, extra = house.option(house.area()), grit_on(house, [house.area("Walk")])
    scope = scope_of(house.firm, whole(option), [whole(extra)])
    assert scope.work[1].materials[0].use.coverage.text == "250 ft**2/gal"


def test_grit_with_a_coverage_of_its_own_keeps_it(house):
    deck = house.area()
    option, extra = house.option(deck), grit_on(house, [deck], coverage="300 ft**2/gal")
    scope = scope_of(house.firm, whole(option), [whole(extra)])
    assert scope.work[1].materials[0].use.coverage.text == "300 ft**2/gal"


# a share of direct cost


def test_a_contingency_is_priced_as_a_share_of_direct_cost(house):
    option = house.option(house.area())
    OptionChargeFactory(option=option, name="Contingency", category="other", amount=0, per="share", share="0.2")
    price = workings_of(house.firm, whole(option)).price.of
    # 178.00 of materials and labour, as above; × 0.2 = 35.60; 213.60 × 1.5 = 320.40
    assert (price.shared[0].amount, price.price) == (Decimal("35.60"), Decimal("320.40"))
