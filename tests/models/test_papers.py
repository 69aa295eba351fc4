"""Issued papers, their scopes and the trail never change: the database itself refuses it, whoever asks."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from quoting.models import Event, Paper, PaperScope
from quoting.services.trail import record
from tests.factories import JobFactory, UserFactory

pytestmark = pytest.mark.django_db

MODELS = [Paper, PaperScope, Event]
names = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@pytest.fixture(autouse=True)
def rows() -> None:
    """One paper with one scope, and the event that tells of it."""
    paper = Paper.objects.create(
        kind="proposal", number="0417-A", job=JobFactory(number="0417"), revision=1, issued_at=timezone.now(),
        issued_by=UserFactory(), facts="{}", facts_sha256="0" * 64, pdf=b"%PDF", pdf_sha256="0" * 64, pages=1,
    )  # fmt: skip
    PaperScope.objects.create(
        paper=paper, position=0, role="option", name="Wash", edition="2026-1", scope="{}", scope_sha256="0" * 64,
        workings="{}", workings_sha256="0" * 64,
    )  # fmt: skip
    record("proposal issued", paper=paper)


def refused(statement: str) -> str:
    """The sentence of the database, in a transaction of its own so that the test's goes on."""
    with pytest.raises(DatabaseError) as error, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)
    return str(error.value)


@contextmanager
def recursive_triggers(state: str) -> Iterator[None]:
    """SQLite with its switch on, as our settings have it, or off, as a shell has it."""
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA recursive_triggers = {state}")
        yield
        cursor.execute("PRAGMA recursive_triggers = ON")


@names
def test_a_row_is_not_updated(model):
    table = model._meta.db_table
    assert f"{table} rows never change" in refused(f"UPDATE {table} SET id = id")  # noqa: S608


@names
def test_no_field_is_changed_through_the_models(model):
    row = model.objects.get()
    with pytest.raises(DatabaseError, match="rows never change"), transaction.atomic():
        row.save()


@names
def test_a_row_is_not_deleted(model):
    table = model._meta.db_table
    assert f"{table} rows never change" in refused(f"DELETE FROM {table}")  # noqa: S608


@names
@pytest.mark.postgresql
def test_a_table_is_not_emptied(model):
    table = model._meta.db_table
    with connection.cursor() as cursor:  # what is pending would refuse it before the trigger does
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    assert f"{table} rows never change" in refused(f"TRUNCATE {table} CASCADE")


@names
@pytest.mark.sqlite
@pytest.mark.parametrize("recursive", ["ON", "OFF"])
def test_a_row_is_not_replaced_by_its_key(model, recursive):
    table = model._meta.db_table
    with recursive_triggers(recursive):
        assert "never change" in refused(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")  # noqa: S608


@names
@pytest.mark.sqlite
@pytest.mark.parametrize("recursive", ["ON", "OFF"])
def test_a_row_is_not_replaced_by_another_unique_value(model, recursive):
    """A new key, but the number, the place or the hash of a row that is there."""
    table = model._meta.db_table
    columns = [field.column for field in model._meta.concrete_fields if not field.primary_key]
    listed = ", ".join(columns)
    statement = f"INSERT OR REPLACE INTO {table} ({listed}) SELECT {listed} FROM {table}"  # noqa: S608
    with recursive_triggers(recursive):
        assert "never change" in refused(statement)


def test_a_number_is_given_once():
    paper = Paper.objects.get()
    paper.pk, paper.revision = None, 2
    paper._state.adding = True
    with pytest.raises(DatabaseError), transaction.atomic():
        paper.save(force_insert=True)


def test_what_is_new_may_be_written():
    paper = Paper.objects.get()
    paper.pk, paper.revision, paper.number = None, 2, "0417-B"
    paper._state.adding = True
    paper.save(force_insert=True)
    assert Paper.objects.count() == 2
