"""The crew's days at a job: its plan of days, the visits that come of it, what was written down there, and holds."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, time
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.core.weather_limits import Work
from quoting.models.jobs import Job
from quoting.models.locking import Versioned
from quoting.models.outbox import Message

READINGS = ("air", "slab", "humidity", "wind", "air_lowest", "slab_lowest", "since_wash", "since_rain", "until_rain")
"""What is measured or asked before a coat, by the names that the core has for them; kept in an entry as text."""

CHECKS = ("sprinklers", "children", "plants", "rag")
"""What is looked at before the work begins, by the names that the crew's words have for it; ticked like a step."""

WORKS = [(work.value, work.value) for work in Work]


class DayPlan(Versioned):
    """How the visits of a job are laid: from which day on, by how many people, and which visits were moved.

    `pins` are the moved ones: [{"visit": 2, "day": "2026-07-16", "reason": "…"}].
    """

    job = models.OneToOneField(Job, models.PROTECT, related_name="day_plan")
    first_day = models.DateField()
    crew = models.PositiveSmallIntegerField()
    pins = models.JSONField(default=list, blank=True)
    reserve = models.PositiveSmallIntegerField(help_text="Working days still kept free after the last visit.")
    latest = models.DateField(help_text="The day that is promised.")
    scope_sha256 = models.CharField(max_length=64, help_text="What was agreed when the days were laid.")
    salt = models.CharField(max_length=32, blank=True, help_text="Hashed with the reasons; gone once they are erased.")

    def __str__(self) -> str:
        return f"{self.job.number} from {self.first_day}"


class VisitQuerySet(models.QuerySet["Visit"]):
    def to_come(self, today: date) -> VisitQuerySet:
        """Those from today on that are not done, the next first."""
        return self.filter(day__gte=today).exclude(state=Visit.State.DONE).order_by("day", "starts", "job__number")

    def left_open(self, today: date) -> VisitQuerySet:
        """Those of days before today that nobody has said are done."""
        return self.filter(day__lt=today).exclude(state=Visit.State.DONE).order_by("day", "job__number")

    def at_other_jobs(self, visits: Collection[Visit]) -> VisitQuerySet:
        """Those at other jobs on the days on which these, all of one job, are still to be done."""
        days = {visit.day for visit in visits if visit.state != Visit.State.DONE}
        mine = {visit.job_id for visit in visits}
        return self.filter(day__in=days).exclude(job__in=mine).exclude(state=Visit.State.DONE).order_by("day", "starts")

    def with_place(self) -> VisitQuerySet:
        """With job, property and customer, in the same query."""
        return self.select_related("job__property__customer")


