"""Planning the visits of a job from what is agreed, moving them, holding them, and saying that one is done."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import formats, timezone

from quoting.core import days
from quoting.core import visits as laid
from quoting.core.rest_of_work import dry_after, rest_of
from quoting.core.tasks import Task, tasks_of, works_of
from quoting.core.weather_limits import Work
from quoting.documents.step_places import done_stints
from quoting.models import ChangedMeanwhile, DayPlan, Entry, Hold, Job, Message, User, Visit, VisitStep, lock_row
from quoting.services.agreed_work import AgreedWork, need_work
from quoting.services.crew_rules import current_rules
from quoting.services.outbox import write_message
from quoting.services.seals import fresh_salt, hash_words
from quoting.services.told_work import told_days, told_hold
from quoting.services.trail import record

PlanFault = laid.PlanFault

STEP_OF_CLOCK = 15
"""Minutes to which the times of a visit are said: nobody comes at 10:37."""

MOVED, MOVED_BY_HAND = "Moved: ", "Moved by hand."


class VisitOver(Exception):
    """A visit that is done can't be moved or held."""

    def __init__(self, number: int) -> None:
        super().__init__(f"Visit {number} is done; it can’t be moved. If it isn’t, say so on its page first.")


class WorkBegun(Exception):
    """Something was written down on a visit, so the days can't be laid anew from the start."""

    def __init__(self, number: int) -> None:
        super().__init__(f"Visit {number} has begun: move the visits that are still to come, one by one.")


class HoldFault(ValueError):
    """A hold goes to a later day."""

    def __init__(self) -> None:
        super().__init__("A visit that is held is tried again on a later day.")


class NobodyToTell(Exception):
    """The customer has no e-mail address."""

    def __init__(self) -> None:
        super().__init__("There is no e-mail address for this customer: ring instead.")


def plan_visits(*, job: Job, by: User, first_day: date, crew: int) -> DayPlan:
    """Lay the visits of what is agreed from this day on. What was moved by hand before is forgotten.

    Raises NothingAgreed, PlanFault, or WorkBegun when something was written down already.
    """
    work = need_work(job)
    plan = days.plan_days(_tasks(work, crew), first_day, current_rules().days)
    with transaction.atomic():
        lock_row(Job, job.pk)
        begun = Entry.objects.filter(visit__job=job).select_related("visit").first()
        done = Visit.objects.filter(job=job, state=Visit.State.DONE).first()
        if begun or done:
            raise WorkBegun((begun.visit if begun else done).number)  # type: ignore[union-attr]
        row, is_new = DayPlan.objects.update_or_create(
            job=job,
            defaults={
                "first_day": first_day, "crew": crew, "pins": [], "reserve": plan.reserve, "latest": plan.latest,
                "scope_sha256": work.sha256, "salt": fresh_salt(),
            },
        )  # fmt: skip
        if not is_new:
            row.claim(row.version)
        _keep(job, plan, work)
        tell_days("visits planned", job, by, visits=len(plan.visits), latest=plan.latest.isoformat(),
              **{"from": first_day.isoformat()})  # fmt: skip
    return row


def plan_again(*, job: Job, by: User) -> None:
    """Lay the days again after a change order, from today on: what is done stays as it was, and what is left of the
    work goes to the visits to come. What was moved to a day still to come stays there.

    Raises NothingAgreed or PlanFault.
    """
    with transaction.atomic():
        lock_row(Job, job.pk)
        row, work, today = DayPlan.objects.get(job=job), need_work(job), timezone.localdate()
        row.first_day = max(row.first_day, today)
        row.pins = [pin for pin in row.pins if pin["day"] >= today.isoformat()]
        plan = _lay(job, work, row)
        latest = plan.latest if plan.visits else row.latest
        row.latest, row.scope_sha256 = max(row.latest, latest), work.sha256
        row.save(update_fields=["first_day", "pins", "latest", "scope_sha256"])
        _keep(job, plan, work)
        tell_days("visits planned", job, by, visits=len(plan.visits), latest=row.latest.isoformat())


def days_outdated(job: Job, work: AgreedWork | None) -> bool:
    """Whether what is agreed was changed, or all taken out, since the days were laid."""
    laid_for = DayPlan.objects.filter(job=job).values_list("scope_sha256", flat=True).first()
    return laid_for is not None and laid_for != (work.sha256 if work else "")


def move_visit(*, visit: Visit, version: int, by: User, day: date, reason: str) -> None:
    """Bring a visit to another day; those after it follow. Raises ChangedMeanwhile, VisitOver or PlanFault."""
    with transaction.atomic():
        before = shift_visit(visit, version, day, reason)
        tell_days("visit moved", visit.job, by, visit=visit.number, to=day.isoformat(), **{"from": before.isoformat()})


