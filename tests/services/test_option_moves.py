from decimal import Decimal

import pytest

from quoting.models import ChangedMeanwhile
from quoting.services.editions import copy_edition
from quoting.services.option_moves import move_to_edition, rematch
from quoting.services.pricebook import read_book
from quoting.services.scope import workings_of
from tests.factories import AddOnFactory, OptionChargeFactory, OptionUseFactory, SystemStepFactory, UserFactory
from tests.sample_options import House, step_material, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


def raised(house: House):
    """A second edition, still a draft, in which a gallon costs 60.00."""
    edition = copy_edition(edition=house.edition, name="2026-2")
    edition.materials.get(key="sealer").packs.update(price=Decimal("60.00"))
    return edition


def publish(house: House, edition) -> None:
    house.publish()
    house.edition.state = "superseded"
    house.edition.save(update_fields=["state"])
    edition.state = "published"
    edition.save(update_fields=["state"])


def test_a_moved_option_keeps_its_own_figures_and_takes_the_new_prices(house):
    system = house.system()
    option = house.option(house.area(), system=system)
    option.groups.get().steps.update(rate=Decimal(200), reason="Steep")
    OptionUseFactory(
        option_step=option.groups.get().steps.get(), step_material=step_material(system), coverage=Decimal(100)
    )
    OptionChargeFactory(option=option, charge=house.travel, name="Travel", amount="30.00", per="visit")
    OptionChargeFactory(option=option, name="Saw hire", amount="10.00")
    edition = raised(house)
    edition.charges.update(amount=Decimal("33.00"))
    publish(house, edition)
    moves = move_to_edition(option=option, version=1, by=UserFactory())
    assert [(move.lost, move.new) for move in moves] == [((), ())]
    kept = whole(option)
    assert (kept.edition, kept.version) == (edition, 2)
    # 400 ÷ 100 = 4 gal × 60.00; 1 + 400 ÷ 200 = 3 h × 39.00 = 117.00; 33.00 + 10.00; (240 + 117 + 43) × 1.5
    assert workings_of(house.firm, kept).price.of.price == Decimal("600.00")


def test_what_an_edition_has_no_more_is_named_and_what_is_new_too(house):
    system = house.system()
    SystemStepFactory(system=system, key="wash", name="Wash", position=1)
    option = house.option(house.area(), system=system)
    edition = copy_edition(edition=house.edition, name="2026-2")
    there = edition.systems.get(key="reseal")
    there.steps.filter(key="wash").delete()
    SystemStepFactory(system=there, key="mask", name="Mask", position=2, on=False)
    move = rematch(whole(option), read_book(edition))
    assert move.lost == ("Reseal has no step “Wash” any more.",)
    assert move.new == ("Reseal has a further step, “Mask”: it is off.", "Charge “Travel”, on.")


def test_looking_at_a_move_writes_nothing(house):
    option = house.option(house.area())
    edition = raised(house)
    moved = rematch(whole(option), read_book(edition)).option
    # 2 gal × 60.00 + 2 h × 39.00 + travel 30.00 = 228.00 × 1.5
    assert workings_of(house.firm, moved).price.of.price == Decimal("342.00")
    assert whole(option).edition == house.edition


def test_a_system_that_is_gone_leaves_its_areas_without_one(house):
    option = house.option(house.area())
    edition = copy_edition(edition=house.edition, name="2026-2")
    edition.systems.all().delete()
    publish(house, edition)
    moves = move_to_edition(option=option, version=1, by=UserFactory())
    assert moves[0].lost == ("The edition has no system “Reseal”: its areas have none now.",)
    assert whole(option).groups.count() == 0


def test_extras_move_along(house):
    option = house.option(house.area())
    extra = AddOnFactory(with_option=option)
    edition = raised(house)
    publish(house, edition)
    move_to_edition(option=option, version=1, by=UserFactory())
    assert whole(extra).edition == edition


def test_an_option_of_today_s_edition_stays_as_it_is(house):
    option = house.option(house.area())
    house.publish()
    assert move_to_edition(option=option, version=1, by=UserFactory()) == []


def test_a_stale_version_moves_nothing(house):
    option = house.option(house.area())
    edition = raised(house)
    publish(house, edition)
    with pytest.raises(ChangedMeanwhile):
        move_to_edition(option=option, version=7, by=UserFactory())
    assert whole(option).edition == house.edition
