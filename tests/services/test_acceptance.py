"""A yes that holds: two steps, one a paper, everything kept; a no; a yes taken back within its period."""

import io
import json
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from threading import Barrier

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone
from PIL import Image

from quoting.documents.agreed import DoesNotAddUp, NotOffered
from quoting.documents.signature import SignatureRefused
from quoting.models import Acceptance, Answer, Event, Message, Paper, PaperScope, PrivateLink, Proposal
from quoting.services import acceptance as acts
from quoting.services.links import revoke_link
from quoting.services.proposals import withdraw_proposal
from quoting.services.seals import NOT_SEALED, seal_of
from quoting.services.verify import Counted, verify_all
from quoting.services.verify_answers import answer_faults
from tests.frozen_rows import triggers_lifted
from tests.sample_answer import FULL, GRIT, WALK, accept, issued_paper, link_to, reviewed, revised

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def paper() -> Paper:
    return issued_paper()


@pytest.fixture
def link(paper: Paper) -> PrivateLink:
    return link_to(paper)


def state_of(paper: Paper) -> str:
    return Proposal.objects.get(paper=paper).state


def drawing() -> bytes:
    """A small PNG such as the page draws."""
    file = io.BytesIO()
    Image.new("RGBA", (68, 20), (0, 0, 0, 0)).save(file, "PNG")
    return file.getvalue()


def test_opened_is_noted_once(link):
    acts.open_paper(link=link)
    link.refresh_from_db()
    first = link.opened_at
    acts.open_paper(link=link)
    link.refresh_from_db()
    assert (link.opened_at, Event.objects.filter(kind="proposal opened").count()) == (first, 1)


def test_what_is_agreed_is_the_option_and_what_each_extra_truly_adds(link):
    # Option 2: 1,930.00 and tax 43.52. Grit adds 1,995.00 − 1,930.00 = 65.00 and 45.44 − 43.52 = 1.92 of tax; the walk
    # 2,270.00 − 1,930.00 = 340.00 and 51.85 − 43.52 = 8.33. Price 2,335.00, tax 53.77, total 2,388.77.
    # A quarter of it is 597.1925, half up 597.19; a half 1,194.385, half up 1,194.39; the rest 597.19.
    acceptance = accept(link, review=reviewed(link, FULL, (GRIT, WALK)))
    figures = json.loads(acceptance.figures)
    assert (acceptance.total.amount, acceptance.deposit.amount) == (Decimal("2388.77"), Decimal("597.19"))
    assert [line["price"] for line in figures["lines"]] == ["1930.00", "65.00", "340.00"]
    assert figures["taxes"] == [{"name": "Sales tax", "amount": "53.77"}]
    assert [each["amount"] for each in figures["payments"]] == ["597.19", "1194.39", "597.19"]


def test_everything_by_which_it_can_be_proved_is_kept(paper, link):
    Message.objects.create(
        paper=paper, job=paper.job, kind="proposal", to="priya.wexley@example.com", subject="s", text="t",
        message_id="<first@example.com>", written_at=timezone.now(), due_at=timezone.now(), state="sent",
        sent_at=datetime(2026, 6, 1, 12, 0, tzinfo=UTC),
    )  # fmt: skip
    got = accept(link, user_agent="A browser", signature=drawing())
    link.refresh_from_db()
    copy = Message.objects.get(kind="acceptance")
    notice = Message.objects.get(kind="notice")
    assert (got.paper, got.pdf_sha256, got.option, got.add_ons) == (paper, paper.pdf_sha256, FULL, [GRIT])
    assert (got.typed_name, got.address, got.user_agent) == ("Priya Wexley", "192.0.2.7", "A browser")
    assert (got.sent_at, got.opened_at, got.reviewed_at) == (
        datetime(2026, 6, 1, 12, 0, tzinfo=UTC),
        link.opened_at,
        link.reviewed_at,
    )
    assert got.message_ids == ["<first@example.com>", copy.message_id, notice.message_id]
    assert "0417-A" in got.intent_text
    assert got.consent_text.endswith(f"Pages written down: {paper.pages}.")
    assert bytes(got.signature).startswith(b"\x89PNG")


def test_the_copy_goes_out_with_the_paper_and_a_link(link):
    accept(link)
    copy = Message.objects.get(kind="acceptance")
    assert (copy.to, copy.attach_paper, copy.with_link) == ("priya.wexley@example.com", True, True)
    assert "Total: 2,040.44 USD" in copy.text


def test_the_proposal_is_accepted_and_the_trail_holds_the_seal_only(paper, link):
    got = accept(link)
    told = json.loads(Event.objects.get(kind="proposal accepted").data)
    assert (state_of(paper), told) == ("accepted", {"seal": got.seal})


def test_a_second_yes_gets_the_first(link):
    review = reviewed(link)
    first = accept(link, review=review)
    second = accept(link, review=review, typed_name="Tom Wexley")
    assert (second.pk, second.typed_name, Message.objects.filter(kind="acceptance").count()) == (
        first.pk,
        "Priya Wexley",
        1,
    )


