from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from quoting.models import Area, Job
from tests.factories import AreaFactory, DeductFactory, JobFactory, PartFactory


@pytest.mark.parametrize(
    ("position", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (27, "AB"), (51, "AZ"), (52, "BA"), (499, "SF")]
)
def test_areas_are_lettered_like_columns(position, letter):
    # AA is 26; 499 − 26 = 473 = 18 × 26 + 5, and the letters 18 and 5, counted from 0, are S and F.
    assert Area(position=position).letter == letter


@pytest.mark.django_db
def test_an_area_stands_in_a_scope_file_with_its_parts_and_what_is_taken_out():
    area = AreaFactory(name="Pool deck", texture=Decimal("1.1200"))
    PartFactory(area=area)
    DeductFactory(area=area, position=1)
    assert Area.objects.get(pk=area.pk).scope_entry == {
        "name": "Pool deck",
        "surface": "stamped concrete",
        "texture": "1.12",
        "parts": [{"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}],
        "deducts": [{"shape": "circle", "diameter": "6 ft", "name": "planter"}],
    }


@pytest.mark.django_db
def test_the_database_refuses_a_texture_under_one_and_a_second_area_of_one_name():
    area = AreaFactory(name="Deck")
    with pytest.raises(IntegrityError), transaction.atomic():
        AreaFactory(texture=Decimal("0.99"))
    with pytest.raises(IntegrityError), transaction.atomic():
        AreaFactory(job=area.job, name="Deck")


@pytest.mark.django_db
def test_every_word_must_be_found_somewhere_in_the_folder():
    JobFactory(property__street="18 Alder Row", property__customer__name="Priya Wexley", asked="grey paper")
    assert Job.objects.found_by("alder wexley grey").count() == 1
    assert Job.objects.found_by("alder finch").count() == 0


@pytest.mark.django_db
def test_a_folder_that_was_never_offered_is_found_by_that():
    job = JobFactory()
    assert list(Job.objects.in_state("none")) == [job]
    assert list(Job.objects.in_state("issued")) == []
    assert (job.draft, job.standing, job.offer) == (None, None, None)
