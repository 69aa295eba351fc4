"""What the weather is held against: each limit with its figure in both systems of units, its source and its standing.

The figures are the firm's settings; these are the ones to start from. A limit in °C is one of its own, and no
conversion of the one in °F: 5 °F is 2.78 °C, and the metric rule says 3 °C.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from typing import Any

from quoting.core.finding_kinds import PRACTICE_SOURCE, Standing
from quoting.core.scope import Units


class LimitFault(ValueError):
    """A limit can't be set so; the sentence says why."""


class Work(StrEnum):
    """What is to be done on the slab now."""

    WASH = "wash"
    STRIP = "strip"
    SAND = "sand"
    COLOUR = "colour"
    SEAL = "seal"


class Holds(StrEnum):
    """How a reading has to stand to its limit."""

    AT_LEAST = "at-least"
    OVER = "over"
    AT_MOST = "at-most"
    UNDER = "under"

    def kept(self, value: Decimal, limit: Decimal) -> bool:
        """Whether the value keeps the limit."""
        return {
            Holds.AT_LEAST: value >= limit,
            Holds.OVER: value > limit,
            Holds.AT_MOST: value <= limit,
            Holds.UNDER: value < limit,
        }[self]


DRY_WORK = frozenset({Work.COLOUR, Work.SEAL, Work.SAND})
COATS = frozenset({Work.COLOUR, Work.SEAL})
ALL_WORK = frozenset(Work)
SEALING = frozenset({Work.SEAL})
WATERBORNE = frozenset({Work.COLOUR})
WASHING = frozenset({Work.WASH})
STRIPPING = frozenset({Work.STRIP})
WATERED = frozenset({Work.WASH, Work.SAND})


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit: what is measured has to be `holds` the figure of its units; None switches it off there.

    `pre_wet` says that a slab which breaks it is wetted and worked on, where others wait. `asked` says that the reading
    is asked for where it is missing; one that isn't asked for counts when it is given. `own` marks the firm's figure.
    """

    key: str
    name: str
    holds: Holds
    us: Decimal | None
    metric: Decimal | None
    unit_us: str
    unit_metric: str
    works: frozenset[Work]
    published: str = PRACTICE_SOURCE
    standing: Standing = Standing.PRACTICE
    pre_wet: bool = False
    asked: bool = True
    own: bool = False

    def figure(self, units: Units) -> Decimal | None:
        """The limit in these units, None where it is off."""
        return self.us if units is Units.US else self.metric

    def unit(self, units: Units) -> str:
        """The sign of its unit."""
        return self.unit_us if units is Units.US else self.unit_metric

    @property
    def source(self) -> str:
        """Where the figure is from; a firm's own figure says so and names what it departs from."""
        return f"the firm’s own setting, in place of: {self.published}" if self.own else self.published


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The firm's limits, in the order in which reasons are given."""

    all: tuple[Limit, ...]

    def __getitem__(self, key: str) -> Limit:
        found = next((limit for limit in self.all if limit.key == key), None)
        if found is None:
            raise LimitFault(f"There is no limit “{key}”.")
        return found

    def on(self, work: Work, units: Units) -> tuple[Limit, ...]:
        """Those that hold for this work, in these units."""
        return tuple(limit for limit in self.all if work in limit.works and limit.figure(units) is not None)

    def set_to(self, figures: Mapping[str, Decimal | None], units: Units) -> "Limits":
        """With the firm's figures in these units by key; None switches a limit off. Raises LimitFault."""
        for key, figure in figures.items():
            if figure is not None and not (figure.is_finite() and abs(figure) <= 1000):
                raise LimitFault(f"“{self[key].name}” is no figure that can be kept to.")
        return Limits(all=tuple(_with(limit, figures, units) for limit in self.all))


def _with(limit: Limit, figures: Mapping[str, Decimal | None], units: Units) -> Limit:
    if limit.key not in figures or figures[limit.key] == limit.figure(units):
        return limit
    if units is Units.US:
        return replace(limit, own=True, us=figures[limit.key])
    return replace(limit, own=True, metric=figures[limit.key])


def _limit(
    key: str, name: str, holds: Holds, us: str, metric: str, unit: str, works: frozenset[Work], **more: Any
) -> Limit:
    unit_us, _, unit_metric = unit.partition("|")
    return Limit(
        key=key,
        name=name,
        holds=holds,
        us=Decimal(us),
        metric=Decimal(metric),
        unit_us=unit_us,
        unit_metric=unit_metric or unit_us,
        works=works,
        **more,
    )


