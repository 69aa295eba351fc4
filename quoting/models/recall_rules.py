"""How long a sealing lasts with this firm, and in which months it seals. A single row."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from quoting.models.locking import Versioned

MONTH = Q(season_first__gte=1, season_first__lte=12, season_last__gte=1, season_last__lte=12)


class RecallRules(Versioned):
    """What the firm says other than the figures to start from.

    `lives` are the firm's own years by "seal" and "seal/exposure", as text: {"acrylic/pool": ["1", "1.5", "2"]}: low,
    likely, high; null where an exposure does not shorten it. `sources` says by seal what the firm's figures rest on.
    The season is the first and the last month in which the firm seals, both or neither; it may go over the new year.
    """

    lives = models.JSONField(default=dict, blank=True)
    sources = models.JSONField(default=dict, blank=True)
    season_first = models.PositiveSmallIntegerField(null=True, blank=True)
    season_last = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="recall_rules_are_one"),
            models.CheckConstraint(
                condition=Q(season_first=None, season_last=None) | MONTH, name="recall_season_is_of_months"
            ),
        ]
        verbose_name_plural = "recall rules"
