"""What the sheet of an option shows: groups, steps, blanks, and beside each step what it comes to. Formatting only."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.forms import BoundField

from quoting.core.units import format_number
from quoting.core.workings import StepFigure, Workings
from quoting.documents.difficulty import difficulty_by_book
from quoting.forms.figures import plain
from quoting.forms.option_sheet import SheetForm
from quoting.models import (
    Area,
    Material,
    Option,
    OptionGroup,
    OptionStep,
    StepMaterial,
    SystemStep,
)
from quoting.services.learning import Learning, learned_of
from quoting.services.scope import steps_of
from quoting.services.scope_work import Gap
from quoting.views.coverage_lines import Stretch, stretches_of
from quoting.views.worked import Lines, batches_shown, films_shown, quantity_shown

ASKED = ("length", "count")
ASKED_OF_CRACKS = ("length", "width", "depth")
"""Blanks that stand open beside the step: what was measured on the slab; and the tone of a colour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankRow:
    """A blank with its short label, and the book's figure, which is struck while the blank holds another."""

    field: BoundField
    key: str
    short: str
    book: str = ""

    @property
    def is_select(self) -> bool:
        """Whether it is a choice."""
        return self.field.widget_type in ("select", "nullbooleanselect")


@dataclass(frozen=True, slots=True, kw_only=True)
class UseRow:
    """A material of a step: where its stretches stand in the page, and which blanks belong to it."""

    place: str
    name: str
    blanks: tuple[BlankRow, ...]
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """How much a step takes of a material."""

    name: str
    need: str
    lines: Lines
    films: str
    batches: Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepRow:
    """A step of the sheet."""

    step: OptionStep
    tick: BoundField
    reason: BoundField
    asked: tuple[BlankRow, ...]
    blanks: tuple[BlankRow, ...]
    uses: tuple[UseRow, ...]
    hours: str
    hour_lines: Lines
    used: tuple[Used, ...]
    differs: str
    harder: str
    jobs_say: str
    faults: tuple[str, ...]
    bad: bool

    @property
    def open(self) -> bool:
        """Whether its blanks stand open when the page is loaded."""
        return bool(self.differs) or self.bad


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupRow:
    """A system on its areas."""

    group: OptionGroup
    steps: tuple[StepRow, ...]


def group_rows(
    option: Option, form: SheetForm, workings: Workings | None, gaps: Sequence[Gap], *, say_faults: bool = False
) -> list[GroupRow]:
    """The groups with their steps. `option` is as it is written on the sheet; without workings there are no figures.

    `say_faults` puts the form's faults beside the step, where the blanks themselves are not shown anew.
    """
    learning = learned_of(_keys(option))
    done = steps_of(option) if workings else []
    figures = {step.pk: figure for step, figure in zip(done, workings.steps if workings else (), strict=False)}
    faults = form.step_faults if form.is_bound and say_faults else {}
    said: dict[int | None, list[str]] = {}
    for gap in gaps:
        said.setdefault(gap.option_step, []).append(gap.sentence)
    return [
        GroupRow(
            group=group,
            steps=tuple(
                _step_row(
                    step,
                    group.areas.all(),
                    form,
                    figures.get(step.pk),
                    [*faults.get(step.pk, []), *said.get(step.pk, [])],
                    learning,
                )
                for step in group.steps.all()
            ),
        )
        for group in option.groups.all()
    ]


def _step_row(
    step: OptionStep,
    areas: Iterable[Area],
    form: SheetForm,
    figure: StepFigure | None,
    faults: Iterable[str],
    learning: Learning,
) -> StepRow:
    own = [blank for blank in form.blanks.values() if blank.step == step.pk and blank.key not in ("on", "reason")]
    rows = {
        blank.name: BlankRow(field=form[blank.name], key=blank.key, short=blank.short, book=_book(step, blank.key))
        for blank in own
        if not blank.use
    }
    asked = [rows[blank.name] for blank in own if not blank.use and _is_asked(step, blank.key)]
    uses = []
    for used in step.step.materials.all():
        books = _books(step, used)
        of_use = [
            BlankRow(field=form[blank.name], key=blank.key, short=blank.short, book=books.get(blank.key, ""))
            for blank in own
            if blank.use == used.pk
        ]
        asked += [row for row in of_use if _stands_open(used, row.key)]
        uses.append(_use_row(step, used, tuple(row for row in of_use if not _stands_open(used, row.key)), learning))
    task_said = learning.of_task(step.step.task) if step.step.task else None
    return StepRow(
        step=step,
        tick=form[f"s{step.pk}_on"],
        reason=form[f"s{step.pk}_reason"],
        asked=tuple(asked),
        blanks=tuple(rows[blank.name] for blank in own if not blank.use and not _is_asked(step, blank.key)),
        uses=tuple(uses),
        hours=format_number(figure.person_hours, 1) if figure and figure.person_hours else "",
        hour_lines=figure.lines if figure else (),
        used=tuple(_used(figure)) if figure else (),
        differs=differs_in(step),
        harder=harder_than_usual(step, areas),
        jobs_say=task_said.words if task_said else "",
        faults=tuple(faults),
        bad=any(form.has_error(blank.name) for blank in own) or form.has_error(f"s{step.pk}_reason"),
    )


