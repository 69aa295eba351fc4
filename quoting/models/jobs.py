"""The job folder of one property: its areas and their parts as measured."""

from __future__ import annotations

import builtins
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from quoting.models.locking import Versioned
from quoting.models.surfaces import Condition, Surface

if TYPE_CHECKING:
    from quoting.models.proposals import Proposal

MOST_AREAS = 500
"""Of one folder; the core refuses more in a scope."""

MOST_PARTS = 200
"""Of one area, what is taken out included."""


class Series(models.Model):
    """A counter that gives numbers without gaps; updated only in the transaction that uses the number."""

    name = models.CharField(max_length=40, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"


class JobQuerySet(models.QuerySet["Job"]):
    def found_by(self, words: str) -> JobQuerySet:
        """Folders in whose number, street, town, customer or wish every one of the words is found."""
        found = self
        for word in words.split()[:8]:
            found = found.filter(
                Q(number__icontains=word)
                | Q(property__street__icontains=word)
                | Q(property__town__icontains=word)
                | Q(property__customer__name__icontains=word)
                | Q(asked__icontains=word)
            )
        return found

    def with_place(self) -> JobQuerySet:
        """With property and customer, in the same query."""
        return self.select_related("property__customer")

    def opened_before(self, job: Job) -> JobQuerySet:
        """Those that stand after this one in the list, which begins with the newest."""
        return self.filter(opened_at__lte=job.opened_at).exclude(opened_at=job.opened_at, pk__gte=job.pk)

    def opened_after(self, job: Job) -> JobQuerySet:
        """Those that stand before this one in the list, the nearest first."""
        newer = self.filter(opened_at__gte=job.opened_at).exclude(opened_at=job.opened_at, pk__lte=job.pk)
        return newer.order_by("opened_at", "id")

    def in_state(self, state: str) -> JobQuerySet:
        """Those with a proposal in this state; "none" for those that were never offered anything."""
        if state == "none":
            return self.filter(proposals=None)
        # The model is read through its relation, since proposals.py needs jobs.py to be there first.
        proposals = self.model._meta.get_field("proposals").related_model._default_manager
        return self.filter(pk__in=proposals.filter(state=state).values("job_id"))

    def with_offer(self) -> JobQuerySet:
        """With the state of every proposal and its number, in one more query; never a paper's bytes."""
        proposals = self.model._meta.get_field("proposals").related_model._default_manager
        lean = proposals.select_related("paper").only(
            "job_id", "state", "created_at", "valid_until", "version",
            "paper__number", "paper__issued_at", "paper__valid_until", "paper__revision",
        )  # fmt: skip
        return self.prefetch_related(models.Prefetch("proposals", queryset=lean))

    def wanting_something(self) -> JobQuerySet:
        """Those that somebody waits for: never offered, or the offer is drafted, out, accepted and not handed over, or
        ran out or was taken back and nobody said why it was lost; or a mail did not arrive, or a question is not
        answered."""
        proposals = self.model._meta.get_field("proposals").related_model._default_manager
        made = proposals.filter(job=models.OuterRef("pk"))
        unexplained = Q(state__in=["expired", "taken back"], lost_reason="")
        alive = made.filter(Q(state__in=["drafted", "issued"]) | unexplained)
        hand_overs = self.model._meta.get_field("hand_over").related_model._default_manager
        handed_over = hand_overs.filter(job=models.OuterRef("pk"), paper__isnull=False)
        at_work = models.Exists(made.filter(state="accepted")) & ~models.Exists(handed_over)
        mails = self.model._meta.get_field("messages").related_model._default_manager
        refused = mails.filter(job=models.OuterRef("pk"), state="refused", settled_at=None)
        questions = self.model._meta.get_field("questions").related_model._default_manager
        asked = questions.filter(job=models.OuterRef("pk"), answered_at=None)
        unheard = models.Exists(refused) | models.Exists(asked)
        return self.filter(~models.Exists(made) | models.Exists(alive) | at_work | unheard)

    def with_progress(self) -> JobQuerySet:
        """With `has_areas`, `is_measured`, `has_options`, `has_days` and `has_days_left`, in the same query."""
        options = self.model._meta.get_field("options").related_model._default_manager
        days = self.model._meta.get_field("visits").related_model._default_manager.filter(job=models.OuterRef("pk"))
        return self.annotate(
            has_areas=models.Exists(Area.objects.filter(job=models.OuterRef("pk"))),
            is_measured=models.Exists(Part.objects.filter(area__job=models.OuterRef("pk"))),
            has_options=models.Exists(options.filter(job=models.OuterRef("pk"))),
            has_days=models.Exists(days),
            has_days_left=models.Exists(days.exclude(state="done")),
        )

    def with_areas(self) -> JobQuerySet:
        """With areas and parts, in two more queries."""
        return self.prefetch_related("areas__parts")


class Job(Versioned):
    """One engagement at one property, with all its papers."""

    number = models.CharField(max_length=12, unique=True)
    property = models.ForeignKey("customers.Property", models.PROTECT, related_name="jobs")
    asked = models.TextField(max_length=4000, blank=True, help_text="The wish, in the homeowner's words.")
    poured = models.CharField(max_length=200, blank=True)
    last_sealed = models.CharField(max_length=200, blank=True)
    pool = models.CharField(max_length=200, blank=True)
    wanted_by = models.CharField(max_length=200, blank=True)
    opened_at = models.DateTimeField(auto_now_add=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    last_revision = models.PositiveSmallIntegerField(
        default=0, help_text="Counter of the proposal's revisions; moved only when one is issued."
    )

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-id"]
        indexes = [models.Index(fields=["-opened_at", "-id"], name="job_by_opening")]

    def __str__(self) -> str:
        return self.number

    # The field `property` hides the decorator of that name.
    @builtins.property
    def draft(self) -> Proposal | None:
        """The proposal that is being drafted."""
        return next((one for one in self.proposals.all() if one.state == one.State.DRAFTED), None)

    @builtins.property
    def standing(self) -> Proposal | None:
        """The proposal that they hold, or that they accepted."""
        return next((one for one in self.proposals.all() if one.state in (one.State.ISSUED, one.State.ACCEPTED)), None)

    @builtins.property
    def offer(self) -> Proposal | None:
        """The proposal that says how far this folder is: what stands, else what is drafted, else what stood last."""
        return self.standing or self.draft or next(iter(self.proposals.all()), None)


class Area(Versioned):
    """A named stretch of one surface."""

    job = models.ForeignKey(Job, models.PROTECT, related_name="areas")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=120)
    surface = models.CharField(max_length=20, choices=Surface)
    condition = models.CharField(max_length=10, choices=Condition, default=Condition.WORN)
    texture = models.DecimalField(
        max_digits=5,
        decimal_places=4,
        default=Decimal(1),
        validators=[MinValueValidator(Decimal(1)), MaxValueValidator(Decimal(3))],
        help_text="True surface over plan surface: light slate 1.05 to 1.10, deep cobble 1.10 to 1.20.",
    )
    note = models.TextField(max_length=2000, blank=True)
    agreed_on = models.DateField(null=True, blank=True)
    agreed_with = models.CharField(max_length=120, blank=True)
    agreed_net = models.CharField(max_length=60, blank=True, help_text="The net area that was agreed, as it was shown.")
    agreed_measures = models.CharField(max_length=64, blank=True, help_text="SHA-256 of the measures that were agreed.")

    class Meta:
        ordering = ["position", "id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="area_name_once_a_job"),
            models.CheckConstraint(condition=Q(texture__gte=1), name="area_texture_from_one"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def letter(self) -> str:
        """A, B … Z, AA: the key by which plan, tables and text name this area. `position` counts from 0."""
        letters, rest = "", self.position
        while True:
            letters = chr(65 + rest % 26) + letters
            rest = rest // 26 - 1
            if rest < 0:
                return letters

    @property
    def scope_entry(self) -> dict[str, Any]:
        """This area as it stands in a scope file. Reads the parts; prefetch them."""
        parts = list(self.parts.all())
        entry: dict[str, Any] = {
            "name": self.name,
            "surface": self.get_surface_display(),
            "texture": f"{self.texture.normalize():f}",
            "parts": [part.scope_entry for part in parts if part.kind == Part.Kind.PART],
        }
        deducts = [part.scope_entry for part in parts if part.kind == Part.Kind.DEDUCT]
        return entry | ({"deducts": deducts} if deducts else {})


class Part(models.Model):
    """A measured shape: added to its area, or taken out. `measures` is the scope file's shape, as it was called out."""

    class Kind(models.TextChoices):
        PART = "part", "part"
        DEDUCT = "deduct", "taken out"

    class Place(models.TextChoices):
        """Where the plan draws it: beside the part before it."""

        RIGHT = "right", "right of the part before"
        LEFT = "left", "left of the part before"
        ABOVE = "above", "above the part before"
        BELOW = "below", "below the part before"

    area = models.ForeignKey(Area, models.CASCADE, related_name="parts")
    position = models.PositiveSmallIntegerField(default=0)
    kind = models.CharField(max_length=8, choices=Kind, default=Kind.PART)
    name = models.CharField(max_length=120, blank=True)
    measures = models.JSONField()
    place = models.CharField(max_length=8, choices=Place, default=Place.RIGHT)
    at_x = models.CharField(
        max_length=40, blank=True, help_text="For what is taken out: its centre from the left end of the first part."
    )
    at_y = models.CharField(max_length=40, blank=True, help_text="… and from its lower side.")

    class Meta:
        ordering = ["position", "id"]

    def __str__(self) -> str:
        return self.name or str(self.measures.get("shape", ""))

    @property
    def scope_entry(self) -> dict[str, Any]:
        """The shape as it stands in a scope file, with its name."""
        return self.measures | ({"name": self.name} if self.name else {})
