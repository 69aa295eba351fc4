"""Links that are keys: the private link to one paper (made, found again by its token, taken back; only the token's hash
is kept), and the link to a new password, which is kept nowhere."""

from __future__ import annotations

import secrets
from datetime import datetime, time, timedelta

from django.conf import settings
from django.contrib.auth.tokens import default_token_generator
from django.db import transaction
from django.utils import timezone
from django.utils.http import urlsafe_base64_encode

from quoting.documents.freeze import sha256_of
from quoting.models import Paper, PrivateLink, User

AFTER_THE_OFFER = timedelta(days=90)
"""How long a link opens its paper after the offer's last day: who accepted reads there what was agreed."""

PAGE = "/p/"
"""Where the homeowner's page begins; the token follows."""

NEW_PASSWORD = "/password/"  # noqa: S105 - no password
"""Where the page for a new password begins; who it is and the token follow."""


def make_link(paper: Paper, by: User | None) -> tuple[PrivateLink, str]:
    """A new link to the paper and its whole address, which is told this once and can't be found again."""
    token = secrets.token_urlsafe(32)
    now = timezone.now()
    with transaction.atomic():
        link = PrivateLink.objects.create(
            paper=paper, token_sha256=sha256_of(token), made_at=now, made_by=by, expires_at=_end_of(paper, now)
        )
    return link, f"{settings.SITE_ADDRESS}{PAGE}{token}/"


def make_password_link(person: User) -> str:
    """The whole address at which this person sets a new password: once, and for PASSWORD_RESET_TIMEOUT from now.

    Django's own token: a new password, a sign-in or another address make it worthless.
    """
    who = urlsafe_base64_encode(str(person.pk).encode())
    return f"{settings.SITE_ADDRESS}{NEW_PASSWORD}{who}/{default_token_generator.make_token(person)}/"


def find_link(token: str) -> PrivateLink | None:
    """The link that this token opens now; None for a wrong, an expired and a revoked one alike."""
    found = PrivateLink.objects.filter(token_sha256=sha256_of(token), revoked_at=None, expires_at__gt=timezone.now())
    return found.select_related("paper").defer("paper__pdf", "paper__facts").first()


def revoke_link(link: PrivateLink) -> None:
    """Let a link open nothing from now on."""
    PrivateLink.objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=timezone.now())


def _end_of(paper: Paper, now: datetime) -> datetime:
    last = paper.valid_until or timezone.localdate(now)
    return timezone.make_aware(datetime.combine(last, time.max)) + AFTER_THE_OFFER
