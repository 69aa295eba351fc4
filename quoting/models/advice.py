"""What the owner made of the advice for an area."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from quoting.models.jobs import Area
from quoting.models.locking import Versioned


class AdviceChoice(Versioned):
    """What the owner made of the advice for one area: followed, or gone against with the reason."""

    area = models.OneToOneField(Area, models.CASCADE, related_name="advice_choice")
    approach = models.CharField(max_length=24, help_text="The approach chosen, as `quoting.core.advice` names it.")
    against = models.BooleanField(default=False)
    reason = models.CharField(max_length=300, blank=True)
    rules = models.JSONField(default=list, help_text="Ids of the rules that spoke, at the time.")
    chosen_at = models.DateTimeField()
    chosen_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(against=False) | ~Q(reason=""), name="against_advice_has_reason")
        ]
