"""A published edition of the price book never changes: the database refuses it, whoever asks.

An edition begins drafted, and its rows may change while it is. Afterwards one change is left: published becomes superseded.
"""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

# Each table with the query that finds its edition's id, from `{row}`, which is OLD or NEW.
BOOK = {
    "material": "{row}.edition_id",
    "labourtask": "{row}.edition_id",
    "charge": "{row}.edition_id",
    "unitprice": "{row}.edition_id",
    "restorationsystem": "{row}.edition_id",
    "pricelist": "{row}.edition_id",
    "pack": "(SELECT edition_id FROM quoting_material WHERE id = {row}.material_id)",
    "coverage": "(SELECT edition_id FROM quoting_material WHERE id = {row}.material_id)",
    "systemstep": "(SELECT edition_id FROM quoting_restorationsystem WHERE id = {row}.system_id)",
    "stepmaterial": "(SELECT s.edition_id FROM quoting_restorationsystem s JOIN quoting_systemstep p"
    " ON p.system_id = s.id WHERE p.id = {row}.step_id)",
}
SENTENCE = "a published edition of the price book never changes"
UNCHANGED = ("id", "name", "takes_over", "published_at", "based_on_id", "note", "created_at", "version")
ROWS_OF = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}


def freeze(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    if schema_editor.connection.vendor == "postgresql":
        freeze_postgresql(schema_editor)
    else:
        freeze_sqlite(schema_editor)


def freeze_sqlite(schema_editor: BaseDatabaseSchemaEditor) -> None:
    refuse = f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
    for table, edition in BOOK.items():
        for act, rows in ROWS_OF.items():
            frozen = " OR ".join(
                f"(SELECT state FROM quoting_edition WHERE id = {edition.format(row=row)}) <> 'drafted'" for row in rows
            )
            schema_editor.execute(
                f"CREATE TRIGGER quoting_{table}_frozen_{act.lower()} BEFORE {act} ON quoting_{table} "
                f"WHEN {frozen} {refuse}"
            )
    same = " AND ".join(f"NEW.{column} IS OLD.{column}" for column in UNCHANGED)
    conditions = {
        # The second half is for INSERT OR REPLACE, which deletes without a DELETE trigger where recursive_triggers is off.
        "INSERT": "NEW.state <> 'drafted' OR EXISTS "
        "(SELECT 1 FROM quoting_edition WHERE (id = NEW.id OR name = NEW.name) AND state <> 'drafted')",
        "DELETE": "OLD.state <> 'drafted'",
        "UPDATE": "NOT (OLD.state = 'drafted' AND NEW.state IN ('drafted', 'published')) "
        f"AND NOT (OLD.state = 'published' AND NEW.state = 'superseded' AND {same})",
    }
    for act, condition in conditions.items():
        schema_editor.execute(
            f"CREATE TRIGGER quoting_edition_frozen_{act.lower()} BEFORE {act} ON quoting_edition WHEN {condition} {refuse}"
        )


def freeze_postgresql(schema_editor: BaseDatabaseSchemaEditor) -> None:
    raise_it = f"RAISE EXCEPTION '{SENTENCE}' USING ERRCODE = 'integrity_constraint_violation'"
    for table, edition in BOOK.items():
        # FOR SHARE makes the writer wait for a publication that is under way, and the other way round.
        looks = {
            row: f"SELECT state INTO found FROM quoting_edition WHERE id = {edition.format(row=row)} FOR SHARE; "
            f"IF found <> 'drafted' THEN {raise_it}; END IF;"
            for row in ("OLD", "NEW")
        }
        schema_editor.execute(
            f"CREATE FUNCTION quoting_{table}_frozen() RETURNS trigger LANGUAGE plpgsql AS $$ DECLARE found text; BEGIN "
            f"IF TG_OP <> 'INSERT' THEN {looks['OLD']} END IF; "
            f"IF TG_OP <> 'DELETE' THEN {looks['NEW']} RETURN NEW; END IF; RETURN OLD; END $$"
        )
    same = " AND ".join(f"NEW.{column} IS NOT DISTINCT FROM OLD.{column}" for column in UNCHANGED)
    schema_editor.execute(
        "CREATE FUNCTION quoting_edition_frozen() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF TG_OP = 'INSERT' THEN IF NEW.state <> 'drafted' THEN {raise_it}; END IF; RETURN NEW; END IF; "
        f"IF TG_OP = 'DELETE' THEN IF OLD.state <> 'drafted' THEN {raise_it}; END IF; RETURN OLD; END IF; "
        "IF OLD.state = 'drafted' AND NEW.state IN ('drafted', 'published') THEN RETURN NEW; END IF; "
        f"IF OLD.state = 'published' AND NEW.state = 'superseded' AND {same} THEN RETURN NEW; END IF; "
        f"{raise_it}; END $$"
    )
    for table in (*BOOK, "edition"):
        schema_editor.execute(
            f"CREATE TRIGGER quoting_{table}_frozen BEFORE INSERT OR UPDATE OR DELETE ON quoting_{table} "
            f"FOR EACH ROW EXECUTE FUNCTION quoting_{table}_frozen()"
        )


def thaw(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    for table in (*BOOK, "edition"):
        if schema_editor.connection.vendor == "postgresql":
            schema_editor.execute(f"DROP TRIGGER quoting_{table}_frozen ON quoting_{table}")
            schema_editor.execute(f"DROP FUNCTION quoting_{table}_frozen()")
        else:
            for act in ROWS_OF:
                schema_editor.execute(f"DROP TRIGGER quoting_{table}_frozen_{act.lower()}")


class Migration(migrations.Migration):
    dependencies = [("quoting", "0002_papers_frozen")]

    operations = [migrations.RunPython(freeze, thaw)]
