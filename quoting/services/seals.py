"""The seal of an answer: one fingerprint of all that is kept of it, so that nothing can be dropped or changed.

Words that may be erased are told to the trail as a hash with a salt of their own: once both are gone, no guess at them
can be tried.
"""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from decimal import Decimal

from quoting.documents.freeze import canonical_json, sha256_of
from quoting.models import Acceptance, Answer

NOT_SEALED = frozenset({"id", "seal"})
"""What is not under the seal: the row's own number, and the seal."""


def seal_of(answer: Acceptance | Answer) -> str:
    """SHA-256 of the canonical JSON of every column, the salt among them, so that no guess at a name can be tried."""
    columns = (field for field in answer._meta.concrete_fields if field.name not in NOT_SEALED)
    return sha256_of(canonical_json({field.attname: _plain(getattr(answer, field.attname)) for field in columns}))


def _plain(value: object) -> object:
    """A column as it is sealed: the same before it is written and when it was read again, on every database."""
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat(timespec="microseconds")
    if isinstance(value, bytes | bytearray | memoryview):
        return sha256_of(bytes(value))
    amount = getattr(value, "amount", value)
    if isinstance(amount, Decimal):
        return f"{amount:.2f} {getattr(value, 'currency', '')}"
    return value


def fresh_salt() -> str:
    """Sixteen random bytes, in hexadecimal."""
    return secrets.token_hex(16)


def hash_words(salt: str, words: str) -> str:
    """SHA-256 of salt and words; nothing for no words."""
    return sha256_of(salt + words) if words else ""