class Visit(Versioned):
    """A day's work at one job. Hours are by the clock of the place."""

    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        HELD = "held", "held"
        DONE = "done", "done"

    job = models.ForeignKey(Job, models.PROTECT, related_name="visits")
    number = models.PositiveSmallIntegerField()
    day = models.DateField()
    starts = models.TimeField()
    ends = models.TimeField()
    state = models.CharField(max_length=8, choices=State, default=State.PLANNED)
    purpose = models.CharField(max_length=60, blank=True, help_text="Kinds of work, by key, parted by blanks.")
    waits_for = models.CharField(max_length=300, blank=True, help_text="Why it is no sooner.")
    planned_again_at = models.DateTimeField(auto_now=True)

    objects = VisitQuerySet.as_manager()

    class Meta:
        ordering = ["job", "number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="visit_number_once_a_job")]
        indexes = [models.Index(fields=["day"], name="visit_by_day")]

    def __str__(self) -> str:
        return f"{self.job.number}, visit {self.number}"

    @property
    def works(self) -> tuple[Work, ...]:
        """The kinds of work of this day, in the order in which they are done."""
        return tuple(Work(each) for each in self.purpose.split())

    @property
    def last_work(self) -> Work:
        """What the readings are taken for: the day's coat, where it has one; else stripping, which takes the most."""
        coats = [work for work in self.works if work in {Work.SEAL, Work.COLOUR}]
        strips = [work for work in self.works if work is Work.STRIP]
        return (coats or strips or list(self.works) or [Work.WASH])[-1]


class VisitStep(models.Model):
    """One piece of work of a visit: a step or one coat of it, or a part where it is split. `place` counts the steps of
    what is agreed from 0."""

    visit = models.ForeignKey(Visit, models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField()
    place = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=200)
    areas = models.JSONField()
    work = models.CharField(max_length=10, choices=WORKS, blank=True)
    starts = models.TimeField()
    hours = models.DecimalField(max_digits=8, decimal_places=4, help_text="By the clock, for the crew.")
    hold = models.DecimalField(max_digits=8, decimal_places=4, help_text="Hours of waiting that follow it.")
    coat = models.PositiveSmallIntegerField(default=1)
    coats = models.PositiveSmallIntegerField(default=1)
    part = models.PositiveSmallIntegerField(default=1)
    parts = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["visit", "position"]
        constraints = [models.UniqueConstraint(fields=["visit", "position"], name="visit_step_position_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """By what entries name it; the same after the days were laid again, as long as the work is the same."""
        return f"{self.place}.{self.coat}.{self.part}"


class Entry(models.Model):
    """One thing that the crew wrote down. Rows never change: what was wrong is written down again.

    `once` is made on the phone, so that an entry that is sent twice is one entry. `made_at` is the phone's time. Free
    words, which may name somebody, stand by themselves in `words`: with the salt they are all that can be erased.
    A hold or a done that didn't fit any more when it arrived says in `data["aside"]` why the days stayed as they were.
    """

    class Kind(models.TextChoices):
        TICK = "tick", "step ticked"
        UNTICK = "untick", "tick taken back"
        READING = "reading", "readings"
        USED = "used", "used"
        HOURS = "hours", "hours"
        LEFT = "left", "left over"
        NOTE = "note", "note"
        HOLD = "hold", "visit held"
        DONE = "done", "visit done"
        UNDONE = "undone", "visit not done after all"

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="entries")
    once = models.UUIDField(unique=True)
    kind = models.CharField(max_length=8, choices=Kind)
    data = models.JSONField()
    words = models.TextField(max_length=2000, blank=True)
    salt = models.CharField(max_length=32, blank=True)
    words_sha256 = models.CharField(max_length=64, blank=True, help_text="Of salt and words.")
    made_at = models.DateTimeField()
    arrived_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["made_at", "id"]
        indexes = [models.Index(fields=["visit", "made_at"], name="entry_by_visit")]
        verbose_name_plural = "entries"

    def __str__(self) -> str:
        return f"{self.kind} {self.once}"


class Hold(models.Model):
    """A visit that was held: why, from which day to which, and the mail that tells the homeowner.

    The row never changes but for that mail, which is named once, and for its words, which may be erased.
    """

    class Reason(models.TextChoices):
        RAIN = "rain", "rain"
        COLD = "cold", "too cold"
        HEAT = "heat", "too hot"
        WIND = "wind", "wind"
        WET = "wet", "slab not dry"
        MATERIAL = "material", "material missing"
        CREW = "crew", "crew not there"
        HOMEOWNER = "homeowner", "the homeowner asked"
        OTHER = "other", "something else"

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="holds")
    reason = models.CharField(max_length=10, choices=Reason)
    words = models.CharField(max_length=500, blank=True)
    salt = models.CharField(max_length=32, blank=True)
    words_sha256 = models.CharField(max_length=64, blank=True, help_text="Of salt and words.")
    entry = models.OneToOneField(
        Entry, models.PROTECT, null=True, blank=True, related_name="hold", help_text="Where the crew wrote it down."
    )
    from_day = models.DateField()
    to_day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    notice = models.ForeignKey(Message, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [models.CheckConstraint(condition=Q(to_day__gte=models.F("from_day")), name="hold_goes_forward")]

    def __str__(self) -> str:
        return f"{self.visit}: {self.reason}"


class CrewRules(Versioned):
    """How the firm's crew works: its day, its reserves, its scale, and the weather's limits. A single row.

    `limits` are the firm's own figures by key, in its own units, as text; null switches a limit off. `waits` are the
    seconds before a test is read, by its kind, where they aren't those that one begins with.
    """

    opens = models.TimeField(default=time(8))
    closes = models.TimeField(default=time(16))
    setting_up = models.PositiveSmallIntegerField(default=30, help_text="Minutes at the start of each visit.")
    sundays = models.BooleanField(default=False)
    saturdays = models.BooleanField(default=False)
    rain_days = models.PositiveSmallIntegerField(default=1)
    cold_days = models.PositiveSmallIntegerField(default=0)
    scale_step = models.DecimalField(max_digits=7, decimal_places=3, default=Decimal(1), help_text="Grams.")
    limits = models.JSONField(default=dict, blank=True)
    waits = models.JSONField(default=dict, blank=True)
    recoat_hours = models.PositiveSmallIntegerField(
        default=24, validators=[MinValueValidator(1), MaxValueValidator(720)], help_text="Between two coats."
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="crew_rules_are_one"),
            models.CheckConstraint(condition=Q(closes__gt=models.F("opens")), name="crew_day_ends_after_it_begins"),
            models.CheckConstraint(condition=Q(scale_step__gt=0), name="crew_scale_has_a_step"),
        ]
        verbose_name_plural = "crew rules"


class CalendarKey(models.Model):
    """A private address of the crew's calendar; only the hash of its secret is kept. Taken back, it opens nothing."""

    secret_sha256 = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
