"""Issued papers, the answers to them and the trail never change: the database itself refuses it, whoever asks."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

FROZEN = ("quoting_paper", "quoting_paperscope", "quoting_event", "quoting_paperimage", "quoting_acceptance", "quoting_answer")

# By what a new row would take the place of an old one in INSERT OR REPLACE: every unique value of the table.
SAME = {
    "quoting_paper": "id = NEW.id OR number = NEW.number"
    " OR (kind = NEW.kind AND job_id = NEW.job_id AND revision = NEW.revision)",
    "quoting_paperscope": "id = NEW.id OR (paper_id = NEW.paper_id AND position = NEW.position)",
    "quoting_event": "id = NEW.id OR position = NEW.position OR hash = NEW.hash",
    "quoting_paperimage": "id = NEW.id OR sha256 = NEW.sha256",
    "quoting_acceptance": "id = NEW.id OR paper_id = NEW.paper_id OR seal = NEW.seal",
    "quoting_answer": "id = NEW.id OR (paper_id = NEW.paper_id AND kind = NEW.kind)",
}

POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION quoting_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% rows never change', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    vendor = schema_editor.connection.vendor
    if vendor == "postgresql":
        schema_editor.execute(POSTGRESQL_FUNCTION, params=None)
    for table in FROZEN:
        if vendor == "postgresql":
            schema_editor.execute(
                f"CREATE TRIGGER {table}_frozen BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION quoting_refuse_change()"
            )
            schema_editor.execute(
                f"CREATE TRIGGER {table}_kept BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION quoting_refuse_change()"
            )
        elif vendor == "sqlite":
            refuse = f"BEGIN SELECT RAISE(ABORT, '{table} rows never change'); END"
            schema_editor.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {refuse}")
            schema_editor.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
            # INSERT OR REPLACE deletes without a DELETE trigger where recursive_triggers is off.
            taken = f"SELECT 1 FROM {table} WHERE {SAME[table]}"  # noqa: S608 (names of our own)
            schema_editor.execute(
                f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS ({taken}) {refuse}"
            )


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    for table in FROZEN:
        if schema_editor.connection.vendor == "postgresql":
            for name in ("frozen", "kept"):
                schema_editor.execute(f"DROP TRIGGER {table}_{name} ON {table}")
        else:
            for name in ("no_update", "no_delete", "no_replace"):
                schema_editor.execute(f"DROP TRIGGER {table}_{name}")
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP FUNCTION quoting_refuse_change()")


class Migration(migrations.Migration):
    dependencies = [("quoting", "0001_initial")]

    operations = [migrations.RunPython(freeze, thaw)]
