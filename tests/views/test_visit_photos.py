"""Photographs on the crew's page of a visit."""

from __future__ import annotations

import pytest
from pytest_django.asserts import assertContains, assertRedirects

from quoting.models import Job, Photo, Proposal
from tests.factories import AreaFactory, CrewFactory
from tests.found_factories import PhotoFactory
from tests.sample_visits import planned_job
from tests.views.test_photos import jpeg, sent

pytestmark = pytest.mark.django_db
PAGE = "/folders/0417/visits/3/"


@pytest.fixture
def job(client) -> Job:
    job = planned_job()
    client.force_login(CrewFactory())
    return job


def test_the_crew_sends_them_for_an_area_and_a_step(client, job):
    deck = AreaFactory(job=job, name="Pool deck")
    files = [sent(jpeg("red")), sent(jpeg("green"))]
    typed = {"photos": files, "of": "before", "area": deck.pk, "step": "Seal, two coats"}
    answer = client.post(f"{PAGE}photos/", typed, follow=True)
    assertRedirects(answer, f"{PAGE}#photos")
    assertContains(answer, "2 kept · 2 guardadas")
    assert set(Photo.objects.values_list("area", "of", "step")) == {(deck.pk, "before", "Seal, two coats")}


def test_one_that_is_refused_is_named_in_both_languages(client, job):
    answer = client.post(f"{PAGE}photos/", {"photos": [sent(b"no", "a.jpg")], "of": "after"}, follow=True)
    assertContains(answer, "a.jpg was not taken; call about it · a.jpg no se")
    assert not Photo.objects.exists()


def test_none_chosen_is_said(client, job):
    answer = client.post(f"{PAGE}photos/", {"of": "after"}, follow=True)
    assertContains(answer, "Choose at least one photograph.")


def test_they_stand_by_area_with_before_first(client, job):
    deck = AreaFactory(job=job, name="Pool deck")
    for of in ("after", "found", "before"):
        PhotoFactory(job=job, area=deck, of=of)
    ((area, rows),) = client.get(PAGE).context["photos_by_area"]
    assert (area.en, [word.en for _photo, word in rows]) == ("Pool deck", ["before", "after"])


def test_before_anything_is_ticked_it_asks_for_before(client, job):
    assert [value for value, _word, first in client.get(PAGE).context["photo_when"] if first] == ["before"]
    client.post(f"{PAGE}entries/tick/", {"step": client.get(PAGE).context["steps"][0].key})
    wanted = [value for value, _word, first in client.get(PAGE).context["photo_when"] if first]
    assert wanted in (["during"], ["after"])


def test_of_a_folder_that_the_crew_may_not_see_none_is_taken(client, job):
    Proposal.objects.update(state="declined")
    assert client.post(f"{PAGE}photos/", {"photos": [sent(jpeg())]}).status_code == 404
