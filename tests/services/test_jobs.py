from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection

from quoting.models import ChangedMeanwhile, Event, Job, Series
from quoting.services.jobs import keep_asked, open_folder
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

    def open_five(_: int) -> None:
        start.wait()
        try:
            for _ in range(5):
                open_folder(by=by, property=place)
        finally:
            connection.close()

    with ThreadPoolExecutor(8) as hands:
        list(hands.map(open_five, range(8)))
    assert sorted(Job.objects.values_list("number", flat=True)) == [f"{n:04d}" for n in range(1, 41)]


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
