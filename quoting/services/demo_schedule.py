"""The demo's acts in the order of their days, over all folders: what happens first is done first.

So numbers of bills, the books and the trail run as the firm's own would. The acts that are done are the first ones of
the list, and each knows whether it is done: an interrupted demo goes on where it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from operator import itemgetter
from typing import Any

from quoting.services import (
    demo_answers,
    demo_changes,
    demo_days,
    demo_end,
    demo_jobs,
    demo_money,
    demo_prices,
    demo_stock,
)
from quoting.services.demo_clock import clock_set, moment
from quoting.services.demo_rows import read_demo
from quoting.services.demo_scene import Row, Scene
from quoting.services.outbox import send_due

FILES = ("past", "work", "jobs")
ACTS: dict[str, Callable[[Scene], None]] = {
    "price book": demo_prices.publish,
    "send": demo_answers.send,
    "opened": demo_answers.open_link,
    "ask": demo_answers.ask,
    "accept": demo_answers.accept,
    "bill": demo_money.bill,
    "pay": demo_money.pay,
    "credit": demo_money.credit,
    "certify": demo_money.certify,
    "change": demo_changes.change,
    "accept change": demo_changes.accept_change,
    "plan": demo_days.plan,
    "hold": demo_days.hold,
    "work": demo_days.work,
    "read": demo_days.read_weather,
    "hand over": demo_days.hand_over,
    "sign": demo_days.sign,
    "learn": demo_days.learn,
    "photograph": demo_end.photograph,
    "extra cost": demo_end.extra_cost,
    "take in": demo_stock.take_in,
    "bring back": demo_stock.bring_back,
    "reserve": demo_stock.reserve,
}
"""What an act's `do` may say."""


@dataclass(frozen=True, slots=True)
class Act:
    """Something that is done; `at` is when, None for now."""

    at: datetime | None
    do: Callable[[Scene], None]
    row: Row
    said: Row


def folders() -> list[Row]:
    """The rows of all folders, the oldest first."""
    return [row for name in FILES for row in read_demo(name)["folder"]]


def schedule(today: date) -> list[Act]:
    """All acts of all folders in the order in which they are done; those of now come last, folder by folder."""
    acts = [act for row in folders() for act in _acts(row, today)]
    past = [(act.at, act) for act in acts if act.at is not None]
    return [act for _, act in sorted(past, key=itemgetter(0))] + [act for act in acts if act.at is None]


def perform(act: Act, **scene: Any) -> None:
    """Do it by its own clock. What it mails on a day of the past goes out on that day."""
    with clock_set(act.at):
        act.do(Scene(row=act.row, act=act.said, **scene))
        if act.at is not None:
            send_due()


def _acts(row: Row, today: date) -> Iterator[Act]:
    yield Act(_when(row.get("opened"), today), demo_jobs.open_demo_folder, row, {})
    for place, revision in enumerate(row.get("revision", ()), 1):
        said = revision | {"revision": place}
        yield Act(_when(revision.get("drawn"), today), demo_jobs.draft, row, said)
        yield Act(_when(revision.get("issued"), today), demo_jobs.issue, row, said)
    for said in row.get("act", ()):
        yield Act(_when(said.get("on"), today), ACTS[said["do"]], row, said)


def _when(on: list[Any] | None, today: date) -> datetime | None:
    """So many days before today, at that time: [9, "17:05"]."""
    return None if on is None else moment(today - timedelta(days=on[0]), on[1])
