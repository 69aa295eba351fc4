"""The state of everything that a proposal is printed from, so that nothing is issued that has changed meanwhile."""

from __future__ import annotations

from typing import Any

from quoting.models import Area, Finding, Firm, Job, Option, Photo, Proposal, RegionRule, Sample, Tone
from quoting.services.firm import THE_FIRM


def made_from(proposal: Proposal) -> tuple[Any, ...]:
    """The versions of all that is on the paper, and what has no version by its words: equal means unchanged."""
    firm = Firm.objects.filter(pk=THE_FIRM)
    job = Job.objects.filter(pk=proposal.job_id)
    offered = proposal.offered.values_list("option_id", flat=True)
    of_job = {"job": proposal.job_id}
    return (
        *Proposal.objects.filter(pk=proposal.pk).values_list("version", "state"),
        *firm.values_list("version"),
        *RegionRule.objects.filter(firm=THE_FIRM).order_by("pk").values_list("pk", "version"),
        *job.values_list(
            "version", "last_revision", "property__street", "property__town", "property__region",
            "property__postcode", "property__customer__name", "property__customer_id",
        ),
        proposal.certificate_id,
        *proposal.offered.order_by("position", "pk").values_list("option_id"),
        *Option.objects.filter(pk__in=offered)
        .order_by("pk")
        .values_list("pk", "version", "advised", "edition__version"),
        *Area.objects.filter(**of_job).order_by("pk").values_list("pk", "version", "position"),
        ("found", *Finding.objects.filter(**of_job).order_by("pk").values_list("pk", "version")),
        ("photos", *Photo.objects.filter(**of_job).order_by("pk").values_list("pk", "version", "position")),
        ("tones", *Tone.objects.filter(**of_job).order_by("pk").values_list("pk", "version", "position")),
        ("samples", *Sample.objects.filter(**of_job).order_by("pk").values_list("pk", "version")),
    )  # fmt: skip
