"""System checks: a set-up that would lose, leak or misprint something is named, with the remedy, before it can.

Errors stop every command and the site itself (`quoting.config.wsgi`); warnings are for the person who deploys.
"""

import ctypes
import re
from collections.abc import Iterable, Sequence
from importlib import metadata
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, Warning, register
from django.core.exceptions import ImproperlyConfigured
from django.db import connections

OLDEST_WEASYPRINT = 70

# What each PRAGMA must answer. In simulated power cuts WAL with NORMAL lost acknowledged commits, EXTRA none.
LIVE_PRAGMAS: dict[str, set[object]] = {
    "synchronous": {3},
    "foreign_keys": {1},
    "recursive_triggers": {1},
    "secure_delete": {1},
    "busy_timeout": {20_000},  # milliseconds
    "journal_mode": {"delete", "memory"},  # memory: a database that is gone with its process anyway
}
# Releases of SQLite whose write-ahead log no longer corrupts a database: (first safe one, end of its line).
SAFE_WAL = (((3, 44, 6), (3, 45, 0)), ((3, 50, 7), (3, 51, 0)), ((3, 51, 3), (99, 0, 0)))

# Locks on these are promised and not kept, which SQLite can't survive.
NETWORK_FILE_SYSTEMS = {
    "9p", "afs", "ceph", "cifs", "fuse.glusterfs", "fuse.rclone", "fuse.s3fs", "fuse.sshfs", "glusterfs", "lustre",
    "ncpfs", "nfs", "nfs3", "nfs4", "smb3", "smbfs", "vboxsf",
}  # fmt: skip

LIBRARIES = (
    ("libpango-1.0.so.0", "libpango-1.0.dylib", "/opt/homebrew/lib/libpango-1.0.dylib"),
    ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "/opt/homebrew/lib/libpangoft2-1.0.dylib"),
)
SUBSETTER = (
    "libharfbuzz-subset.so.0",
    "libharfbuzz-subset.0.dylib",
    "/opt/homebrew/lib/libharfbuzz-subset.0.dylib",
)
FONT_PACKAGES = {"font_source_sans_pro": "font-source-sans-pro", "font_source_serif_pro": "font-source-serif-pro"}


def refuse_to_start() -> None:
    """Raise ImproperlyConfigured with every error of this file's checks; the site calls it before its first request."""
    found = [*check_papers(), *check_data_folder(), *check_database(databases=["default"])]
    errors = [message for message in found if message.is_serious()]
    if errors:
        raise ImproperlyConfigured("\n".join(str(message) for message in errors))


@register(Tags.database)
def check_database(databases: Sequence[str] | None = None, **kwargs: Any) -> list[CheckMessage]:
    """Look at each database as it really is, not as the settings mean it to be."""
    found: list[CheckMessage] = []
    for alias in databases or []:
        connection = connections[alias]
        if connection.vendor == "sqlite":
            found += check_sqlite(connection)
        elif connection.vendor == "postgresql":
            found += check_postgresql(connection)
    return found


def check_sqlite(connection: Any) -> Iterable[CheckMessage]:
    """E001: a live pragma differs. E002: transactions begin without the write lock. E003: the file is on a network."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT sqlite_version()")
        version = tuple(int(part) for part in cursor.fetchone()[0].split("."))
        for name, wanted in LIVE_PRAGMAS.items():
            cursor.execute(f"PRAGMA {name}")
            (live,) = cursor.fetchone()
            if live in wanted or (name == "journal_mode" and live == "wal" and wal_is_safe(version)):
                continue
            right = " or ".join(sorted(str(value) for value in wanted))
            yield Error(
                f"SQLite's {name} is {live}; it must be {right}, or work that was acknowledged can be lost.",
                hint="Take OPTIONS of DATABASES from quoting/config/settings.py as they are; for journal_mode, run "
                "`PRAGMA journal_mode=DELETE` on the database file once.",
                obj=connection.alias,
                id="quoting.E001",
            )
    if connection.settings_dict["OPTIONS"].get("transaction_mode") != "IMMEDIATE":
        yield Error(
            "SQLite's transactions don't begin IMMEDIATE, so two people who save at once get “database is locked”.",
            hint='Set "transaction_mode": "IMMEDIATE" in OPTIONS of DATABASES.',
            obj=connection.alias,
            id="quoting.E002",
        )
    name = str(connection.settings_dict["NAME"])
    if not name.startswith("file:") and ":memory:" not in name:
        yield from check_file_system("the SQLite database", Path(name), "quoting.E003")


def wal_is_safe(version: tuple[int, ...]) -> bool:
    """Whether this SQLite has the write-ahead log that no longer corrupts."""
    return any(first <= version < end for first, end in SAFE_WAL)


def check_postgresql(connection: Any) -> Iterable[CheckMessage]:
    """W001: the application's role could take the protection off issued papers."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolsuper FROM pg_roles WHERE rolname = current_user")
        is_superuser = bool((cursor.fetchone() or (False,))[0])
        cursor.execute(
            "SELECT count(*) FROM pg_class JOIN pg_namespace ON pg_namespace.oid = relnamespace "
            "WHERE relkind = 'r' AND nspname = current_schema() AND pg_get_userbyid(relowner) = current_user"
        )
        owned = cursor.fetchone()[0]
    if is_superuser or owned:
        role = "is a superuser" if is_superuser else f"owns {owned} tables"
        yield Warning(
            f"The PostgreSQL role of the application {role}: it could switch off the triggers that keep issued papers.",
            hint="Let one role own the tables and run `migrate`, and give another to the site; README.md shows how.",
            obj=connection.alias,
            id="quoting.W001",
        )


