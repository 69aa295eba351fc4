"""What the crew wrote down, and every hold, never change: the database itself refuses it, whoever asks.

Two acts pass: free words are erased together with their salt, and the mail that tells of a hold is named, once.
"""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

KEPT = {
    "quoting_entry": (
        "id", "visit_id", "once", "kind", "data", "words_sha256", "made_at", "arrived_at", "by_id",
    ),
    "quoting_hold": (
        "id", "visit_id", "reason", "words_sha256", "entry_id", "from_day", "to_day", "at", "by_id",
    ),
    "quoting_booked": ("id", "entry_id", "once", "at", "by_id"),
}  # fmt: skip
# By what a new row would take the place of an old one in INSERT OR REPLACE: every unique value of the table.
SAME = {
    "quoting_entry": "id = NEW.id OR once = NEW.once",
    "quoting_hold": "id = NEW.id OR entry_id = NEW.entry_id",
    "quoting_booked": "id = NEW.id OR entry_id = NEW.entry_id",
}


def allowed(table: str, same: str) -> str:
    """When an UPDATE may pass; `same` is the database's comparison in which two nulls are the same."""
    stays = " AND ".join(f"NEW.{column} {same} OLD.{column}" for column in KEPT[table])
    words = f"((NEW.words = '' AND NEW.salt = '') OR (NEW.words {same} OLD.words AND NEW.salt {same} OLD.salt))"
    if table == "quoting_hold":
        return f"{stays} AND {words} AND (OLD.notice_id IS NULL OR NEW.notice_id {same} OLD.notice_id)"
    return f"{stays} AND {words}"


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    run = schema_editor.execute
    postgresql = schema_editor.connection.vendor == "postgresql"
    for table in KEPT:
        has_words = table != "quoting_booked"
        if postgresql:
            passes = f"WHEN (NOT ({allowed(table, 'IS NOT DISTINCT FROM')})) " if has_words else ""
            run(
                f"CREATE TRIGGER {table}_frozen BEFORE UPDATE ON {table} "
                f"FOR EACH ROW {passes}EXECUTE FUNCTION quoting_refuse_change()"
            )
            run(
                f"CREATE TRIGGER {table}_stays BEFORE DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION quoting_refuse_change()"
            )
            run(
                f"CREATE TRIGGER {table}_kept BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION quoting_refuse_change()"
            )
            continue
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} rows never change'); END"
        passes = f"WHEN NOT ({allowed(table, 'IS')}) " if has_words else ""
        run(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {passes}{refuse}")
        run(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
        # INSERT OR REPLACE deletes without a DELETE trigger where recursive_triggers is off. An entry that is sent
        # twice is left out with INSERT OR IGNORE, which this trigger would refuse, so services/entries.py looks first.
        taken = f"SELECT 1 FROM {table} WHERE {SAME[table]}"  # noqa: S608 (names of our own)
        run(f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS ({taken}) {refuse}")


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    postgresql = schema_editor.connection.vendor == "postgresql"
    for table in KEPT:
        for name in ("frozen", "stays", "kept") if postgresql else ("no_update", "no_delete", "no_replace"):
            schema_editor.execute(f"DROP TRIGGER {table}_{name}" + (f" ON {table}" if postgresql else ""))


class Migration(migrations.Migration):
    dependencies = [("quoting", "0004_books_frozen")]

    operations = [migrations.RunPython(freeze, thaw)]
