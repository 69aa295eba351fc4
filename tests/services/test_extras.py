from decimal import Decimal

import pytest
from moneyed import Money

from quoting.models import Firm, Option
from quoting.services.extras import price_extra
from quoting.services.option_sheet import Sheet
from quoting.services.options import add_option, copy_option, keep_option
from quoting.services.scope import visits_of, workings_of
from quoting.views.side_by_side import extra_row
from tests.factories import AddOnFactory, OptionChargeFactory, OptionGroupFactory, OptionStepFactory, UserFactory
from tests.sample_options import House, whole

pytestmark = pytest.mark.django_db


def test_an_extra_costs_the_true_difference_now_and_its_own_price_later():
    house = House()
    option = house.option(house.area(square="10 ft"))
    OptionChargeFactory(option=option, charge=house.travel, name="Travel", amount="30.00", per="visit")
    extra = AddOnFactory(with_option=option)
    group = OptionGroupFactory(option=extra, system=house.system("walk"), areas=[house.area("Walk", "10 ft")])
    OptionStepFactory(group=group, step=group.system.steps.get())
    OptionChargeFactory(option=extra, charge=house.travel, name="Travel", amount="30.00", per="visit")
    beside = workings_of(house.firm, whole(option))
    priced = price_extra(house.firm, whole(option), whole(extra), beside)
    # alone: 100 ÷ 200 = 0.5 gal: 1 × 50.00; 1.25 h × 39.00 = 48.75; travel 30.00; 128.75 × 1.5 = 193.13
    # together one gallon does for both, and nobody drives twice: only 48.75 more, 73.12 or 73.13 in the price
    assert (priced.cost, priced.later) == (Decimal("48.75"), Decimal("193.13"))
    assert priced.now == Decimal("266.25") - Decimal("193.13")  # (128.75 + 48.75) × 1.5 − 193.13


def test_what_goes_into_the_last_coat_brings_nobody_back_for_it():
    """The book has the grit on visit 4, for a system that ends there; this option ends with visit 2."""
    house = House()
    deck = house.area(square="10 ft")
    option = house.option(deck, system=house.system("reseal", visit=2))
    grit = house.system("grit", visit=4)
    extra = add_option(job=house.job, by=UserFactory(), system=grit, areas=[deck], with_option=option)
    step = extra.groups.get().steps.get()
    assert (step.visit, step.reason) == (2, "done on the last visit of its option")
    assert visits_of(whole(option), [whole(extra)]) == (2,)


def test_copied_to_a_longer_option_it_goes_with_that_one_s_last_visit():
    house = House()
    deck = house.area(square="10 ft")
    short = house.option(deck, system=house.system("reseal", visit=2), name="Short")
    long = house.option(deck, system=house.system("recolour", visit=3), name="Long")
    extra = add_option(
        job=house.job, by=UserFactory(), system=house.system("grit", visit=4), areas=[deck], with_option=short
    )
    copy = copy_option(option=extra, by=UserFactory(), name="Grit", with_option=long)
    assert copy.groups.get().steps.get().visit == 3


def test_an_extra_on_an_area_of_its_own_keeps_its_visits():
    house = House()
    option = house.option(house.area(), system=house.system("reseal", visit=2))
    walk = house.system("walk", visit=3)
    extra = add_option(job=house.job, by=UserFactory(), system=walk, areas=[house.area("Walk")], with_option=option)
    assert visits_of(whole(option), [whole(extra)]) == (2, 3)


def test_an_extra_that_is_not_complete_says_what_is_missing():
    house = House()
    option = house.option(house.area())
    extra = AddOnFactory(with_option=option)
    priced = price_extra(house.firm, whole(option), whole(extra), workings_of(house.firm, whole(option)))
    assert (priced.cost, priced.now, priced.later) == (None, None, None)
    assert [gap.sentence for gap in priced.gaps] == ["No system has been chosen for an area yet."]


def test_what_goes_onto_an_area_of_its_option_is_never_offered_alone():
    house = House()
    deck = house.area(square="10 ft")
    option = house.option(deck)
    extra = AddOnFactory(with_option=option)
    group = OptionGroupFactory(option=extra, system=house.system("walk"), areas=[deck])
    OptionStepFactory(group=group, step=group.system.steps.get())
    priced = price_extra(house.firm, whole(option), whole(extra), workings_of(house.firm, whole(option)))
    assert (priced.later, priced.gaps) == (None, ())
    assert priced.now is not None
    assert extra_row(priced, "USD").later == "not offered"


def grit_on_visit_two() -> tuple[House, Option, Option]:
    """An option that ends with visit 2, and an extra that the book has on visit 4, fitted to it."""
    house = House()
    deck = house.area(square="10 ft")
    option = house.option(deck, system=house.system("reseal", visit=2))
    grit = house.system("grit", visit=4)
    return house, option, add_option(job=house.job, by=UserFactory(), system=grit, areas=[deck], with_option=option)


def put_on_visit(option: Option, visit: int, **more: object) -> None:
    """Keep the option's sheet with its only step on another visit."""
    step = option.groups.get().steps.get()
    facts = {"visit": visit, **more}
    keep_option(
        option=option, version=option.version, sheet=Sheet(option={"name": option.name}, steps={step.pk: facts})
    )


@pytest.mark.parametrize(("visit", "fitted"), [(1, 1), (3, 3), (5, None)])
def test_an_extra_follows_when_its_option_ends_with_another_visit(visit, fitted):
    _house, option, extra = grit_on_visit_two()
    put_on_visit(option, visit)
    assert extra.groups.get().steps.get().visit == fitted  # on visit 5 the book's own 4 stands
    assert Option.objects.get(pk=extra.pk).version == 2  # a sheet of it that is open takes the new visit


def test_a_visit_that_somebody_chose_for_an_extra_stays_when_its_option_is_kept():
    _house, option, extra = grit_on_visit_two()
    put_on_visit(extra, 4, reason="The owner wants to walk on it first")
    put_on_visit(option, 1)
    assert extra.groups.get().steps.get().visit == 4


def test_an_extra_whose_visits_stay_keeps_its_version():
    _house, option, extra = grit_on_visit_two()
    put_on_visit(option, 2)
    assert Option.objects.get(pk=extra.pk).version == 1


def test_an_option_is_in_the_firms_currency_though_its_edition_has_no_charge():
    house = House()
    Firm.objects.update(currency="CAD")
    house.edition.charges.all().delete()
    system = house.system()
    house.publish()
    option = add_option(job=house.job, by=UserFactory(), system=system, areas=[house.area()])
    assert option.discount == Money(0, "CAD")
