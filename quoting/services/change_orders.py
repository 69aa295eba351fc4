"""Acts on change orders: drafting, changing, taking back, and what becomes of them when a contract changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db import transaction

from quoting.core.contracts import ContractSum
from quoting.documents.change_orders import stands_on
from quoting.models import AddedWork, Area, ChangeOrder, Job, RestorationSystem, User, lock_row
from quoting.services.contracts import need_contract
from quoting.services.trail import record

State = ChangeOrder.State


class NotDrafted(Exception):
    """The change order is no draft any more, or is gone."""

    def __init__(self, name: str, state: str) -> None:
        super().__init__(
            f"{name} is {state}. An issued change order never changes; what is to change now is a new one."
        )


class NotStanding(Exception):
    """Only a change order that the homeowner holds can be taken back."""

    def __init__(self, row: ChangeOrder) -> None:
        super().__init__(f"{row} is {row.state}, so there is nothing to take back.")


class WrongWork(Exception):
    """An area of another folder, or none."""


def draft_change(*, job: Job, by: User, title: str, reason: str, **facts: Any) -> ChangeOrder:
    """A new draft. Raises NoContract: what is not agreed is changed in the proposal."""
    with transaction.atomic():
        lock_row(Job, job.pk)
        need_contract(job)
        row = ChangeOrder.objects.create(job=job, drafted_by=by, title=title, reason=reason, **facts)
        record("change-order drafted", job=job, actor=by, data={"reason": reason})
    return row


def keep_change(*, row: ChangeOrder, version: int, **facts: Any) -> ChangeOrder:
    """Keep what was changed on a draft. Raises ChangedMeanwhile, or NotDrafted."""
    with transaction.atomic():
        kept = _claim(row, version)
        for name, value in facts.items():
            setattr(kept, name, value)
        kept.save(update_fields=list(facts))
    return kept


def add_work(
    *,
    row: ChangeOrder,
    version: int,
    system: RestorationSystem,
    areas: Sequence[Area],
    length: str = "",
    count: int | None = None,
) -> AddedWork:
    """Add a restoration system on areas of the folder. Raises ChangedMeanwhile, NotDrafted or WrongWork."""
    if not areas:
        raise WrongWork("Choose at least one area for it.")
    if any(area.job_id != row.job_id for area in areas):
        raise WrongWork("This area belongs to another folder.")
    with transaction.atomic():
        kept = _claim(row, version)
        work = AddedWork.objects.create(
            change_order=kept, position=kept.added.count(), system=system, length=length, count=count
        )
        work.areas.set(areas)
    return work


def remove_work(*, row: ChangeOrder, version: int, pk: int) -> None:
    """Take added work off a draft. Raises ChangedMeanwhile, or NotDrafted."""
    with transaction.atomic():
        _claim(row, version).added.filter(pk=pk).delete()


def discard_change(*, row: ChangeOrder, version: int) -> None:
    """Throw a draft away; it never had a number. Raises ChangedMeanwhile, or NotDrafted."""
    with transaction.atomic():
        _claim(row, version).delete()


def withdraw_change(*, row: ChangeOrder, version: int, by: User, because: str = "") -> ChangeOrder:
    """Take back a change order that the homeowner holds. Raises ChangedMeanwhile or NotStanding."""
    with transaction.atomic():
        lock_row(Job, row.job_id)
        kept = lock_row(ChangeOrder, row.pk)
        if kept.state != State.ISSUED:
            raise NotStanding(kept)
        kept.claim(version)
        kept.withdrawn_because = because
        kept.save(update_fields=["withdrawn_because"])
        end_change(kept, State.WITHDRAWN, by=by)
    return kept


def supersede_changes(job: Job, *, but: ChangeOrder | None = None) -> None:
    """What was made on another contract can't be accepted any more; to be called, within the transaction and with the
    job's row locked, when what is agreed has changed."""
    for row in ChangeOrder.objects.standing().filter(job=job).order_by("pk"):
        if row == but:
            continue
        kept = lock_row(ChangeOrder, row.pk)
        kept.claim(kept.version)
        end_change(kept, State.SUPERSEDED, by=None)


def still_stands(facts: Mapping[str, Any], contract: ContractSum | None) -> bool:
    """Whether the contract is the one that the change order was made on."""
    return contract is not None and stands_on(contract) == facts["stands_on"]


def end_change(row: ChangeOrder, state: str, *, by: User | None, data: Mapping[str, object] | None = None) -> None:
    """Write how a change order ended, and tell the trail; within the caller's transaction."""
    row.state = state
    row.save(update_fields=["state"])
    record(f"change-order {state}", job=row.job, paper=row.paper, actor=by, data=data)


def _claim(row: ChangeOrder, version: int) -> ChangeOrder:
    kept = ChangeOrder.objects.filter(pk=row.pk).first()
    if kept is None:
        raise NotDrafted("This draft", "thrown away")
    kept = lock_row(ChangeOrder, row.pk)
    if kept.state != State.DRAFTED:
        raise NotDrafted(str(kept), kept.state)
    kept.claim(version)
    return kept
