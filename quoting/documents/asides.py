"""Why something that the crew said of a visit was not done when it arrived, in both languages."""

from __future__ import annotations

from datetime import date

from quoting.documents.crew_figures import WEEKDAYS
from quoting.documents.crew_words import Pair, say
from quoting.models import Entry


def aside_words(entry: Entry) -> Pair | None:
    """What is said of it; None where it was done."""
    data = entry.data
    if "aside" not in data:
        return None
    if "stands" in data:
        return say(f"aside.{data['aside']}", day=day_pair(date.fromisoformat(data["stands"])))
    return say(f"aside.{data['aside']}")


OFFICE = {
    "moved": "The visit had been moved to {day} meanwhile, so the days stayed as they are.",
    "over": "The visit was done already, so the days stayed as they are.",
    "earlier": "That is no day after {day}, on which the visit is, so the days stayed as they are.",
    "no-place": "The days can’t be laid so: {why}",
}


def office_words(entry: Entry) -> str:
    """The same for the office, which has to settle it."""
    data = entry.data
    day = day_pair(date.fromisoformat(data["stands"])).en if "stands" in data else ""
    return OFFICE[data["aside"]].format(day=day, why=data.get("why", ""))


def hold_words(entry: Entry) -> Pair:
    """Why the visit was held, and when it is tried again."""
    reason = say(f"hold.reason.{entry.data['reason']}")
    day = day_pair(date.fromisoformat(entry.data["day"]))
    again = say("hold.until")
    return Pair(f"{reason.en}; {again.en.lower()} {day.en}", f"{reason.es}; {again.es.lower()} {day.es}")


def day_pair(day: date) -> Pair:
    """A day of these weeks: “Monday 20”."""
    weekday = WEEKDAYS[day.weekday()]
    return Pair(f"{weekday.en} {day.day}", f"{weekday.es.lower()} {day.day}")
