"""What is done once a day."""

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.utils import timezone

from quoting.models import Event, Proposal
from tests.factories import IssuedProposalFactory, PaperFactory

pytestmark = pytest.mark.django_db


def run() -> str:
    said = StringIO()
    call_command("daily", stdout=said)
    return said.getvalue()


def test_what_is_past_its_last_day_runs_out_once():
    late = IssuedProposalFactory()
    assert late.paper.valid_until == date(2026, 6, 30) < timezone.localdate()
    assert run() == "1 proposal ran out.\n"
    assert run() == "0 proposals ran out.\n"
    assert Proposal.objects.get().state == "expired"
    assert Event.objects.filter(kind="proposal expired").count() == 1


def test_the_last_day_itself_still_counts():
    paper = PaperFactory(valid_until=timezone.localdate())
    IssuedProposalFactory(job=paper.job, paper=paper)
    assert run() == "0 proposals ran out.\n"


def test_the_day_after_it_does_not():
    paper = PaperFactory(valid_until=timezone.localdate() - timedelta(days=1))
    IssuedProposalFactory(job=paper.job, paper=paper)
    assert run() == "1 proposal ran out.\n"
