"""Scope files: canonical JSON in and out.

`read_scope` takes what anyone may have written and gives a Scope, or raises ScopeFaults with every fault and its place.
`write_scope` gives the canonical text: sorted keys, no blanks, every default spelt out, numbers as texts, sums with the
currency's decimals, quantities as they were called out. Reading it back gives an equal scope, and writing that the same
text.
"""

import json
import re
from collections import Counter
from typing import Any

from quoting.core.rounding import minor_places
from quoting.core.scope import Scope
from quoting.core.scope_checks import check
from quoting.core.scope_faults import Fault, ScopeFaults
from quoting.core.scope_reading import Reading, UnreadNumber
from quoting.core.scope_records import FileObject
from quoting.core.scope_schema import SCOPE, schema

__all__ = ["Fault", "ScopeFaults", "read_scope", "schema", "scope_data", "scope_from_data", "write_scope"]

LARGEST_FILE = 5_000_000
"""Bytes; a larger file is refused unread."""

DEEPEST = 32
"""How far objects and lists may nest; the format itself needs 9."""


def read_scope(text: str | bytes) -> Scope:
    """The scope in a scope file. Raises ScopeFaults."""
    return scope_from_data(_parsed(text))


def scope_from_data(data: Any) -> Scope:
    """The scope in the plain data of a scope file: dictionaries, lists, texts and whole numbers. Raises ScopeFaults."""
    reading = Reading()
    scope: Scope = SCOPE.read(data, "", reading)
    check(data, reading)
    if reading.faults:
        raise ScopeFaults(reading.faults, reading.unsaid)
    return scope


def scope_data(scope: Scope) -> dict[str, Any]:
    """The plain data of a scope file, every default spelt out."""
    data: dict[str, Any] = SCOPE.write(scope, minor_places(scope.currency))
    return data


def write_scope(scope: Scope) -> str:
    """The canonical text of a scope file."""
    return json.dumps(scope_data(scope), sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def _refused(sentence: str) -> ScopeFaults:
    return ScopeFaults([Fault("file", sentence, structural=True)])


def _parsed(text: str | bytes) -> Any:
    size = len(text) if isinstance(text, bytes) else len(text.encode("utf-8", "surrogatepass"))
    if size > LARGEST_FILE:
        raise _refused("is larger than 5 MB.")
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8")
        except UnicodeDecodeError as error:
            raise _refused(f"is not UTF-8 text: the byte at {error.start + 1:,} can't be read.") from None
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise _refused("is empty.")
    if "\0" in text:
        raise _refused(f"holds a NUL character, at {text.index(chr(0)) + 1:,}.")
    if _depth(text) > DEEPEST:
        raise _refused(f"nests objects and lists more than {DEEPEST} deep.")
    try:
        return json.loads(
            text,
            object_pairs_hook=_object,
            parse_int=_whole,
            parse_float=UnreadNumber,
            parse_constant=UnreadNumber,
        )
    except json.JSONDecodeError as error:
        where = f"line {error.lineno:,}, column {error.colno:,}"
        raise _refused(f"is not JSON: {error.msg[:1].lower()}{error.msg[1:]}, at {where}.") from None


# Possessive, since the engine would keep a way back for each letter of a text: half a gigabyte for a file of 5 MB.
_MARKS = re.compile(r'"(?:[^"\\]++|\\.)*+"?|[\[\]{}]', re.DOTALL)


def _depth(text: str) -> int:
    """How deep the brackets nest, those in texts not counted. No more is looked at than tells that it is too deep."""
    depth = deepest = 0
    for mark in _MARKS.finditer(text):
        if mark[0] in "[{":
            depth += 1
            deepest = max(deepest, depth)
            if deepest > DEEPEST:
                break
        elif mark[0] in "]}":
            depth -= 1
    return deepest


def _whole(digits: str) -> int | UnreadNumber:
    return int(digits) if len(digits) <= 10 else UnreadNumber(digits)


def _object(pairs: list[tuple[str, Any]]) -> FileObject:
    found = FileObject(pairs)
    if len(found) != len(pairs):
        times = Counter(key for key, _value in pairs)
        found.repeated = tuple(key for key in found if times[key] > 1)
    return found
