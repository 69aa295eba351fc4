"""The lines of the desk: what waits in a folder, for whom, for how long, and the one act that moves it on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q
from django.urls import reverse
from django.utils import timezone

from quoting.core.follow_ups import DaysFault, days_from, due_day
from quoting.documents.drawing import clean
from quoting.models import Event, Firm, Job, Message, Paper, Proposal, Question, Role
from quoting.models.jobs import JobQuerySet
from quoting.services.letters import LEFT
from quoting.views.desk_words import PATIENCE, call, day_words, days_words, since_words

SOON = 5
"""Days before an offer runs out from which the desk says so."""

LONGEST_LINE = 12
"""Days up to which the waiting is drawn to scale."""

DAY_PX = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One folder on the desk: what waits, for how many days, and the act."""

    job: Job
    whose: str
    words: str
    days: int
    act: str
    url: str
    offer: Proposal | None = None
    since: str = ""
    over: bool = False
    soon: bool = False
    first: bool = False

    @property
    def asked(self) -> int:
        """How many questions of this folder nobody has answered. Reads what `with_letters` brings."""
        return len(getattr(self.job, "open_questions", ()))

    @property
    def drawn(self) -> int:
        """Length of the dimension line in px; 0 for a wait that needs none."""
        return min(self.days, LONGEST_LINE) * DAY_PX if self.days > 1 else 0

    @property
    def state(self) -> str:
        """The state of the offer as it is today: one that ran out reads so before anybody closes it."""
        return Proposal.State.EXPIRED if self.over else self.offer.state if self.offer else ""


def with_letters(jobs: JobQuerySet) -> JobQuerySet:
    """With what `line_of` asks about mail, questions and follow-ups, in three more queries."""
    offers = Q(kind__in=[Message.Kind.PROPOSAL, Message.Kind.FOLLOW_UP])
    refused = Q(state=Message.State.REFUSED, settled_at=None)
    mails = Message.objects.filter(offers | refused).defer("text", "html")
    left = Event.objects.filter(kind=LEFT).only("job_id", "paper_id", "at")
    return jobs.prefetch_related(
        Prefetch("messages", queryset=mails, to_attr="letters"),
        Prefetch("questions", queryset=Question.objects.filter(answered_at=None), to_attr="open_questions"),
        Prefetch("events", queryset=left, to_attr="letters_left"),
    )


def follow_up_days(firm: Firm) -> tuple[int, ...]:
    """The firm's days for writing again; none where they can't be read, so that the desk always shows."""
    try:
        return days_from(firm.follow_up_days)
    except DaysFault:
        return ()


def line_of(job: Job, today: date, days_after: Sequence[int] = ()) -> Line:
    """What waits in this folder: first what went wrong, then who asked, then what comes next.

    Reads the annotations of `with_progress`, the proposals of `with_offer` and the letters of `with_letters`;
    `days_after` are the firm's days for follow-ups.
    """
    if line := _went_wrong(job, today) or _asked(job, today):
        return line
    if job.draft:
        days = (today - timezone.localdate(job.draft.created_at)).days
        return _owners(job, days, "Proposal drafted, not issued yet.", "Finish and issue", "proposal-draft", job.draft)
    offer = job.offer
    if offer is not None and offer.paper is not None:
        return _offered(job, offer, offer.paper, today, days_after)
    days = (today - timezone.localdate(job.opened_at)).days
    if job.has_options:  # type: ignore[attr-defined]
        return _owners(job, days, "Options are drafted, nothing is offered yet.", "Make the proposal", "proposal-draft")
    if job.is_measured:  # type: ignore[attr-defined]
        return _owners(job, days, "Measured. No option is drafted yet.", "Draft an option", "option-add")
    wanted = f" Wanted by: {job.wanted_by}" if job.wanted_by else ""
    words = ("Areas named, nothing measured yet." if job.has_areas else "Opened, nothing measured yet.") + wanted  # type: ignore[attr-defined]
    return _owners(job, days, words, "Measure", "folder" if job.has_areas else "area-add")  # type: ignore[attr-defined]


def _owners(job: Job, days: int, words: str, act: str, page: str, offer: Proposal | None = None) -> Line:
    url = reverse(page, args=[job.number]) + ("#measured" if page == "folder" else "")
    return Line(
        job=job, whose=Role.OWNER, words=words, days=days, since=since_words(days), act=act, url=url, offer=offer
    )


def _went_wrong(job: Job, today: date) -> Line | None:
    """A mail that did not arrive, and that nobody has dealt with."""
    mails: list[Message] = job.letters  # type: ignore[attr-defined]
    refused = next((mail for mail in mails if mail.state == Message.State.REFUSED and not mail.settled_at), None)
    if refused is None:
        return None
    days = (today - timezone.localdate(refused.written_at)).days
    words = f"The {refused.get_kind_display()} mailed to {refused.to} did not arrive: {clean(refused.fault, most=120)}"
    url = reverse("mail", args=[refused.pk])
    return Line(
        job=job, whose=Role.OFFICE, words=words, days=days, since=since_words(days), act="Mend and send again", url=url,
        offer=job.offer, first=True,
    )  # fmt: skip


