"""Acts on the options of a folder: adding, keeping, copying and removing them, and saying which is advised.

A folder is locked where places and names are decided, and an option where it is changed, so that two hands never mix.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from django.db import transaction
from django.db.models import Max
from moneyed import Money

from quoting.models import (
    Area,
    Edition,
    Job,
    Option,
    OptionCharge,
    OptionGroup,
    OptionStep,
    OptionUse,
    ProposalOption,
    RestorationSystem,
    User,
    lock_row,
)
from quoting.services.extras import fit_visits, refit_extras
from quoting.services.firm import current_firm
from quoting.services.option_sheet import Sheet, keep_rows, lay_sheet
from quoting.services.trail import record

MOST_OPTIONS = 24
"""Of one folder, add-ons included; a proposal offers four options at most."""

WORDS = ("mends", "does_not_mend", "life", "look", "slip")
"""What an option says to the homeowner, taken from its first system."""


class NoEdition(Exception):
    """There is no price book to price with."""

    def __init__(self) -> None:
        super().__init__("No edition of the price book is published yet. Publish one; then options can be priced.")


class TooManyOptions(Exception):
    """The folder is full."""

    def __init__(self) -> None:
        super().__init__(f"A folder holds {MOST_OPTIONS} options and extras at most. Remove one that nobody needs.")


class OptionNameTaken(Exception):
    """Another option of the folder, or extra of the option, has this name; papers tell them apart by it."""

    def __init__(self, name: str, *, extra: bool = False) -> None:
        there = "an extra called “{}” beside this option" if extra else "an option called “{}” in this folder"
        super().__init__(f"There is {there.format(name)} already. Give this one another name.")


class OptionOffered(Exception):
    """A proposal offers the option, or one of its extras."""

    def __init__(self, names: Collection[str], papers: Collection[str]) -> None:
        what = ", ".join(f"“{name}”" for name in names)
        where = " and ".join(papers)
        super().__init__(f"{what} stands in {where}, so it stays. Take it out of the draft; what was issued is kept.")


class NotOfThisFolder(Exception):
    """An area, a system or an option of another folder or edition was named."""

    def __init__(self) -> None:
        super().__init__("This area or system belongs elsewhere. Load the page again and choose anew.")


def published_edition() -> Edition:
    """The edition that new options are priced with. Raises NoEdition."""
    edition = Edition.objects.published().first()
    if edition is None:
        raise NoEdition
    return edition


def add_option(
    *,
    job: Job,
    by: User,
    system: RestorationSystem,
    areas: Collection[Area],
    name: str = "",
    with_option: Option | None = None,
) -> Option:
    """Add an option with its first system on these areas, or an extra to `with_option`; priced as the book stands.

    Asked twice for the same, as by a double click, it gives the one that was added first. Raises NoEdition,
    TooManyOptions, OptionNameTaken or NotOfThisFolder.
    """
    name = name or system.name
    with transaction.atomic():
        lock_row(Job, job.pk)
        edition = with_option.edition if with_option else published_edition()
        _need_own(job, edition, [system], areas, with_option)
        if twin := _twin(job, name, [(system.pk, frozenset(area.pk for area in areas))], with_option):
            return twin
        option = Option.objects.create(
            job=job,
            edition=edition,
            kind=Option.Kind.ADD_ON if with_option else Option.Kind.OPTION,
            with_option=with_option,
            position=_next_place(job),
            name=name,
            discount=Money(0, current_firm().currency),
            **{word: getattr(system, word) for word in WORDS},
        )
        add_group(option, system, areas)
        charges = list(edition.charges.all())
        OptionCharge.objects.bulk_create(
            OptionCharge(
                option=option,
                position=position,
                charge=charge,
                name=charge.name,
                category=charge.category,
                amount=charge.amount,
                per=charge.per,
                share=charge.share,
                on=charge.always,
            )
            for position, charge in enumerate(charges)
        )
        record("extra added" if with_option else "option added", job=job, actor=by, data={"option": option.pk})
    return option


def add_group(option: Option, system: RestorationSystem, areas: Iterable[Area]) -> OptionGroup:
    """Write a group with the steps of its system, switched as the system says; within the caller's transaction."""
    last = option.groups.aggregate(last=Max("position"))["last"]
    group = OptionGroup.objects.create(option=option, system=system, position=0 if last is None else last + 1)
    group.areas.set(areas)
    OptionStep.objects.bulk_create(OptionStep(group=group, step=step, on=step.on) for step in system.steps.all())
    if option.with_option_id:
        fit_visits(option)
    return group


def keep_option(*, option: Option, version: int, sheet: Sheet) -> Option:
    """Keep the whole sheet of an option in one go.

    Raises ChangedMeanwhile when `version` is no longer the current one, or OptionNameTaken.
    """
    with transaction.atomic():
        lock_row(Job, option.job_id)
        lock_row(Option, option.pk).claim(version)
        kept = Option.objects.with_everything().get(pk=option.pk)
        _need_free_name(kept, sheet.option["name"])
        lay_sheet(kept, sheet)
        if kept.advised:
            Option.objects.filter(job=kept.job_id, advised=True).exclude(pk=kept.pk).update(advised=False)
        keep_rows(kept, sheet)
        refit_extras(kept)
    return kept


