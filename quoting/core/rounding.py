"""The only place that rounds.

Figures are carried with 28 significant digits (`CONTEXT`); money rounds half up to the currency's minor unit; whatever
is rounded up is first rounded to 20 significant digits, so that a need of exactly five never buys a sixth for the sake
of the 28th digit.
"""

from decimal import (
    ROUND_CEILING,
    ROUND_FLOOR,
    ROUND_HALF_EVEN,
    ROUND_HALF_UP,
    Context,
    Decimal,
    DivisionByZero,
    InvalidOperation,
    Overflow,
)
from functools import lru_cache

from moneyed import Currency, CurrencyDoesNotExist, get_currency

_TRAPS = [InvalidOperation, DivisionByZero, Overflow]

CONTEXT = Context(prec=28, rounding=ROUND_HALF_EVEN, traps=_TRAPS)
"""What every figure is worked out in: enter it with `decimal.localcontext(CONTEXT)`, which copies it."""

WIDE = Context(prec=60, rounding=ROUND_HALF_EVEN, traps=_TRAPS)
"""For the inside of one formula, whose result is then carried in 28 digits."""

_TWENTY = Context(prec=20, rounding=ROUND_HALF_EVEN, traps=_TRAPS)


class CurrencyFault(ValueError):
    """The code is not a currency of ISO 4217."""

    def __init__(self, code: object) -> None:
        super().__init__(f"“{str(code)[:12]}” is not a currency code, such as USD.")


class StepFault(ValueError):
    """A multiple of nothing was asked for."""

    def __init__(self) -> None:
        super().__init__("What is rounded up to must be more than zero.")


def carried(value: Decimal) -> Decimal:
    """The value in the 28 significant digits that every figure is carried with."""
    return CONTEXT.plus(value)


def sig20(value: Decimal) -> Decimal:
    """The value to 20 significant digits: the guard before anything is rounded up or down."""
    return _TWENTY.plus(value)


def round_half_up(value: Decimal, places: int) -> Decimal:
    """The value to so many decimal places, a half going away from zero; never a negative zero."""
    rounded = value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP, context=WIDE)
    return rounded if rounded else rounded.copy_abs()


def minor_places(currency: str | Currency) -> int:
    """How many decimals the currency has: 2 for USD, 0 for JPY, 3 for BHD.

    Raises CurrencyFault for a code that is none.
    """
    return _minor_places(currency.code if isinstance(currency, Currency) else currency)


@lru_cache(maxsize=256)
def _minor_places(code: str) -> int:
    try:
        currency = get_currency(code)
    except CurrencyDoesNotExist:
        raise CurrencyFault(code) from None
    return len(str(currency.sub_unit)) - 1


def round_money(amount: Decimal, currency: str | Currency) -> Decimal:
    """The amount half up to the currency's minor unit, with exactly its decimals."""
    return round_half_up(amount, minor_places(currency))


def floor_money(amount: Decimal, currency: str | Currency) -> Decimal:
    """The largest sum of the currency that is not over the amount: for legal caps, which half up would break."""
    step = Decimal(1).scaleb(-minor_places(currency))
    floored = sig20(amount).quantize(step, rounding=ROUND_FLOOR, context=WIDE)
    return floored if floored else floored.copy_abs()


def ceil_count(value: Decimal) -> int:
    """How many whole ones cover the value, which is first rounded to 20 significant digits."""
    return int(sig20(value).to_integral_value(rounding=ROUND_CEILING, context=WIDE))


def ceil_to(value: Decimal, step: Decimal) -> Decimal:
    """The smallest multiple of `step` that covers the value; the quotient is first rounded to 20 significant digits.

    Raises StepFault unless the step is more than zero.
    """
    if not step > 0:
        raise StepFault
    return CONTEXT.multiply(Decimal(ceil_count(CONTEXT.divide(value, step))), step)
