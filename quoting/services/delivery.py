"""Handing one mail to the mail server, and what came of it. Never called inside a transaction, nor by a page."""

from __future__ import annotations

import contextlib
import smtplib
from collections.abc import Iterator
from dataclasses import dataclass
from email.utils import format_datetime, formataddr
from enum import Enum

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone
from django.utils.html import escape

from quoting.documents.letters import one_line
from quoting.models import Firm, Message, Paper, PrivateLink, Proposal, User
from quoting.models.outbox import LINK
from quoting.services.links import make_link, make_password_link

LONGEST_FAULT = 300

OUR_OWN_FAULT = {421, 454, 502, 503, 530, 534, 535, 538}
"""Answers about how we logged in or spoke, not about the mail: they are mended in the set-up, and the mail waits.
RFC 4954, section 6, for 454, 530, 534, 535 and 538; RFC 5321, section 4.2.3, for the others."""


class Came(Enum):
    """What came of an attempt."""

    SENT = "sent"
    LATER = "later"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an attempt, in the mail server's words or ours; `reached` is False when there was no server."""

    came: Came
    sentence: str = ""
    reached: bool = True


class NoLongerTrue(Exception):
    """The mail offers something that can't be accepted any more."""

    def __init__(self, paper: Paper, state: str) -> None:
        super().__init__(f"Not sent: {paper.number} is {state}.")


class NobodyThere(Exception):
    """Nobody who may sign in has the address to which the way to a new password was to go."""

    def __init__(self) -> None:
        super().__init__("Not sent: nobody who may sign in has this address.")


def deliver(message: Message) -> Outcome:
    """Send this mail now. A private link is made for it first, and taken away again when the mail surely did not go."""
    link: PrivateLink | None = None
    url = ""
    try:
        need_true(message)
        if message.kind == Message.Kind.PASSWORD and message.with_link:
            url = password_link(message.to)
    except (NoLongerTrue, NobodyThere) as fault:
        return Outcome(Came.REFUSED, str(fault))
    connection: BaseEmailBackend | None = None
    try:
        connection = get_connection()
        connection.open()
    except Exception as fault:  # whatever hinders the connection hinders every mail, and waits to be mended
        if connection is not None:
            with contextlib.suppress(Exception):
                connection.close()  # a line that was opened, but on which the log-in failed
        return Outcome(Came.LATER, f"The mail server can’t be reached: {said(fault)}"[:LONGEST_FAULT], reached=False)
    with _closed(connection):
        if message.with_link and message.paper:
            link, url = make_link(message.paper, message.written_by)
        outcome, surely = _hand_over(connection, message, url)
    if link and outcome.came != Came.SENT and surely:
        PrivateLink.objects.filter(pk=link.pk).delete()
    return outcome


def _hand_over(connection: BaseEmailBackend, message: Message, url: str) -> tuple[Outcome, bool]:
    """What came of it, and whether that is sure: after a broken line the server may have taken the mail after all."""
    try:
        mail = as_mail(message, url)
        mail.connection = connection
        mail.send()
    except smtplib.SMTPRecipientsRefused as fault:
        code, words = next(iter(fault.recipients.values()))
        return _answered(code, words), True
    except smtplib.SMTPResponseException as fault:
        return _answered(fault.smtp_code, fault.smtp_error), True
    except OSError as fault:
        return Outcome(Came.LATER, f"The line to the mail server broke: {said(fault)}"[:LONGEST_FAULT]), False
    except ValueError as fault:
        return Outcome(Came.REFUSED, f"It can’t be put together: {said(fault)}"[:LONGEST_FAULT]), True
    return Outcome(Came.SENT), True


def need_true(message: Message) -> None:
    """Hold back an offer that was withdrawn, superseded or answered while its mail waited. Raises NoLongerTrue."""
    if message.kind not in {Message.Kind.PROPOSAL, Message.Kind.FOLLOW_UP} or message.paper is None:
        return
    state = Proposal.objects.filter(paper=message.paper_id).values_list("state", flat=True).first()
    if state not in {None, Proposal.State.ISSUED}:
        raise NoLongerTrue(message.paper, str(state))


def password_link(to: str) -> str:
    """The way to a new password for whoever signs in with this address now, made anew at every attempt, so that its
    hour begins with the mail. Raises NobodyThere."""
    person = User.objects.filter(email=to, is_active=True).first()
    if person is None:
        raise NobodyThere
    return make_password_link(person)


def as_mail(message: Message, url: str) -> EmailMultiAlternatives:
    """The mail as it goes out: the link in its place, the same Message-ID and date at every attempt.

    Raises ValueError for a head or an address that no mail can have.
    """
    firm = Firm.objects.defer("logo").first() or Firm()
    text, html = message.text, message.html
    if message.with_link:
        text, html = text.replace(LINK, url), html.replace(LINK, escape(url))
    mail = EmailMultiAlternatives(
        subject=one_line(message.subject),
        body=text,
        from_email=formataddr((one_line(firm.name), settings.DEFAULT_FROM_EMAIL)),
        to=[message.to],
        reply_to=[firm.email] if firm.email else None,
        headers={
            "Message-ID": message.message_id,
            "Date": format_datetime(timezone.localtime(message.written_at)),
        },
    )
    if html:
        mail.attach_alternative(html, "text/html")
    if message.attach_paper and message.paper_id:
        kept = Paper.objects.only("kind", "number", "pdf").get(pk=message.paper_id)
        mail.attach(f"{kept.kind}-{kept.number}.pdf", bytes(kept.pdf), "application/pdf")
    return mail


def said(fault: BaseException | bytes | str) -> str:
    """What the server or the system said, on one line."""
    if isinstance(fault, bytes):
        return one_line(fault.decode("utf-8", "replace"))
    if isinstance(fault, smtplib.SMTPResponseException):
        return f"{fault.smtp_code} {said(fault.smtp_error)}"
    if isinstance(fault, OSError) and fault.strerror and not isinstance(fault, smtplib.SMTPException):
        return one_line(fault.strerror)
    return one_line(str(fault)) or type(fault).__name__


def _answered(code: int, words: bytes | str) -> Outcome:
    sentence = f"{code} {said(words)}"[:LONGEST_FAULT]
    final = 500 <= code < 600 and code not in OUR_OWN_FAULT
    return Outcome(Came.REFUSED if final else Came.LATER, sentence)


@contextlib.contextmanager
def _closed(connection: BaseEmailBackend) -> Iterator[None]:
    """The connection closed at the end; a server that is rude in parting has the mail all the same."""
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            connection.close()
