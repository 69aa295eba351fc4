"""A forgotten password: the link to a new one is mailed to the person's own address, and whoever has it sets one."""

from __future__ import annotations

from django.conf import settings
from django.db import transaction

from quoting.documents.letters import first_words
from quoting.models import Firm, Message, User, lock_row
from quoting.services.accounts import end_sessions
from quoting.services.outbox import write_message
from quoting.services.trail import record

SET_NEW = "Set a new password"
"""On the one thing to press in the mail."""


class MayNotSignIn(Exception):
    """Somebody without access gets no way in."""

    def __init__(self, person: User) -> None:
        super().__init__(f"{person} may not sign in, so no link was sent. Tick “May sign in” first.")


def ask_password_link(email: str) -> None:
    """Mail the link to whoever signs in with this address; whoever asks isn't told whether there is such a person.

    For an address that nobody has the same mail is written and struck out again, so that it takes as long.
    """
    person = User.objects.filter(email__iexact=email, is_active=True).first()
    with transaction.atomic():
        message = _write(person or User(email=email, name=""), asked_by=None)
        if person is None:
            message.delete()


def send_password_link(*, person: User, by: User) -> Message:
    """The owner has the link mailed to one of his people. Raises MayNotSignIn."""
    if not person.is_active:
        raise MayNotSignIn(person)
    with transaction.atomic():
        return _write(person, asked_by=by)


def set_password_by_link(*, person: User, password: str) -> None:
    """The new password of somebody who came by the link; every session of his ends, and a mail tells him of it."""
    with transaction.atomic():
        kept = lock_row(User, person.pk)
        kept.set_password(password)
        kept.save(update_fields=["password"])
        end_sessions(kept)
        subject, words = first_words("password_set", person=kept.name, firm=_firm_name())
        write_message(kind=Message.Kind.PASSWORD, to=kept.email, subject=subject, words=words)
        record("password set by link", actor=kept)


def last_link(person: User) -> Message | None:
    """The last mail with such a link to this person's address, so that the owner sees what came of it."""
    return Message.objects.filter(kind=Message.Kind.PASSWORD, with_link=True, to=person.email).first()


def _write(person: User, asked_by: User | None) -> Message:
    told = {
        "person": person.name,
        "firm": _firm_name(),
        "by": asked_by.name if asked_by else "",
        "minutes": settings.PASSWORD_RESET_TIMEOUT // 60,
        "first": bool(person.pk) and not person.has_usable_password(),
    }
    subject, words = first_words("password", **told)
    return write_message(
        kind=Message.Kind.PASSWORD,
        to=person.email,
        subject=subject,
        words=words,
        by=asked_by,
        with_link=True,
        act=SET_NEW,
    )


def _firm_name() -> str:
    return Firm.objects.values_list("name", flat=True).first() or "the firm"
