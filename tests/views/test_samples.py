from datetime import date

import pytest
from django.urls import reverse

from quoting.documents.found import recipe_of
from quoting.models import Firm, Sample, Tone
from tests.factories import AreaFactory, CrewFactory, FirmFactory, IssuedProposalFactory, JobFactory, OwnerFactory
from tests.found_factories import SampleFactory, ToneFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    """Signed in as the owner."""
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def at(name: str, job, *more: int) -> str:
    return reverse(name, args=[job.number, *more])


TONE = {"role": "base", "colour": "Graphite", "strength": "6", "note": "", "material": ""}


def test_a_tone_is_kept_and_shown_in_ounces_and_grams(owner):
    job = JobFactory()
    page = owner.post(at("tone-add", job), TONE, follow=True)
    assert Tone.objects.get().strength == 6
    # 6 × 28.349523125 g = 170.1
    assert "6 oz (170 g)" in page.text


@pytest.mark.parametrize(("strength", "sentence"), [("0", "more than 0"), ("129", "at most 128 oz"), ("six", "six")])
def test_a_strength_that_can_t_be_is_said_beside_it(owner, strength, sentence):
    page = owner.post(at("tone-add", JobFactory()), TONE | {"strength": strength})
    assert page.status_code == 422
    assert sentence in page.text
    assert not Tone.objects.exists()


def test_two_who_change_a_tone_see_both(owner):
    row = ToneFactory(version=2, colour="Walnut")
    typed = TONE | {"colour": "Slate", "initial-colour": "Graphite", "version": "1"}
    assert owner.post(at("tone", row.job, row.pk), typed).status_code == 409
    row.refresh_from_db()
    assert row.colour == "Walnut"


def test_tones_are_put_in_the_order_in_which_they_go_on(owner):
    job = JobFactory()
    one, two = ToneFactory(job=job, position=0), ToneFactory(job=job, position=1)
    owner.post(at("tone-move", job, two.pk), {"places": "-1"})
    assert list(Tone.objects.all()) == [two, one]


def test_a_sample_begins_with_the_tones_and_keeps_its_words(owner):
    job = JobFactory()
    area = AreaFactory(job=job)
    tone = ToneFactory(job=job)
    form = owner.get(at("sample-add", job)).context["form"]
    recipe = "1. base, in the recesses: Graphite: 6 oz (170 g) a gallon of water"
    assert form["recipe"].value() == recipe
    owner.post(at("sample-add", job), {"area": str(area.pk), "made_on": "2026-06-02", "photo": "", "recipe": recipe})
    tone.delete()
    assert (Sample.objects.get().recipe, Sample.objects.get().made_on) == (recipe, date(2026, 6, 2))


def test_an_approval_is_noted_once_and_stays(owner):
    row = SampleFactory()
    yes = {"version": "1", "approved_by": "Mrs Wexley", "approved_on": "2026-06-03"}
    owner.post(at("sample-approve", row.job, row.pk), yes)
    again = yes | {"version": "2", "approved_by": "Somebody"}
    page = owner.post(at("sample-approve", row.job, row.pk), again, follow=True)
    row.refresh_from_db()
    assert (row.approved_by, row.approved_on) == ("Mrs Wexley", date(2026, 6, 3))
    assert "Make a new sample, and have that approved." in page.text


def test_an_approved_sample_is_not_removed(owner):
    row = SampleFactory(approved_by="Mrs Wexley", approved_on=date(2026, 6, 3))
    owner.post(at("sample-remove", row.job, row.pk), {"version": "1"})
    assert Sample.objects.exists()


def test_an_approval_is_not_of_a_day_to_come(owner):
    row = SampleFactory()
    yes = {"version": "1", "approved_by": "Mrs Wexley", "approved_on": "2999-01-01"}
    page = owner.post(at("sample-approve", row.job, row.pk), yes)
    assert page.status_code == 422
    assert "That day is still to come." in page.text


def test_an_area_with_a_sample_stays(owner):
    row = SampleFactory()
    page = owner.post(at("area-remove", row.job, row.area.pk), {"version": "1"}, follow=True)
    assert "A sample of the colour record lies on this area, so it stays." in page.text


def test_the_crew_reads_the_record_and_does_not_write(client):
    FirmFactory()
    client.force_login(CrewFactory())
    job = IssuedProposalFactory().job
    ToneFactory(job=job)
    page = client.get(at("colours", job))
    assert "Graphite" in page.text
    assert "Add a tone" not in page.text
    assert client.post(at("tone-add", job), TONE).status_code == 403


def test_a_metric_firm_keeps_its_recipes_in_grams_a_litre(owner):
    Firm.objects.update(units="metric")
    job = JobFactory()
    page = owner.get(at("tone-add", job))
    assert page.context["form"]["strength"].label == "Strength, g a litre of water"
    page = owner.post(at("tone-add", job), TONE | {"strength": "45"}, follow=True)
    assert (Tone.objects.get().units, recipe_of(Tone.objects.all())) == (
        "metric",
        "1. base: Graphite: 45 g a litre of water",
    )
