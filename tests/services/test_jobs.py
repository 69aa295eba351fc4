from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection
from django.utils import timezone

from customers.models import Customer, Property
from quoting.models import ChangedMeanwhile, Event, Job, Series
from quoting.services.jobs import keep_asked, open_folder, open_folder_at_new_place
from tests.factories import JobFactory, PropertyFactory, UserFactory


@pytest.mark.django_db
def test_a_folder_gets_the_next_number_and_begins_its_trail():
    place, maribel = PropertyFactory(), UserFactory(name="Maribel")
    first = open_folder(by=maribel, property=place, asked="It is grey now.")
    second = open_folder(by=maribel, property=place)
    assert (first.number, second.number) == ("0001", "0002")
    assert (first.asked, first.opened_by) == ("It is grey now.", maribel)
    assert list(Event.objects.values_list("kind", "job__number", "actor__name", "data")) == [
        ("folder opened", "0001", "Maribel", "{}"),
        ("folder opened", "0002", "Maribel", "{}"),
    ]


@pytest.mark.django_db
def test_after_9999_the_number_grows():
    Series.objects.create(name="folder", last=9999)
    assert open_folder(by=UserFactory(), property=PropertyFactory()).number == "10000"


@pytest.mark.django_db(transaction=True)
def test_folders_opened_at_once_have_numbers_without_gap_or_double():
    place, by, start = PropertyFactory(), UserFactory(), Barrier(8)

    def open_five(hand: int) -> None:
        start.wait()
        try:
            for wish in range(5):
                open_folder(by=by, property=place, asked=f"Wish {wish} of {hand}")
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as hands:
        list(hands.map(open_five, range(8)))
    assert sorted(Job.objects.values_list("number", flat=True)) == [f"{n:04d}" for n in range(1, 41)]


@pytest.mark.django_db(transaction=True)
def test_a_button_pressed_twice_opens_one_folder():
    by, start = UserFactory(), Barrier(4)

    def press(_: int) -> str:
        start.wait()
        try:
            place = {"customer": "Noor Haddad", "street": "64 Ferry Road"}
            return open_folder_at_new_place(by=by, place=place, asked="It is grey.").number
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as hands:
        assert set(hands.map(press, range(4))) == {"0001"}
    assert (Job.objects.count(), Customer.objects.count(), Property.objects.count()) == (1, 1, 1)


@pytest.mark.django_db
def test_the_same_place_is_opened_again_by_another_or_later():
    place, maribel = PropertyFactory(), UserFactory()
    first = open_folder(by=maribel, property=place)
    assert open_folder(by=maribel, property=place) == first
    assert open_folder(by=UserFactory(), property=place) != first
    Job.objects.update(opened_at=timezone.now() - timedelta(seconds=61))  # a press counts for a minute
    assert open_folder(by=maribel, property=place) != first


@pytest.mark.django_db
def test_what_was_asked_is_kept_with_the_facts():
    job = JobFactory(asked="old")
    keep_asked(job=job, version=1, asked="It looked like stone.", poured="about 2014")
    job.refresh_from_db()
    assert (job.asked, job.poured, job.version) == ("It looked like stone.", "about 2014", 2)


@pytest.mark.django_db
def test_the_second_of_two_hands_overwrites_nothing():
    job = JobFactory(asked="old")
    keep_asked(job=job, version=1, asked="Maribel's")
    with pytest.raises(ChangedMeanwhile):
        keep_asked(job=job, version=1, asked="Ines's")
    job.refresh_from_db()
    assert (job.asked, job.version) == ("Maribel's", 2)