_MILITARY = "MIL-HDBK-1110 (1996), 9.6.6"
_METRIC = "3 °C: a text on marine painting, and ISO 8502-4 (from memory)"
_CITY = "City of Paris, Texas, specification 20.06 (3)"
_STANDARD = Standing.STANDARD

STARTING_LIMITS = Limits(
    all=(
        _limit(
            "dew-margin", "Slab over the dew point", Holds.AT_LEAST, "5", "3", "°F|°C", COATS,
            published=f"{_MILITARY}; {_METRIC}", standing=_STANDARD,
        ),
        _limit(
            "dew-margin-later", "Slab over the dew point until it is set", Holds.AT_LEAST, "5", "3", "°F|°C", SEALING,
            published=f"{_MILITARY}; {_METRIC}", standing=_STANDARD, asked=False,
        ),
        _limit("air-least", "Air", Holds.OVER, "50", "10", "°F|°C", COATS, published=_CITY, standing=_STANDARD),
        _limit("air-most", "Air", Holds.AT_MOST, "90", "32", "°F|°C", COATS),
        _limit(
            "air-coming", "Lowest air to come", Holds.AT_LEAST, "40", "4", "°F|°C", COATS,
            published="ACI 306R-16", standing=_STANDARD,
        ),
        _limit("slab-least", "Slab", Holds.AT_LEAST, "50", "10", "°F|°C", COATS),
        _limit("slab-most", "Slab", Holds.AT_MOST, "90", "32", "°F|°C", SEALING),
        _limit("slab-most-colour", "Slab", Holds.AT_MOST, "90", "32", "°F|°C", WATERBORNE, pre_wet=True),
        _limit("humidity-most", "Humidity", Holds.UNDER, "85", "85", "%", COATS, published=_CITY, standing=_STANDARD),
        _limit("wind-most", "Wind", Holds.AT_MOST, "15", "24", "mph|km/h", COATS, published=_CITY, standing=_STANDARD),
        _limit(
            "evaporation", "Evaporation", Holds.AT_MOST, "0.20", "1.0", "lb/ft²/h|kg/m²/h", WATERBORNE,
            published="ACI 305R; the estimate is good to ±40 % (Hover, ACI SP-338, 2020)",
            standing=_STANDARD, pre_wet=True,
        ),
        _limit("dry-after-wash", "Hours since washing", Holds.AT_LEAST, "24", "24", "h", DRY_WORK),
        _limit("dry-after-rain", "Hours since rain", Holds.AT_LEAST, "24", "24", "h", DRY_WORK),
        _limit("rain-after-colour", "Hours until rain", Holds.AT_LEAST, "8", "8", "h", WATERBORNE),
        _limit("rain-after-seal", "Hours until rain", Holds.AT_LEAST, "24", "24", "h", SEALING),
        _limit("rain-after-sand", "Hours until rain", Holds.AT_LEAST, "12", "12", "h", frozenset({Work.SAND})),
        _limit("frost", "Air", Holds.OVER, "32", "0", "°F|°C", WATERED),
        _limit("frost-coming", "Lowest air to come", Holds.OVER, "32", "0", "°F|°C", WATERED),
        _limit("slab-most-wash", "Slab", Holds.AT_MOST, "90", "32", "°F|°C", WASHING, pre_wet=True),
        _limit("wind-most-wash", "Wind", Holds.AT_MOST, "20", "32", "mph|km/h", WASHING),
        _limit("rain-while-washing", "Hours until rain", Holds.AT_LEAST, "2", "2", "h", WASHING),
        _limit("air-least-strip", "Air", Holds.AT_LEAST, "50", "10", "°F|°C", STRIPPING),
        _limit("slab-most-strip", "Slab", Holds.AT_MOST, "90", "32", "°F|°C", STRIPPING),
        _limit("wind-most-strip", "Wind", Holds.AT_MOST, "10", "16", "mph|km/h", STRIPPING),
        _limit("rain-while-stripping", "Hours until rain", Holds.AT_LEAST, "4", "4", "h", STRIPPING),
        _limit(
            "reading-age", "Hours since the readings", Holds.AT_MOST, "4", "4", "h", ALL_WORK,
            published=_MILITARY, standing=_STANDARD,
        ),
    )
)  # fmt: skip
"""To start from. Where no source is named, common practice: coats 50 to 90 °F; dry 24 to 48 h after washing and 24 h
after rain; no rain for 24 to 48 h after sealing, 8 h after colour, 12 to 24 h after jointing sand. Nothing is washed or
wetted into frost; cleaner must not dry on (a hot slab is wetted first) nor drift, and isn't washed off in the rain;
stripper is kept wet, out of sun and wind, works slowly in the cold, and must not be rained into a drain."""
