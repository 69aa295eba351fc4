"""The slab's record of a property, printed as it stands now; nothing is kept."""

from __future__ import annotations

from django.utils import timezone

from quoting.core.scope import Units
from quoting.documents.slab_layers import AreaLayers, layers_of, slab_facts
from quoting.models import Firm, Job, SlabRecord
from quoting.services.firm import THE_FIRM
from quoting.services.issue import print_facts


def slab_of(job: Job, units: Units) -> list[AreaLayers]:
    """The areas of the job's property with what all our jobs put on them. One query."""
    return layers_of(SlabRecord.objects.filter(property=job.property_id).select_related("job"), units)


def print_slab(*, job: Job) -> bytes:
    """The record as a PDF. Raises a PaperNotPrinted."""
    firm, now = Firm.objects.get(pk=THE_FIRM), timezone.now()
    areas = slab_of(job, Units(firm.units))
    return print_facts(slab_facts(firm=firm, job=job, areas=areas, at=now), now)
