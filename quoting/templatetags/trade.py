"""Ways to show a figure, a date or a word of the trade. Formatting only: nothing is worked out here.

Figures come as the core carries them: m, m², m³, kg, h and Decimal money. A unit follows its figure after a no-break
space (U+00A0; the thin ones are not in the serif font, and a paper embeds only its own fonts).
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any, NamedTuple

from django import template
from django.forms import BaseForm, BaseFormSet
from django.http import QueryDict
from django.utils import formats, timezone
from moneyed import Money

from quoting.core.rounding import minor_places, round_half_up
from quoting.core.trade_units import to_unit

register = template.Library()

NB = "\u00a0"
MINUS = "\u2212"
EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")
METRIC = "metric"
SIGNS = {"USD": "$", "CAD": "$", "AUD": "$", "NZD": "$", "GBP": "£", "EUR": "€"}
NUMBER_WORDS = ["No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven", "Twelve"]
STATE_LINES = {"drafted": "drafted", "accepted": "accepted", "overdue": "late"} | dict.fromkeys(
    ("superseded", "declined", "withdrawn", "taken back", "expired", "void"), "ended"
)


def _decimal(value: object) -> Decimal | None:
    """The value as an exact Decimal, or None when it isn't a figure; a float is refused, since it isn't exact."""
    if isinstance(value, Money):
        return value.amount
    if isinstance(value, float) or value is None or value == "":
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def _grouped(number: Decimal) -> str:
    """Digits in groups of three, with a true minus."""
    return f"{number:,f}".replace("-", MINUS)


@register.filter
def figure(value: object, places: int = 2) -> str:
    """A bare figure half up to so many decimals: 1810 → 1,810.00; −28.274 → −28.27. Nothing for what isn't a figure."""
    number = _decimal(value)
    return "" if number is None else _grouped(round_half_up(number, int(places)))


@register.filter
def exact(value: object) -> str:
    """A figure with the decimals that it has and no others: 150.000 → 150; 0.750 → 0.75."""
    number = _decimal(value)
    if number is None:
        return ""
    short = number.normalize()
    return _grouped(short.quantize(Decimal(1)) if short == short.to_integral_value() else short)


@register.filter
def money(value: object, currency: str = "USD") -> str:
    """An amount with its currency's decimals and no sign: 1,810.00. A Money brings its own currency."""
    number = _decimal(value)
    if number is None:
        return ""
    code = value.currency.code if isinstance(value, Money) else currency
    return _grouped(round_half_up(number, minor_places(code)))


@register.filter
def money_sign(value: object, currency: str = "USD") -> str:
    """An amount with the currency's sign, for one that stands alone: $1,810.00; −£12.50; CHF 80.00."""
    shown = money(value, currency)
    if not shown:
        return ""
    code = value.currency.code if isinstance(value, Money) else currency
    minus, digits = (MINUS, shown[1:]) if shown.startswith(MINUS) else ("", shown)
    return f"{minus}{SIGNS.get(code, code + NB)}{digits}"


def _measure(value: object, units: str, us: tuple[str, str], metric: tuple[str, str], places: int) -> str:
    number = _decimal(value)
    if number is None:
        return ""
    unit, shown = metric if units == METRIC else us
    return f"{_grouped(round_half_up(to_unit(number, unit), places))}{NB}{shown}"


@register.filter
def area(value: object, units: str = "us") -> str:
    """Square metres as ft² or m² by the firm's units, two decimals: 532.39 ft²."""
    return _measure(value, units, ("ft**2", "ft²"), ("m**2", "m²"), 2)


@register.filter
def area_round(value: object, units: str = "us") -> str:
    """As `area` with one decimal, for prose and plans: 532.4 ft²."""
    return _measure(value, units, ("ft**2", "ft²"), ("m**2", "m²"), 1)


@register.filter
def as_length(value: object, units: str = "us") -> str:
    """Metres as decimal ft or m, two decimals: 80.54 ft."""
    return _measure(value, units, ("ft", "ft"), ("m", "m"), 2)


@register.filter
def volume(value: object, units: str = "us") -> str:
    """Cubic metres as gal or L, two decimals: 4.55 gal."""
    return _measure(value, units, ("gal", "gal"), ("L", "L"), 2)


@register.filter
def mass(value: object, units: str = "us") -> str:
    """Kilograms as oz or kg: 22.5 oz, 10.66 kg."""
    return _measure(value, units, ("oz", "oz"), ("kg", "kg"), 2 if units == METRIC else 1)


@register.filter
def tape(value: object, units: str = "us") -> str:
    """Metres as a tape reads, to the nearest eighth of an inch: 12′ 6½″; metric: 3.81 m."""
    number = _decimal(value)
    if number is None:
        return ""
    if units == METRIC:
        return f"{_grouped(round_half_up(number, 2))}{NB}m"
    eighths = int(round_half_up(to_unit(number, "in") * 8, 0))
    inches, eighth = divmod(abs(eighths), 8)
    feet, inch = divmod(inches, 12)
    return f"{MINUS if eighths < 0 else ''}{feet}′{NB}{inch if inch or not eighth else ''}{EIGHTHS[eighth]}″"


