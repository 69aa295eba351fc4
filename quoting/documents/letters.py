"""The mails of the firm as words: what each says first, and the one frame, plain and HTML, that all of them have."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string

from quoting.documents.accent import readable_accent
from quoting.models import Firm
from quoting.models.outbox import LINK

OPEN_PAGE = "Open your page"
"""On the one thing to press in a mail."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Some words of a line, or the place of the link."""

    words: str
    is_link: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines without an empty one between them."""

    lines: tuple[tuple[Piece, ...], ...]

    @property
    def is_link(self) -> bool:
        return self.lines == ((Piece(LINK, is_link=True),),)


def first_words(name: str, **told: Any) -> tuple[str, str]:
    """Subject and words of a mail before anybody edits them, from `templates/emails/<name>.txt`.

    The marker of the link is taken out of everything that is told, so that nobody else's words can move it.
    """
    safe = {key: value.replace(LINK, "") if isinstance(value, str) else value for key, value in told.items()}
    text = render_to_string(f"emails/{name}.txt", safe)
    subject, _, words = text.partition("\n")
    return one_line(subject), re.sub(r"\n{3,}", "\n\n", words).strip()


def letter(firm: Firm, *, subject: str, words: str, with_link: bool = False, act: str = OPEN_PAGE) -> tuple[str, str]:
    """The words in the firm's frame: as plain text and as HTML. The link's marker stays where it is in both; `act`
    is what stands on it."""
    words = words.replace("\r\n", "\n").replace("\r", "\n").strip()
    told = {
        "firm": firm,
        "subject": subject,
        "words": words,
        "paragraphs": paragraphs_of(words, with_link=with_link),
        "link": LINK,
        "act": act,
        "accent": readable_accent(firm.accent),
    }
    return render_to_string("emails/letter.txt", told).rstrip(), render_to_string("emails/letter.html", told).strip()


def paragraphs_of(words: str, *, with_link: bool) -> tuple[Paragraph, ...]:
    """The words in paragraphs, their lines cut where the link stands."""
    return tuple(
        Paragraph(tuple(_pieces(line.strip(), with_link) for line in block.splitlines()))
        for block in re.split(r"\n\s*\n", words)
        if block.strip()
    )


def one_line(words: str) -> str:
    """Words that can be a subject: on one line, without what ends a line in a mail's head."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in words).split())


def _pieces(line: str, with_link: bool) -> tuple[Piece, ...]:
    if not with_link:
        return (Piece(line),)
    return tuple(Piece(part, is_link=part == LINK) for part in re.split(f"({re.escape(LINK)})", line) if part)
