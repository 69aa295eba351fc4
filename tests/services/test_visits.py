"""Visits: laid from what is agreed, moved, held with the homeowner told, done; numbers worked by hand."""

import json
from datetime import date, time
from decimal import Decimal

import pytest

from quoting.models import ChangedMeanwhile, CrewRules, DayPlan, Event, Hold, Message, Visit
from quoting.services import visits as acts
from quoting.services.agreed_work import NothingAgreed
from quoting.services.demo_clock import clock_set, moment
from quoting.services.verify_work import work_faults
from quoting.services.visits import finish_visit, hold_visit, move_visit, plan_again, plan_visits, tell_homeowner
from tests.factories import JobFactory, OwnerFactory
from tests.sample_visits import THURSDAY, agreed_job, planned_job, visit_of

pytestmark = pytest.mark.django_db
MONDAY, TUESDAY, WEDNESDAY = date(2026, 7, 20), date(2026, 7, 21), date(2026, 7, 22)


def laid(job) -> list[tuple[int, date, str]]:
    return [(visit.number, visit.day, visit.purpose) for visit in job.visits.all()]


def test_visits_follow_from_the_agreed_steps_with_their_holds() -> None:
    # Thursday the wash; it dries 24 h, so colour is on Friday; first coat of sealer 2 h later. 24 h between coats of
    # sealer (common practice, no published source) end on Saturday, when nobody works: then Monday.
    assert laid(planned_job()) == [
        (1, THURSDAY, "wash"), (2, date(2026, 7, 17), "colour seal"), (3, MONDAY, "seal"),
    ]  # fmt: skip


def test_the_next_coat_comes_when_the_firm_says() -> None:
    # 2 h between coats instead of 24: both coats of sealer on the day of the colour
    CrewRules.objects.create(pk=1, recoat_hours=2)
    assert laid(planned_job()) == [(1, THURSDAY, "wash"), (2, date(2026, 7, 17), "colour seal")]


def test_hours_are_by_the_clock_of_a_crew_of_two() -> None:
    # Pool deck 32 × 14.5 = 464 ft² − π × 3² = 28.274 → 435.726; walk 24 × 4 = 96; 531.726 / 300 = 1.7724 person-hours,
    # by two people 0.8862 h; 30 minutes of setting up first: 8:30 to 9:23, said to the next quarter of an hour.
    visit = visit_of(planned_job())
    step = visit.steps.get()
    assert (visit.starts, visit.ends, step.starts, step.hours) == (time(8), time(9, 30), time(8, 30), Decimal("0.8862"))


def test_nobody_comes_at_an_odd_minute() -> None:
    # The wash ends at 9:23 on Thursday and dries 24 h: the visit may begin at 9:23 on Friday, so at 9:30.
    visit = visit_of(planned_job(), 2)
    steps = list(visit.steps.all())
    assert [each.minute % 15 for each in (visit.starts, visit.ends, *(step.starts for step in steps))] == [0] * (
        2 + len(steps)
    )
    assert visit.starts <= steps[0].starts


def test_a_day_is_kept_free_for_rain() -> None:
    plan = DayPlan.objects.get(job=planned_job())
    assert (plan.reserve, plan.latest) == (1, TUESDAY)


def test_nothing_is_planned_before_it_is_agreed() -> None:
    with pytest.raises(NothingAgreed):
        plan_visits(job=JobFactory(), by=OwnerFactory(), first_day=THURSDAY, crew=2)


def test_a_moved_visit_takes_those_after_it_along() -> None:
    job = planned_job()
    move_visit(visit=visit_of(job, 2), version=1, by=job.opened_by, day=MONDAY, reason="Party")
    assert [day for _n, day, _p in laid(job)] == [THURSDAY, MONDAY, TUESDAY]
    assert visit_of(job, 2).waits_for == "Moved: Party"


def test_a_visit_cannot_come_before_its_area_is_dry() -> None:
    job = planned_job()
    with pytest.raises(acts.PlanFault, match="Pool deck has to wait"):
        move_visit(visit=visit_of(job, 2), version=1, by=job.opened_by, day=THURSDAY, reason="")
    assert [day for _n, day, _p in laid(job)] == [THURSDAY, date(2026, 7, 17), MONDAY]


def test_of_two_who_move_a_visit_one_is_told() -> None:
    job = planned_job()
    first, second = visit_of(job, 2), visit_of(job, 2)
    move_visit(visit=first, version=1, by=job.opened_by, day=MONDAY, reason="")
    with pytest.raises(ChangedMeanwhile):
        move_visit(visit=second, version=1, by=job.opened_by, day=TUESDAY, reason="")
    assert visit_of(job, 2).day == MONDAY


