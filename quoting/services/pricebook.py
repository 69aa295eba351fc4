"""The price book as a whole, in memory."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from quoting.models import Charge, Edition, LabourTask, Material, RestorationSystem, UnitPrice


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """One edition in memory, all of it: reading on asks no query. Rows stand by key, in the order of the book."""

    edition: Edition
    materials: Mapping[str, Material]
    tasks: Mapping[str, LabourTask]
    charges: Mapping[str, Charge]
    unit_prices: tuple[UnitPrice, ...]
    systems: Mapping[str, RestorationSystem]

    def users_of(self, row: Material | LabourTask) -> list[str]:
        """The steps that use this material or task, each with its system: `Recolour and seal, Wash`."""
        return [
            f"{system.name}, {step.name}"
            for system in self.systems.values()
            for step in system.steps.all()
            if step.task == row or any(each.material == row for each in step.materials.all())
        ]


def read_book(edition: Edition) -> PriceBook:
    """The whole edition, in nine queries whatever its size."""
    groups = list(Material.Group)
    materials = sorted(
        edition.materials.prefetch_related("packs", "coverages"),
        key=lambda row: (groups.index(Material.Group(row.group)), row.position, row.name, row.pk),
    )
    tasks = list(edition.tasks.all())
    systems = list(edition.systems.prefetch_related("steps__materials"))
    material_of = {row.pk: row for row in materials}
    task_of = {row.pk: row for row in tasks}
    for system in systems:
        for step in system.steps.all():
            step.system = system
            step.task = task_of.get(step.task_id) if step.task_id else None
            for use in step.materials.all():
                use.material = material_of[use.material_id]
    return PriceBook(
        edition=edition,
        materials={row.key: row for row in materials},
        tasks={row.key: row for row in tasks},
        charges={row.key: row for row in edition.charges.all()},
        unit_prices=tuple(edition.unit_prices.all()),
        systems={row.key: row for row in systems},
    )
