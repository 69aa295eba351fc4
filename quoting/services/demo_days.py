"""The crew's days in the demo's folders: laid, held for rain, worked and written down; the hand-over at their end."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import cycle
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from django.db import transaction
from django.utils import timezone

from quoting.core.rounding import ceil_to
from quoting.core.trade_units import from_unit
from quoting.core.units import Dimension, Quantity, parse_quantity
from quoting.core.weather_limits import Work
from quoting.documents.booking import LineBooked, StockLine
from quoting.documents.hand_over import POINTS
from quoting.documents.step_places import coats_now
from quoting.models import DayPlan, Entry, HandOver, Hold, Message, Visit
from quoting.services import hand_over as ending
from quoting.services.agreed_work import AgreedWork, need_work
from quoting.services.booking import book_work, lines_to_book
from quoting.services.costs import keep_to_learn
from quoting.services.crew_rules import current_rules
from quoting.services.crew_sheets import guarded_on
from quoting.services.demo_clock import clock_set, moment
from quoting.services.demo_scene import Scene
from quoting.services.entries import keep_entry
from quoting.services.links import make_link
from quoting.services.outbox import send_due
from quoting.services.visits import finish_visit, hold_visit, move_visit, notice_words, plan_visits, tell_homeowner

UNITS = {Dimension.VOLUME: "gal", Dimension.MASS: "lb", Dimension.COUNT: "each"}
SHARES = (Decimal("1.04"), Decimal("0.97"), Decimal("1.08"))
"""What is used beside what is planned, in turn: nobody meets a figure exactly."""

DRIES = timedelta(days=3)
"""From a wash to the morning of the coat after it."""

BOOKED_AFTER = timedelta(days=7)
"""After that the office has booked what the crew wrote; the last days wait on the desk."""

QUARTER = Decimal("0.25")
READING = {
    "units": "us", "air": "68", "slab": "71", "humidity": "47", "wind": "5", "air_lowest": "56", "slab_lowest": "60",
    "since_wash": "52", "since_rain": "96", "until_rain": "60",
}  # fmt: skip


def plan(scene: Scene) -> None:
    """Lay the visits: from so many days before today on, or so that the visit `next`, which follows a wash, is on the
    next day of work."""
    job, said = scene.job, scene.act
    if DayPlan.objects.filter(job=job).exists():
        return
    a_day = timedelta(days=1)
    if "next" not in said:
        first = _worked_on(scene.today - said["plan"] * a_day, -1)
        plan_visits(job=job, by=scene.office, first_day=first, crew=2)
        return
    day = _worked_on(scene.today + a_day, 1)
    first = _worked_on(min(day - DRIES, scene.today - a_day), -1)
    plan_visits(job=job, by=scene.office, first_day=first, crew=2)
    visit = _visit(scene, said["next"])
    if visit.day != day:
        move_visit(visit=visit, version=visit.version, by=scene.office, day=day, reason=scene.words)


def hold(scene: Scene) -> None:
    """On the eve of a visit it is held, and the homeowner is told."""
    visit = _visit(scene, scene.act["visit"])
    found = Hold.objects.filter(visit=visit).first()
    with clock_set(moment((found.from_day if found else visit.day) - timedelta(days=1), "16:40")):
        if found is None:
            day = _worked_on(visit.day + timedelta(days=1), 1)
            found = hold_visit(
                visit=visit, version=visit.version, by=scene.crew, day=day, reason=scene.act["hold"], words=scene.words
            )
        if found.notice is None:
            subject, words = notice_words(found)
            tell_homeowner(hold=found, by=scene.office, subject=subject, words=words)
        send_due()


def work(scene: Scene) -> None:
    """The crew works on the first so many visits, or on all, and writes down readings, ticks, amounts, lots, hours and
    a note."""
    agreed = need_work(scene.job)
    for visit in Visit.objects.with_place().filter(job=scene.job).order_by("number")[: scene.act.get("visits")]:
        if visit.state != Visit.State.DONE:
            with transaction.atomic():
                _work(scene, visit, agreed)


def read_weather(scene: Scene) -> None:
    """Readings of this morning for a visit that is still to come."""
    visit = _visit(scene, scene.act["visit"])
    _write(scene, visit, Entry.Kind.READING, READING | {"work": str(visit.last_work)}, timezone.now(), "look")


def hand_over(scene: Scene) -> None:
    """The walk-through, and the sheet with what is on the slab since; it goes out by mail."""
    row = ending.begin_hand_over(job=scene.job, by=scene.owner)
    if row.paper is None:
        told = {"exposures": scene.act.get("exposures", []), "coats_before": scene.act.get("coats_before")}
        slabs = [slab | told for slab in row.slabs]
        if not row.walked:
            facts: dict[str, Any] = {"walked": list(POINTS), "note": scene.words, "slabs": slabs}
            ending.keep_hand_over(row=row, version=row.version, **facts)
        row.refresh_from_db()
        scene.printing("a hand-over sheet")
        ending.issue_hand_over(row=row, version=row.version, by=scene.owner)
        row.refresh_from_db()
    paper = row.paper
    if paper and not Message.objects.filter(paper=paper, kind=Message.Kind.HAND_OVER).exists():
        to, facts = scene.job.property.customer.email, json.loads(paper.facts)
        subject, words = ending.draft_hand_over_mail(paper=paper, facts=facts, by=scene.owner)
        ending.send_hand_over(
            paper=paper, to=to, subject=subject, words=words, by=scene.owner, once=f"demo{paper.number}"
        )


def sign(scene: Scene) -> None:
    """The homeowner signs: on the sheet, or on the private page."""
    row = HandOver.objects.select_related("paper").get(job=scene.job)
    if row.signed_on or row.paper is None:
        return
    if scene.act["how"] == HandOver.Signed.PAGE:
        ending.sign_by_link(link=make_link(row.paper, None)[0], name=scene.act["sign"])
    else:
        ending.sign_hand_over(
            row=row, name=scene.act["sign"], on=timezone.localdate(), how=scene.act["how"], by=scene.office
        )


def learn(scene: Scene) -> None:
    """What the job showed is kept, for the next edition of the price book."""
    keep_to_learn(job=scene.job, by=scene.office)


def _work(scene: Scene, visit: Visit, agreed: AgreedWork) -> None:
    """One day, by its own clock: entries as the hours pass, and the visit done at the end."""
    lots: Mapping[str, str] = scene.act.get("lots", {})
    begins, ends = (moment(visit.day, f"{at:%H:%M}") for at in (visit.starts, visit.ends))
    steps = list(visit.steps.all())
    if visit.last_work in (Work.COLOUR, Work.SEAL):
        read = begins - timedelta(minutes=20)
        _write(scene, visit, Entry.Kind.READING, READING | {"work": str(visit.last_work)}, read, "look")
    for step in steps:
        done = moment(visit.day, f"{step.starts:%H:%M}") + timedelta(hours=float(step.hours))
        _write(scene, visit, Entry.Kind.TICK, {"step": step.key}, done, step.key)
        for who in (scene.crew, scene.owner):
            hours = _quarters(step.hours)
            told = {"who": who.pk, "place": step.place, "hours": f"{hours:f}"}
            _write(scene, visit, Entry.Kind.HOURS, told, done, f"{step.key}/{who.pk}")
    for place, told in enumerate(_amounts(agreed, coats_now(steps, agreed.workings.steps), lots)):
        _write(scene, visit, Entry.Kind.USED, told, ends, f"used/{place}")
    if words := scene.act.get("notes", {}).get(str(visit.number)):
        _write(scene, visit, Entry.Kind.NOTE, {"words": words}, ends, "note")
    with clock_set(ends):
        finish_visit(visit=visit, version=visit.version, by=scene.crew)
    if visit.day < scene.today - BOOKED_AFTER:
        _book(scene, visit, ends + timedelta(hours=1))


def _book(scene: Scene, visit: Visit, at: datetime) -> None:
    """The office books what was written down, as it was proposed; what was bought for the job is used up."""
    with clock_set(at):
        lines = [_booked(line) for line in lines_to_book(visit)]
        if lines:
            once = uuid5(NAMESPACE_URL, f"{scene.number}/{visit.number}/booked")
            book_work(visit=visit, by=scene.office, once=once, lines=lines, free=False)


def _booked(line: StockLine) -> LineBooked:
    if not line.rows or not line.drawn.left:
        return LineBooked(line=line, opened=line.drawn.opened)
    dimension = Dimension[line.rows[0].dimension.upper()]
    left = Quantity(magnitude=line.drawn.left, dimension=dimension, text="")
    return LineBooked(line=line, opened=line.drawn.opened, left=left)


def _write(scene: Scene, visit: Visit, kind: str, data: Mapping[str, Any], at: datetime, key: str) -> None:
    """One entry, made at that time; once, by its key."""
    once = uuid5(NAMESPACE_URL, f"{scene.number}/{visit.number}/{kind}/{key}")
    with clock_set(at):
        keep_entry(visit=visit, by=scene.crew, once=once, kind=kind, data=data)


def _amounts(agreed: AgreedWork, coats: Mapping[int, set[int]], lots: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    """What the steps of a visit took, in the figures that a crew writes: quarters of a gallon, whole pieces."""
    shares = cycle(SHARES)
    guarded = {(line.place, line.material) for line in guarded_on(agreed)}
    gallon = from_unit(Decimal(1), "gal")
    for line in guarded_on(agreed, coats):
        gallons = _quarters(line.planned / gallon * next(shares))
        facts = {"material": line.material, "place": line.place, "area": line.area, "coat": line.coat}
        yield facts | {"lot": lots.get(line.material, "")} | _called(gallons, "gal")
    for place in coats:
        for use in agreed.workings.steps[place].materials:
            if (place, use.material) not in guarded:
                unit = UNITS[use.dimension]
                amount = _quarters(use.need / from_unit(Decimal(1), unit))
                told = _called(ceil_to(amount, Decimal(1)) if unit == "each" else amount, unit)
                yield {"material": use.material, "place": place, "lot": lots.get(use.material, "")} | told


def _called(amount: Decimal, unit: str) -> dict[str, str]:
    quantity = parse_quantity(f"{amount.normalize():f} {unit}", *UNITS)
    return {"called": quantity.text, "magnitude": f"{quantity.magnitude:f}", "dimension": quantity.dimension.name}


def _quarters(amount: Decimal) -> Decimal:
    return ceil_to(amount, QUARTER)


def _visit(scene: Scene, number: int) -> Visit:
    return Visit.objects.with_place().get(job__number=scene.number, number=number)


def _worked_on(day: date, step: int) -> date:
    """This day, or the next one, in that direction, on which the crew works."""
    rules = current_rules().days
    rules = current_rules().days
    while not rules.works(day):
        day += timedelta(days=step)
    return day
