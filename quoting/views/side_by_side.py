"""The options of a folder side by side, with their extras: what each comes to, read only. Formatting only."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from quoting.core.rounding import minor_places
from quoting.core.units import format_number
from quoting.core.workings import StepFigure, Workings
from quoting.models import Edition, Firm, Option
from quoting.services.extras import Extra, price_extra
from quoting.services.scope import OptionIncomplete, steps_of, visits_of, workings_of
from quoting.services.scope_work import Gap
from quoting.views.priced import FigureRow, figure_rows
from quoting.views.worked import PackRow, pack_rows, quantity_shown


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraRow:
    """An extra with its sums as text; `sentence` says why there are none."""

    row: Option
    cost: str
    now: str
    later: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One option: its place counted from 1, its workings, or the gaps that stand in their way."""

    row: Option
    number: int
    workings: Workings | None
    gaps: tuple[Gap, ...]
    figures: dict[str, FigureRow]
    packs: list[PackRow]
    extras: list[ExtraRow]

    @property
    def label(self) -> str:
        """What its column is called."""
        return f"Option {self.number}{', advised' if self.row.advised else ''}"

    @property
    def warnings(self) -> tuple[str, ...]:
        """What the core says the owner should look at."""
        return self.workings.warnings if self.workings else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepCell:
    """A step in one option: not part of it, off, or on with hours and quantities."""

    side: Side
    state: str
    hours: str = ""
    needs: tuple[str, ...] = ()


@dataclass(slots=True, kw_only=True)
class StepLine:
    """A step across the options."""

    names: list[str]
    cells: list[StepCell] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The shortest of its names: systems call the same step by longer ones too."""
        return min(self.names, key=len)


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureLine:
    """A figure across the options; a cell is None where it is not known."""

    label: str
    kind: str
    cells: list[tuple[Side, FigureRow | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SideBySide:
    """The whole table."""

    sides: list[Side]
    steps: list[StepLine]
    figures: list[FigureLine]
    outdated: list[Edition]


def side_by_side(firm: Firm, options: Iterable[Option]) -> SideBySide:
    """All options of a folder, from `with_everything`, worked out. Asks no query but for the firm's taxes."""
    rows = list(options)
    whole = [row for row in rows if row.kind == Option.Kind.OPTION]
    sides = [
        _side(firm, row, number, [each for each in rows if each.with_option_id == row.pk])
        for number, row in enumerate(whole, start=1)
    ]
    editions = {row.edition_id: row.edition for row in rows}
    return SideBySide(
        sides=sides,
        steps=_step_lines(sides),
        figures=_figure_lines(sides),
        outdated=[each for each in editions.values() if each.state == Edition.State.SUPERSEDED],
    )


def _side(firm: Firm, row: Option, number: int, add_ons: Sequence[Option]) -> Side:
    workings: Workings | None = None
    gaps: tuple[Gap, ...] = ()
    try:
        workings = workings_of(firm, row)
    except OptionIncomplete as incomplete:
        gaps = incomplete.gaps
    return Side(
        row=row,
        number=number,
        workings=workings,
        gaps=gaps,
        figures={each.key: each for each in figure_rows(workings, visits_of(row))} if workings else {},
        packs=pack_rows(workings.materials, firm.currency) if workings else [],
        extras=[extra_row(price_extra(firm, row, add_on, workings), firm.currency) for add_on in add_ons],
    )


def extra_row(extra: Extra, currency: str) -> ExtraRow:
    """An extra as the table shows it."""

    def money(amount: Decimal | None) -> str:
        return "" if amount is None else format_number(amount, minor_places(currency))

    sentence = " ".join(gap.sentence for gap in extra.gaps)
    if not sentence and extra.option is None:
        sentence = "Known as soon as its option is complete."
    return ExtraRow(
        row=extra.add_on,
        cost=money(extra.cost),
        now=money(extra.now),
        later="not offered" if extra.alone is None and not extra.gaps else money(extra.later),
        sentence=sentence,
    )


def _step_lines(sides: Sequence[Side]) -> list[StepLine]:
    """Steps of one key stand in one line; a step that only later options have goes in after the one before it."""
    order: list[str] = []
    for side in sides:
        before = -1
        for key in _keys(side.row):
            if key in order:
                before = order.index(key)
            else:
                before += 1
                order.insert(before, key)
    lines = {key: StepLine(names=[]) for key in order}
    for side in sides:
        figures = _figures_by_step(side)
        for key, line in lines.items():
            steps = [step for group in side.row.groups.all() for step in group.steps.all() if step.step.key == key]
            line.names += [step.step.name for step in steps]
            line.cells.append(_cell(side, [figures.get(step.pk) for step in steps if step.on], steps != []))
    return [line for line in lines.values() if any(cell.state == "on" for cell in line.cells)]


def _keys(option: Option) -> list[str]:
    return list(dict.fromkeys(step.step.key for group in option.groups.all() for step in group.steps.all()))


def _figures_by_step(side: Side) -> dict[int, StepFigure]:
    if side.workings is None:
        return {}
    return {step.pk: figure for step, figure in zip(steps_of(side.row), side.workings.steps, strict=True)}


def _cell(side: Side, done: Sequence[StepFigure | None], has: bool) -> StepCell:
    if not done:
        return StepCell(side=side, state="off" if has else "not part of it")
    figures = [figure for figure in done if figure is not None]
    hours = sum((figure.person_hours for figure in figures), Decimal(0))
    needs: dict[str, list[tuple[Decimal, str]]] = {}
    shown = []
    for figure in figures:
        for use in figure.materials:
            needs.setdefault(use.material, []).append((use.need, use.name))
    for figure in figures:
        for use in figure.materials:
            if of := needs.pop(use.material, None):
                total = sum((need for need, _name in of), Decimal(0))
                shown.append(quantity_shown(total, use.dimension, use.units, places=2))
    return StepCell(side=side, state="on", hours=format_number(hours, 1) if hours else "", needs=tuple(shown))


def _figure_lines(sides: Sequence[Side]) -> list[FigureLine]:
    order: list[str] = []
    for side in sides:
        for place, key in enumerate(side.figures):
            if key not in order:
                order.insert(min(place, len(order)), key)
    lines = []
    for key in order:
        rows = [side.figures.get(key) for side in sides]
        known = [row for row in rows if row is not None]
        labels = list(dict.fromkeys(row.label for row in known))
        lines.append(
            FigureLine(
                label=labels[0], kind=known[0].kind, cells=[(side, row) for side, row in zip(sides, rows, strict=True)]
            )
        )
    return lines
