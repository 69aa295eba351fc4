"""The desk: one line a folder, each with the one act that moves it on."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.utils import timezone
from pytest_django.asserts import assertContains, assertNotContains

from quoting.models import HandOver, Job, Option, Paper, Proposal, User, Visit
from quoting.views import desk_lines
from tests.factories import (
    AreaFactory,
    CrewFactory,
    CustomerFactory,
    EditionFactory,
    FirmFactory,
    IssuedProposalFactory,
    JobFactory,
    MessageFactory,
    OwnerFactory,
    PaperFactory,
    PartFactory,
    ProposalFactory,
    QuestionFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 11)
SENT = datetime(2026, 6, 1, 17, 0, tzinfo=UTC)
OPENED = datetime(2026, 6, 9, 16, 0, tzinfo=UTC)


@pytest.fixture
def ines(client) -> User:
    FirmFactory()
    owner = OwnerFactory()
    client.force_login(owner)
    return owner


def line(job: Job, today: date = TODAY, days_after: tuple[int, ...] = ()) -> desk_lines.Line:
    """The line of this folder as the desk reads it."""
    Job.objects.filter(pk=job.pk).update(opened_at=OPENED)
    waiting = Job.objects.wanting_something().with_progress().with_place().with_offer()
    return desk_lines.line_of(desk_lines.with_letters(waiting).get(pk=job.pk), today, days_after)


def told(job: Job, today: date = TODAY) -> tuple[str, str, str]:
    """Words, waiting and act of its line."""
    found = line(job, today)
    return found.words, found.since, found.act


def draft_option(job: Job) -> None:
    Option.objects.create(job=job, edition=EditionFactory(), name="Wash and reseal")


# one line a folder


def test_a_folder_just_opened_wants_to_be_measured():
    job = JobFactory(wanted_by="Party on Saturday 25 July.")
    assert told(job) == (
        "Opened, nothing measured yet. Wanted by: Party on Saturday 25 July.", "2\u00a0days", "Measure"
    )  # fmt: skip
    assert line(job).url == f"/folders/{job.number}/areas/new/"


def test_an_area_without_measures_is_not_measured():
    job = AreaFactory().job
    assert told(job)[0] == "Areas named, nothing measured yet."
    assert line(job).url == f"/folders/{job.number}/#measured"


def test_a_measured_folder_wants_an_option():
    assert told(PartFactory().area.job) == ("Measured. No option is drafted yet.", "2\u00a0days", "Draft an option")


def test_options_want_a_proposal():
    job = JobFactory()
    draft_option(job)
    assert told(job)[::2] == ("Options are drafted, nothing is offered yet.", "Make the proposal")


def test_a_draft_wants_to_be_finished_even_beside_an_offer_that_is_out():
    job = IssuedProposalFactory().job
    ProposalFactory(job=job)
    today = timezone.localdate() + timedelta(days=1)
    assert told(job, today) == ("Proposal drafted, not issued yet.", "1\u00a0day", "Finish and issue")


def test_an_offer_of_yesterday_is_left_in_peace():
    job = IssuedProposalFactory().job
    MessageFactory(paper=job.standing.paper, state="sent", sent_at=SENT)
    assert told(job, date(2026, 6, 2)) == (
        "With them, no answer yet. Valid until 30\u00a0June.", "1\u00a0day", "Open the folder"
    )  # fmt: skip


def test_an_offer_that_was_not_mailed_wants_to_be_sent():
    job = IssuedProposalFactory().job
    assert told(job, date(2026, 6, 1)) == ("Issued, not mailed yet. Valid until 30\u00a0June.", "today", "Send it")
    assert line(job, date(2026, 6, 1)).url == f"/papers/{job.number}-A/send/"


def test_after_three_days_somebody_rings():
    job = IssuedProposalFactory().job
    assert told(job, date(2026, 6, 4))[1:] == ("3\u00a0days", "Ring them")
    assert line(job, date(2026, 6, 4)).url == "tel:5550142"


def test_who_has_no_telephone_is_written_to():
    job = IssuedProposalFactory(job__property__customer__phone="").job
    assert line(job).url == "mailto:priya.wexley@example.com"


@pytest.mark.parametrize(
    ("today", "words", "soon"),
    [
        (24, " Valid until 30\u00a0June.", False),
        (25, " Valid until 30\u00a0June, 5\u00a0days more.", True),
        (29, " Valid until tomorrow.", True),
        (30, " Valid until today.", True),
    ],
)
def test_five_days_before_it_runs_out_the_desk_says_so(today, words, soon):
    found = line(IssuedProposalFactory().job, date(2026, 6, today))
    assert (found.words, found.soon, found.over) == (f"With them, no answer yet.{words}", soon, False)


def test_the_day_after_it_has_run_out():
    found = line(IssuedProposalFactory().job, date(2026, 7, 3))
    assert found.url == f"/papers/{found.job.number}-A/"
    assert (found.words, found.since, found.act, found.state) == (
        "No answer until 30\u00a0June, when it ran out.", "3\u00a0days over", "Offer it anew", "expired"
    )  # fmt: skip


def test_a_yes_taken_back_wants_its_reason():
    job = IssuedProposalFactory(state="taken back").job
    found = line(job)
    assert (found.words, found.act, found.url, found.state, found.first) == (
        "They took their yes back. Give back what was paid; then note why.",
        "Note why", f"/papers/{job.number}-A/lost/", "taken back", True,
    )  # fmt: skip
    job.proposals.update(lost_reason="later")
    assert not Job.objects.wanting_something().exists()


@pytest.mark.parametrize("state", ["declined", "withdrawn", "superseded"])
def test_what_is_settled_waits_for_nobody(state):
    IssuedProposalFactory(state=state)
    assert not Job.objects.wanting_something().exists()


def test_a_folder_with_several_revisions_is_one_line():
    job = IssuedProposalFactory(state="superseded").job
    IssuedProposalFactory(job=job, paper=PaperFactory(job=job, revision=2))
    ProposalFactory(job=job)
    assert Job.objects.wanting_something().count() == 1


def test_waiting_is_drawn_to_scale_and_cut_at_twelve_days():
    job = JobFactory()
    drawn = [line(job, date(2026, 6, 9) + timedelta(days=days)).drawn for days in (0, 1, 2, 12, 40)]
    assert drawn == [0, 0, 20, 120, 120]


# letters and questions


def test_a_mail_that_did_not_arrive_comes_before_all_else():
    job = IssuedProposalFactory().job
    ProposalFactory(job=job)
    mail = MessageFactory(paper=job.standing.paper, state="refused", fault="550 no such mailbox", written_at=SENT)
    found = line(job)
    assert (found.words, found.act, found.url, found.first) == (
        "The proposal mailed to priya.wexley@example.com did not arrive: 550 no such mailbox",
        "Mend and send again", f"/mails/{mail.pk}/", True,
    )  # fmt: skip
    mail.settled_at = SENT
    mail.save()
    assert line(job).act == "Finish and issue"


def test_a_refused_mail_of_a_settled_folder_waits_for_somebody():
    job = IssuedProposalFactory(state="declined").job
    MessageFactory(paper=job.proposals.get().paper, state="refused", fault="550 no", written_at=SENT)
    assert line(job).act == "Mend and send again"


def test_a_question_wants_an_answer():
    job = IssuedProposalFactory().job
    paper = job.standing.paper
    first = QuestionFactory(paper=paper, asked="Is the brown darker when it is wet?")
    QuestionFactory(paper=paper, asked="And the steps?")
    QuestionFactory(paper=paper, asked="Answered.", answered_at=SENT)
    found = line(job, date(2026, 6, 3))
    assert (found.words, found.since, found.act) == (
        "They ask: “Is the brown darker when it is wet?” and 1 more", "2\u00a0days", "Answer"
    )  # fmt: skip
    assert found.url == f"/folders/{job.number}/questions/{first.pk}/"


def test_on_the_firms_days_a_letter_lies_ready():
    # mailed on 1 June; the days are 2, 5, 10: on the 3rd, the 6th and the 11th
    job = IssuedProposalFactory().job
    paper = job.standing.paper
    MessageFactory(paper=paper, state="sent", sent_at=SENT, written_at=SENT)
    found = line(job, date(2026, 6, 6), (2, 5, 10))
    assert (found.words, found.act, found.url, found.whose) == (
        "No answer yet: time to write again. Valid until 30\u00a0June.",
        "Read and send", f"/papers/{paper.number}/follow-up/", "owner",
    )  # fmt: skip
    MessageFactory(paper=paper, kind="follow-up", written_at=datetime(2026, 6, 6, 17, 0, tzinfo=UTC))
    assert line(job, date(2026, 6, 10), (2, 5, 10)).act == "Ring them"
    assert line(job, date(2026, 6, 11), (2, 5, 10)).act == "Read and send"


def test_without_an_address_nobody_is_asked_to_write():
    job = IssuedProposalFactory(job__property__customer__email="").job
    assert line(job, date(2026, 6, 6), (2, 5, 10)).act == "Ring them"


def test_an_offer_that_ran_out_leaves_the_desk_when_its_reason_is_noted():
    IssuedProposalFactory(state="expired", lost_reason="price")
    assert not Job.objects.wanting_something().exists()


# groups


def groups(response) -> list[tuple[str, str, list[str]]]:
    return [(group.title, group.who, [each.job.number for each in group.lines]) for group in response.context["groups"]]


def test_owner_and_office_see_their_own_lines_first(client, ines):
    maribel = UserFactory(name="Maribel Ortiz")
    opened = JobFactory(opened_by=ines)
    out = IssuedProposalFactory(job__opened_by=ines).job
    yours = ("You", "Ines, owner", [opened.number])
    assert groups(client.get("/")) == [yours, ("The office", "Maribel", [out.number])]
    client.force_login(maribel)
    assert groups(client.get("/")) == [
        ("You", "Maribel, office", [out.number]),
        ("The owner", "Ines", [opened.number]),
    ]


def test_an_owner_without_an_office_does_it_all(client, ines):
    IssuedProposalFactory(job__opened_by=ines)
    JobFactory(opened_by=ines)
    assert [(title, len(numbers)) for title, _, numbers in groups(client.get("/"))] == [("You", 2)]


def visit_of(job: Job, state: str) -> Visit:
    hours = {"starts": time(8), "ends": time(16)}
    return Visit.objects.create(job=job, number=job.visits.count() + 1, day=TODAY, state=state, **hours)


def test_what_is_accepted_is_the_crews_once_its_days_are_laid(client, ines):
    CrewFactory(name="Mateo Ruiz")
    job = IssuedProposalFactory(state=Proposal.State.ACCEPTED).job
    visit_of(job, Visit.State.PLANNED)
    assert groups(client.get("/")) == [("The crew", "Mateo", [job.number])]


def test_a_yes_waits_for_its_days_then_for_the_crew_then_for_the_hand_over():
    job = IssuedProposalFactory(state=Proposal.State.ACCEPTED).job
    assert told(job) == ("Accepted; its days are not laid yet.", "", "Lay the days")
    visit = visit_of(job, Visit.State.PLANNED)
    visit_of(job, Visit.State.DONE)
    assert told(job) == ("Accepted, and its days are laid.", "", "Open the folder")
    Visit.objects.filter(pk=visit.pk).update(state=Visit.State.DONE)
    assert told(job) == ("All visits are done. Walk over it with them, and hand it over.", "", "Hand it over")


def test_a_job_that_was_handed_over_waits_for_nobody(ines):
    job = IssuedProposalFactory(state=Proposal.State.ACCEPTED).job
    sheet = PaperFactory(job=job, kind=Paper.Kind.HAND_OVER, number="H-0001")
    row = HandOver.objects.create(job=job, finished_on=TODAY, begun_by=ines)
    assert Job.objects.wanting_something().exists()
    HandOver.objects.filter(pk=row.pk).update(paper=sheet)
    assert not Job.objects.wanting_something().exists()


def test_beyond_twelve_lines_the_folders_take_over(client, ines):
    for _ in range(14):
        JobFactory()
    page = client.get("/")
    assertContains(page, "2 more among the folders")
    assert page.content.count(b'class="place"') == 12


@pytest.mark.parametrize("rows", [1, 3])
def test_the_desk_asks_as_often_whatever_waits(client, ines, rows, django_assert_num_queries):
    for _ in range(rows):
        JobFactory()
        MessageFactory(paper=IssuedProposalFactory().paper, state="refused")
        QuestionFactory(paper=IssuedProposalFactory().paper)
    # session, user, folders, their offers, mails, questions, letters left, people, tests that wait, firm; of money what
    # is due and its bills, changes, contracts
    with django_assert_num_queries(20):
        client.get("/")


# the crew


def test_the_crew_sees_the_folders_it_may_open_and_no_money(client):
    FirmFactory()
    client.force_login(CrewFactory())
    JobFactory(property__street="1 Hidden Lane")
    job = IssuedProposalFactory(job__property__street="18 Alder Row").job
    AreaFactory(job=job, name="Pool deck")
    page = client.get("/")
    assert [(each.job.number, each.words, each.act) for each in page.context["groups"][0].lines] == [
        (job.number, "Pool deck", "Open the folder")
    ]
    assertNotContains(page, "1 Hidden Lane")
    assertNotContains(page, "555-0142")
    assertNotContains(page, "tel:")


@pytest.mark.parametrize("rows", [1, 3])
def test_the_crews_desk_asks_as_often_whatever_waits(client, rows, django_assert_num_queries):
    FirmFactory()
    client.force_login(CrewFactory())
    for _ in range(rows):
        AreaFactory(job=IssuedProposalFactory().job)
    # Session, user, folders, their offers, their areas, visits left open, visits to come, firm.
    with django_assert_num_queries(8):
        client.get("/")


def test_a_crew_without_a_folder_is_told_whom_to_ask(client):
    client.force_login(CrewFactory())
    assertContains(client.get("/"), "No folder for you yet")


# nothing waits


def test_the_first_desk_says_what_to_do_first(client):
    client.force_login(OwnerFactory())
    assertContains(client.get("/"), "Set up the firm")
    FirmFactory()
    assertContains(client.get("/"), "Begin with the starter edition")
    EditionFactory()
    assertContains(client.get("/"), "Add the first person")
    CustomerFactory()
    assertContains(client.get("/"), "Open a folder")
