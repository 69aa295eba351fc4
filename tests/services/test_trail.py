"""The trail: each event carries the hash of the one before it."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

import pytest
from django.db import connection, transaction

from quoting.documents.freeze import sha256_of
from quoting.models import Event
from quoting.services.trail import GENESIS, record, walk_chain
from tests.factories import JobFactory, UserFactory
from tests.frozen_rows import triggers_lifted


def told(count: int) -> list[Event]:
    """So many events, one after the other."""
    with transaction.atomic():
        return [record(f"thing {number}", data={"number": number}) for number in range(1, count + 1)]


@pytest.mark.django_db
def test_the_first_event_follows_nothing():
    event = told(1)[0]
    assert (event.position, event.prev_hash) == (1, GENESIS)


@pytest.mark.django_db
def test_each_event_carries_the_hash_of_the_one_before():
    first, second, third = told(3)
    assert [second.prev_hash, third.prev_hash] == [first.hash, second.hash]


@pytest.mark.django_db
def test_the_hash_is_that_of_the_hash_before_and_of_canonical_json():
    event = told(1)[0]
    at = event.at.strftime("%Y-%m-%dT%H:%M:%S.%f+00:00")
    before, after = f'{{"actor":null,"at":"{at}",', '"job":null,"kind":"thing 1","paper":null,"position":1}'
    text = before + r'"data":"{\"number\":1}",' + after
    assert event.hash == sha256_of(GENESIS + text)


@pytest.mark.django_db
def test_an_unbroken_chain_has_no_fault():
    told(3)
    assert list(walk_chain()) == []


@pytest.mark.django_db
def test_an_event_keeps_who_did_it_and_in_which_folder():
    job, actor = JobFactory(), UserFactory()
    with transaction.atomic():
        event = record("folder opened", job=job, actor=actor)
    assert (Event.objects.get(pk=event.pk).job, Event.objects.get(pk=event.pk).actor) == (job, actor)


@pytest.mark.django_db
def test_a_float_is_no_figure_to_keep():
    with pytest.raises(TypeError, match="never a float"), transaction.atomic():
        record("thing", data={"area": 1.5})


@pytest.mark.django_db(transaction=True)
def test_an_event_needs_the_transaction_of_what_it_tells():
    with pytest.raises(transaction.TransactionManagementError):
        record("thing")


@pytest.mark.django_db
def test_a_changed_event_is_named():
    told(3)
    with triggers_lifted():
        Event.objects.filter(position=2).update(data='{"number":5}')
    assert list(walk_chain()) == ["trail: event 2 (thing 2) was changed"]


@pytest.mark.django_db
def test_an_event_changed_with_its_hash_breaks_the_next_link():
    second = told(3)[1]
    with triggers_lifted():
        Event.objects.filter(pk=second.pk).update(hash="f" * 64)
    assert list(walk_chain()) == [
        "trail: event 2 (thing 2) was changed",
        "trail: event 3 does not follow the one before it",
    ]


@pytest.mark.django_db
def test_a_missing_event_is_named():
    told(3)
    with triggers_lifted():
        Event.objects.filter(position=2).delete()
    assert list(walk_chain()) == [
        "trail: event 2 is missing before event 3",
        "trail: event 3 does not follow the one before it",
    ]


@pytest.mark.django_db(transaction=True)
def test_many_hands_write_one_chain():
    start = Barrier(4)

    def write(_: int) -> None:
        try:
            start.wait()
            for _ in range(5):
                with transaction.atomic():
                    record("thing")
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as hands:
        list(hands.map(write, range(4)))
    assert list(Event.objects.values_list("position", flat=True)) == list(range(1, 21))
    assert list(walk_chain()) == []
