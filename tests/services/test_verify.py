"""verify: whatever is changed going round the database's triggers is named, with paper and place."""

import io
import json

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import Event, Job, Paper, PaperScope, Proposal, Series
from quoting.services.issue import issue_proposal
from quoting.services.proposals import revise
from quoting.services.verify import Counted, verify_all
from tests.factories import JobFactory, OwnerFactory, UserFactory
from tests.frozen_rows import triggers_lifted
from tests.sample_offer import ready_draft

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper(db) -> Paper:
    """0417-A, issued."""
    ines = OwnerFactory(email="ines@example.com")
    draft = ready_draft(ines)
    return issue_proposal(proposal=draft, version=draft.version, by=ines)


def faults() -> list[str]:
    return list(verify_all(Counted()))


def change(rows, **values) -> None:
    """What somebody with the keys of the database could do."""
    with triggers_lifted():
        rows.update(**values)


def test_what_was_issued_is_found_as_it_was(paper):
    counted = Counted()
    assert list(verify_all(counted)) == []
    assert (counted.papers, counted.scopes, counted.proposals) == (1, 5, 1)


FIELDS = {
    "kind": ("invoice", "0417-A: kind: is invoice, was issued as proposal"),
    "number": ("0417-Z", "0417-Z: number: revision 1 of folder 0417 has another number"),
    "revision": (7, "0417-A: number: revision 7 of folder 0417 has another number"),
    "valid_until": ("2031-01-01", "0417-A: valid_until: is 2031-01-01, was issued as"),
    "issued_at": (timezone.now(), "0417-A: issued_at: is"),
    "pages": (99, "0417-A: pages: the PDF has"),
    "facts": ("{}", "0417-A: facts: the text does not have the SHA-256 that was kept"),
    "facts_sha256": ("0" * 64, "0417-A: facts: the text does not have the SHA-256 that was kept"),
    "pdf": (b"%PDF-1.7", "0417-A: pdf: its bytes do not have the SHA-256 that was kept"),
    "pdf_sha256": ("0" * 64, "0417-A: pdf: its bytes do not have the SHA-256 that was kept"),
}


@pytest.mark.parametrize(("field", "value", "said"), [(name, *rest) for name, rest in FIELDS.items()], ids=FIELDS)
def test_a_changed_field_of_a_paper_is_named(paper, field, value, said):
    change(Paper.objects.filter(pk=paper.pk), **{field: value})
    assert any(fault.startswith(said) for fault in faults())


def test_another_folder_another_hand_and_another_paper_before_it_are_named(paper):
    change(Paper.objects.filter(pk=paper.pk), issued_by=UserFactory(), job=JobFactory(number="0999"), replaces=paper)
    named = {fault.split(": ")[1] for fault in faults() if fault.startswith("0417-A")}
    assert {"issued_by", "job", "replaces"} <= named


def test_bytes_changed_together_with_their_fingerprint_are_named_by_the_trail(paper):
    change(Paper.objects.filter(pk=paper.pk), pdf=b"%PDF-1.7", pdf_sha256=sha256_of(b"%PDF-1.7"), pages=0)
    assert any(fault.startswith("0417-A: pdf_sha256: is") for fault in faults())


def test_a_price_changed_in_the_facts_is_named_even_with_its_fingerprint(paper):
    facts = json.loads(paper.facts)
    facts["options"][0]["price"] = "1.00"
    text = canonical_json(facts)
    change(Paper.objects.filter(pk=paper.pk), facts=text, facts_sha256=sha256_of(text))
    assert "0417-A: facts: the price of Wash and reseal is not that of its workings" in faults()


SCOPE_FIELDS = {
    "position": (70, "0417-A: scope 0: is missing"),
    "role": ("alone", "0417-A: scope 0: role: is alone, was issued as option"),
    "name": ("Other", "0417-A: scope 0: name: is Other, was issued as Wash and reseal"),
    "edition": ("1999-1", "0417-A: scope 0: edition: is 1999-1, was issued as 2026-1"),
    "scope": ("{}", "0417-A: scope 0 (option, Wash and reseal): scope: the text does not have"),
    "scope_sha256": ("0" * 64, "0417-A: scope 0: scope_sha256: is"),
    "workings": ("{}", "0417-A: scope 0 (option, Wash and reseal): workings: working the scope out again"),
    "workings_sha256": ("0" * 64, "0417-A: scope 0: workings_sha256: is"),
}


