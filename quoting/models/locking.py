"""The one place that locks rows, and the version that two editors share."""

from __future__ import annotations

from typing import TypeVar

from django.db import models, router, transaction

Row = TypeVar("Row", bound=models.Model)


class ChangedMeanwhile(Exception):
    """Somebody kept another version of this row after the form was opened; nothing has been overwritten."""

    def __init__(self, row: models.Model) -> None:
        self.row = row
        super().__init__(
            "Somebody changed this while you had it open. Nothing of yours or theirs is lost: choose below."
        )


def lock_row(model: type[Row], pk: object) -> Row:
    """Read the row for a decision, so that nobody else decides about it before this transaction ends.

    PostgreSQL locks the row; SQLite has no row locks, but its write transaction (begun IMMEDIATE, see the settings)
    already keeps every other writer out. Both need an open transaction, which is asserted here because without one
    the lock is gone before the next statement.
    """
    using = router.db_for_write(model)
    if not transaction.get_connection(using).in_atomic_block:
        raise transaction.TransactionManagementError("lock_row() needs an open write transaction")
    return model._default_manager.using(using).select_for_update(of=("self",)).get(pk=pk)


class Versioned(models.Model):
    """A row that two people may edit: forms carry the version that they were opened with."""

    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        abstract = True

    def claim(self, version: int) -> None:
        """Take the next version inside the writing transaction, or raise ChangedMeanwhile when `version` is no
        longer current.
        """
        taken = type(self)._default_manager.filter(pk=self.pk, version=version).update(version=version + 1)
        if not taken:
            raise ChangedMeanwhile(self)
        self.version = version + 1
