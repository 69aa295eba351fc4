"""What stands in the demo's shed: lots, full and opened, some kept for a folder, one that came back from a job."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.utils import timezone

from quoting.core.units import Dimension, parse_quantity
from quoting.models import Lot, Material
from quoting.services.demo_scene import Scene
from quoting.services.options import published_edition
from quoting.services.stock import add_lot, book_back, keep_lot

PACKED = (Dimension.VOLUME, Dimension.MASS, Dimension.COUNT)


def take_in(scene: Scene) -> None:
    """The lots of the act, all at once: what is full, and what stands open."""
    if Lot.objects.exists():
        return
    with transaction.atomic():
        _take_in(scene)


def _take_in(scene: Scene) -> None:
    for said in scene.act["lots"]:
        material = Material.objects.get(edition=published_edition(), key=said["material"])
        size = parse_quantity(said["size"], *PACKED)
        left = parse_quantity(said["left"], *PACKED) if "left" in said else None
        facts: dict[str, Any] = {
            "material": material.key, "name": material.name, "lot": said.get("lot", ""), "place": material.kept_in,
            "opened_on": timezone.localdate() if left else None,
        }  # fmt: skip
        add_lot(by=scene.office, size=size, size_text=size.text, left=left, count=said.get("count", 1), **facts)


def bring_back(scene: Scene) -> None:
    """An opened container comes back from the folder's job."""
    job, said = scene.job, scene.act
    if Lot.objects.filter(came_back_from=job).exists():
        return
    lot = Lot.objects.filter(lot=said["lot"]).order_by("pk")[0]
    book_back(job=job, by=scene.crew, lot=lot, left=parse_quantity(said["left"], *PACKED), on=timezone.localdate())


def reserve(scene: Scene) -> None:
    """A lot is kept for the folder."""
    lot = Lot.objects.filter(lot=scene.act["lot"], reserved_for=None, came_back_from=None).first()
    if lot is not None:
        keep_lot(
            lot=lot, version=lot.version, by=scene.office, count=lot.count, place=lot.place, reserved_for=scene.job
        )