@pytest.mark.parametrize(("field", "value", "said"), [(n, *rest) for n, rest in SCOPE_FIELDS.items()], ids=SCOPE_FIELDS)
def test_a_changed_field_of_a_scope_is_named(paper, field, value, said):
    change(PaperScope.objects.filter(paper=paper, position=0), **{field: value})
    assert any(fault.startswith(said) for fault in faults())


def test_a_scope_changed_with_its_fingerprints_is_worked_out_again_and_named(paper):
    row = paper.scopes.get(position=0)
    scope = row.scope.replace('"hourly_cost":"39.00"', '"hourly_cost":"41.00"')
    assert scope != row.scope
    change(PaperScope.objects.filter(pk=row.pk), scope=scope, scope_sha256=sha256_of(scope))
    found = faults()
    place = "0417-A: scope 0 (option, Wash and reseal)"
    assert f"{place}: workings: working the scope out again gives other figures" in found


def test_a_scope_that_was_added_is_named(paper):
    row = paper.scopes.get(position=0)
    row.pk, row.position = None, 9
    row._state.adding = True
    row.save()
    assert "0417-A: scope 9: was added since" in faults()


def test_a_paper_that_is_missing_leaves_a_gap_that_is_named(paper):
    Job.objects.filter(pk=paper.job_id).update(last_revision=2)
    assert "0417-B: is missing: the folder counts 2" in faults()


def test_a_paper_beyond_the_folders_counter_is_named(paper):
    Job.objects.filter(pk=paper.job_id).update(last_revision=0)
    assert "0417-A: revision 1 is beyond what the folder counts, 0" in faults()


def test_a_state_that_the_trail_does_not_tell_is_named(paper):
    Proposal.objects.filter(paper=paper).update(state="accepted")
    assert "0417-A: state: is accepted, the trail tells issued" in faults()


def test_a_superseded_proposal_agrees_with_the_trail(paper):
    again = revise(proposal=paper.proposal, by=paper.issued_by)
    issue_proposal(proposal=again, version=again.version, by=paper.issued_by)
    assert faults() == []


EVENT_FIELDS = {
    "at": timezone.now(),
    "kind": "proposal withdrawn",
    "job": None,
    "paper": None,
    "actor": None,
    "data": "{}",
    "prev_hash": "1" * 64,
    "hash": "2" * 64,
}


@pytest.mark.parametrize("field", EVENT_FIELDS)
def test_a_changed_field_of_an_event_breaks_the_chain(paper, field):
    event = Event.objects.get(kind="proposal issued")
    change(Event.objects.filter(pk=event.pk), **{field: EVENT_FIELDS[field]})
    assert any(fault.startswith(f"trail: event {event.position}") for fault in faults())


def test_an_event_cut_off_at_the_end_is_named(paper):
    last = Event.objects.order_by("-position").first()
    with triggers_lifted():
        Event.objects.filter(pk=last.pk).delete()
    counted = Series.objects.get(name="trail").last
    assert f"trail: the last event is {counted - 1}, but {counted} were counted" in faults()


def test_the_command_says_what_it_looked_at(paper):
    out = io.StringIO()
    call_command("verify", stdout=out)
    assert out.getvalue().startswith("All is as it was issued: 1 papers, 5 scope files, 1 proposals' states, 0 ")


def test_the_command_names_each_fault_on_a_line_and_fails(paper):
    change(Paper.objects.filter(pk=paper.pk), pages=99)
    out, err = io.StringIO(), io.StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("verify", stdout=out, stderr=err)
    assert ended.value.code == 1
    assert [line.split(":")[0] for line in out.getvalue().splitlines()] == ["0417-A", "0417-A"]
    assert err.getvalue().startswith("2 faults in ")


def test_no_scope_costs_a_query_of_its_own(paper):
    # Of the whole run only what a paper asks is counted: what is asked once grows with every room that is verified.
    with CaptureQueriesContext(connection) as asked:
        assert faults() == []
    of_scopes = [each for each in asked.captured_queries if 'FROM "quoting_paperscope"' in each["sql"]]
    assert (PaperScope.objects.count(), len(of_scopes)) == (5, 1)