def hold_visit(*, visit: Visit, version: int, by: User, day: date, reason: str, words: str = "") -> Hold:
    """Hold a visit and try again on that day; the reason is logged. The homeowner is told by `tell_homeowner`.

    Raises ChangedMeanwhile, VisitOver, HoldFault or PlanFault.
    """
    with transaction.atomic():
        before = shift_for_hold(visit=visit, version=version, day=day, reason=reason)
        return log_hold(visit=visit, by=by, before=before, reason=reason, words=words)


def shift_for_hold(*, visit: Visit, version: int, day: date, reason: str) -> date:
    """Lay the days again with this visit held until that day; gives the day that it had. In the caller's transaction.

    Raises ChangedMeanwhile, VisitOver, HoldFault or PlanFault.
    """
    if visit.version != version:
        raise ChangedMeanwhile(visit)
    if day <= visit.day:
        raise HoldFault
    return shift_visit(visit, version, day, Hold.Reason(reason).label, held=True)


def log_hold(*, visit: Visit, by: User, before: date, reason: str, words: str, entry: Entry | None = None) -> Hold:
    """Write down why a visit was held that had the day `before`; `entry` is the crew's own. In the caller's
    transaction."""
    salt = fresh_salt() if words else ""
    hold = Hold.objects.create(
        visit=visit, reason=reason, words=words, salt=salt, words_sha256=hash_words(salt, words), entry=entry,
        from_day=before, to_day=visit.day, at=timezone.now(), by=by,
    )  # fmt: skip
    tell_days(
        "visit held", visit.job, by, visit=visit.number, to=visit.day.isoformat(), hold=told_hold(hold),
        reason=str(Hold.Reason(reason).label), **{"from": before.isoformat()},
    )  # fmt: skip
    return hold


def notice_words(hold: Hold) -> tuple[str, str]:
    """Subject and words of the mail that tells the homeowner, to be looked over."""
    job = hold.visit.job
    to_day = formats.date_format(hold.to_day, "l j F")
    why = {
        Hold.Reason.RAIN: "rain is in the way, and what we put on has to dry",
        Hold.Reason.COLD: "it is too cold for what we put on to harden",
        Hold.Reason.HEAT: "the slab is too hot to work on",
        Hold.Reason.WIND: "the wind is too strong to spray",
        Hold.Reason.WET: "the slab is not dry enough yet",
        Hold.Reason.MATERIAL: "a material has not come",
        Hold.Reason.CREW: "our crew can’t be there",
        Hold.Reason.HOMEOWNER: "you asked us to",
    }.get(Hold.Reason(hold.reason), "it could not be done as planned")
    subject = f"We come on {to_day} instead, {job.property.street}"
    words = (
        f"Dear {job.property.customer.name},\n\n"
        f"we had planned to work at {job.property.street} on {formats.date_format(hold.from_day, 'l j F')}. "
        f"We moved this visit, because {why}.\n\n"
        f"We now plan to come on {to_day}. The days after it move with it. If that does not suit you, please ring us."
    )
    return subject, words


def tell_homeowner(*, hold: Hold, by: User, subject: str, words: str) -> Message:
    """Send the notice of a hold, once. Raises NobodyToTell."""
    to = hold.visit.job.property.customer.email
    if not to:
        raise NobodyToTell
    with transaction.atomic():
        row = lock_row(Hold, hold.pk)
        message = write_message(
            kind=Message.Kind.VISIT, to=to, subject=subject, words=words, job=hold.visit.job, by=by,
            once=f"hold{hold.pk}",
        )  # fmt: skip
        if row.notice_id is None:
            row.notice = message
            row.save(update_fields=["notice"])
            record("visit notice written", job=hold.visit.job, actor=by, data={"hold": row.pk, "message": message.pk})
    return message


def finish_visit(*, visit: Visit, version: int, by: User, done: bool = True) -> None:
    """Say that a visit is done, or that it isn't after all. Raises ChangedMeanwhile."""
    with transaction.atomic():
        visit.claim(version)
        visit.state = Visit.State.DONE if done else Visit.State.PLANNED
        visit.save(update_fields=["state", "planned_again_at"])
        tell_days("visit done" if done else "visit opened again", visit.job, by, visit=visit.number)


def tell_days(kind: str, job: Job, by: User | None, **told: object) -> None:
    """Tell the trail what was done, and how all the days of the job stand since."""
    record(kind, job=job, actor=by, data=told | {"days": told_days(job)})


