"""Go or wait decided by hand, without a signal: the firm's limits as a list, and the dew point as a table.

A table is read at the next warmer air and the next damper column, so that it never says go where the readings say wait.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.rounding import CONTEXT, ceil_count
from quoting.core.scope import Units
from quoting.core.vapour import celsius, dew_point, fahrenheit
from quoting.core.weather import NEEDS
from quoting.core.weather_limits import Holds, Limit, Limits, Work

HUMIDITIES = tuple(Decimal(each) for each in (40, 50, 60, 70, 80, 90))
"""Columns, in per cent."""

AIRS = {
    Units.US: tuple(Decimal(each) for each in range(50, 95, 5)),
    Units.METRIC: tuple(Decimal(each) for each in range(10, 35, 3)),
}
"""Rows, in °F and °C."""

NOT_BY_HAND = frozenset({"dew-margin", "dew-margin-later", "evaporation", "reading-age"})
"""Limits that no single reading is held against: the dew point has its table, the rest is left to the core."""

AIR_LIMITS = frozenset({"air-least", "air-most"})

WAITS = {Holds.AT_LEAST: "<", Holds.OVER: "≤", Holds.AT_MOST: ">", Holds.UNDER: "≥"}
"""How a reading stands to its limit when the limit is broken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """A reading that is `sign` than `figure` breaks a limit; `pre_wet` says that the slab is wetted then, not left."""

    limit: Limit
    sign: str
    figure: Decimal
    pre_wet: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """All that speaks against one reading, by the reading's name."""

    reading: str
    breaks: tuple[Break, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DewTable:
    """How warm the slab has to be at least, for each air and humidity, in whole degrees rounded up.

    None: no slab that the limits allow is warm enough, or the air is too damp: wait. `margin` is the firm's.
    """

    margin: Decimal
    humidities: tuple[Decimal, ...]
    rows: tuple[tuple[Decimal, tuple[Decimal | None, ...]], ...]


def waits_of(limits: Limits, work: Work, units: Units) -> tuple[Wait, ...]:
    """What to wait for on this work, reading by reading, in the order of the limits."""
    found: dict[str, list[Break]] = {}
    for limit in limits.on(work, units):
        figure = limit.figure(units)
        if limit.key in NOT_BY_HAND or figure is None:
            continue
        one = Break(limit=limit, sign=WAITS[limit.holds], figure=figure, pre_wet=limit.pre_wet)
        found.setdefault(NEEDS[limit.key][0], []).append(one)
    return tuple(Wait(reading=name, breaks=tuple(breaks)) for name, breaks in found.items())


def dew_table(limits: Limits, works: Sequence[Work], units: Units) -> DewTable | None:
    """The table for the coats among these kinds of work; None where none of them asks for a margin."""
    on = [limit for work in works for limit in limits.on(work, units)]
    margin = _figure(on, "dew-margin", units)
    if margin is None:
        return None
    damp = _figure(on, "humidity-most", units)
    least, most = _figure(on, "slab-least", units), _figure(on, "slab-most", units)
    columns = tuple(each for each in HUMIDITIES if damp is None or each < damp)
    airs = [air for air in AIRS[units] if all(_kept(each, air, units) for each in on if each.key in AIR_LIMITS)]
    rows = [
        (air, tuple(_slab(air, humidity, units, margin, least, most) for humidity in columns)) for air in airs
    ]  # fmt: skip
    return DewTable(margin=margin, humidities=columns, rows=tuple(rows))


def _slab(
    air: Decimal, humidity: Decimal, units: Units, margin: Decimal, least: Decimal | None, most: Decimal | None
) -> Decimal | None:
    share = CONTEXT.divide(humidity, Decimal(100))
    dew = fahrenheit(dew_point(celsius(air), share)) if units is Units.US else dew_point(air, share)
    need = Decimal(ceil_count(CONTEXT.add(dew, margin)))
    need = need if least is None else max(need, least)
    return None if most is not None and need > most else need


def _figure(limits: Sequence[Limit], key: str, units: Units) -> Decimal | None:
    return next((limit.figure(units) for limit in limits if limit.key == key), None)


def _kept(limit: Limit, value: Decimal, units: Units) -> bool:
    figure = limit.figure(units)
    return figure is None or limit.holds.kept(value, figure)
