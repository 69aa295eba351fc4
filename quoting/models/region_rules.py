"""Rules of the region that a proposal is held against before it is issued: dated starting points that the firm
confirms.
"""

from __future__ import annotations

from django.db import models

from quoting.core import region_rules as core_rules
from quoting.models.firm import Firm
from quoting.models.locking import Versioned


class RegionRule(Versioned):
    """One rule: a cap on the deposit, a notice that must be given, a period in which the buyer may cancel, a
    written form.

    `figures` holds the rule's numbers as text under the names that `quoting.core.region_rules` gives them.
    """

    class Kind(models.TextChoices):
        DEPOSIT_CAP = "deposit-cap", "cap on the deposit"
        CANCELLATION = "cancellation", "right to cancel"
        NOTICE = "notice", "notice that goes with the paper"
        WRITTEN_FORM = "written-form", "written contract from"
        PROGRESS = "progress", "payments never ahead of the work"

    firm = models.ForeignKey(Firm, models.CASCADE, related_name="region_rules")
    key = models.SlugField(max_length=60)
    region = models.CharField(max_length=80)
    kind = models.CharField(max_length=16, choices=Kind)
    name = models.CharField(max_length=160)
    figures = models.JSONField(default=dict)
    text = models.TextField(max_length=6000, blank=True, help_text="The notice's words, where there are any.")
    source = models.CharField(max_length=200)
    as_of = models.DateField(
        null=True, blank=True, help_text="Day, or first day of the year, of the text that was read."
    )
    on = models.BooleanField(default=False, help_text="Switched on by the firm.")
    confirmed_on = models.DateField(null=True, blank=True, help_text="When the firm's adviser confirmed it.")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "id"]
        constraints = [models.UniqueConstraint(fields=["firm", "key"], name="region_rule_once")]

    def __str__(self) -> str:
        return self.name

    @property
    def core(self) -> core_rules.RegionRule:
        """The rule as the core holds an offer against it."""
        return core_rules.RegionRule(
            key=self.key,
            region=self.region,
            kind=core_rules.RuleKind(self.kind),
            name=self.name,
            figures=self.figures,
            source=self.source,
            as_of=self.as_of,
            text=self.text,
        )
