"""Whether the costs outside a scope are still what the trail was told when they were written down or taken back."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from quoting.models import Event, ExtraCost
from quoting.services.extra_costs import TAKEN_BACK, WRITTEN, told_extra_cost
from quoting.services.verify_work import GONE, differences


def extra_cost_faults() -> Iterator[str]:
    """Each fault as one sentence that names folder, row and field."""
    told: dict[int, tuple[int | None, dict[str, Any]]] = {}
    events = Event.objects.filter(kind__in=(WRITTEN, TAKEN_BACK)).order_by("position")
    for folder, data in events.values_list("job_id", "data"):
        row = json.loads(data)
        told[row["row"]] = (folder, row)
    for cost in ExtraCost.objects.select_related("job").order_by("pk").iterator(chunk_size=500):
        place = f"{cost.job.number}: extra cost {cost.pk}"
        if (kept := told.pop(cost.pk, None)) is None:
            yield f"{place}: the trail tells of no such cost"
            continue
        job, was = kept
        if job != cost.job_id:
            yield f"{place}: job: the trail tells of another"
        yield from differences(place, told_extra_cost(cost), was)
    for pk in sorted(told):
        yield f"extra cost {pk}: {GONE}"