def test_fifty_at_once_are_one_acceptance(paper, link):
    review = reviewed(link)
    link.refresh_from_db()
    ready = Barrier(50)

    def click(place: int) -> int:
        ready.wait(60)
        try:
            return accept_once(link, review, paper.pdf_sha256, f"Reader {place}")
        finally:
            connection.close()

    with ThreadPoolExecutor(50) as crowd:
        found = list(crowd.map(click, range(50)))
    assert (len(set(found)), Acceptance.objects.count(), Event.objects.filter(kind="proposal accepted").count()) == (
        1,
        1,
        1,
    )
    assert list(verify_all(Counted())) == []


def accept_once(link: PrivateLink, review: str, pdf: str, name: str) -> int:
    return acts.accept_offer(link=link, review=review, pdf_sha256=pdf, typed_name=name).pk


def test_without_the_first_step_nothing_is_accepted(paper, link):
    with pytest.raises(acts.NotReviewed):
        acts.accept_offer(link=link, review="", pdf_sha256=paper.pdf_sha256, typed_name="Priya Wexley")
    assert state_of(paper) == "issued"


def test_a_first_step_of_another_link_does_not_count(paper, link):
    other = link_to(paper)
    reviewed(other)
    other.refresh_from_db()
    with pytest.raises(acts.NotReviewed):
        acts.accept_offer(link=other, review=reviewed(link), pdf_sha256=paper.pdf_sha256, typed_name="Priya Wexley")


def test_a_first_step_of_yesterday_does_not_count(link, monkeypatch):
    review = reviewed(link)
    monkeypatch.setattr(acts, "REVIEW_LASTS", timedelta(seconds=-1))
    with pytest.raises(acts.NotReviewed):
        accept(link, review=review)


@pytest.mark.parametrize(
    "more", [{"total": "1.00"}, {"pdf_sha256": "0" * 64}, {"consent_sha256": "0" * 64}, {"pages": 999}]
)
def test_what_was_not_read_so_is_not_accepted(paper, link, more):
    with pytest.raises(acts.Changed):
        accept(link, review=reviewed(link, **more))
    assert (state_of(paper), Acceptance.objects.count()) == ("issued", 0)


def test_a_form_that_showed_another_pdf_is_not_accepted(paper, link):
    with pytest.raises(acts.Changed):
        accept(link, pdf_sha256="0" * 64)
    assert state_of(paper) == "issued"


def test_a_revision_between_reading_and_accepting_stops_the_yes(paper, link):
    review = reviewed(link)
    revised(paper)
    with pytest.raises(acts.Closed) as closed:
        accept(link, review=review)
    assert (closed.value.state, Acceptance.objects.count()) == ("superseded", 0)


def test_a_revision_and_a_yes_at_once_end_in_one_of_the_two(paper, link):
    review = reviewed(link)
    link.refresh_from_db()
    ready = Barrier(2)

    def say_yes() -> str:
        ready.wait(60)
        try:
            accept_once(link, review, paper.pdf_sha256, "Priya Wexley")
        except acts.Closed as closed:
            return closed.state
        finally:
            connection.close()
        return "accepted"

    def issue_next() -> str:
        ready.wait(60)
        try:
            return revised(paper).number
        except Exception as refused:
            return type(refused).__name__
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as two:
        yes, next_one = two.submit(say_yes), two.submit(issue_next)
        outcome = (yes.result(), next_one.result())
    assert outcome in {("accepted", "AcceptedAlready"), ("superseded", "0417-B")}


def test_an_offer_that_ran_out_is_not_accepted_even_before_anybody_noted_it(paper, link, monkeypatch):
    review = reviewed(link)
    monkeypatch.setattr(acts.timezone, "localdate", lambda *_: paper.valid_until + timedelta(days=1))
    with pytest.raises(acts.Closed) as closed:
        accept(link, review=review)
    assert closed.value.state == "expired"


def test_a_withdrawn_offer_is_not_accepted(paper, link):
    review = reviewed(link)
    proposal = Proposal.objects.get(paper=paper)
    withdraw_proposal(proposal=proposal, version=proposal.version, by=paper.issued_by)
    with pytest.raises(acts.Closed):
        accept(link, review=review)
    assert Acceptance.objects.count() == 0


def test_a_link_taken_back_meanwhile_accepts_nothing(paper, link):
    review = reviewed(link)
    link.refresh_from_db()
    revoke_link(link)
    with pytest.raises(acts.LinkGone):
        accept_once(link, review, paper.pdf_sha256, "Priya Wexley")
    assert (state_of(paper), Message.objects.count()) == ("issued", 0)


def test_an_extra_of_another_option_is_not_on_offer(paper, link):
    with pytest.raises(NotOffered):
        acts.review_offer(link=link, option=1, add_ons=[GRIT], pdf_sha256=paper.pdf_sha256)


