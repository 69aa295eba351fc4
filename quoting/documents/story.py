"""The trail of a folder in words: each event of the chain as a line that a person reads."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from quoting.core.books import from_minor
from quoting.documents.contexts import day_text, sum_text
from quoting.models import Event

Data = dict[str, Any]

SENTENCES: dict[str, Callable[[Data], str]] = {
    "folder opened": lambda data: "Folder opened.",
    "area added": lambda data: f"Area {data.get('area', '')} added.",
    "area removed": lambda data: f"Area {data.get('area', '')} removed.",
    "area agreed": lambda data: f"Area {data.get('area', '')} agreed with the customer: {data.get('net', '')} net.",
    "slab looked at": lambda data: "What was found is noted.",
    "test begun": lambda data: f"{data.get('test', '')}{_on(data)}: begun, to be read later.",
    "test read": lambda data: f"{data.get('test', '')}{_on(data)}: read.",
    "finding changed": lambda data: (
        f"{data.get('test', '')}{_on(data)}: changed from {data.get('from', '')} to {data.get('to', '')}."
    ),
    "finding removed": lambda data: f"{data.get('test', '')}{_on(data)}: taken back.",
    "photograph removed": lambda data: "A photograph was removed.",
    "advice followed": lambda data: f"Taken{_on(data)}: {data.get('approach', '')}, as advised.",
    "advice gone against": lambda data: (
        f"Taken{_on(data)}: {data.get('approach', '')}, against the advice, with the reason."
    ),
    "sample made": lambda data: f"A sample was made on {data.get('area', '')}.",
    "sample approved": lambda data: f"The sample on {data.get('area', '')} was approved.",
    "sample removed": lambda data: f"The sample on {data.get('area', '')} was removed; nobody had approved it.",
    "option added": lambda data: "Option added.",
    "extra added": lambda data: "Extra added.",
    "option copied": lambda data: "Option copied.",
    "option removed": lambda data: "Option removed.",
    "option moved": lambda data: f"Option moved to the prices of {data.get('edition', '')}.",
    "proposal drafted": lambda data: "Proposal drafted.",
    "proposal draft thrown away": lambda data: "The draft of the proposal was thrown away.",
    "proposal issued": lambda data: _issued(data),
    "proposal taken back": lambda data: "Yes taken back by the customer; nothing is agreed.",
    "change-order drafted": lambda data: "A change was drafted.",
    "change-order issued": lambda data: _issued(data),
    "change-order opened": lambda data: "Change opened by the customer.",
    "change-order accepted": lambda data: f"Change accepted, seal {_short(data.get('seal', ''))}.",
    "change-order declined": lambda data: "Change declined.",
    "change-order taken back": lambda data: "Yes to the change taken back by the customer.",
    "change-order withdrawn": lambda data: "Change taken back.",
    "change-order superseded": lambda data: "Superseded: what is agreed has changed.",
    "invoice issued": lambda data: f"Invoice issued{_booked(data, 'billed')}.",
    "invoice opened": lambda data: "Invoice opened by the customer.",
    "credit-note issued": lambda data: f"Credit note issued{_booked(data, 'credited')}.",
    "tax taken off": lambda data: f"Taken off by a certificate: {', '.join(data.get('taxes', ()))}.",
    "statement issued": lambda data: "Statement of account issued.",
    "receipt issued": lambda data: "Receipt issued.",
    "hand-over issued": lambda data: "Hand-over sheet issued.",
    "hand-over signed": lambda data: f"Hand-over signed {data.get('how', '')}.",
    "recall written": lambda data: "Written to about sealing again.",
    "recall left": lambda data: f"Not written to about sealing again{_until(data)}.",
    "cost kept": lambda data: "What was used was written down.",
    "extra cost written": lambda data: "A cost outside the scope was written down.",
    "extra cost taken back": lambda data: "A cost outside the scope was taken back.",
    "cost kept to learn from": lambda data: f"Kept to learn from: {data.get('figures', '')} figures.",
    "payment received": lambda data: f"Payment received{_booked(data, 'received')}.",
    "payment refunded": lambda data: f"Given back{_booked(data, 'refunded')}.",
    "payment bounced": lambda data: f"A payment bounced{_booked(data, 'bounced')}.",
    "credit used": lambda data: "The credit was put on the bills.",
    "agreement booked": lambda data: "What is agreed was entered in the books.",
    "mail sent": lambda data: f"Mail sent: {data.get('what', '')}.",
    "mail refused": lambda data: f"Mail refused: {data.get('what', '')}.",
    "visits planned": lambda data: f"Days laid: visits {data.get('visits', '')}, promised by {data.get('latest', '')}.",
    "visit moved": lambda data: (
        f"Visit {data.get('visit', '')} moved from {data.get('from', '')} to {data.get('to', '')}."
    ),
    "visit held": lambda data: (
        f"Visit {data.get('visit', '')} held ({data.get('reason', '')}), "
        f"from {data.get('from', '')} to {data.get('to', '')}."
    ),
    "visit done": lambda data: f"Visit {data.get('visit', '')} done.",
    "visit opened again": lambda data: f"Visit {data.get('visit', '')} is not done after all.",
    "follow-up left": lambda data: "Follow-up left out this time.",
}
"""What is said of each kind of event; a kind that is not here says its own name and its figures."""

SHOWN_HASH = 12


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One thing that happened; `paper` is the number of the paper that it is about, if any."""

    at: datetime
    who: str
    words: str
    paper: str = ""


def tell(events: Iterable[Event]) -> list[StoryLine]:
    """The events as lines, in their order. Reads actor and paper; select them."""
    return [
        StoryLine(
            at=event.at,
            who=event.actor.get_short_name() if event.actor else "",
            words=_words(event.kind, json.loads(event.data)),
            paper=event.paper.number if event.paper else "",
        )
        for event in events
    ]


def _on(data: Data) -> str:
    """Which area it is about; nothing where it is about the whole property."""
    return f" on {data['area']}" if data.get("area") else ""


def _until(data: Data) -> str:
    """The day on which it comes up again."""
    return f" until {day_text(date.fromisoformat(data['until']))}" if data.get("until") else ""


def _booked(data: Data, kind: str) -> str:
    """The sum of this kind that an event brought into the books: “: 166.46 USD”."""
    for entry in data.get("entries", ()):
        if entry.get("kind") == kind:
            amount = sum_text(from_minor(abs(entry["amount"]), entry["currency"]), entry["currency"])
            return f": {amount} {entry['currency']}"
    return ""


def _issued(data: Data) -> str:
    offered = len([scope for scope in data.get("scopes", ()) if scope.get("role") == "option"])
    options = f"{offered} option{'' if offered == 1 else 's'}, " if offered else ""
    return f"issued: {options}{data.get('pages', '')} pages, SHA-256 {_short(data.get('pdf_sha256', ''))}"


def _words(kind: str, data: Data) -> str:
    if kind in SENTENCES:
        return SENTENCES[kind](data)
    told = "; ".join(f"{name.replace('_', ' ')} {_short(value)}" for name, value in data.items() if _plain(value))
    sentence = kind.replace("_", " ").replace("-", " ").capitalize()
    return f"{sentence}: {told}." if told else f"{sentence}."


def _plain(value: Any) -> bool:
    return isinstance(value, str | int) and not isinstance(value, bool) and value != ""


def _short(value: str | int) -> str:
    """A fingerprint is shown by its first digits."""
    text = str(value)
    digits = len(text) == 64 and all(letter in "0123456789abcdef" for letter in text)
    return f"{text[:SHOWN_HASH]} …" if digits else text