@register()
def check_data_folder(**kwargs: Any) -> list[CheckMessage]:
    """E004: the data folder is on a network."""
    return list(check_file_system("the data folder", Path(settings.DATA_DIR), "quoting.E004"))


def check_file_system(what: str, path: Path, id: str, mounts: str | None = None) -> Iterable[CheckMessage]:
    """An error when the path lies on a network file system; Linux only, where the kernel lists its mounts."""
    if mounts is None:
        listing = Path("/proc/self/mounts")
        mounts = listing.read_text(errors="replace") if listing.exists() else ""
    kind = file_system(path.absolute(), mounts)
    if kind in NETWORK_FILE_SYSTEMS:
        yield Error(
            f"{what[0].upper()}{what[1:]} {path} is on a network file system ({kind}), whose locks can't be trusted.",
            hint="Put it on a disk of this machine (DATA_DIR, DATABASE_URL), or use PostgreSQL.",
            id=id,
        )


def file_system(path: Path, mounts: str) -> str:
    """The type of the file system that holds a path, from the text of /proc/self/mounts; empty where unknown."""
    kind, depth = "", -1
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:
            continue
        # The kernel writes blanks in paths as octal escapes.
        point = Path(re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal.group(1), 8)), fields[1]))
        if path.is_relative_to(point) and len(point.parts) >= depth:
            kind, depth = fields[2], len(point.parts)
    return kind


@register()
def check_papers(**kwargs: Any) -> list[CheckMessage]:
    """E005 to E007 and W002: what papers are rendered with is missing or too old."""
    found: list[CheckMessage] = []
    try:
        version = metadata.version("weasyprint")
    except metadata.PackageNotFoundError:
        version = "0 (missing)"
    if int(version.split(".", maxsplit=1)[0]) < OLDEST_WEASYPRINT:
        found.append(
            Error(
                f"WeasyPrint is {version}; older than {OLDEST_WEASYPRINT}, it would read what a paper must not read.",
                hint="Install the locked versions: uv pip install --require-hashes -r requirements.lock",
                id="quoting.E005",
            )
        )
    install = "On Debian: apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
    if not all(loads(names) for names in LIBRARIES):
        found.append(Error("Pango can't be loaded, so no paper can be rendered.", hint=install, id="quoting.E006"))
    if not loads(SUBSETTER):
        found.append(
            Warning(
                "HarfBuzz's subsetter is missing: papers have other bytes here than elsewhere, and take longer.",
                hint=install,
                id="quoting.W002",
            )
        )
    for module, package in FONT_PACKAGES.items():
        if not has_fonts(module):
            found.append(
                Error(
                    f"The fonts of {package} are missing: papers would be set in whatever this machine has.",
                    hint="Install the locked versions: uv pip install --require-hashes -r requirements.lock",
                    id="quoting.E007",
                )
            )
    return found


def loads(names: Sequence[str]) -> bool:
    """Whether one of a library's names can be loaded."""
    for name in names:
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return True
    return False


def has_fonts(module: str) -> bool:
    """Whether a font package is installed with its TrueType files."""
    spec = find_spec(module)
    places = spec.submodule_search_locations if spec else None
    return any(next(Path(place).rglob("*.ttf"), None) for place in places or [])


@register(deploy=True)
def check_mail(**kwargs: Any) -> list[CheckMessage]:
    """W003: nothing that the site mails will arrive."""
    if settings.EMAIL_HOST:
        return []
    return [
        Warning(
            f"No mail server is named: mail is only written to files in {settings.EMAIL_FILE_PATH}.",
            hint="Set EMAIL_HOST, EMAIL_HOST_USER, EMAIL_HOST_PASSWORD and DEFAULT_FROM_EMAIL.",
            id="quoting.W003",
        )
    ]
