"""The mail of a folder or a paper as its pages list it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from django.db.models import Q
from django.utils import timezone

from quoting.models import Message

MOST_MAILS = 100
"""The newest of one folder that its page lists."""

PATIENCE = timedelta(minutes=5)
"""After which a mail that no sender has looked at means that none is running."""


def mails_of(**where: Any) -> dict[str, Any]:
    """`mails`, the newest first, and `mail_late`, for templates/folders/_mail.html, in one query."""
    lean = Message.objects.select_related("written_by", "paper").defer("text", "html", "paper__pdf", "paper__facts")
    mails = list(lean.filter(Q(**where))[:MOST_MAILS])
    return {"mails": mails, "mail_late": sender_is_late(mails)}


def sender_is_late(mails: Iterable[Message]) -> bool:
    """Whether one of them has been due for minutes without anybody trying: `manage.py outbox` is not running."""
    late = timezone.now() - PATIENCE
    return any(mail.state == Message.State.WAITING and not mail.attempts and mail.due_at < late for mail in mails)