def _keys(option: Option) -> Iterator[str]:
    """The keys of the materials and tasks that its figures come from."""
    for group in option.groups.all():
        for step in group.steps.all():
            if step.step.task:
                yield step.step.task.key
            for used in step.step.materials.all():
                yield _material(step, used).key


def _is_asked(step: OptionStep, key: str) -> bool:
    return key in ASKED or (key == "hours" and step.step.hours is None)


def _stands_open(used: StepMaterial, key: str) -> bool:
    if key == "material":
        return used.material.group == Material.Group.POWDERS
    return key in ASKED_OF_CRACKS and used.use.get("by") == "crack"


def _book(step: OptionStep, key: str) -> str:
    row, task = step.step, step.step.task
    if key in ("passes", "visit"):
        return str(getattr(row, key))
    if key == "hours":
        return plain(row.hours) if row.hours is not None else ""
    return plain(getattr(task, key)) if key in ("rate", "setup") and task is not None else ""


def _used(figure: StepFigure) -> Iterable[Used]:
    for use in figure.materials:
        yield Used(
            name=use.name,
            need=quantity_shown(use.need, use.dimension, use.units),
            lines=use.lines,
            films=films_shown(use),
            batches=batches_shown(use),
        )


def _books(step: OptionStep, used: StepMaterial) -> dict[str, str]:
    """The book's figure for each blank of a material, with the tone that was chosen."""
    material = _material(step, used)
    waste = used.waste if used.waste is not None else material.waste
    length = str(used.use.get("length") or "edge")
    strength_sign = step.group.option.edition.counts_in.strength_sign
    return {
        "coats": str(used.use.get("coats") or len(used.use.get("rates", ())) or 1),
        "coverage": str(used.use.get("coverage") or ", ".join(used.use.get("rates", ()))),
        "waste": plain(waste.scaleb(2)),
        "strength": str(
            used.use.get("strength") or (f"{plain(material.strength)} {strength_sign}" if material.strength else "")
        ),
        "count": str(used.use.get("count") or 1),
        "length": "" if step.step.measure == SystemStep.Measure.LENGTH else f"{'the ' * (length == 'edge')}{length}",
        "width": str(used.use.get("width") or used.use.get("joint") or ""),
        "depth": str(used.use.get("depth") or ""),
    }


def _material(step: OptionStep, used: StepMaterial) -> Material:
    use = step.use_of(used)
    return (use and use.material) or used.material


def _use_row(step: OptionStep, used: StepMaterial, blanks: tuple[BlankRow, ...], learning: Learning) -> UseRow:
    return UseRow(
        place=f"{step.pk}x{used.pk}",
        name=_material(step, used).name,
        blanks=blanks,
        stretches=tuple(stretches_of(step, used, learning)),
    )


def differs_in(step: OptionStep) -> str:
    """What a step does otherwise than the price book, in one line; empty where it does all by the book."""
    told = [
        f"{word} {plain(value) if isinstance(value, Decimal) else value}"
        for word, key in (
            ("passes", "passes"), ("rate", "rate"), ("set-up", "setup"), ("difficulty ×", "difficulty"),
            ("visit", "visit"),
        )
        if (value := getattr(step, key)) is not None
    ]  # fmt: skip
    if step.hours is not None and step.step.hours is not None:
        told.append(f"hours {plain(step.hours)}")
    for use in step.uses.all():
        told += [
            f"{word} {plain(value) if isinstance(value, Decimal) else value}"
            for word, value in (("coats", use.coats), ("coverage", use.coverage), ("strength", use.strength))
            if value is not None
        ]
        if use.waste is not None:
            told.append(f"waste {plain(use.waste.scaleb(2))} %")
    return ", ".join(told)


def harder_than_usual(step: OptionStep, areas: Iterable[Area]) -> str:
    """What the book has for these areas, and whether the step is reckoned so; empty where it has nothing."""
    book = difficulty_by_book(step.step, areas)
    if not book.reason or step.difficulty == book.factor:
        return ""
    if step.difficulty is None:
        return f"Difficulty × {plain(book.factor)} from the book: {book.reason}"
    return f"The book has × {plain(book.factor)}: {book.reason}"
