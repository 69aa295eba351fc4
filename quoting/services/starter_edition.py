"""The starter edition: a drafted price book to begin with, read from starter_edition.toml beside this file.

Its figures are common practice without a published source and are marked as starting values; its prices are invented.
"""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone
from moneyed import Money

from quoting.models import (
    Charge,
    Coverage,
    Edition,
    LabourTask,
    Material,
    Pack,
    RestorationSystem,
    StepMaterial,
    SystemStep,
    UnitPrice,
)
from quoting.models.pricebook import free_edition_name
from quoting.services.starter_metric import metric_rows

SOURCE = Path(__file__).with_name("starter_edition.toml")
NOTE = "Starting values: common practice, no published source. Prices are invented. Replace all of them by your own."

Rows = dict[str, Any]


def create_starter_edition(*, name: str = "", currency: str = "USD", units: str = "us") -> Edition:
    """Write the starter edition as a draft; its name is the year's next free one unless given.

    A metric one has metric packs and batches of about the same size, and its figures are converted and made round.
    """
    data = tomllib.loads(SOURCE.read_text(encoding="utf-8"))
    if units == Edition.Units.METRIC:
        data = metric_rows(data)
    with transaction.atomic():
        edition = Edition.objects.create(
            name=name or free_edition_name(timezone.localdate().year), note=NOTE, units=units
        )
        materials = _create_materials(edition, data, currency)
        tasks = _create_tasks(edition, data["task"])
        for position, row in enumerate(data["charge"]):
            amount, share = Money(row.pop("amount", 0), currency), _figure(row, "share")
            Charge.objects.create(edition=edition, position=position, amount=amount, **row | {"share": share})
        for position, row in enumerate(data["unit_price"]):
            price = Money(row["price"], currency)
            UnitPrice.objects.create(edition=edition, position=position, name=row["name"], price=price)
        _create_systems(edition, data["system"], materials, tasks)
    return edition


def _create_materials(edition: Edition, data: Rows, currency: str) -> dict[str, Material]:
    materials: dict[str, Material] = {}
    packs: list[Pack] = []
    coverages: list[Coverage] = []
    for position, row in enumerate(data["material"]):
        material = Material.objects.create(
            edition=edition,
            position=position,
            key=row["key"],
            name=row["name"],
            kind=row["kind"],
            group=row["group"],
            kept_in=row["kept_in"],
            cautions=data["cautions"].get(row.get("cautions"), ""),
            waste=Decimal(row.get("waste", "0")),
            is_starting_value=True,
            **{name: _figure(row, name) for name in ("scoop", "solids", "density", "strength")},
        )
        materials[material.key] = material
        packs += [
            Pack(material=material, size=Decimal(size), unit=unit, price=Money(price, currency))
            for size, unit, price in row["packs"]
        ]
        coverages += [
            Coverage(
                material=material,
                surface=surface,
                condition=condition,
                coat=coat,
                low=Decimal(low),
                likely=Decimal(likely),
                high=Decimal(high),
                spread=Decimal(spread),
            )
            for surface, condition, coat, low, likely, high, spread in data["coverage"].get(row.get("coverage"), ())
        ]
    Pack.objects.bulk_create(packs)
    Coverage.objects.bulk_create(coverages)
    return materials


def _create_tasks(edition: Edition, rows: list[Rows]) -> dict[str, LabourTask]:
    figures = ("rate", "setup", "textured", "awkward")
    return {
        row["key"]: LabourTask.objects.create(
            edition=edition,
            position=position,
            is_starting_value=True,
            **{name: Decimal(value) if name in figures else value for name, value in row.items()},
        )
        for position, row in enumerate(rows)
    }


def _create_systems(
    edition: Edition, rows: list[Rows], materials: dict[str, Material], tasks: dict[str, LabourTask]
) -> None:
    for position, row in enumerate(rows):
        steps = row.pop("step")
        system = RestorationSystem.objects.create(edition=edition, position=position, **row)
        for place, step_row in enumerate(steps):
            uses = step_row.pop("materials", ())
            task = tasks[step_row.pop("task")] if "task" in step_row else None
            hours, hold = _figure(step_row, "hours"), _figure(step_row, "hold_hours") or Decimal(0)
            words = {name: value for name, value in step_row.items() if name not in {"hours", "hold_hours"}}
            step = SystemStep.objects.create(
                system=system, position=place, task=task, hours=hours, hold_hours=hold, **words
            )
            for order, use in enumerate(uses):
                StepMaterial.objects.create(
                    step=step, position=order, material=materials[use["material"]], use=use["use"]
                )


def _figure(row: Rows, name: str) -> Decimal | None:
    return Decimal(row[name]) if name in row else None
