"""Go or wait by hand as the crew reads it, in both languages: what to wait for, and how warm the slab has to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.core.by_hand import Break, dew_table, waits_of
from quoting.core.scope import Units
from quoting.core.weather_limits import Limits, Work
from quoting.documents.crew_figures import NB
from quoting.documents.crew_words import Pair, say


@dataclass(frozen=True, slots=True)
class WaitRow:
    """A reading, and the figures at which to wait; `wets` are those at which the slab is wetted first."""

    reading: Pair
    waits: str
    wets: str


@dataclass(frozen=True, slots=True)
class ByHand:
    """All of it: lists by kind of work, and the table with its head; figures are whole degrees."""

    works: tuple[tuple[Pair, tuple[WaitRow, ...]], ...]
    margin: str
    degrees: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def by_hand(limits: Limits, works: Sequence[Work], units: Units) -> ByHand | None:
    """For the kinds of work of a visit; None where none of them waits for weather."""
    lists = [(say(f"work.{work.value}"), _rows(limits, work, units)) for work in works]
    told = tuple((work, rows) for work, rows in lists if rows)
    if not told:
        return None
    degrees = "°F" if units is Units.US else "°C"
    table = dew_table(limits, works, units)
    return ByHand(
        works=told,
        margin=f"{table.margin:f}{NB}{degrees}" if table else "",
        degrees=degrees,
        head=tuple(f"{each:f}{NB}%" for each in table.humidities) if table else (),
        rows=tuple((f"{air:f}", tuple("–" if each is None else f"{each:f}" for each in row)) for air, row in table.rows)
        if table
        else (),
    )


def _rows(limits: Limits, work: Work, units: Units) -> tuple[WaitRow, ...]:
    return tuple(
        WaitRow(
            reading=say(f"readings.{wait.reading}"),
            waits=_figures([each for each in wait.breaks if not each.pre_wet], units),
            wets=_figures([each for each in wait.breaks if each.pre_wet], units),
        )
        for wait in waits_of(limits, work, units)
    )


def _figures(breaks: Sequence[Break], units: Units) -> str:
    return ", ".join(f"{each.sign}{NB}{each.figure:f}{NB}{each.limit.unit(units)}" for each in breaks)
