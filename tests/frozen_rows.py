"""Lets a transactional test's clean-up empty the tables whose rows the database itself keeps from changing."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection
from django.test import TransactionTestCase


@contextmanager
def triggers_lifted() -> Iterator[None]:
    """Without the database's triggers; they are back at the end."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _ in triggers:
                cursor.execute(f'DROP TRIGGER "{name}"')
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with checks pending can't be altered
            cursor.execute(
                "SELECT DISTINCT c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
                "WHERE NOT t.tgisinternal"
            )
            tables = [table for (table,) in cursor.fetchall()]
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
    yield
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for _, sql in triggers:
                cursor.execute(sql)
        else:
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')


def lift_triggers_for_clean_up() -> None:
    """Django empties every table after a transactional test; that one act may pass the triggers."""
    clean_up = TransactionTestCase._fixture_teardown

    def without_triggers(case: Any) -> None:
        with triggers_lifted():
            clean_up(case)

    TransactionTestCase._fixture_teardown = without_triggers  # type: ignore[method-assign]
