"""An extra that is offered with more than one option."""

import pytest
from django.test import Client
from django.urls import reverse

from quoting.models import Option
from tests.factories import AddOnFactory, OptionFactory, OwnerFactory
from tests.sample_options import House

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> House:
    return House()


@pytest.fixture
def office(client: Client, house: House) -> Client:
    client.force_login(OwnerFactory())
    return client


def two_options(house: House) -> tuple[Option, Option]:
    system = house.system()
    first = house.option(house.area(), system=system, name="One")
    return first, house.option(house.area("Walk"), system=system, name="Two")


def page_of(extra: Option) -> str:
    return reverse("option-copy", args=[extra.job.number, extra.pk])


def test_an_extra_is_copied_to_another_option_of_the_folder(office: Client, house: House) -> None:
    first, second = two_options(house)
    extra = AddOnFactory(with_option=first, name="Grit")
    page = office.get(page_of(extra))
    assert [label for _value, label in page.context["form"].fields["with_option"].choices] == ["Two"]
    office.post(page_of(extra), {"name": "Grit", "with_option": second.pk})
    assert list(second.add_ons.values_list("name", flat=True)) == ["Grit"]
    assert list(first.add_ons.values_list("name", flat=True)) == ["Grit"]


def test_pressed_twice_it_is_copied_once(office: Client, house: House) -> None:
    first, second = two_options(house)
    extra = AddOnFactory(with_option=first, name="Grit")
    for _ in range(2):
        office.post(page_of(extra), {"name": "Grit", "with_option": second.pk})
    assert second.add_ons.count() == 1


def test_an_option_of_another_edition_is_none_to_copy_it_to(office: Client, house: House) -> None:
    extra = AddOnFactory(with_option=house.option(house.area(), name="One"), name="Grit")
    other = OptionFactory(job=house.job, name="Old")
    assert other.edition_id != extra.edition_id
    office.post(page_of(extra), {"name": "Grit 2", "with_option": other.pk})
    assert not other.add_ons.exists()
