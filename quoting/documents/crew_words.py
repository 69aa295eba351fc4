"""What the crew reads, in English and Spanish from one file. The words of a firm's own are shown as it wrote them."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

FILE = Path(__file__).with_name("crew_words.toml")


class Pair(NamedTuple):
    """The same words in English and in Spanish."""

    en: str
    es: str

    @property
    def differs(self) -> bool:
        """Whether there is anything to say twice."""
        return self.en != self.es


class NoSuchWords(LookupError):
    """The file of words has no such key."""

    def __init__(self, key: str) -> None:
        super().__init__(f"The crew's words have nothing for “{key}”.")


@cache
def crew_words() -> dict[str, Pair]:
    """Every pair by "table.key"."""
    told = tomllib.loads(FILE.read_text(encoding="utf-8"))
    return {f"{table}.{key}": Pair(*pair) for table, rows in told.items() for key, pair in rows.items()}


def say(key: str, **figures: Any) -> Pair:
    """The pair of this key with the figures put in; a figure that is a Pair itself is put in by language.

    Raises NoSuchWords.
    """
    try:
        pair = crew_words()[key]
    except KeyError:
        raise NoSuchWords(key) from None
    if not figures:
        return pair
    english = {name: value.en if isinstance(value, Pair) else value for name, value in figures.items()}
    spanish = {name: value.es if isinstance(value, Pair) else value for name, value in figures.items()}
    return Pair(pair.en.format_map(english), pair.es.format_map(spanish))


def named(name: str) -> Pair:
    """A name of the price book: in both languages where it is one of the starter edition, else as the firm wrote it."""
    return crew_words().get(f"named.{name}", Pair(name, name))


def listed(pairs: list[Pair]) -> Pair:
    """Several in a row."""
    return Pair(", ".join(pair.en for pair in pairs), ", ".join(pair.es for pair in pairs))
