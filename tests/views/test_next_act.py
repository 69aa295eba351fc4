"""What a folder says at its top: the one act that comes next, from the first area to the mail."""

import pytest
from django.urls import reverse
from pytest_django.asserts import assertContains

from quoting.models import Job
from tests.factories import (
    AreaFactory,
    EditionFactory,
    FirmFactory,
    IssuedProposalFactory,
    JobFactory,
    MessageFactory,
    OptionFactory,
    OwnerFactory,
    PartFactory,
    ProposalFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client):
    FirmFactory()
    client.force_login(OwnerFactory())
    return client


def next_of(client, job: Job) -> tuple[str, str] | None:
    found = client.get(reverse("folder", args=[job.number])).context["next"]
    return (found.act, found.url) if found else None


def test_from_the_first_area_to_the_proposal(owner):
    job = JobFactory()
    at = f"/folders/{job.number}"
    assert next_of(owner, job) == ("Add the first area", f"{at}/areas/new/")
    area = AreaFactory(job=job, name="Patio")
    assert next_of(owner, job) == ("Measure Patio", f"{at}/areas/{area.pk}/parts/new/")
    part = PartFactory(area=area)
    assert next_of(owner, job) == ("Draft an option", f"{at}/options/new/")
    OptionFactory(job=job, edition=EditionFactory())
    assert next_of(owner, job) == ("Draft the proposal", f"{at}/proposal/")
    ProposalFactory(job=job)
    assert next_of(owner, job) == ("Go on with the proposal", f"{at}/proposal/")
    assert part.area == area


def test_an_area_whose_parts_make_none_is_mended_first(owner):
    area = AreaFactory(name="Patio")
    PartFactory(area=area, measures={"shape": "rectangle", "length": "20 ft"})
    assert next_of(owner, area.job) == ("Mend Patio", f"/folders/{area.job.number}/areas/{area.pk}/")


def test_an_issued_proposal_is_sent_and_then_nothing_is_next_here(owner):
    proposal = IssuedProposalFactory()
    number = proposal.paper.number
    assert next_of(owner, proposal.job) == (f"Send {number}", f"/papers/{number}/send/")
    MessageFactory(paper=proposal.paper)
    assert next_of(owner, proposal.job) is None


@pytest.mark.parametrize("state", ["accepted", "declined", "taken back", "expired", "withdrawn"])
def test_an_answered_or_ended_offer_has_no_next_act_here(owner, state):
    assert next_of(owner, IssuedProposalFactory(state=state).job) is None


def test_it_stands_at_the_top_before_anything_else(owner):
    job = JobFactory()
    page = owner.get(reverse("folder", args=[job.number]))
    assertContains(page, "Name the first stretch of one surface.")
    text = page.content.decode()
    assert text.index("Name the first stretch of one surface.") < text.index('id="asked"')
