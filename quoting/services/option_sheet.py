"""The sheet of an option: what was written on it is laid onto the rows in memory, to be worked out, and then kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from moneyed import Money

from quoting.models import Material, Option, OptionCharge, OptionStep, OptionUse

Facts = Mapping[str, Any]

STEP_FIELDS = ("on", "passes", "rate", "setup", "difficulty", "length", "count", "hours", "visit", "reason")
USE_FIELDS = ("coats", "coverage", "strength", "waste", "length", "width", "depth", "count")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """All that is written on the sheet of an option, by field of the rows; what is left out stays as it is.

    `steps` by the key of the option step; `uses` by that and the key of the step's material, with `material` the other
    tone or None; `charges` by their keys; `added` are charges of its own that are new; `dropped` such that go.
    """

    option: Facts
    steps: Mapping[int, Facts] = field(default_factory=dict)
    uses: Mapping[tuple[int, int], Facts] = field(default_factory=dict)
    charges: Mapping[int, Facts] = field(default_factory=dict)
    added: Sequence[Facts] = ()
    dropped: frozenset[int] = frozenset()


def lay_sheet(option: Option, sheet: Sheet) -> None:
    """Put what is written onto an option from `with_everything`, in memory: nothing is saved and no query asked."""
    _put(option, sheet.option)
    for group in option.groups.all():
        for step in group.steps.all():
            _put(step, sheet.steps.get(step.pk, {}))
            _lay_uses(step, sheet)
    charges = [charge for charge in option.charges.all() if charge.pk not in sheet.dropped]
    for charge in charges:
        _put(charge, sheet.charges.get(charge.pk, {}))
    last = max((charge.position for charge in charges), default=-1)
    new = [OptionCharge(option=option, position=last + n, **facts) for n, facts in enumerate(sheet.added, start=1)]
    put_rows(option, "charges", [*charges, *new])


def _lay_uses(step: OptionStep, sheet: Sheet) -> None:
    uses = []
    for step_material in step.step.materials.all():
        use = step.use_of(step_material)
        facts = sheet.uses.get((step.pk, step_material.pk))
        if use is None and facts is not None:
            use = OptionUse(option_step=step, step_material=step_material)
        if use is not None:
            _put(use, facts or {})
            uses.append(use)
    put_rows(step, "uses", uses)


def keep_rows(option: Option, sheet: Sheet) -> None:
    """Save what `lay_sheet` laid, within the caller's transaction. A use that differs in nothing goes."""
    option.save(update_fields=[*sheet.option])
    steps = [step for group in option.groups.all() for step in group.steps.all()]
    OptionStep.objects.bulk_update(steps, STEP_FIELDS)
    uses = [use for step in steps for use in step.uses.all()]
    says = [use for use in uses if differs(use)]
    OptionUse.objects.filter(pk__in=[use.pk for use in uses if use.pk and use not in says]).delete()
    OptionUse.objects.bulk_update([use for use in says if use.pk], ["material", *USE_FIELDS])
    OptionUse.objects.bulk_create(use for use in says if not use.pk)
    OptionCharge.objects.filter(option=option, pk__in=sheet.dropped, charge=None).delete()
    for charge in option.charges.all():
        charge.save()


def differs(use: OptionUse) -> bool:
    """Whether it says anything that the price book doesn't."""
    return use.material_id is not None or any(getattr(use, name) not in (None, "") for name in USE_FIELDS)


def _put(row: models.Model, facts: Facts) -> None:
    for name, value in facts.items():
        setattr(row, name, value)


def put_rows(row: models.Model, relation: str, rows: Iterable[models.Model]) -> None:
    """Let `row.relation.all()` give these rows, saved or not, without a query: as prefetch_related itself does it."""
    queryset = getattr(row, relation).get_queryset()
    queryset._result_cache = list(rows)
    queryset._prefetch_done = True
    if not hasattr(row, "_prefetched_objects_cache"):
        row._prefetched_objects_cache = {}  # type: ignore[attr-defined]
    row._prefetched_objects_cache[relation] = queryset  # type: ignore[attr-defined]


def tones_of(material: Material, materials: Iterable[Material]) -> list[Material]:
    """The materials that may stand in for this one: of the same group and kind, itself included."""
    return [each for each in materials if each.group == material.group and each.kind == material.kind]


def own_charge(name: str, category: str, amount: Any, per: str, reason: str, currency: str) -> dict[str, Any]:
    """A charge of its own as `added` takes it."""
    money = Money(amount, currency)
    return {"name": name, "category": category, "amount": money, "per": per, "reason": reason, "on": True}
