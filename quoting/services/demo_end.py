"""What the demo shows of the end of a job: photographs from before and after, and a cost outside the scope."""

from __future__ import annotations

from decimal import Decimal
from uuid import NAMESPACE_URL, uuid5

from django.utils import timezone

from quoting.services.demo_photos import demo_photo
from quoting.services.demo_scene import Scene
from quoting.services.extra_costs import write_extra_cost
from quoting.services.photos import add_photo


def photograph(scene: Scene) -> None:
    """A photograph of the folder's first area; the same one twice is one."""
    act, job = scene.act, scene.job
    add_photo(
        job=job, by=scene.crew, content=demo_photo(act["kind"]), area=job.areas.first(), of=act["of"],
        step=act.get("step", ""), note=act.get("note", ""),
    )  # fmt: skip


def extra_cost(scene: Scene) -> None:
    """A sum that was paid for nothing in the scope; written down once, however often the demo is begun."""
    once = uuid5(NAMESPACE_URL, f"demo/{scene.number}/{scene.words}")
    write_extra_cost(
        job=scene.job, by=scene.office, once=once, kind=scene.act["kind"], words=scene.words,
        amount=Decimal(scene.act["amount"]), on=timezone.localdate(),
    )  # fmt: skip
