"""The books, payments, receipts and issued bills never change: the database itself refuses it, whoever asks."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

# By what a new row would take the place of an old one in INSERT OR REPLACE: every unique value of the table.
FROZEN = {
    "quoting_bookentry": "id = NEW.id OR position = NEW.position",
    "quoting_payment": "id = NEW.id OR once = NEW.once OR (kind = 'bounced' AND NEW.kind = 'bounced' AND of_id = NEW.of_id)",
    "quoting_receipt": "id = NEW.id OR payment_id = NEW.payment_id OR paper_id = NEW.paper_id",
}
# A draft may change and be thrown away; a bill that was issued may not.
BILL, ISSUED = "quoting_invoice", "OLD.state = 'issued'"
BILL_SAME = "(id = NEW.id OR paper_id = NEW.paper_id) AND state = 'issued'"


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    run = schema_editor.execute
    if schema_editor.connection.vendor == "postgresql":
        for table in (*FROZEN, BILL):
            only = f"WHEN ({ISSUED}) " if table == BILL else ""
            run(
                f"CREATE TRIGGER {table}_frozen BEFORE UPDATE OR DELETE ON {table} "
                f"FOR EACH ROW {only}EXECUTE FUNCTION quoting_refuse_change()"
            )
            run(
                f"CREATE TRIGGER {table}_kept BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION quoting_refuse_change()"
            )
        return
    for table, same in {**FROZEN, BILL: BILL_SAME}.items():
        only = f"WHEN {ISSUED} " if table == BILL else ""
        refuse = f"BEGIN SELECT RAISE(ABORT, '{table} rows never change'); END"
        run(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {only}{refuse}")
        run(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {only}{refuse}")
        # INSERT OR REPLACE deletes without a DELETE trigger where recursive_triggers is off.
        taken = f"SELECT 1 FROM {table} WHERE {same}"  # noqa: S608 (names of our own)
        run(f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} WHEN EXISTS ({taken}) {refuse}")


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    postgresql = schema_editor.connection.vendor == "postgresql"
    for table in (*FROZEN, BILL):
        for name in ("frozen", "kept") if postgresql else ("no_update", "no_delete", "no_replace"):
            schema_editor.execute(f"DROP TRIGGER {table}_{name}" + (f" ON {table}" if postgresql else ""))


class Migration(migrations.Migration):
    dependencies = [("quoting", "0003_pricebook_frozen")]

    operations = [migrations.RunPython(freeze, thaw)]