def shift_visit(visit: Visit, version: int, day: date, reason: str, *, held: bool = False) -> date:
    """Lay the days again with this visit on that day, inside the transaction; gives the day that it had."""
    lock_row(Job, visit.job_id)
    before = visit.day
    visit.claim(version)
    visit.refresh_from_db()
    if visit.state == Visit.State.DONE:
        raise VisitOver(visit.number)
    row = DayPlan.objects.get(job=visit.job_id)
    work = need_work(visit.job)
    plan = replace(_lay(visit.job, work, row), reserve=row.reserve, latest=row.latest)
    moved = days.move_visit(plan, visit.number, day, reason)
    row.pins = [{"visit": pin.visit, "day": pin.day.isoformat(), "reason": pin.reason} for pin in moved.pins]
    row.reserve, row.latest, row.scope_sha256 = moved.reserve, moved.latest, work.sha256
    row.save(update_fields=["pins", "reserve", "latest", "scope_sha256"])
    _keep(visit.job, moved, work)
    visit.refresh_from_db()
    visit.state = Visit.State.HELD if held else Visit.State.PLANNED
    visit.save(update_fields=["state", "planned_again_at"])
    return before


def _pins(row: DayPlan) -> list[laid.Pin]:
    return [laid.Pin(visit=pin["visit"], day=date.fromisoformat(pin["day"]), reason=pin["reason"]) for pin in row.pins]


def _tasks(work: AgreedWork, crew: int) -> tuple[Task, ...]:
    return tasks_of(work.workings, crew=crew, recoat=Decimal(current_rules().row.recoat_hours))


def _lay(job: Job, work: AgreedWork, row: DayPlan) -> laid.Plan:
    """The visits that are still to be done: none of them before the last that is done, nor while its areas dry."""
    rules, steps = current_rules().days, work.workings.steps
    over = list(Visit.objects.filter(job=job, state=Visit.State.DONE).prefetch_related("steps"))
    done = [stint for visit in over for stint in done_stints(visit, steps)]
    first = max([row.first_day, *(visit.day + timedelta(days=1) for visit in over)])
    return days.plan_days(
        rest_of(_tasks(work, row.crew), done), first, rules, pins=_pins(row),
        ready=dry_after(done, rules.slower), taken={visit.number for visit in over},
    )  # fmt: skip


def _keep(job: Job, plan: laid.Plan, work: AgreedWork) -> None:
    """Write the visits as they are laid; what is done, and what was written down on a visit, stays.

    A visit that falls away is deleted, unless something was written down on it.
    """
    works = works_of(work.workings)
    rows = {row.number: row for row in Visit.objects.filter(job=job)}
    for each in plan.visits:
        row = rows.pop(each.number, None) or Visit(job=job, number=each.number)
        if row.pk and row.state == Visit.State.DONE:
            continue
        row.day = each.day
        row.starts, row.ends = each.start.clock_up(STEP_OF_CLOCK), each.end.clock_up(STEP_OF_CLOCK)
        row.purpose = " ".join(_kinds(each, works))
        row.waits_for = _why(each.wait)
        row.save()
        row.steps.all().delete()
        VisitStep.objects.bulk_create(_step(row, place, stint, works) for place, stint in enumerate(each.stints))
    written = set(Entry.objects.filter(visit__job=job).values_list("visit_id", flat=True))
    held = set(Hold.objects.filter(visit__job=job).values_list("visit_id", flat=True))
    for row in rows.values():
        if row.state != Visit.State.DONE and row.pk not in written | held:
            row.delete()


def _kinds(visit: laid.Visit, works: dict[int, Work]) -> list[str]:
    return list(dict.fromkeys(works[stint.task.place].value for stint in visit.stints if stint.task.place in works))


def _step(visit: Visit, position: int, stint: laid.Stint, works: dict[int, Work]) -> VisitStep:
    task = stint.task
    facts: dict[str, Any] = {
        "place": task.place, "name": task.step, "areas": list(stint.areas),
        "starts": stint.start.clock_up(STEP_OF_CLOCK),
        "work": works[task.place].value if task.place in works else "", "hours": stint.hours, "hold": task.hold,
        "coat": task.coat, "coats": task.coats, "part": stint.part, "parts": stint.parts,
    }  # fmt: skip
    return VisitStep(visit=visit, position=position, **facts)


def _why(wait: laid.Wait | None) -> str:
    if wait is None:
        return ""
    if wait.why is laid.Why.HOLD and not wait.step:
        return f"{wait.area} has to wait for what was done before."[:300]
    if wait.why is laid.Why.HOLD:
        return f"After “{wait.step}”, {wait.area} has to wait."[:300]
    told = {
        laid.Why.DAY_FULL: "The day before is full.",
        laid.Why.GOES_ON: f"“{wait.step}” goes on from the day before.",
        laid.Why.DAY_OFF: "The crew doesn’t work on the days before.",
        laid.Why.MOVED: f"{MOVED}{wait.reason}" if wait.reason else MOVED_BY_HAND,
    }
    return told[wait.why][:300]
