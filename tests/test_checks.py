"""Wrong set-ups are found before they lose, leak or misprint anything."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import pytest_django
from django.core.exceptions import ImproperlyConfigured
from django.db import connection
from django.db.backends.sqlite3.base import DatabaseWrapper
from django.db.utils import ConnectionHandler

from quoting import checks
from quoting.config.settings import BASE_DIR, sqlite_database

MOUNTS = """\
/dev/sda1 / ext4 rw,relatime 0 0
proc /proc proc rw 0 0
server:/export /srv/firm nfs4 rw 0 0
/dev/sdb1 /srv/firm/local ext4 rw 0 0
//nas/files /mnt/the\\040office cifs rw 0 0
"""


def ids(messages: object) -> list[str]:
    return [message.id for message in messages]  # type: ignore[attr-defined]


@pytest.fixture
def firm_file(tmp_path: Path) -> Path:
    return tmp_path / "firm.sqlite3"


@pytest.fixture
def sqlite(firm_file: Path, django_db_blocker: pytest_django.DjangoDbBlocker) -> Iterator[DatabaseWrapper]:
    """A connection to an SQLite file of its own, with the settings of the site."""
    handler = ConnectionHandler({"default": sqlite_database(str(firm_file))})
    with django_db_blocker.unblock():
        yield handler["default"]
        handler["default"].close()


def test_sqlite_as_set_is_right(sqlite: DatabaseWrapper) -> None:
    assert list(checks.check_sqlite(sqlite)) == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("synchronous", "NORMAL"),
        ("foreign_keys", "OFF"),
        ("recursive_triggers", "OFF"),
        ("secure_delete", "OFF"),
        ("busy_timeout", "5000"),
        ("journal_mode", "TRUNCATE"),
    ],
)
def test_a_live_pragma_that_differs_is_an_error(sqlite: DatabaseWrapper, name: str, value: str) -> None:
    with sqlite.cursor() as cursor:
        cursor.execute(f"PRAGMA {name}={value}")
    (error,) = checks.check_sqlite(sqlite)
    assert (error.id, f"SQLite's {name} is " in error.msg, bool(error.hint)) == ("quoting.E001", True, True)


def test_a_file_that_was_switched_to_wal_is_refused_where_wal_is_not_safe(
    firm_file: Path, sqlite: DatabaseWrapper
) -> None:
    raw = sqlite3.connect(firm_file)
    raw.execute("PRAGMA journal_mode=WAL")
    raw.close()
    expected = [] if checks.wal_is_safe(sqlite3.sqlite_version_info) else ["quoting.E001"]
    assert ids(checks.check_sqlite(sqlite)) == expected


@pytest.mark.parametrize(
    ("version", "safe"),
    [
        # Safe from 3.44.6, 3.50.7 and 3.51.3 on, each in its own line: SQLite's notes on the WAL-reset fault.
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 52, 0), True),
    ],
)
def test_the_write_ahead_log_is_safe_from_these_releases_on(version: tuple[int, int, int], safe: bool) -> None:
    assert checks.wal_is_safe(version) is safe


def test_transactions_must_begin_with_the_write_lock(sqlite: DatabaseWrapper) -> None:
    del sqlite.settings_dict["OPTIONS"]["transaction_mode"]
    assert ids(checks.check_sqlite(sqlite)) == ["quoting.E002"]


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/var/lib/firm", "ext4"),
        ("/srv/firm/data", "nfs4"),
        ("/srv/firm/local/data", "ext4"),
        ("/srv/firmament", "ext4"),
        ("/mnt/the office/data", "cifs"),
    ],
)
def test_the_file_system_of_a_path_is_that_of_its_nearest_mount(path: str, kind: str) -> None:
    assert checks.file_system(Path(path), MOUNTS) == kind


def test_a_network_file_system_is_an_error() -> None:
    assert ids(checks.check_file_system("the data folder", Path("/srv/firm"), "quoting.E004", MOUNTS)) == [
        "quoting.E004"
    ]
    assert ids(checks.check_file_system("the data folder", Path("/var"), "quoting.E004", MOUNTS)) == []


def test_this_machine_can_print() -> None:
    assert checks.check_papers() == []


def test_missing_libraries_and_fonts_are_found() -> None:
    assert not checks.loads(["libnothing-of-this-name.so.0"])
    assert not checks.has_fonts("font_of_no_such_name")
    assert not checks.has_fonts("json")


def test_a_site_without_mail_is_named(settings) -> None:
    settings.EMAIL_HOST = ""
    assert ids(checks.check_mail()) == ["quoting.W003"]
    settings.EMAIL_HOST = "mail.example.com"
    assert ids(checks.check_mail()) == []


@pytest.mark.sqlite
@pytest.mark.django_db
def test_the_site_refuses_to_start_on_an_error() -> None:
    checks.refuse_to_start()
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA recursive_triggers=OFF")
        with pytest.raises(ImproperlyConfigured, match=r"quoting\.E001"):
            checks.refuse_to_start()
        cursor.execute("PRAGMA recursive_triggers=ON")


@pytest.mark.postgresql
@pytest.mark.django_db
def test_a_role_that_owns_the_tables_is_warned_about() -> None:
    assert ids(checks.check_postgresql(connection)) == ["quoting.W001"]


@pytest.mark.postgresql
@pytest.mark.django_db
def test_a_role_that_owns_nothing_is_right() -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE ROLE only_the_site")
        cursor.execute("SET LOCAL ROLE only_the_site")
    assert ids(checks.check_postgresql(connection)) == []


def test_production_settings_pass_the_deployment_check(tmp_path: Path) -> None:
    production = {
        "SITE_ADDRESS": "https://quotes.example.com",
        "SECRET_KEY": "".join(chr(33 + number % 90) for number in range(7, 97)),
        "EMAIL_HOST": "mail.example.com",
        "DATA_DIR": str(tmp_path),
        "DATABASE_URL": "",
        "DEBUG": "",
    }
    check = [sys.executable, "manage.py", "check", "--deploy", "--database", "default", "--fail-level", "WARNING"]
    # The browser's tests set this one for themselves when they are collected.
    plain = {name: value for name, value in os.environ.items() if name != "DJANGO_ALLOW_ASYNC_UNSAFE"}
    done = subprocess.run(check, cwd=BASE_DIR, env=plain | production, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "System check identified no issues (0 silenced).\n"), done.stderr


def test_the_server_starts(tmp_path: Path) -> None:
    local = {**os.environ, "DATA_DIR": str(tmp_path), "DATABASE_URL": "", "SITE_ADDRESS": ""}
    program = [sys.executable, "-W", "error", "-c", "import quoting.config.wsgi"]
    done = subprocess.run(program, cwd=BASE_DIR, env=local, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
