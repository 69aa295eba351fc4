"""The crew's pick list as plain values in both languages, by where things are kept. No prices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quoting.core.pick_list import MATERIAL, PickChange, PickLine, PickList
from quoting.core.units import Dimension
from quoting.documents.crew_figures import NB, amount_text
from quoting.documents.crew_words import Pair, listed, named, say
from quoting.documents.freeze import sha256_of

DIMENSIONS = {Dimension.VOLUME: "volume", Dimension.MASS: "mass"}


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One line: how many, of what, from which lot. `mark` is the same as long as the line says the same."""

    mark: str
    take: Pair
    what: Pair
    steps: Pair | None
    lot: str
    is_material: bool


@dataclass(frozen=True, slots=True)
class LoadGroup:
    """What lies in one place."""

    place: Pair
    rows: tuple[LoadRow, ...]


@dataclass(frozen=True, slots=True)
class LoadPage:
    """The whole list."""

    groups: tuple[LoadGroup, ...]
    unmeasured: Pair | None


def load_page(found: PickList, units: str, spanish: Mapping[str, str]) -> LoadPage:
    """The list by storage place; what has none stands with its kind.

    `spanish` has the firm's own words by the English ones; what it lacks stands in English in both columns.
    """
    groups: dict[Pair, list[LoadRow]] = {}
    for line in found.lines:
        place = _heading(in_both(line.place, spanish)) if line.place else say(f"pick.{line.kind}")
        groups.setdefault(place, []).append(_row(line, units, spanish))
    return LoadPage(
        groups=tuple(LoadGroup(place, tuple(rows)) for place, rows in groups.items()),
        unmeasured=say("pick.unmeasured", areas=", ".join(found.unmeasured)) if found.unmeasured else None,
    )


def in_both(english: str, spanish: Mapping[str, str]) -> Pair:
    """Words that the firm wrote; in English twice where it has not written the Spanish."""
    return Pair(english, spanish.get(english) or named(english).es)


def _heading(place: Pair) -> Pair:
    return Pair(place.en[:1].upper() + place.en[1:], place.es[:1].upper() + place.es[1:])


def name_of(line: PickLine, spanish: Mapping[str, str]) -> Pair:
    """What a line is called."""
    return named(line.name) if line.kind == MATERIAL else in_both(line.name, spanish)


def _row(line: PickLine, units: str, spanish: Mapping[str, str]) -> LoadRow:
    steps = say("pick.for_step", steps=listed([named(step) for step in line.steps])) if line.steps else None
    take, what = _take(line, units), name_of(line, spanish)
    return LoadRow(_mark(line, take), take, what, steps, line.lot, line.kind == MATERIAL)


def _mark(line: PickLine, take: Pair) -> str:
    """By what a tick finds its line again: another count, size or lot is another line, and is loaded anew."""
    told = "|".join((line.kind, line.key, line.name, line.lot, take.en))
    return f"load.{sha256_of(told)[:12]}"


def _take(line: PickLine, units: str) -> Pair:
    if line.size is None:
        return Pair(str(line.count), str(line.count))
    size = line.size_text or amount_text(line.size, _dimension(line), units)
    text = str(line.count) if _by_piece(line) else f"{line.count} ×{NB}{size}"
    if line.opened and line.left is not None:
        word, inside = say("pick.opened"), amount_text(line.left, _dimension(line), units)
        return Pair(f"{text}, {word.en}: {inside}", f"{text}, {word.es}: {inside}")
    if line.buy:
        word = say("pick.buy")
        return Pair(f"{text}, {word.en}", f"{text}, {word.es}")
    return Pair(text, text)


def _by_piece(line: PickLine) -> bool:
    """Whether one of it is what is counted: two rolls are “2”, not “2 × 1 each”."""
    return _dimension(line) == "count" and line.size == 1


def _dimension(line: PickLine) -> str:
    return DIMENSIONS.get(line.dimension, "count") if line.dimension is not None else "count"


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A line that a change order changed."""

    what: Pair
    size: Pair
    before: int
    after: int


def change_rows(changes: Sequence[PickChange], units: str, spanish: Mapping[str, str]) -> list[ChangeRow]:
    """What differs between the list that was and the one that is."""
    rows = []
    for each in changes:
        size = each.line.size_text
        if not size and each.line.size is not None:
            size = amount_text(each.line.size, _dimension(each.line), units)
        rows.append(ChangeRow(name_of(each.line, spanish), Pair(size, size), each.before, each.after))
    return rows
