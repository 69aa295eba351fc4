"""What a step of the sheet says of itself."""

from decimal import Decimal

import pytest

from quoting.models import OptionStep
from quoting.views.sheet_rows import harder_than_usual
from tests.sample_options import House

pytestmark = pytest.mark.django_db


def only_step(option) -> OptionStep:
    return OptionStep.objects.get(group__option=option)


def test_a_step_names_the_book_s_factors_for_deep_texture_and_for_flights():
    house = House()
    areas = [
        house.area("Deck", texture=Decimal("1.12")),
        house.area("Walk", texture=Decimal("1.10")),
        house.area("Flight", surface="steps"),
    ]
    step = only_step(house.option(*areas))
    # three areas of 400 ft²: (1.25 + 1 + 1.5) ÷ 3 = 1.25
    assert harder_than_usual(step, areas) == "Difficulty × 1.25 from the book: A deep texture: × 1.25; C steps: × 1.5"
    assert harder_than_usual(step, areas[1:2]) == ""  # light slate is 1.05 to 1.10


def test_the_book_s_factor_is_named_beside_another_one_and_not_where_it_has_none():
    house = House()
    area = house.area(texture=Decimal("1.12"))
    step = only_step(house.option(area))
    step.difficulty = Decimal(1)
    assert harder_than_usual(step, [area]) == "The book has × 1.25: A deep texture: × 1.25"
    step.difficulty = Decimal("1.25")
    assert harder_than_usual(step, [area]) == ""
    step.difficulty, step.step.task.textured = None, Decimal(1)
    assert harder_than_usual(step, [area]) == ""
