"""Pairs of photographs for the hand-over sheet."""

from __future__ import annotations

import pytest

from quoting.documents.found import found_for_paper
from quoting.documents.photo_pairs import pair_facts, sides_of
from quoting.documents.proposal_found import PhotoLost, photos_of, read_pictures
from quoting.models import Area, Job, Photo
from quoting.services.photos import add_photo
from tests.factories import AreaFactory, JobFactory
from tests.found_factories import PhotoFactory
from tests.views.test_photos import jpeg

pytestmark = pytest.mark.django_db


@pytest.fixture
def deck() -> Area:
    return AreaFactory(job=JobFactory(), name="Pool deck", position=0)


def taken(area: Area, of: str, colour: str, **more: object) -> Photo:
    return add_photo(job=area.job, by=area.job.opened_by, content=jpeg(colour), area=area, of=of, **more).photo


def told(job: Job) -> list[tuple[str, str, str]]:
    return [
        (pair["area"], pair["before"]["name"] if pair["before"] else "", pair["after"]["name"])
        for pair in pair_facts(job)
    ]


def test_before_stands_beside_after_area_by_area(deck):
    walk = AreaFactory(job=deck.job, name="Walk", position=1)
    after, before = taken(deck, "after", "red", step="Seal"), taken(deck, "before", "green")
    only = taken(walk, "after", "blue")
    assert told(deck.job) == [("Pool deck", before.name, after.name), ("Walk", "", only.name)]
    assert pair_facts(deck.job)[0]["after"]["caption"].endswith(", Seal")


def test_an_area_without_one_from_after_is_left_out(deck):
    taken(deck, "before", "green")
    taken(deck, "during", "red")
    assert told(deck.job) == []


def test_one_that_is_not_for_papers_stays_off(deck):
    after = taken(deck, "after", "red")
    Photo.objects.filter(pk=after.pk).update(on_paper=False)
    assert told(deck.job) == []


def test_the_sheet_s_pictures_are_read_by_their_hashes(deck):
    taken(deck, "before", "green")
    taken(deck, "after", "red")
    facts = {"pairs": pair_facts(deck.job)}
    assert [photo["number"] for photo in photos_of(facts)] == ["1", "2"]
    assert set(read_pictures(facts)) == {photo["sha256"] for photo in photos_of(facts)}


def test_a_file_that_is_gone_is_named(deck):
    PhotoFactory(job=deck.job, area=deck, of="after")
    with pytest.raises(PhotoLost):
        pair_facts(deck.job)


def test_what_was_found_is_on_neither_side(deck):
    assert sides_of([PhotoFactory(job=deck.job, area=deck)]) == {}


def test_what_was_taken_at_work_is_not_among_what_was_found(deck):
    before = taken(deck, "before", "green")
    taken(deck, "during", "red")
    taken(deck, "after", "blue")
    assert [photo.name for photo in found_for_paper(deck.job).photos] == [before.name]
