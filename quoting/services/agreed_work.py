"""The work that is agreed for a job: the accepted option with its extras, worked out again from what is frozen."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.core.joining import JoinFault, join
from quoting.core.scope import Scope
from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import read_scope, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.agreed import DoesNotAddUp, Offered
from quoting.documents.freeze import sha256_of
from quoting.models import Job
from quoting.services.contracts import acceptance_of


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
    """The work of a job; None while nothing is accepted. Raises DoesNotAddUp where the frozen scopes don't fit."""
    acceptance = acceptance_of(job)
    if acceptance is None:
        return None
    choice = Offered(acceptance.paper).choice(acceptance.option)
    ticked = [extra.scope for extra in choice.extras if extra.number in acceptance.add_ons]
    try:
        scope = join(read_scope(choice.scope.scope), [read_scope(row.scope) for row in ticked])
        return AgreedWork(scope, work_out(scope), sha256_of(write_scope(scope)), scope)
    except (JoinFault, ScopeFaults) as fault:
        raise DoesNotAddUp(acceptance.paper.number) from fault


def need_work(job: Job) -> AgreedWork:
    """The work of a job. Raises NothingAgreed."""
    work = agreed_work(job)
    if work is None:
        raise NothingAgreed(job.number)
    return work
