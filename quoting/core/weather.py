"""Go, wait or pre-wet: readings held against the firm's limits. What is missing is asked for, never assumed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from quoting.core.finding_kinds import Standing
from quoting.core.rounding import CONTEXT
from quoting.core.scope import Units
from quoting.core.units import format_number
from quoting.core.vapour import celsius, dew_point, evaporation_metric, evaporation_us, fahrenheit
from quoting.core.weather_limits import STARTING_LIMITS, Holds, Limit, Limits, Work

UNSURE = Decimal("0.4")
"""Hover, ACI SP-338 (2020): the estimate of evaporation is good to ±40 %."""


class ReadingsFault(ValueError):
    """Times that can't be; the sentence says why."""


class Word(StrEnum):
    """The verdict in a word."""

    GO = "go"
    WAIT = "wait"
    PRE_WET = "pre-wet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What was measured or asked; None: not known. °F and mph, or °C and km/h; humidity in per cent as it is read.

    `air_lowest` is the lowest air expected until the coat is set, `slab_lowest` the lowest slab. Hours since washing
    and rain and until rain count from now; `age` is how many hours ago the readings were taken. A slab that wasn't
    washed on this job, or no rain in the forecast, is a large number of hours: the form offers it.
    """

    work: Work
    units: Units
    air: Decimal | None = None
    slab: Decimal | None = None
    humidity: Decimal | None = None
    wind: Decimal | None = None
    air_lowest: Decimal | None = None
    slab_lowest: Decimal | None = None
    since_wash: Decimal | None = None
    since_rain: Decimal | None = None
    until_rain: Decimal | None = None
    age: Decimal = Decimal(0)

    @property
    def dew_point(self) -> Decimal | None:
        """In the units of the readings; None without air or humidity. Raises VapourFault."""
        if self.air is None or self.humidity is None:
            return None
        humidity = CONTEXT.divide(self.humidity, Decimal(100))
        if self.units is Units.US:
            return fahrenheit(dew_point(celsius(self.air), humidity))
        return dew_point(self.air, humidity)

    @property
    def margin(self) -> Decimal | None:
        """Slab less dew point, in degrees of the units; None without one of the readings. Raises VapourFault."""
        return _less(self.slab, self.dew_point)

    @property
    def evaporation(self) -> Decimal | None:
        """lb/ft²/h or kg/m²/h; None without one of the readings. Raises VapourFault."""
        if self.slab is None or self.air is None or self.humidity is None or self.wind is None:
            return None
        rate = evaporation_us if self.units is Units.US else evaporation_metric
        return rate(self.slab, self.air, CONTEXT.divide(self.humidity, Decimal(100)), self.wind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One limit and how the readings stand to it.

    `sentence` is English; `key` (the limit's key and “kept”, “unsure” or “broken”) and `figures` make it in another
    language. `calls_for` is what this reason alone would say.
    """

    key: str
    calls_for: Word
    sentence: str
    figures: Mapping[str, str]
    value: Decimal
    limit: Limit
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The word, the reasons (those that decide it first), and the readings that are asked for by field name.

    While something is asked for the word is wait, and `complete` is False.
    """

    word: Word
    reasons: tuple[Reason, ...]
    asked: tuple[str, ...]
    readings: Readings
    dew_point: Decimal | None
    margin: Decimal | None
    evaporation: Decimal | None

    @property
    def complete(self) -> bool:
        """Whether every reading that decides was there."""
        return not self.asked

    @property
    def deciding(self) -> tuple[Reason, ...]:
        """The reasons that speak against going."""
        return tuple(reason for reason in self.reasons if reason.calls_for is not Word.GO)


NEEDS = {
    "dew-margin": ("slab", "air", "humidity"),
    "dew-margin-later": ("slab_lowest", "air", "humidity"),
    "air-least": ("air",),
    "air-most": ("air",),
    "air-coming": ("air_lowest",),
    "slab-least": ("slab",),
    "slab-most": ("slab",),
    "slab-most-colour": ("slab",),
    "humidity-most": ("humidity",),
    "wind-most": ("wind",),
    "evaporation": ("slab", "air", "humidity", "wind"),
    "dry-after-wash": ("since_wash",),
    "dry-after-rain": ("since_rain",),
    "rain-after-colour": ("until_rain",),
    "rain-after-seal": ("until_rain",),
    "rain-after-sand": ("until_rain",),
    "frost": ("air",),
    "frost-coming": ("air_lowest",),
    "slab-most-wash": ("slab",),
    "wind-most-wash": ("wind",),
    "rain-while-washing": ("until_rain",),
    "air-least-strip": ("air",),
    "slab-most-strip": ("slab",),
    "wind-most-strip": ("wind",),
    "rain-while-stripping": ("until_rain",),
    "reading-age": ("age",),
}
"""The readings, by field name, that each limit needs."""

_SETS = {
    Holds.AT_LEAST: "it takes {limit} or more",
    Holds.OVER: "it takes more than {limit}",
    Holds.AT_MOST: "it takes {limit} or less",
    Holds.UNDER: "it takes less than {limit}",
}
_SAYS = {
    "dew-margin": "The slab at {slab} is {value} over the dew point of {dew}",
    "dew-margin-later": "The slab will be {value} over the dew point of {dew} when it is coldest",
    "air-least": "The air is at {value}",
    "air-most": "The air is at {value}",
    "air-coming": "The air will go down to {value}",
    "slab-least": "The slab is at {value}",
    "slab-most": "The slab is at {value}",
    "slab-most-colour": "The slab is at {value}",
    "humidity-most": "The humidity is {value}",
    "wind-most": "The wind is {value}",
    "evaporation": "A wet slab would lose {value}",
    "dry-after-wash": "It was washed {value} ago",
    "dry-after-rain": "It rained {value} ago",
    "rain-after-colour": "Rain is {value} away",
    "rain-after-seal": "Rain is {value} away",
    "rain-after-sand": "Rain is {value} away",
    "frost": "The air is at {value}",
    "frost-coming": "The air will go down to {value}",
    "slab-most-wash": "The slab is at {value}",
    "wind-most-wash": "The wind is {value}",
    "rain-while-washing": "Rain is {value} away",
    "air-least-strip": "The air is at {value}",
    "slab-most-strip": "The slab is at {value}",
    "wind-most-strip": "The wind is {value}",
    "rain-while-stripping": "Rain is {value} away",
    "reading-age": "The readings are {value} old",
}
UNSURE_SAYS = "{says}; {limit} is the limit, and the estimate is good to 40 % either way: watch how fast it dries."
REASON_KEYS = (*(f"{key}.{state}" for key in NEEDS for state in ("kept", "broken")), "evaporation.unsure")
"""Every key that a reason can have, for the test that each language has words for all of them."""


def go_or_wait(readings: Readings, limits: Limits = STARTING_LIMITS) -> Verdict:
    """The verdict on these readings: wait where a limit is broken or a reading is missing; pre-wet where only heat and
    drying speak against it; else go. Raises VapourFault for readings that can't be.
    """
    reasons, asked = [], []
    for limit in limits.on(readings.work, readings.units):
        missing = [name for name in NEEDS[limit.key] if getattr(readings, name) is None]
        if not missing:
            reasons.append(_reason(readings, limit))
        elif limit.asked:
            asked += [name for name in missing if name not in asked]
    calls = {reason.calls_for for reason in reasons}
    word = Word.WAIT if asked or Word.WAIT in calls else Word.PRE_WET if Word.PRE_WET in calls else Word.GO
    order = (Word.WAIT, Word.PRE_WET, Word.GO)
    return Verdict(
        word=word,
        reasons=tuple(sorted(reasons, key=lambda reason: order.index(reason.calls_for))),
        asked=tuple(asked),
        readings=readings,
        dew_point=readings.dew_point,
        margin=readings.margin,
        evaporation=readings.evaporation,
    )


def _reason(readings: Readings, limit: Limit) -> Reason:
    value, bound = _value(readings, limit.key), limit.figure(readings.units)
    if value is None or bound is None:
        raise ReadingsFault(f"“{limit.name}” has nothing to be held against.")
    kept = limit.holds.kept(value, bound)
    unsure = limit.key == "evaporation" and kept and value * (1 + UNSURE) > bound
    state = "unsure" if unsure else "kept" if kept else "broken"
    figures = _figures(readings, limit, value, bound)
    says = _SAYS[limit.key].format_map(figures)
    sentence = f"{says}; {_SETS[limit.holds].format_map(figures)}."
    return Reason(
        key=f"{limit.key}.{state}",
        calls_for=Word.GO if kept else Word.PRE_WET if limit.pre_wet else Word.WAIT,
        sentence=UNSURE_SAYS.format(says=says, limit=figures["limit"]) if unsure else sentence,
        figures=figures,
        value=value,
        limit=limit,
        source=limit.source,
        standing=limit.standing,
    )


def _value(readings: Readings, key: str) -> Decimal | None:
    if key == "dew-margin":
        return readings.margin
    if key == "dew-margin-later":
        return _less(readings.slab_lowest, readings.dew_point)
    if key == "evaporation":
        return readings.evaporation
    found: Decimal | None = getattr(readings, NEEDS[key][0])
    return found


def _figures(readings: Readings, limit: Limit, value: Decimal, bound: Decimal) -> dict[str, str]:
    unit = limit.unit(readings.units)
    places = 2 if limit.key == "evaporation" else 1 if limit.key.startswith("dew") else 0
    degrees = "°F" if readings.units is Units.US else "°C"
    figures = {"value": _shown(value, places, unit), "limit": _shown(bound, places if places == 2 else 0, unit)}
    if readings.slab is not None:
        figures["slab"] = _shown(readings.slab, 1, degrees)
    if readings.dew_point is not None:
        figures["dew"] = _shown(readings.dew_point, 1, degrees)
    return figures


def _shown(value: Decimal, places: int, unit: str) -> str:
    """With the places asked for, and with the next where a whole number would hide a part."""
    if places == 0 and value != value // 1:
        places = 1
    return f"{format_number(value, places)} {unit}"


def _less(a: Decimal | None, b: Decimal | None) -> Decimal | None:
    return None if a is None or b is None else CONTEXT.subtract(a, b)


def hours_since(then: datetime, now: datetime) -> Decimal:
    """Hours from then until now; both with a time zone, or both without. Raises ReadingsFault where then is later."""
    passed = now - then
    if passed.total_seconds() < 0:
        raise ReadingsFault("This lies in the future.")
    seconds = Decimal(passed.days * 86400 + passed.seconds) + Decimal(passed.microseconds).scaleb(-6)
    return CONTEXT.divide(seconds, Decimal(3600))
