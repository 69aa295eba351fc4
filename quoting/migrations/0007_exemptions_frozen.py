"""A contract from which a certificate took tax keeps the row that says so: the database itself refuses change."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLE = "quoting_exemption"
SAME = "id = NEW.id OR (paper_id = NEW.paper_id AND certificate_id = NEW.certificate_id)"


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    run = schema_editor.execute
    if schema_editor.connection.vendor == "postgresql":
        run(
            f"CREATE TRIGGER {TABLE}_frozen BEFORE UPDATE OR DELETE ON {TABLE} "
            "FOR EACH ROW EXECUTE FUNCTION quoting_refuse_change()"
        )
        run(
            f"CREATE TRIGGER {TABLE}_kept BEFORE TRUNCATE ON {TABLE} "
            "FOR EACH STATEMENT EXECUTE FUNCTION quoting_refuse_change()"
        )
        return
    refuse = f"BEGIN SELECT RAISE(ABORT, '{TABLE} rows never change'); END"
    run(f"CREATE TRIGGER {TABLE}_no_update BEFORE UPDATE ON {TABLE} {refuse}")
    run(f"CREATE TRIGGER {TABLE}_no_delete BEFORE DELETE ON {TABLE} {refuse}")
    # INSERT OR REPLACE deletes without a DELETE trigger where recursive_triggers is off.
    taken = f"SELECT 1 FROM {TABLE} WHERE {SAME}"  # noqa: S608 (names of our own)
    run(f"CREATE TRIGGER {TABLE}_no_replace BEFORE INSERT ON {TABLE} WHEN EXISTS ({taken}) {refuse}")


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    postgresql = schema_editor.connection.vendor == "postgresql"
    for name in ("frozen", "kept") if postgresql else ("no_update", "no_delete", "no_replace"):
        schema_editor.execute(f"DROP TRIGGER {TABLE}_{name}" + (f" ON {TABLE}" if postgresql else ""))


class Migration(migrations.Migration):
    dependencies = [("quoting", "0006_extra_costs_frozen")]

    operations = [migrations.RunPython(freeze, thaw)]
