"""Issuing: one paper, one number, everything frozen, whatever is clicked or changed meanwhile."""

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier

import pytest
from django.db import connection
from django.utils import timezone

from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.documents.contexts import paper_html
from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import (
    Area,
    ChangedMeanwhile,
    Edition,
    Event,
    Firm,
    Option,
    Paper,
    PaperScope,
    Proposal,
    User,
)
from quoting.services import issue
from quoting.services.issue import AcceptedAlready, AlreadyIssued, NotReady, StillMoving, issue_proposal, print_facts
from quoting.services.proposals import revise
from tests.factories import OwnerFactory
from tests.reading_pdf import pages_of
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def ines() -> User:
    return OwnerFactory(email="ines@example.com")


@pytest.fixture
def draft(ines: User) -> Proposal:
    return ready_draft(ines)


def issued(draft: Proposal, by: User) -> Paper:
    return issue_proposal(proposal=draft, version=Proposal.objects.get(pk=draft.pk).version, by=by)


def again(paper: Paper, by: User) -> Paper:
    """The next revision of the same offer."""
    return issued(revise(proposal=paper.proposal, by=by), by)


def test_the_first_paper_of_a_folder_is_revision_a(draft, ines):
    paper = issued(draft, ines)
    draft.refresh_from_db()
    assert (paper.number, paper.revision, paper.replaces, draft.state, draft.paper) == (
        "0417-A",
        1,
        None,
        "issued",
        paper,
    )


def test_bytes_facts_and_scopes_are_kept_with_their_fingerprints(draft, ines):
    paper = Paper.objects.get(pk=issued(draft, ines).pk)
    assert sha256_of(bytes(paper.pdf)) == paper.pdf_sha256
    assert sha256_of(paper.facts) == paper.facts_sha256
    assert paper.pages == len(pages_of(bytes(paper.pdf)))
    for each in paper.scopes.all():
        assert (sha256_of(each.scope), sha256_of(each.workings)) == (each.scope_sha256, each.workings_sha256)


def test_every_price_on_the_paper_has_its_scope(draft, ines):
    paper = issued(draft, ines)
    assert [(each.role, each.name, each.edition) for each in paper.scopes.all()] == [
        ("option", "Wash and reseal", "2026-1"),
        ("option", "Recolour and seal", "2026-1"),
        ("together", "Grit in the last coat", "2026-1"),
        ("together", "Front walk", "2026-1"),
        ("alone", "Front walk", "2026-1"),
    ]


def test_an_extra_costs_what_it_adds_to_its_option(draft, ines):
    paper = issued(draft, ines)
    prices = {(each.role, each.name): work_out(read_scope(each.scope)).price.of.price for each in paper.scopes.all()}
    facts = json.loads(paper.facts)
    walk = next(extra for extra in facts["extras"] if extra["name"] == "Front walk")
    added = prices["together", "Front walk"] - prices["option", "Recolour and seal"]
    assert (walk["now"], walk["later"]) == (f"{added:,.2f}", f"{prices['alone', 'Front walk']:,.2f}")


def test_grit_in_the_last_coat_is_not_offered_alone(draft, ines):
    extras = json.loads(issued(draft, ines).facts)["extras"]
    assert [(extra["name"], bool(extra["later"])) for extra in extras] == [
        ("Grit in the last coat", False),
        ("Front walk", True),
    ]


def test_the_paper_can_be_printed_again_from_its_facts(draft, ines):
    paper = Paper.objects.get(pk=issued(draft, ines).pk)
    assert sha256_of(print_facts(json.loads(paper.facts), paper.issued_at)) == paper.pdf_sha256


def test_later_edits_change_nothing_on_an_issued_paper(draft, ines):
    paper = issued(draft, ines)
    html = paper_html(json.loads(paper.facts))
    Firm.objects.update(name="Another name", overhead="0.5", weather_rule="")
    Area.objects.update(texture=2)
    Option.objects.update(mends="everything")
    Edition.objects.filter(state="published").update(state="superseded")
    kept = Paper.objects.get(pk=paper.pk)
    assert paper_html(json.loads(kept.facts)) == html


def test_facts_are_text_only(draft, ines):
    def leaves(value):
        if isinstance(value, dict):
            return [leaf for each in value.values() for leaf in leaves(each)]
        if isinstance(value, list):
            return [leaf for each in value for leaf in leaves(each)]
        return [value]

    facts = json.loads(issued(draft, ines).facts)
    assert {type(leaf) for leaf in leaves(facts)} == {str}