def copy_option(*, option: Option, by: User, name: str, with_option: Option | None = None) -> Option:
    """Add a copy of the option under another name, with all that differs from the book; without its extras.

    An extra may be copied to another option, `with_option`. Raises TooManyOptions, OptionNameTaken or NotOfThisFolder.
    """
    with transaction.atomic():
        job = lock_row(Job, option.job_id)
        source = Option.objects.with_everything().get(pk=option.pk)
        beside = with_option or source.with_option
        if with_option is not None:
            _need_own(job, source.edition, [], [], with_option)
            if source.with_option is None or with_option.with_option_id or with_option.edition_id != source.edition_id:
                raise NotOfThisFolder
        groups = list(source.groups.all())
        shape = [(group.system_id, frozenset(area.pk for area in group.areas.all())) for group in groups]
        if twin := _twin(job, name, shape, beside):
            return twin
        position = _next_place(job)
        copy = Option.objects.get(pk=option.pk)
        copy.pk, copy.version, copy.advised, copy.name, copy.position = None, 1, False, name, position
        copy.with_option = beside
        copy._state.adding = True
        copy.save()
        for group in groups:
            _copy_group(group, copy)
        if with_option is not None:
            fit_visits(copy)
        for charge in source.charges.all():
            charge.pk, charge.option = None, copy
            charge._state.adding = True
            charge.save()
        record("option copied", job=job, actor=by, data={"option": copy.pk, "copied_from": option.pk})
    return copy


def _copy_group(group: OptionGroup, copy: Option) -> None:
    steps = list(group.steps.all())
    areas = list(group.areas.all())
    new = OptionGroup.objects.create(option=copy, system=group.system, position=group.position)
    new.areas.set(areas)
    for step in steps:
        uses = list(step.uses.all())
        step.pk, step.group = None, new
        step._state.adding = True
        step.save()
        for use in uses:
            use.pk, use.option_step = None, step
            use._state.adding = True
        OptionUse.objects.bulk_create(uses)


def remove_option(*, option: Option, version: int, by: User) -> None:
    """Remove the option with its extras. Raises ChangedMeanwhile, or OptionOffered while a proposal names one."""
    with transaction.atomic():
        job = lock_row(Job, option.job_id)
        kept = lock_row(Option, option.pk)
        kept.claim(version)
        together = Option.objects.filter(pk=kept.pk) | Option.objects.filter(with_option=kept)
        offered = ProposalOption.objects.filter(option__in=together).select_related("option", "proposal__paper")
        if found := list(offered.defer("proposal__paper__pdf", "proposal__paper__facts")):
            papers = dict.fromkeys(
                f"proposal {each.proposal.paper.number}" if each.proposal.paper else "the proposal being drafted"
                for each in found
            )
            raise OptionOffered(list(dict.fromkeys(each.option.name for each in found)), list(papers))
        kept.delete()
        record("option removed", job=job, actor=by, data={"option": option.pk})


def advise(*, option: Option, advised: bool = True) -> None:
    """Advise this option and no other of its folder, or none any more."""
    with transaction.atomic():
        lock_row(Job, option.job_id)
        Option.objects.filter(job=option.job_id, advised=True).update(advised=False)
        if advised:
            Option.objects.filter(pk=option.pk, kind=Option.Kind.OPTION).update(advised=True)


def _next_place(job: Job) -> int:
    options = Option.objects.filter(job=job)
    if options.count() >= MOST_OPTIONS:
        raise TooManyOptions
    last = options.aggregate(last=Max("position"))["last"]
    return 0 if last is None else last + 1


def _twin(job: Job, name: str, shape: list[tuple[int, frozenset[int]]], with_option: Option | None) -> Option | None:
    """The option of that name that nobody has touched since it was added just so; None where the name is free."""
    alike = Option.objects.filter(job=job, with_option=with_option, name__iexact=name)
    found = alike.prefetch_related("groups__areas").first()
    if found is None:
        return None
    has = [(group.system_id, frozenset(area.pk for area in group.areas.all())) for group in found.groups.all()]
    if found.version == 1 and has == shape:
        return found
    raise OptionNameTaken(name, extra=with_option is not None)


def _need_free_name(option: Option, name: str) -> None:
    alike = Option.objects.filter(job=option.job_id, with_option=option.with_option_id, name__iexact=name)
    if alike.exclude(pk=option.pk).exists():
        raise OptionNameTaken(name, extra=option.with_option_id is not None)


def _need_own(
    job: Job,
    edition: Edition,
    systems: Iterable[RestorationSystem],
    areas: Iterable[Area],
    with_option: Option | None = None,
) -> None:
    """All of one folder and of one edition, or NotOfThisFolder."""
    alien = any(area.job_id != job.pk for area in areas) or any(system.edition_id != edition.pk for system in systems)
    if alien or (with_option is not None and with_option.job_id != job.pk):
        raise NotOfThisFolder
