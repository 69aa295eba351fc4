"""The work that is agreed for a job: the accepted option with its extras and changes, from what is frozen."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.core.scope import Scope
from quoting.core.scope_file import write_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.freeze import sha256_of
from quoting.models import Job
from quoting.services.change_scope import NotWorkable, agreed_scope


class NothingAgreed(Exception):
    """Nothing is accepted for this job, so there is no work to plan."""

    def __init__(self, number: str) -> None:
        super().__init__(f"Nothing is agreed in folder {number} yet. Visits follow from an accepted proposal.")


@dataclass(frozen=True, slots=True)
class AgreedWork:
    """The agreed scope with its workings; `sha256` names the scope, `original` is the scope before any change order."""

    scope: Scope
    workings: Workings
    sha256: str
    original: Scope


def agreed_work(job: Job) -> AgreedWork | None:
    """The work of a job with every accepted change order; None while nothing is accepted, or where all of it was taken
    out. Raises DoesNotAddUp where the frozen scopes don't fit.
    """
    try:
        found = agreed_scope(job)
    except NotWorkable:
        return None
    if found.scope is None:
        return None
    return AgreedWork(found.scope, work_out(found.scope), sha256_of(write_scope(found.scope)), found.original)


def need_work(job: Job) -> AgreedWork:
    """The work of a job. Raises NothingAgreed."""
    work = agreed_work(job)
    if work is None:
        raise NothingAgreed(job.number)
    return work
