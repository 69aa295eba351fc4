"""Who may sign in: the acts on accounts, their sessions and their second factor, and the limits on trying."""

from __future__ import annotations

import hmac
from hashlib import sha256

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.models import Session
from django.db import connection, transaction
from django.utils import timezone
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from quoting.models import Attempts, Role, User, lock_row

WINDOW_SECONDS = 15 * 60
LIMITS = {
    "address": 60,
    "account": 40,
    "account and address": 10,
    "code": 10,
    "link": 30,
    "question": 10,
    "yes": 20,
    "ask link": 10,
    "ask password": 10,
    "ask password for": 3,
}
"""How often each may be tried in one window: from one network address, for one account, both together, a code;
a private link that opens nothing, from one network address; a question, and a yes, through one link; a link
asked for by the code of a paper, from one network address; a new password, from one network address, and for one
account."""

SPARE_CODES = 10


class TooManyTries(Exception):
    """Somebody tried more often than is allowed; `minutes` says how long to wait."""

    def __init__(self, minutes: int) -> None:
        self.minutes = minutes
        wait = "1 minute" if minutes == 1 else f"{minutes} minutes"
        super().__init__(f"That was tried too often. Wait {wait}, then try again.")


class LastOwner(Exception):
    """The firm would be left without an owner who can sign in."""

    def __init__(self) -> None:
        super().__init__("This is the only owner who can sign in. Make someone else an owner first.")


def _attempts_key(kind: str, *parts: str) -> str:
    """A name for what is counted that doesn't tell whose it is: addresses are personal data."""
    told = "\n".join((kind, *parts)).encode()
    return f"{kind}:{hmac.new(settings.SECRET_KEY.encode(), told, sha256).hexdigest()}"


def count_attempt(kind: str, *parts: str) -> None:
    """Count one try of `kind` (a key of LIMITS) by whoever `parts` name.

    One UPSERT, so that tries at the same moment are all counted. Raises TooManyTries beyond the limit.
    """
    now = int(timezone.now().timestamp())
    window = now // WINDOW_SECONDS
    quote = connection.ops.quote_name
    table, key, win, count = (quote(name) for name in (Attempts._meta.db_table, "key", "window", "count"))
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO {table} ({key}, {win}, {count}) VALUES (%s, %s, 1) "  # noqa: S608 - names of our own columns
            f"ON CONFLICT ({key}, {win}) DO UPDATE SET {count} = {table}.{count} + 1 RETURNING {count}",
            [_attempts_key(kind, *parts), window],
        )
        tried = cursor.fetchone()[0]
    if tried > LIMITS[kind]:
        raise TooManyTries(-(-((window + 1) * WINDOW_SECONDS - now) // 60))


def refuse_beyond(kind: str, *parts: str) -> None:
    """Raise TooManyTries where the limit is reached already; counts and writes nothing."""
    now = int(timezone.now().timestamp())
    window = now // WINDOW_SECONDS
    tried = Attempts.objects.filter(key=_attempts_key(kind, *parts), window=window, count__gte=LIMITS[kind])
    if tried.exists():
        raise TooManyTries(-(-((window + 1) * WINDOW_SECONDS - now) // 60))


def forget_attempts(kind: str, *parts: str) -> None:
    """Start again at nothing after a success, and drop the counts of windows that are over."""
    window = int(timezone.now().timestamp()) // WINDOW_SECONDS
    Attempts.objects.filter(key=_attempts_key(kind, *parts)).delete()
    Attempts.objects.filter(window__lt=window - 1).delete()


def end_sessions(user: User, *, but: str | None = None) -> int:
    """Sign this person out everywhere, except in the session with the key `but`. Returns how many were ended."""
    theirs = [
        session.pk
        for session in Session.objects.filter(expire_date__gt=timezone.now()).iterator()
        if session.pk != but and session.get_decoded().get(SESSION_KEY) == str(user.pk)
    ]
    Session.objects.filter(pk__in=theirs).delete()
    return len(theirs)


def change_password(*, user: User, password: str, keep_session: str | None = None) -> None:
    """Set a new password; every session but the one named ends."""
    with transaction.atomic():
        user.set_password(password)
        user.save(update_fields=["password"])
        end_sessions(user, but=keep_session)


def add_person(*, name: str, email: str, role: str, password: str) -> User:
    """A new person of the firm, with a first password that he changes himself; with none he gets a link to set it."""
    return User.objects.create_user(email, password or None, name=name, role=role, is_staff=role == Role.OWNER)


def edit_person(
    *, person: User, name: str, email: str, role: str, is_active: bool, password: str = "", forget_factor: bool = False
) -> User:
    """Change who somebody is here. Another role, no access or a new password ends his sessions.

    Raises LastOwner when no owner who can sign in would be left.
    """
    with transaction.atomic():
        standing = User.objects.filter(role=Role.OWNER, is_active=True).order_by("pk").values_list("pk", flat=True)
        locked = [lock_row(User, pk) for pk in standing]  # in order of pk, so that two owners can't wait for each other
        owners = [owner.pk for owner in locked if owner.role == Role.OWNER and owner.is_active]
        kept = lock_row(User, person.pk)
        if owners == [kept.pk] and not (role == Role.OWNER and is_active):
            raise LastOwner
        lesser = kept.role != role or (kept.is_active and not is_active)
        kept.name, kept.email, kept.role, kept.is_active = name, email.lower(), role, is_active
        kept.is_staff = role == Role.OWNER
        kept.is_superuser = kept.is_superuser and role == Role.OWNER
        if password:
            kept.set_password(password)
        kept.save()
        if forget_factor:
            forget_second_factor(kept)
        if lesser or password or forget_factor:
            end_sessions(kept)
    return kept


def forget_second_factor(user: User) -> None:
    """For a lost phone: the next sign-in sets up a new one."""
    TOTPDevice.objects.filter(user=user).delete()
    StaticDevice.objects.filter(user=user).delete()


def has_second_factor(user: User) -> bool:
    """Whether this person has set up a phone for the second proof."""
    return TOTPDevice.objects.filter(user=user, confirmed=True).exists()


def offered_device(user: User, secret: str) -> TOTPDevice:
    """A phone with this secret (hexadecimal); it is not kept, and counts for nothing until a code from it was typed."""
    return TOTPDevice(user=user, name="Phone", key=secret)


def confirm_device(*, user: User, secret: str, code: str) -> tuple[TOTPDevice, list[str]] | None:
    """Take the offered phone as the only one when the code comes from it, with fresh spare codes; else None."""
    with transaction.atomic():
        lock_row(User, user.pk)
        device = offered_device(user, secret)
        if not device.verify_token(code):
            transaction.set_rollback(True)  # a refused code is noted on the phone, and that would keep it
            return None
        TOTPDevice.objects.filter(user=user).exclude(pk=device.pk).delete()
        StaticDevice.objects.filter(user=user).delete()
        spare = StaticDevice.objects.create(user=user, name="Spare codes")
        codes = [StaticToken.random_token() for _ in range(SPARE_CODES)]
        StaticToken.objects.bulk_create([StaticToken(device=spare, token=code) for code in codes])
    return device, codes
