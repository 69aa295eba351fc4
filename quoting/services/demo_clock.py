"""The clock of the demo: for a span, what is done counts as done on a day of the past.

The demo's folders have a history of years, and every row of it is made by the acts of the pages, which ask Django what
time it is: so their papers, their entries in the books and the trail tell of the day on which it would have happened.
To give each of some thirty acts a time to pass on, for the demo alone, would open a way to backdate papers in the
product itself. So the demo sets Django's one clock for its own span, in this process, before anything is served.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from datetime import time as clock

from django.utils import timezone


def moment(day: date, at: str) -> datetime:
    """That day at that time by the firm's clock: 9:10."""
    hour, minute = at.split(":")
    return timezone.make_aware(datetime.combine(day, clock(int(hour), int(minute))))


@contextmanager
def clock_set(to: datetime | None) -> Iterator[None]:
    """Let `timezone.now` begin at this moment and go on from there; None leaves it. Spans may stand inside spans.

    Only for one thread at a time: whatever else runs in the process meanwhile sees this clock as well.
    """
    if to is None:
        yield
        return
    before, began = timezone.now, time.monotonic()

    def now() -> datetime:
        return to.astimezone(UTC) + timedelta(seconds=time.monotonic() - began)

    timezone.now = now
    try:
        yield
    finally:
        timezone.now = before
