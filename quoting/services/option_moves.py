"""Moving an option to today's edition of the price book: its rows are matched by the keys that stay the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from quoting.models import (
    Edition,
    Job,
    Option,
    OptionCharge,
    OptionGroup,
    OptionStep,
    OptionUse,
    StepMaterial,
    SystemStep,
    User,
    lock_row,
)
from quoting.services.book_conversion import convert_step, convert_use
from quoting.services.option_sheet import put_rows
from quoting.services.options import published_edition
from quoting.services.pricebook import PriceBook, read_book
from quoting.services.trail import record


@dataclass(frozen=True, slots=True)
class Move:
    """An option as another edition prices it, not saved yet; `lost` and `new` are sentences to read before it is."""

    option: Option
    lost: tuple[str, ...]
    new: tuple[str, ...]


def rematch(option: Option, book: PriceBook) -> Move:
    """Put the rows of another edition into an option from `with_everything`, in memory; nothing is saved.

    What has no counterpart is left out and named in `lost`; steps that the system did not have before are in `new`,
    switched as the system says.
    """
    lost: list[str] = []
    new: list[str] = []
    units = option.edition.units
    groups = [group for group in option.groups.all() if _match_group(group, book, lost, new, units)]
    put_rows(option, "groups", groups)
    charges = [charge for charge in option.charges.all() if _match_charge(charge, book, lost)]
    has = {charge.charge_id for charge in charges}
    for row in book.charges.values():
        if row.pk not in has:
            new.append(f"Charge “{row.name}”, {'on' if row.always else 'off'}.")
            charges.append(
                OptionCharge(
                    option=option,
                    charge=row,
                    name=row.name,
                    category=row.category,
                    amount=row.amount,
                    per=row.per,
                    share=row.share,
                    on=row.always,
                    position=len(charges),
                )
            )
    put_rows(option, "charges", charges)
    option.edition = book.edition
    return Move(option, tuple(lost), tuple(new))


def move_to_edition(*, option: Option, version: int, by: User) -> Sequence[Move]:
    """Price an option and its extras by the published edition from now on, and say what could not be matched.

    Raises ChangedMeanwhile or NoEdition. An option that stands in the published edition already is left as it is.
    """
    with transaction.atomic():
        job = lock_row(Job, option.job_id)
        lock_row(Option, option.pk).claim(version)
        edition = lock_row(Edition, published_edition().pk)
        book = read_book(edition)
        everything = Option.objects.with_everything()
        together = list(everything.filter(pk=option.pk) | everything.filter(with_option=option.pk))
        moves = []
        for each in together:
            if each.edition_id != edition.pk:
                groups, charges = list(each.groups.all()), list(each.charges.all())
                moves.append(rematch(each, book))
                _save(each, groups, charges)
        if moves:
            record("option moved", job=job, actor=by, data={"option": option.pk, "edition": edition.name})
    return moves


def _save(option: Option, groups: list[OptionGroup], charges: list[OptionCharge]) -> None:
    option.save(update_fields=["edition"])
    stays = {group.pk for group in option.groups.all()}
    OptionGroup.objects.filter(pk__in=[group.pk for group in groups if group.pk not in stays]).delete()
    for group in option.groups.all():
        group.save()
        steps = list(group.steps.all())
        OptionStep.objects.filter(group=group).exclude(pk__in=[step.pk for step in steps if step.pk]).delete()
        for step in steps:
            uses = list(step.uses.all()) if step.pk else []
            step.save()
            OptionUse.objects.filter(option_step=step).exclude(pk__in=[use.pk for use in uses]).delete()
            for use in uses:
                use.save()
    stays = {charge.pk for charge in option.charges.all()}
    OptionCharge.objects.filter(pk__in=[charge.pk for charge in charges if charge.pk not in stays]).delete()
    for charge in option.charges.all():
        charge.save()


def _match_group(group: OptionGroup, book: PriceBook, lost: list[str], new: list[str], units: str) -> bool:
    system = book.systems.get(group.system.key)
    if system is None:
        lost.append(f"The edition has no system “{group.system.name}”: its areas have none now.")
        return False
    by_key = {step.key: step for step in system.steps.all()}
    steps = []
    for option_step in group.steps.all():
        step = by_key.pop(option_step.step.key, None)
        if step is None:
            if option_step.on:
                lost.append(f"{system.name} has no step “{option_step.step.name}” any more.")
            continue
        _match_step(option_step, step, book, lost, units)
        steps.append(option_step)
    for step in by_key.values():
        new.append(f"{system.name} has a further step, “{step.name}”: it is {'on' if step.on else 'off'}.")
        added = OptionStep(group=group, step=step, on=step.on)
        steps.append(added)
    steps.sort(key=lambda each: each.step.position)
    put_rows(group, "steps", steps)
    group.system = system
    return True


def _match_step(option_step: OptionStep, step: SystemStep, book: PriceBook, lost: list[str], units: str) -> None:
    """`units` are those of the edition so far: what the option has of its own is told in those of the new one."""
    if option_step.step.task and step.task:
        convert_step(option_step, option_step.step.task.unit, step.task.unit)
    uses = []
    for use in option_step.uses.all():
        found = _counterpart(use.step_material, option_step.step, step)
        if found is None:
            lost.append(f"{step.name}: what was said about {use.step_material.material.name} has no place any more.")
            continue
        if use.material is not None:
            other = book.materials.get(use.material.key)
            if other is None:
                lost.append(f"{step.name}: the edition has no {use.material.name}; it is {found.material.name} now.")
            use.material = other
        use.step_material = found
        convert_use(use, units, book.edition.units)
        uses.append(use)
    put_rows(option_step, "uses", uses)
    option_step.step = step


def _counterpart(old: StepMaterial, before: SystemStep, step: SystemStep) -> StepMaterial | None:
    """The use of the same material, the second one for the second; else the one that stands in its place by kind."""
    same = [each for each in step.materials.all() if each.material.key == old.material.key]
    earlier = [each.pk for each in before.materials.all() if each.material_id == old.material_id]
    place = earlier.index(old.pk) if old.pk in earlier else 0
    if place < len(same):
        return same[place]
    places = [each.pk for each in before.materials.all()]
    now = list(step.materials.all())
    place = places.index(old.pk) if old.pk in places else len(now)
    if place < len(now) and now[place].use.get("by") == old.use.get("by"):
        return now[place]
    return None


def _match_charge(charge: OptionCharge, book: PriceBook, lost: list[str]) -> bool:
    if charge.charge is None:
        return True  # its own, which no edition knows
    row = book.charges.get(charge.charge.key)
    if row is None:
        if charge.on:
            lost.append(f"The edition has no charge “{charge.name}”.")
        return False
    charge.charge = row
    charge.name, charge.category, charge.amount = row.name, row.category, row.amount
    charge.per, charge.share = row.per, row.share
    return True
