"""What every test stands on: a database and a media folder of its own, mail that goes nowhere, and which tests run."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connections

from tests.frozen_rows import lift_triggers_for_clean_up

TESTS = Path(__file__).resolve().parent
BROWSER = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> None:
    """SQLite's test database is a real file: in memory the locks differ, and two runs at once must not share one."""
    connection = connections["default"]
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
    else:
        request.getfixturevalue("django_db_modify_db_settings_parallel_suffix")


@pytest.fixture(scope="session", autouse=True)
def frozen_rows_can_be_cleaned_up() -> None:
    """A transactional test's clean-up may empty the tables whose rows never change."""
    lift_triggers_for_clean_up()


@pytest.fixture(autouse=True)
def quick_and_apart(settings, tmp_path: Path) -> None:
    """Uploads go to a folder of the test, and passwords are hashed quickly."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of the browser's executable; tests that need it don't run without it."""
    assert BROWSER is not None
    return BROWSER


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Benchmarks only run when they are asked for by their folder: measured between other tests they mean nothing."""
    benchmarks = TESTS / "benchmarks"
    if collection_path != benchmarks:
        return None
    asked = [(config.invocation_params.dir / argument.partition("::")[0]).resolve() for argument in config.args]
    return None if any(path.is_relative_to(benchmarks) for path in asked) else True


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark by folder; leave browser tests out where there is no browser, and say so. In CI that is an error."""
    for item in items:
        for folder, mark in (("e2e", "e2e"), ("benchmarks", "benchmark")):
            if item.path.is_relative_to(TESTS / folder):
                item.add_marker(mark)
    leave_out(config, items, lambda item: other_database(item, connections["default"].vendor))
    if BROWSER:
        return
    browser_tests = [item for item in items if item.get_closest_marker("e2e")]
    if browser_tests and os.environ.get("CI", "").lower() == "true":
        raise pytest.UsageError("CI runs the browser tests too, and there is no Chromium. Install it, or set CHROMIUM.")
    leave_out(config, items, lambda item: item in browser_tests)


def other_database(item: pytest.Item, vendor: str) -> bool:
    """Whether a test is about the other of the two databases only; `.ci/run` uses both."""
    return any(item.get_closest_marker(name) for name in {"sqlite", "postgresql"} - {vendor})


def leave_out(config: pytest.Config, items: list[pytest.Item], is_out: Callable[[pytest.Item], bool]) -> None:
    """Take tests out of this run, counted as deselected."""
    if out := [item for item in items if is_out(item)]:
        config.hook.pytest_deselected(items=out)
        items[:] = [item for item in items if item not in out]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Never leave tests out without a word."""
    if BROWSER is None:
        terminalreporter.write_sep("-", "browser tests left out: no Chromium here (Debian: apt-get install chromium)")
