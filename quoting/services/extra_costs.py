"""What a job cost outside its scope: written down once, and taken back by a counter entry; no row ever changes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from uuid import UUID, uuid4

from django.db import transaction
from django.utils import timezone

from quoting.core.books import to_minor
from quoting.models import ExtraCost, Job, User, lock_row
from quoting.services.firm import current_firm
from quoting.services.trail import record

WRITTEN, TAKEN_BACK = "extra cost written", "extra cost taken back"
"""The kinds of their events."""


class TakenBack(Exception):
    """It was taken back already, or it takes something back itself."""

    def __init__(self) -> None:
        super().__init__("That is taken back already. What was right is written down anew.")


def write_extra_cost(
    *, job: Job, by: User, once: UUID, kind: str, words: str, amount: Decimal, on: date
) -> ExtraCost:  # fmt: skip
    """Write it down; the same `once` is one row however often it is sent."""
    currency = current_firm().currency
    with transaction.atomic():
        lock_row(Job, job.pk)
        if found := ExtraCost.objects.filter(once=once).first():
            return found
        row = ExtraCost.objects.create(
            job=job, once=once, kind=kind, words=words, amount=to_minor(amount, currency), currency=currency, on=on,
            at=timezone.now(), by=by,
        )  # fmt: skip
        record(WRITTEN, job=job, actor=by, data=told_extra_cost(row))
    return row


def take_back_extra_cost(*, row: ExtraCost, by: User) -> ExtraCost:
    """Undo it by a row of the same sum with the other sign. Raises TakenBack."""
    with transaction.atomic():
        lock_row(Job, row.job_id)
        found = ExtraCost.objects.with_counter().get(pk=row.pk)
        if not found.stands:
            raise TakenBack
        counter = ExtraCost.objects.create(
            job_id=found.job_id, once=uuid4(), kind=found.kind, words=found.words, amount=-found.amount,
            currency=found.currency, on=timezone.localdate(), takes_back=found, at=timezone.now(), by=by,
        )  # fmt: skip
        record(TAKEN_BACK, job=found.job, actor=by, data=told_extra_cost(counter))
    return counter


def told_extra_cost(row: ExtraCost) -> dict[str, object]:
    """What the trail keeps of it: no words, since they may name somebody."""
    told: dict[str, object] = {"row": row.pk, "kind": row.kind, "amount": row.amount, "currency": row.currency}
    told |= {"on": row.on.isoformat(), "once": str(row.once), "by": row.by_id, "takes_back": row.takes_back_id}
    return told
