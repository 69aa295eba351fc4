"""What every paper has in common: from rows to plain values for a page, and from those values to the page.

The facts of a paper are strings in lists and dictionaries, all that stands on it and nothing else. The template prints
from them alone, so that a paper can be shown again as it was.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.template.loader import render_to_string
from django.utils import formats, timezone

from quoting.core.rounding import minor_places
from quoting.core.units import format_number
from quoting.documents.drawing import Drawing
from quoting.models import Firm

Facts = dict[str, Any]

NB = "\u00a0"
PAPERS = {
    "proposal": "documents/proposal.html",
    "change-order": "documents/change_order.html",
    "invoice": "documents/invoice.html",
    "credit-note": "documents/credit_note.html",
    "receipt": "documents/receipt.html",
    "statement": "documents/statement.html",
    "hand-over": "documents/hand_over.html",
    "slab-record": "documents/slab_record.html",
}
"""The template of each kind of paper."""

LOGO = "logo.png"


def letterhead(firm: Firm) -> Facts:
    """The firm as its papers name it, with its logo in base 64."""
    return {
        "name": firm.name,
        "tagline": firm.tagline,
        "address": ", ".join(firm.address_lines),
        "phone": firm.phone,
        "email": firm.email,
        "website": firm.website.removeprefix("https://").removeprefix("http://").rstrip("/"),
        "credentials": " · ".join(said for said in (firm.licence, firm.insurance, firm.registration) if said),
        "logo": base64.b64encode(bytes(firm.logo)).decode("ascii") if firm.logo else "",
        "logo_words": firm.logo_words or f"Logo of {firm.name}",
    }


def sheet(firm: Firm) -> Facts:
    """What the press must know besides the page."""
    return {"paper": firm.paper_size, "accent": firm.accent, "language": "en"}


def paper_html(facts: Mapping[str, Any]) -> str:
    """The whole page of a paper, from its facts alone."""
    return render_to_string(PAPERS[facts["kind"]], {"facts": facts, "foot": facts["foot"]})


def paper_images(facts: Mapping[str, Any], pictures: Mapping[str, bytes]) -> dict[str, bytes]:
    """The images that the page shows, by the names by which it asks for them; `pictures` are photographs by hash."""
    logo = facts["firm"]["logo"]
    own = {LOGO: base64.b64decode(logo)} if logo else {}
    return own | {f"{sha256}.jpg": content for sha256, content in pictures.items()}


def drawn(drawing: Drawing) -> Facts:
    """A drawing as parts/_plan.html prints it, in plain strings."""
    return {
        "prefix": drawing.prefix,
        "title": drawing.title,
        "desc": drawing.desc,
        "attributes": _pairs(drawing.attributes),
        "patterns": [
            {"attributes": _pairs(each.attributes), "path_attributes": _pairs(each.path_attributes)}
            for each in drawing.patterns
        ],
        "primitives": [
            {"tag": thing.tag, "attributes": _pairs(thing.attributes), "words": thing.words}
            for thing in drawing.primitives
        ],
    }


def _pairs(attributes: Iterable[tuple[str, str]]) -> list[list[str]]:
    return [[str(name), str(value)] for name, value in attributes]


def lines_of(text: str) -> list[str]:
    """The lines of a text that have something on them."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def sum_text(amount: Decimal, currency: str) -> str:
    """An amount as papers print it: 1,810.00. The sheet says once which currency it is."""
    return format_number(amount, minor_places(currency))


def percent_text(rate: Decimal) -> str:
    """A rate as per cent, with the decimals that it has: 6.25 %."""
    return f"{(rate * 100).normalize():f}{NB}%"


def day_text(day: date | datetime | None) -> str:
    """A date in the firm's own time: 12 June 2026. Nothing for no date."""
    if day is None:
        return ""
    local = timezone.localtime(day) if isinstance(day, datetime) else day
    return formats.date_format(local, f"j{NB}F{NB}Y")


def listed(words: Iterable[str]) -> str:
    """Words in a row: A; A and B; A, B and C."""
    *most, last = list(words) or [""]
    return f"{', '.join(most)} and {last}" if most else last
