import pytest
from django.db import IntegrityError
from django.db.models import ProtectedError

from tests.factories import (
    AddOnFactory,
    OptionFactory,
    OptionGroupFactory,
    OptionStepFactory,
    OptionUseFactory,
    StepMaterialFactory,
)
from tests.sample_options import House

pytestmark = pytest.mark.django_db


def test_an_extra_has_an_option():
    with pytest.raises(IntegrityError):
        OptionFactory(kind="add-on")


def test_an_option_is_no_extra_of_another():
    with pytest.raises(IntegrityError):
        OptionFactory(with_option=OptionFactory())


def test_extras_go_with_their_option():
    extra = AddOnFactory()
    extra.with_option.delete()
    assert not type(extra).objects.filter(pk=extra.pk).exists()


def test_one_option_of_a_folder_is_advised():
    advised = OptionFactory(advised=True)
    with pytest.raises(IntegrityError):
        OptionFactory(job=advised.job, advised=True)


def test_a_step_stands_once_in_a_group():
    step = OptionStepFactory()
    with pytest.raises(IntegrityError):
        OptionStepFactory(group=step.group, step=step.step)


def test_an_area_that_is_priced_stays_in_its_folder():
    house = House()
    area = house.area()
    house.option(area)
    with pytest.raises(ProtectedError):
        house.job.delete()


def test_a_system_that_is_priced_stays_in_its_edition():
    group = OptionGroupFactory()
    with pytest.raises(ProtectedError):
        group.system.delete()


def test_a_step_finds_what_is_said_of_one_of_its_materials():
    use = OptionUseFactory()
    other = StepMaterialFactory(step=use.step_material.step)
    step = use.option_step
    assert (step.use_of(use.step_material), step.use_of(other)) == (use, None)
