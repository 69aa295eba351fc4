"""Numbers without gaps: one counter row a series, moved on only in the transaction that uses the number."""

from __future__ import annotations

from django.db import router, transaction
from django.db.models import F, QuerySet

from quoting.models.jobs import Series


def take_number(series: str) -> int:
    """The next number of the series, from 1.

    One UPDATE takes the number and holds the counter's row until the transaction ends: nobody else gets one meanwhile,
    and a transaction that fails gives its number back. Call it as late as can be, and do no slow work after it.

    Raises TransactionManagementError outside a transaction, where the lock would be gone before the number is used.
    """
    return _moved_on(series, 1).values_list("last", flat=True).get()


def hold_numbers(series: str) -> None:
    """Keep the series to this transaction without taking a number yet, so that two who need the same two series take
    them in the same order and never wait for each other.

    Raises TransactionManagementError outside a transaction.
    """
    _moved_on(series, 0)


def _moved_on(series: str, by: int) -> QuerySet[Series]:
    using = router.db_for_write(Series)
    if not transaction.get_connection(using).in_atomic_block:
        raise transaction.TransactionManagementError("take_number() needs an open write transaction")
    counter = Series.objects.using(using).filter(name=series)
    if not counter.update(last=F("last") + by):
        # Two may begin the series at once: the second waits here for the first one's row, and then counts on from it.
        Series.objects.using(using).bulk_create([Series(name=series)], ignore_conflicts=True)
        counter.update(last=F("last") + by)
    return counter


def revision_letters(revision: int) -> str:
    """The letters of a revision counted from 1: A, B … Z, AA, AB."""
    letters = ""
    while revision > 0:
        revision, place = divmod(revision - 1, 26)
        letters = chr(ord("A") + place) + letters
    return letters


def paper_number(folder: str, revision: int) -> str:
    """The number of a folder's proposal: 0417-B."""
    return f"{folder}-{revision_letters(revision)}"


def change_number(folder: str, count: int) -> str:
    """The number of a folder's change order, counted from 1: 0417-C1."""
    return f"{folder}-C{count}"
