"""The crew's words on pages and papers: English, and Spanish beside it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import template
from django.template import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString

from quoting.documents.asides import day_pair
from quoting.documents.crew_figures import MONTHS
from quoting.documents.crew_words import Pair, say

register = template.Library()


@register.simple_tag
def both(key: str) -> SafeString:
    """Two spans, for a block that sets them side by side."""
    return side_by_side(say(key))


@register.simple_tag
def inline(key: str) -> SafeString:
    """One after the other, parted by a dot; what is the same in both is said once."""
    return in_line(say(key))


@register.simple_tag(takes_context=True)
def told(context: Context, words: str | Pair, **figures: Any) -> SafeString | str:
    """For pages that office and crew share: English for the office, both languages for the crew. Takes a key or a
    pair; a pair that is a figure is put in by language."""
    pair = say(words, **figures) if isinstance(words, str) else words
    return format_html("{}", pair.en) if context.get("sees_money") else format_html("<span>{}</span>", in_line(pair))


@register.simple_tag(takes_context=True)
def told_day(context: Context, day: date) -> SafeString | str:
    """A day with its weekday and month, in the same way."""
    with_weekday, month = day_pair(day), MONTHS[day.month - 1]
    return told(context, Pair(f"{with_weekday.en} {month.en}", f"{with_weekday.es} de {month.es}"))


@register.filter
def side_by_side(pair: Pair | None) -> SafeString | str:
    """A pair as two spans."""
    if not pair:
        return ""
    return format_html('<span>{}</span><span lang="es">{}</span>', pair.en, pair.es)


@register.filter
def in_line(pair: Pair | None) -> SafeString | str:
    """A pair in one line."""
    if not pair:
        return ""
    if not pair.differs:
        return format_html("{}", pair.en)
    return format_html('{} · <span lang="es">{}</span>', pair.en, pair.es)


@register.filter
def held_because(hold: Any) -> SafeString | str:
    """Why a visit was held, in one line."""
    return in_line(say(f"hold.reason.{hold.reason}"))


@register.filter
def en(key: str) -> str:
    """The English words of a key, where a figure stands between the two."""
    return say(key).en


@register.filter
def es(key: str) -> str:
    """The Spanish words of a key."""
    return say(key).es