def test_frozen_scopes_that_were_changed_accept_nothing(paper, link):
    review = reviewed(link)
    with triggers_lifted():
        row = PaperScope.objects.get(paper=paper, position=1)
        PaperScope.objects.filter(pk=row.pk).update(workings=row.workings.replace("1930.00", "1.00"))
    with pytest.raises(DoesNotAddUp):
        accept(link, review=review)
    assert state_of(paper) == "issued"


@pytest.mark.parametrize("content", [b"GIF89a", b"\x89PNG\r\n\x1a\n" + b"\0" * 200_000, b"\x89PNG\r\n\x1a\nnothing"])
def test_a_signature_that_is_no_drawing_of_ours_is_refused(paper, link, content):
    with pytest.raises(SignatureRefused):
        accept(link, signature=content)
    assert state_of(paper) == "issued"


def test_the_seal_covers_every_column_but_itself(link):
    got = Acceptance.objects.get(pk=accept(link, signature=drawing()).pk)
    assert seal_of(got) == got.seal
    for field in got._meta.concrete_fields:
        if field.name in NOT_SEALED:
            continue
        before = getattr(got, field.attname)
        setattr(got, field.attname, None if before else "something")
        assert seal_of(got) != got.seal, field.name
        setattr(got, field.attname, before)


def test_the_database_refuses_to_change_a_yes(link):
    got = accept(link)
    with pytest.raises(IntegrityError, match="never change"), transaction.atomic():
        Acceptance.objects.filter(pk=got.pk).update(typed_name="Somebody")


def test_a_no_is_kept_with_its_reason(paper, link):
    answer = acts.decline_offer(link=link, reason="price", words="Too much this year.")
    proposal = Proposal.objects.get(paper=paper)
    assert (answer.kind, answer.reason, answer.words) == ("declined", "price", "Too much this year.")
    assert (proposal.state, proposal.lost_reason, proposal.lost_words) == ("declined", "price", "Too much this year.")
    told = json.loads(Event.objects.get(kind="proposal declined").data)
    assert told == {"reason": "price", "seal": seal_of(answer)}


def test_a_second_no_changes_nothing(link):
    first = acts.decline_offer(link=link, reason="price", words="")
    second = acts.decline_offer(link=link, reason="later", words="")
    assert (second.pk, Answer.objects.count()) == (first.pk, 1)


def test_after_a_yes_there_is_no_no(link):
    accept(link)
    with pytest.raises(acts.Closed):
        acts.decline_offer(link=link, reason="price", words="")


class TestCancelling:
    @pytest.fixture
    def link(self) -> PrivateLink:
        return link_to(issued_paper(cooling_off=True))

    @pytest.mark.parametrize(
        ("signed", "last"),
        [
            # Saturday counts (12 CFR 1026.2(a)(6)): after Friday 5 June 2026 come Saturday, Monday, Tuesday.
            (datetime(2026, 6, 5, 15, 0, tzinfo=UTC), date(2026, 6, 9)),
            # Thursday 2 July: Friday, (4 July is a holiday, the 5th a Sunday), Monday, Tuesday.
            (datetime(2026, 7, 2, 15, 0, tzinfo=UTC), date(2026, 7, 7)),
        ],
    )
    def test_the_period_ends_at_the_midnight_after_its_last_business_day(self, link, signed, last):
        paper = Paper.objects.get(pk=link.paper_id)
        agreed = acts.Offered(paper).agree(FULL, [])
        until = acts._cancel_until(acts.Offered(paper), agreed, signed)
        assert timezone.localdate(until - timedelta(seconds=1)) == last
        assert timezone.localtime(until).strftime("%H:%M") == "00:00"

    def test_within_it_a_yes_can_be_taken_back_once(self, link):
        accept(link)
        first = acts.cancel_acceptance(link=link)
        second = acts.cancel_acceptance(link=link)
        paper = Paper.objects.get(pk=link.paper_id)
        assert (first.pk, first.kind, state_of(paper)) == (second.pk, "cancelled", "taken back")
        told = [message.to for message in Message.objects.filter(kind="notice", subject__contains="taken back")]
        assert sorted(told) == ["office@ferrow.example.com", "priya.wexley@example.com"]

    def test_the_trail_and_the_check_know_it_as_a_state_of_its_own(self, link):
        got = accept(link)
        acts.cancel_acceptance(link=link)
        assert Event.objects.filter(paper=got.paper, kind="proposal taken back").count() == 1
        assert list(answer_faults()) == []

    def test_after_it_nothing_is_cancelled_here(self, link, monkeypatch):
        got = accept(link)
        monkeypatch.setattr(acts.timezone, "now", lambda: got.cancel_until)
        with pytest.raises(acts.TooLateToCancel):
            acts.cancel_acceptance(link=link)
        assert state_of(got.paper) == "accepted"


def test_where_no_period_is_switched_on_nothing_is_cancelled_here(link):
    assert accept(link).cancel_until is None
    with pytest.raises(acts.TooLateToCancel):
        acts.cancel_acceptance(link=link)