def test_a_held_visit_is_logged_with_its_reason() -> None:
    job = planned_job()
    hold_visit(visit=visit_of(job), version=1, by=job.opened_by, day=MONDAY, reason="rain", words="Storm at 7.")
    assert visit_of(job).state == Visit.State.HELD
    assert [day for _n, day, _p in laid(job)] == [MONDAY, TUESDAY, WEDNESDAY]
    told = json.loads(Event.objects.latest("position").data)
    assert {name: told[name] for name in ("visit", "reason", "from", "to")} == {
        "visit": 1, "reason": "rain", "from": "2026-07-16", "to": "2026-07-20",
    }  # fmt: skip
    assert "Storm" not in Event.objects.latest("position").data


def test_a_visit_is_held_to_a_later_day_only() -> None:
    job = planned_job()
    with pytest.raises(acts.HoldFault):
        hold_visit(visit=visit_of(job), version=1, by=job.opened_by, day=THURSDAY, reason="rain")
    assert (visit_of(job).version, Hold.objects.count()) == (1, 0)


def test_the_homeowner_is_told_once() -> None:
    job = planned_job(property__customer__email="priya@example.com")
    hold = hold_visit(visit=visit_of(job), version=1, by=job.opened_by, day=MONDAY, reason="rain")
    subject, words = acts.notice_words(hold)
    for _twice in range(2):
        tell_homeowner(hold=hold, by=job.opened_by, subject=subject, words=words)
    sent = Message.objects.get()
    assert (sent.kind, sent.to, sent.subject) == (
        "visit", "priya@example.com", "We come on Monday 20 July instead, 18 Alder Row"
    )  # fmt: skip
    hold.refresh_from_db()
    assert hold.notice == sent


def test_without_an_address_nobody_is_told() -> None:
    job = planned_job(property__customer__email="")
    hold = hold_visit(visit=visit_of(job), version=1, by=job.opened_by, day=MONDAY, reason="rain")
    with pytest.raises(acts.NobodyToTell):
        tell_homeowner(hold=hold, by=job.opened_by, subject="s", words="w")


def test_a_visit_that_is_done_stays_where_it_was() -> None:
    job = planned_job()
    finish_visit(visit=visit_of(job), version=1, by=job.opened_by)
    with pytest.raises(acts.VisitOver):
        move_visit(visit=visit_of(job), version=2, by=job.opened_by, day=MONDAY, reason="")
    move_visit(visit=visit_of(job, 2), version=1, by=job.opened_by, day=MONDAY, reason="")
    assert (visit_of(job).day, visit_of(job).state) == (THURSDAY, Visit.State.DONE)


def test_days_are_not_laid_anew_over_work_that_was_done() -> None:
    job = planned_job()
    finish_visit(visit=visit_of(job), version=1, by=job.opened_by)
    with pytest.raises(acts.WorkBegun):
        plan_visits(job=job, by=job.opened_by, first_day=MONDAY, crew=2)


def test_days_laid_anew_forget_what_was_moved() -> None:
    job = agreed_job()
    for first in (THURSDAY, MONDAY):
        plan_visits(job=job, by=job.opened_by, first_day=first, crew=2)
    assert [day for _n, day, _p in laid(job)] == [MONDAY, TUESDAY, WEDNESDAY]


@pytest.mark.parametrize("today", [date(2026, 7, 16), date(2026, 7, 22)])
def test_days_laid_again_leave_what_is_done_and_begin_no_sooner_than_today(today: date) -> None:
    """The wash is done on Thursday the 16th: colour and sealer are left."""
    job = planned_job()
    finish_visit(visit=visit_of(job), version=1, by=job.opened_by)
    with clock_set(moment(today, "7:00")):
        plan_again(job=job, by=job.opened_by)
    steps = [[step.name for step in visit.steps.all()] for visit in job.visits.all()]
    assert steps == [["Wash"], ["Base tone", "Seal, two coats"], ["Seal, two coats"]]
    # Friday the 17th, when the deck is dry; else the day itself, and 24 h later the second coat.
    first = max(today, date(2026, 7, 17))
    second = MONDAY if first == date(2026, 7, 17) else date(2026, 7, 23)
    assert [visit.day for visit in job.visits.all()] == [THURSDAY, first, second]
    assert visit_of(job).state == Visit.State.DONE
    assert list(work_faults()) == []


def test_days_of_which_all_is_done_stay_when_they_are_laid_again() -> None:
    job = planned_job()
    latest = DayPlan.objects.get(job=job).latest
    for number in (1, 2, 3):
        finish_visit(visit=visit_of(job, number), version=visit_of(job, number).version, by=job.opened_by)
    plan_again(job=job, by=job.opened_by)
    assert (job.visits.count(), DayPlan.objects.get(job=job).latest) == (3, latest)
