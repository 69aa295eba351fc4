"""How a figure came about, as a long-hand sum: lines of operator, figure and label, and the same in one line.

Worked from the top with a pocket calculator, left to right, the lines give each figure after an equals sign, to the
digits shown. What is measured or worked out shows two decimals (four digits when under one); what was given shows as it
was given.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from quoting.core.rounding import round_half_up
from quoting.core.scope import Units
from quoting.core.units import Dimension, format_number, to_unit


class WorkingLine(NamedTuple):
    """One line of the sum: `×`, `1.12`, `texture`. The operator of the first is empty; `=` is a result; `→` a
    choice.
    """

    operator: str
    figure: str
    label: str


def one_line(lines: Iterable[WorkingLine]) -> str:
    """The lines in one: `464.00 ft² × 1.12 texture ÷ 200 ft²/gal × 1.05 waste = 2.73 gal`."""
    return " ".join(" ".join(filter(None, line)) for line in lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownIn:
    """The units that workings are shown in."""

    area: str
    length: str
    volume: str
    mass: str
    heavy: str
    film: str

    def unit(self, dimension: Dimension) -> str:
        """The unit for a plain dimension, or the ratio of two."""
        above, _per, below = str(dimension).partition(" per ")
        plain = {
            "area": self.area,
            "length": self.length,
            "volume": self.volume,
            "mass": self.mass,
            "time": "hour",
            "count": "each",
        }
        top = plain[above.split(" ")[1]]
        return f"{top}/{plain[below]}" if below else top


SHOWN = {
    Units.US: ShownIn(area="ft**2", length="ft", volume="gal", mass="oz", heavy="lb", film="mil"),
    Units.METRIC: ShownIn(area="m**2", length="m", volume="L", mass="kg", heavy="kg", film="mm"),
}
"""The units of each system."""

_HEAVY = Decimal("4.5")
"""From 4.5 kg, some ten pounds, a mass is shown in pounds: 800 oz tells a crew nothing."""


def is_heavy(kilograms: Decimal) -> bool:
    """Whether a mass is shown in lb rather than oz."""
    return kilograms >= _HEAVY


def sign_of(unit: str) -> str:
    """A unit as it is printed: `ft²/gal`."""
    return unit.replace("**2", "²").replace("**3", "³").replace("hour", "h")


def worked(value: Decimal) -> str:
    """A measured or worked-out figure: two decimals, or four digits when it is under one."""
    if not value or abs(value) >= 1:
        return format_number(value, 2)
    return format_number(value, min(12, 3 - value.adjusted()))


def started(value: Decimal) -> str:
    """A measured figure that a sum starts from: two decimals, and at least five digits, so that the sum comes out."""
    return format_number(value, max(2, min(12, 4 - value.adjusted())) if value else 2)


def given(value: Decimal) -> str:
    """A figure that somebody gave: to six digits, without zeros at the end."""
    places = max(0, min(12, 5 - value.adjusted())) if value else 0
    text = format_number(round_half_up(value, places), places)
    return text.rstrip("0").rstrip(".") if "." in text else text


_SPOKEN = {"×": "by", "÷": "over", "−": "less", "+": "and", "=": "is", "→": "to"}


def spoken(text: str) -> str:
    """A text for a label: the signs that a calculator would take for its own become words."""
    for sign, word in _SPOKEN.items():
        text = text.replace(sign, word)
    return text


class LongHand:
    """Builds the lines of one figure."""

    def __init__(self, units: Units) -> None:
        self.shown = SHOWN[units]
        self.lines: list[WorkingLine] = []

    def put(self, operator: str, figure: str, label: str = "") -> None:
        """Any line."""
        self.lines.append(WorkingLine(operator, figure, label))

    def worked(self, operator: str, magnitude: Decimal, unit: str, label: str = "") -> None:
        """A canonical magnitude that was measured or worked out."""
        self.put(operator, worked(to_unit(magnitude, unit)), ", ".join(filter(None, [sign_of(unit), label])))

    def start(self, magnitude: Decimal, unit: str, label: str = "") -> None:
        """A canonical magnitude that was measured, which the sum starts from."""
        self.put("", started(to_unit(magnitude, unit)), f"{sign_of(unit)}{label}")

    def given(self, operator: str, magnitude: Decimal, unit: str, label: str = "") -> None:
        """A canonical magnitude that somebody gave."""
        self.put(operator, given(to_unit(magnitude, unit)), ", ".join(filter(None, [sign_of(unit), label])))

    def factor(self, operator: str, number: Decimal | int, label: str) -> None:
        """A plain number; one times or through one is left out."""
        if number != 1:
            self.put(operator, given(Decimal(number)), label)

    def done(self) -> tuple[WorkingLine, ...]:
        """The lines."""
        return tuple(self.lines)
