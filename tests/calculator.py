"""Works a long-hand sum the way a person does with a pocket calculator: left to right, one key after the other."""

from collections.abc import Iterable
from decimal import Decimal

from quoting.core.working_lines import WorkingLine


class DoesNotAddUp(AssertionError):
    """A figure after an equals sign is not what the calculator shows."""


def number(figure: str) -> Decimal:
    """The number that a figure shows."""
    return Decimal(figure.replace(",", "").replace("−", "-"))


def work_through(lines: Iterable[WorkingLine]) -> Decimal:
    """What the calculator shows at the end. Raises DoesNotAddUp where it differs from a figure in its last digit shown.

    A figure that was rounded before it was typed in may put the result off by a few in ten thousand.
    """
    shown = Decimal(0)
    for line in lines:
        if line.operator == "→":
            if "×" in line.figure:
                break  # the packs
            shown = number(line.figure)
            continue
        typed = number(line.figure)
        if line.operator == "=":
            last_digit = Decimal(1).scaleb(int(typed.as_tuple().exponent))
            if abs(shown - typed) > last_digit * Decimal("0.51") + abs(typed) * Decimal("0.0004"):
                raise DoesNotAddUp(f"{line.figure} {line.label}: the calculator shows {shown}")
            continue
        shown = {
            "": lambda a, b: a + b,
            "+": lambda a, b: a + b,
            "−": lambda a, b: a - b,
            "×": lambda a, b: a * b,
            "÷": lambda a, b: a / b,
        }[line.operator](shown, typed)
    return shown
