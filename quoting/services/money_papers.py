"""What issuing a bill, a credit note and a receipt have in common: printed first, numbered in one short transaction.

The number is on the paper, so it is guessed before printing and taken after it; where somebody else took it meanwhile
the paper is printed again. So no number is lost, and none is given twice.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, datetime
from typing import Any, TypeVar

from django.utils import timezone

from quoting.documents.contexts import Facts
from quoting.documents.freeze import canonical_json, count_pages, sha256_of
from quoting.documents.letters import first_words
from quoting.documents.numbering import take_number
from quoting.models import Firm, Job, Message, Paper, Series, User
from quoting.services.billing import books_position
from quoting.services.issue import told_of
from quoting.services.outbox import write_message

BILLS, RECEIPTS, STATEMENTS = "invoice", "receipt", "statement"
"""The series of numbers; credit notes are numbered with the bills."""

MOST_TRIES = 8

Press = Callable[[Facts, datetime], bytes]
"""What makes the PDF of a paper from its facts and its time."""

Done = TypeVar("Done")


class Moved(Exception):
    """Something that is on the paper changed since it was printed, or its number went to another."""


class StillMoving(Exception):
    """What stands on the paper changed each time while it was being printed."""

    def __init__(self) -> None:
        super().__init__(
            "The books or the firm’s rules were changed each time while the paper was being printed. Nothing was "
            "issued. Try again in a moment."
        )


def until_it_holds(attempt: Callable[[], Done]) -> Done:
    """Print and keep, again when something moved meanwhile. Raises StillMoving."""
    for _ in range(MOST_TRIES):
        try:
            return attempt()
        except Moved:
            continue
    raise StillMoving


def bill_number(count: int, on: date) -> str:
    """The number of a bill or a credit note: 2026-088. The count goes on from year to year, without a gap."""
    return f"{on.year}-{count:03}"


def receipt_number(count: int) -> str:
    """The number of a receipt: R-0012."""
    return f"R-{count:04}"


def statement_number(count: int) -> str:
    """The number of a statement of account: S-0012."""
    return f"S-{count:04}"


def next_count(series: str) -> int:
    """The count that the next paper of the series will get, if nobody is quicker."""
    return (Series.objects.filter(name=series).values_list("last", flat=True).first() or 0) + 1


def take_expected(series: str, expected: int) -> None:
    """Take the number that was printed; raises Moved, which takes it back with the transaction, if it is another."""
    if take_number(series) != expected:
        raise Moved


def stands_on(job: Job) -> tuple[Any, ...]:
    """The state of what every paper of a job's money is made from: equal means unchanged."""
    place = job.property
    customer = place.customer
    return (
        *Firm.objects.values_list("version", flat=True),
        place.address_lines,
        (customer.name, customer.post_address),
        books_position(job),
        timezone.localdate(),
    )


def keep_paper(*, kind: str, number: str, job: Job, facts: Facts, pdf: bytes, issued_at: datetime, by: User) -> Paper:
    """Write the paper's row, inside the transaction that took its number and with the job's row locked."""
    text = canonical_json(facts)
    return Paper.objects.create(
        kind=kind,
        number=number,
        job=job,
        revision=Paper.objects.filter(job=job, kind=kind).count() + 1,
        issued_at=issued_at,
        issued_by=by,
        facts=text,
        facts_sha256=sha256_of(text),
        pdf=pdf,
        pdf_sha256=sha256_of(pdf),
        pages=count_pages(pdf),
    )


def told_with(paper: Paper, entries: list[dict[str, object]]) -> dict[str, object]:
    """What the trail keeps of a paper about money, and of the entries that it brought."""
    return told_of(paper, []) | {"entries": entries}


def mail_paper(*, paper: Paper, to: str, by: User, once: str = "") -> Message:
    """Put the mail that brings a bill, a credit note or a receipt into the outbox, inside a transaction.

    The first mail of a paper has a name of its own, so that it goes out once whatever is clicked twice.
    """

    facts = json.loads(paper.facts)
    told = {"facts": facts, "writer": by.name, "customer": facts["customer"], "pages": paper.pages}
    subject, words = first_words(paper.kind.replace("-", "_"), **told)
    return write_message(
        kind=paper.kind,
        to=to,
        subject=subject,
        words=words,
        paper=paper,
        by=by,
        attach_paper=True,
        with_link=paper.kind in (Paper.Kind.INVOICE, Paper.Kind.CHANGE),
        once=once or f"{paper.kind}-{paper.number}",
    )