def _asked(job: Job, today: date) -> Line | None:
    """A question from the homeowner's page that nobody has answered."""
    questions: list[Question] = job.open_questions  # type: ignore[attr-defined]
    if not questions:
        return None
    days = (today - timezone.localdate(questions[0].asked_at)).days
    more = f" and {len(questions) - 1} more" if len(questions) > 1 else ""
    words = f"They ask: “{clean(questions[0].asked, most=120)}”{more}"
    url = reverse("question-answer", args=[job.number, questions[0].pk])
    return Line(
        job=job, whose=Role.OWNER, words=words, days=days, since=since_words(days), act="Answer", url=url,
        offer=job.offer, first=True,
    )  # fmt: skip


def _follow_up(job: Job, paper: Paper, today: date, days_after: Sequence[int]) -> int | None:
    """The day after sending for which a letter is due; None without an address to write to."""
    if not job.property.customer.email:
        return None
    mails = [mail for mail in job.letters if mail.paper_id == paper.pk]  # type: ignore[attr-defined]
    sent = [mail.sent_at for mail in mails if mail.kind == Message.Kind.PROPOSAL and mail.sent_at]
    handled = [mail.written_at for mail in mails if mail.kind == Message.Kind.FOLLOW_UP]
    handled += [event.at for event in job.letters_left if event.paper_id == paper.pk]  # type: ignore[attr-defined]
    return due_day(
        days_after,
        sent=timezone.localdate(min(sent, default=paper.issued_at)),
        today=today,
        until=paper.valid_until,
        handled=timezone.localdate(max(handled)) if handled else None,
    )


def _was_mailed(job: Job, paper: Paper) -> bool:
    mails: list[Message] = job.letters  # type: ignore[attr-defined]
    return any(mail.paper_id == paper.pk and mail.kind == Message.Kind.PROPOSAL for mail in mails)


def _offered(job: Job, offer: Proposal, paper: Paper, today: date, days_after: Sequence[int]) -> Line:
    """A line for an offer that is out, ran out or was accepted."""
    waited = (today - timezone.localdate(paper.issued_at)).days
    folder = reverse("folder", args=[job.number])
    if offer.state == Proposal.State.ACCEPTED:
        whose, words, act, url = _at_work(job)
        return Line(job=job, whose=whose, words=words, days=0, act=act, url=url, offer=offer)
    if offer.state == Proposal.State.TAKEN_BACK:
        words = "They took their yes back. Give back what was paid; then note why."
        url = reverse("paper-lost", args=[paper.number])
        return Line(
            job=job, whose=Role.OWNER, words=words, days=0, act="Note why", url=url, offer=offer, first=True,
        )  # fmt: skip
    until = paper.valid_until
    left = (until - today).days if until else None
    if offer.state == Proposal.State.EXPIRED or (left is not None and left < 0):
        over = max(-left, 0) if left is not None else 0
        return Line(
            job=job,
            whose=Role.OFFICE,
            words=f"No answer until {day_words(until)}, when it ran out." if until else "It ran out without an answer.",
            days=over,
            since=f"{days_words(over)} over",
            act="Offer it anew",
            url=reverse("paper", args=[paper.number]),
            offer=offer,
            over=True,
        )
    soon = left is not None and left <= SOON
    whose, words, act, url = Role.OFFICE, "With them, no answer yet.", "Open the folder", folder
    if _follow_up(job, paper, today, days_after):
        whose, words = Role.OWNER, "No answer yet: time to write again."
        act, url = "Read and send", reverse("paper-follow-up", args=[paper.number])
    elif soon or waited >= PATIENCE:
        act, url = call(job)
    elif not _was_mailed(job, paper):
        words, act, url = "Issued, not mailed yet.", "Send it", reverse("paper-send", args=[paper.number])
    return Line(
        job=job, whose=whose, words=f"{words}{_valid(left, until)}", days=waited, since=since_words(waited), act=act,
        url=url, offer=offer, soon=soon,
    )  # fmt: skip


def _at_work(job: Job) -> tuple[str, str, str, str]:
    """Whose turn it is after a yes, until the job is handed over."""
    if not job.has_days:  # type: ignore[attr-defined]
        return Role.OFFICE, "Accepted; its days are not laid yet.", "Lay the days", reverse("visits", args=[job.number])
    if job.has_days_left:  # type: ignore[attr-defined]
        return Role.CREW, "Accepted, and its days are laid.", "Open the folder", reverse("folder", args=[job.number])
    words = "All visits are done. Walk over it with them, and hand it over."
    return Role.OFFICE, words, "Hand it over", reverse("hand-over", args=[job.number])


def _valid(left: int | None, until: date | None) -> str:
    if left is None:
        return ""
    if left == 0:
        return " Valid until today."
    if left == 1:
        return " Valid until tomorrow."
    more = f", {days_words(left)} more" if left <= SOON else ""
    return f" Valid until {day_words(until)}{more}."
