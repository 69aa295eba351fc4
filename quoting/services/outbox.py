"""The outbox: a mail is written with the change that it tells of; a sender with a lease sends it, then marks it."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.db import router, transaction
from django.db.models import F, QuerySet
from django.utils import timezone

from quoting.documents.letters import OPEN_PAGE, letter, one_line
from quoting.models import Firm, Job, Message, Paper, User, lock_row
from quoting.services.delivery import Came, Outcome, deliver
from quoting.services.trail import record

State = Message.State

LEASE = timedelta(minutes=10)
"""How long a mail is one sender's: longer than a slow server takes, some ten answers of EMAIL_TIMEOUT each."""

FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=6)
LONGEST_TRY = timedelta(days=5)
"""RFC 5321, section 4.5.4.1: a sender gives up after 4 to 5 days at the earliest."""

LONGEST_SUBJECT = 200


def write_message(
    *,
    kind: str,
    to: str,
    subject: str,
    words: str,
    job: Job | None = None,
    paper: Paper | None = None,
    by: User | None = None,
    attach_paper: bool = False,
    with_link: bool = False,
    act: str = OPEN_PAGE,
    once: str = "",
) -> Message:
    """Write a mail into the outbox, inside the transaction of the change that it tells of.

    `words` are set in the firm's frame. With `with_link` a new private link to the paper takes the place of {link} when
    the mail is sent, with `act` on it. `once` names the act (letters and digits): the same act again gives the mail
    that is there.
    """
    using = router.db_for_write(Message)
    if not transaction.get_connection(using).in_atomic_block:
        raise transaction.TransactionManagementError("write_message() needs the transaction of the change it tells of")
    firm = Firm.objects.defer("logo").first() or Firm()
    subject = one_line(subject)[:LONGEST_SUBJECT]
    text, html = letter(firm, subject=subject, words=words, with_link=with_link, act=act)
    now = timezone.now()
    message, _ = Message.objects.get_or_create(
        message_id=new_message_id(once),
        defaults={
            "job": job or (paper.job if paper else None),
            "paper": paper,
            "kind": kind,
            "written_by": by,
            "to": to,
            "subject": subject,
            "text": text,
            "html": html,
            "attach_paper": attach_paper,
            "with_link": with_link,
            "written_at": now,
            "due_at": now,
        },
    )
    return message


def new_message_id(once: str = "") -> str:
    """A Message-ID of this site, by chance or by the name of the act."""
    host = urlsplit(settings.SITE_ADDRESS).hostname or "localhost"
    return f"<{once or secrets.token_hex(16)}@{host}>"


def leave_refused(message: Message) -> None:
    """Somebody saw that a mail was refused, and it is dealt with."""
    Message.objects.refused_and_open().filter(pk=message.pk).update(settled_at=timezone.now())


def erase_messages(jobs: QuerySet[Job]) -> None:
    """Take address and words out of every mail of these folders; what still waits is not sent. In the caller's
    transaction."""
    mails = Message.objects.filter(job__in=jobs)
    mails.filter(state=State.WAITING).update(state=State.REFUSED, fault="Not sent: the person was erased.")
    mails.update(to="", subject="", text="", html="")
    mails.refused_and_open().update(settled_at=timezone.now())


def export_messages(job: Job) -> list[dict[str, str]]:
    """Every mail of a folder as it is told to the person whom it is about."""
    return [
        {
            "written_at": mail.written_at.isoformat(),
            "kind": mail.kind,
            "state": mail.state,
            "to": mail.to,
            "subject": mail.subject,
            "text": mail.text,
        }
        for mail in job.messages.all()
    ]


@dataclass(slots=True)
class Passed:
    """What one pass over the outbox did."""

    sent: int = 0
    later: int = 0
    refused: int = 0
    reached: bool = True

    def count(self, outcome: Outcome) -> None:
        self.sent += outcome.came is Came.SENT
        self.later += outcome.came is Came.LATER
        self.refused += outcome.came is Came.REFUSED
        self.reached = self.reached and outcome.reached


def send_due(*, stop: Callable[[], bool] = lambda: False) -> Passed:
    """Send what is due, one mail after the other, until none is left, `stop` says so, or no server is there.

    Safe beside other senders. Don't call it inside a transaction.
    """
    passed = Passed()
    while passed.reached and not stop() and (leased := lease_next()):
        outcome = deliver(leased)
        mark(leased, outcome)
        passed.count(outcome)
    return passed


def lease_next() -> Message | None:
    """The mail that is due longest, now this sender's for the time of a lease; None when nothing is due."""
    while True:
        now = timezone.now()
        due = Message.objects.due(now)
        pk = due.values_list("pk", flat=True).first()
        if pk is None:
            return None
        # One UPDATE that asks again: of two senders who saw the same row one finds it leased, and looks further.
        if due.order_by().filter(pk=pk).update(leased_until=now + LEASE, attempts=F("attempts") + 1):
            return Message.objects.select_related("job", "paper", "written_by").defer("paper__pdf").get(pk=pk)


def mark(leased: Message, outcome: Outcome) -> None:
    """Keep what came of an attempt, and tell the trail when that is the end of it."""
    with transaction.atomic():
        row = lock_row(Message, leased.pk)
        if row.state != State.WAITING:
            return  # another sender, after our lease had run out, came to an end first
        now = timezone.now()
        row.fault = outcome.sentence
        if outcome.came is Came.SENT:
            row.state, row.sent_at, row.leased_until = State.SENT, now, None
        elif row.leased_until != leased.leased_until:
            return  # it is another sender's now; what came of ours counts only if it went
        elif outcome.came is Came.LATER and (again := next_try(row, now)):
            row.due_at, row.leased_until = again, None
        else:
            row.state, row.leased_until = State.REFUSED, None
        row.save(update_fields=["state", "sent_at", "leased_until", "due_at", "fault"])
        if row.state != State.WAITING:
            told = {"what": row.get_kind_display(), "message_id": row.message_id, "attempts": row.attempts}
            record(f"mail {row.state}", job=row.job, paper=row.paper, actor=row.written_by, data=told, at=now)


def next_try(message: Message, now: datetime) -> datetime | None:
    """When to try again after this many attempts: in 1, 2, 4 … minutes, six hours at most; None after five days."""
    wait = min(FIRST_WAIT * 2 ** min(max(message.attempts, 1) - 1, 12), LONGEST_WAIT)
    again = now + wait
    return again if again <= message.written_at + LONGEST_TRY else None