def test_a_later_revision_supersedes_and_names_the_earlier(draft, ines):
    first = issued(draft, ines)
    second = again(first, ines)
    states = dict(Proposal.objects.values_list("paper__number", "state"))
    assert states == {"0417-A": "superseded", "0417-B": "issued"}
    assert (second.replaces, json.loads(second.facts)["replaces"]) == (first, "0417-A")


def test_the_trail_tells_what_was_issued_and_superseded(draft, ines):
    first = issued(draft, ines)
    second = again(first, ines)
    told = Event.objects.filter(kind__startswith="proposal").order_by("position").values_list("kind", "paper__number")
    assert list(told) == [
        ("proposal drafted", None),
        ("proposal issued", first.number),
        ("proposal drafted", None),
        ("proposal superseded", first.number),
        ("proposal issued", second.number),
    ]


def test_the_trail_holds_no_name_of_a_customer(draft, ines):
    issued(draft, ines)
    assert not Event.objects.filter(data__icontains="Wexley").exists()


def test_a_draft_that_lacks_something_is_not_issued(draft, ines):
    Area.objects.get(name="Steps").parts.all().delete()
    with pytest.raises(NotReady, match="Steps has not been measured yet"):
        issued(draft, ines)
    draft.job.refresh_from_db()
    assert (Paper.objects.count(), draft.job.last_revision) == (0, 0)


def test_a_second_click_finds_the_one_paper(draft, ines):
    paper = issued(draft, ines)
    with pytest.raises(AlreadyIssued) as found:
        issue_proposal(proposal=draft, version=draft.version, by=ines)
    assert (found.value.paper, Paper.objects.count()) == (paper, 1)


def test_a_draft_that_was_edited_meanwhile_is_not_issued(draft, ines):
    with pytest.raises(ChangedMeanwhile):
        issue_proposal(proposal=draft, version=draft.version + 1, by=ines)


def test_an_accepted_proposal_is_not_replaced(draft, ines):
    first = issued(draft, ines)
    following = revise(proposal=first.proposal, by=ines)
    Proposal.objects.filter(paper=first).update(state="accepted")
    with pytest.raises(AcceptedAlready):
        issued(following, ines)


def changing_while_printing(monkeypatch, times: int) -> list[int]:
    """The firm's rules are edited just after each of the first prints."""
    prints: list[int] = []
    real = issue.print_facts

    def printed(*args):
        pdf = real(*args)
        prints.append(1)
        if len(prints) <= times:
            Firm.objects.update(version=len(prints) + 100)
        return pdf

    monkeypatch.setattr(issue, "print_facts", printed)
    return prints


def test_what_changed_while_it_was_printed_is_printed_again(draft, ines, monkeypatch):
    prints = changing_while_printing(monkeypatch, times=1)
    paper = issued(draft, ines)
    assert (len(prints), paper.number) == (2, "0417-A")


def test_a_folder_that_never_rests_is_given_up_after_three_prints(draft, ines, monkeypatch):
    prints = changing_while_printing(monkeypatch, times=9)
    with pytest.raises(StillMoving):
        issued(draft, ines)
    draft.job.refresh_from_db()
    assert (len(prints), Paper.objects.count(), draft.job.last_revision) == (3, 0, 0)


def test_two_people_issuing_at_once_give_one_paper(draft, ines):
    start = Barrier(2)

    def issue_now(_):
        try:
            start.wait()
            return issue_proposal(proposal=draft, version=draft.version, by=ines).number
        except AlreadyIssued as already:
            return f"already {already.paper.number}"
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as hands:
        answers = sorted(hands.map(issue_now, range(2)))
    assert answers == ["0417-A", "already 0417-A"]
    assert (
        Paper.objects.count(),
        PaperScope.objects.count(),
        Event.objects.filter(kind="proposal issued").count(),
    ) == (
        1,
        5,
        1,
    )


def test_a_proposal_that_ran_out_of_days_is_not_issued(draft, ines):
    Proposal.objects.filter(pk=draft.pk).update(valid_until=timezone.localdate() - timedelta(days=1))
    with pytest.raises(NotReady, match="is past"):
        issued(draft, ines)


def test_kept_facts_are_canonical(draft, ines):
    paper = issued(draft, ines)
    assert canonical_json(json.loads(paper.facts)) == paper.facts
