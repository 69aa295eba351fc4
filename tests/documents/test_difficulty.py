"""The book's difficulty holds from the beginning, by each area's surface and texture."""

from decimal import Decimal

import pytest

from quoting.documents.difficulty import BookDifficulty, difficulty_by_book
from quoting.models import OptionStep, SystemStep
from quoting.services.scope import scope_of, workings_of
from tests.sample_options import House, whole

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


def difficulty_of(house: House, option) -> Decimal:
    return scope_of(house.firm, whole(option)).work[0].labour.difficulty


def test_deep_texture_makes_a_step_take_longer_without_anybodys_doing(house):
    option = house.option(house.area(texture=Decimal("1.2")))
    # 400 ft² × 1.2 ÷ 200 = 2.4 gal → 3 × 50.00; 1 + 400 ÷ 400 × 1.25 = 2.25 h × 39.00 = 87.75; 237.75 × 1.5 = 356.63
    assert workings_of(house.firm, whole(option)).price.of.price == Decimal("356.63")


def test_a_flight_of_steps_takes_the_awkward_factor_whatever_its_texture(house):
    assert difficulty_of(house, house.option(house.area(surface="steps", texture=Decimal("1.2")))) == Decimal("1.5")


def test_areas_that_differ_are_averaged_by_their_size(house):
    deck = house.area("Deck", texture=Decimal("1.2"))
    walk = house.area("Walk", square="10 ft")
    option = house.option(deck, walk)
    # (400 × 1.25 + 100 × 1) ÷ 500 = 1.2
    assert difficulty_of(house, option) == Decimal("1.2")
    step = SystemStep.objects.get(system=option.groups.get().system)
    assert difficulty_by_book(step, [deck, walk]) == BookDifficulty(Decimal("1.2"), "A deep texture: × 1.25")


def test_a_factor_of_the_options_own_goes_before_the_books(house):
    option = house.option(house.area(texture=Decimal("1.2")))
    OptionStep.objects.update(difficulty=Decimal(1))
    assert difficulty_of(house, option) == 1


def test_hours_given_outright_are_as_they_are(house):
    area = house.area(texture=Decimal("1.2"))
    step = SystemStep(task=house.task, measure="hours", hours=4)
    assert difficulty_by_book(step, [area]) == BookDifficulty()