CALLED = (
    (re.compile(r"\s*[x×]\s*(?=\d)"), f"{NB}× "),
    (re.compile(r"(?<=[\d½¼¾⅛⅜⅝⅞])\s*(?:\"|''|″)"), "″"),
    (re.compile(r"(?<=[\d½¼¾⅛⅜⅝⅞])\s*['’′]\s*(?=\d)"), f"′{NB}"),
    (re.compile(r"(?<=[\d½¼¾⅛⅜⅝⅞])\s*['’′]"), "′"),
)
SIXTEENTHS = {Fraction(n, 8): EIGHTHS[n] for n in range(1, 8)}


def _fraction(found: re.Match[str]) -> str:
    sign = SIXTEENTHS.get(Fraction(int(found[1]), int(found[2]))) if int(found[2]) else None
    return sign or found[0]


@register.filter
def called(text: object) -> str:
    """What was called out, in the drawing's characters: 12' 6 1/2" x 4' → 12′ 6½″ × 4′."""
    shown = re.sub(r"(?:(?<=\d)\s)?\b(\d{1,2})/(\d{1,2})\b", _fraction, str(text))
    for pattern, sign in CALLED:
        shown = pattern.sub(sign, shown)
    return shown


@register.filter
def hours(value: object, places: int = 1) -> str:
    """Hours with their unit: 15.3 h."""
    shown = figure(value, places)
    return shown and f"{shown}{NB}h"


@register.filter
def percent(value: object, places: int | None = None) -> str:
    """A share as per cent: 0.15 → 15 %; with `places`, 0.30061 and 1 → 30.1 %."""
    number = _decimal(value)
    if number is None:
        return ""
    hundred = number.scaleb(2)
    shown = exact(round_half_up(hundred, 4)) if places is None else figure(hundred, places)
    return f"{shown}{NB}%"


@register.filter
def signed_percent(value: object, places: int = 1) -> str:
    """A change as per cent, with its sign: 0.0138 → +1.4 %; −0.03 → −3.0 %."""
    shown = percent(value, places)
    return f"+{shown}" if shown and not shown.startswith(MINUS) else shown


@register.filter
def plural(count: object, words: str) -> str:
    """A count with its noun: 1 and "visit,visits" → 1 visit; 4 → 4 visits. None is 0."""
    one, _, many = words.partition(",")
    number = _decimal(0 if count is None else count) or Decimal(0)
    return f"{exact(number)}{NB}{one if number == 1 else many or one + 's'}"


@register.filter
def number_word(count: int) -> str:
    """A small count in words at the head of a sentence: 2 → Two; 13 → 13."""
    return NUMBER_WORDS[count] if 0 <= count < len(NUMBER_WORDS) else str(count)


def _local(value: dt.date | dt.datetime) -> dt.date | dt.datetime:
    return timezone.localtime(value) if isinstance(value, dt.datetime) and timezone.is_aware(value) else value


@register.filter
def day(value: dt.date | dt.datetime | None) -> str:
    """A date in the firm's own time: 12 June 2026."""
    return formats.date_format(_local(value), f"j{NB}F Y") if value else ""


@register.filter
def short_day(value: dt.date | dt.datetime | None) -> str:
    """A date of this year: 12 June."""
    return formats.date_format(_local(value), f"j{NB}F") if value else ""


@register.filter
def clock(value: dt.datetime | None) -> str:
    """A time of day in the firm's own time: 8:05."""
    return formats.time_format(_local(value), "G:i") if isinstance(value, dt.datetime) else ""


@register.filter
def day_clock(value: dt.datetime | None) -> str:
    """Date and time: 12 June 2026, 17:31."""
    return f"{day(value)}, {clock(value)}" if value else ""


@register.filter
def state_line(state: object) -> str:
    """The class that draws the line of a state's box: dashed, one line, two lines, heavy, or struck."""
    return STATE_LINES.get(str(state), str(state))


class Fault(NamedTuple):
    """One thing to mend: which field, what about it, and the id to jump to ('' when it belongs to no field)."""

    label: str
    message: str
    target: str


def _form_faults(form: BaseForm) -> Iterator[Fault]:
    for name, messages in form.errors.items():
        field = form[name] if name in form.fields else None
        for message in messages:
            if field is None or field.is_hidden:
                yield Fault("", str(message), "")
            else:
                yield Fault(str(field.label), str(message), field.auto_id)


@register.filter
def faults(forms: BaseForm | BaseFormSet[Any] | Iterable[Any] | None) -> list[Fault]:
    """Everything to mend in a form, a formset or several of either, in order. Empty for what was never bound."""
    if not forms:
        return []
    if isinstance(forms, BaseForm):
        return list(_form_faults(forms)) if forms.is_bound else []
    if isinstance(forms, BaseFormSet):
        if not forms.is_bound:
            return []
        own = [Fault("", str(message), "") for message in forms.non_form_errors()]
        return own + [fault for form in forms.forms for fault in faults(form)]
    return [fault for one in forms for fault in faults(one)]


@register.filter
def control(field: Any) -> str:
    """How a form's field is laid out: `tick` (one box), `choices` (several), or `blank`."""
    if field.use_fieldset:
        return "choices"
    return "tick" if field.widget_type in ("checkbox",) else "blank"


@register.filter
def kept(posted: QueryDict, leave_out: str = "version") -> list[tuple[str, str]]:
    """What was typed, as pairs for hidden fields; without the token and the names in `leave_out` (commas)."""
    left_out = {"csrfmiddlewaretoken", *leave_out.split(",")}
    return [(name, value) for name, values in posted.lists() if name not in left_out for value in values]
