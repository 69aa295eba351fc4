"""What every test stands on: a database of its own, a media folder of its own, mail that goes nowhere."""

from pathlib import Path

import pytest
from django.db import connections

from tests.frozen_rows import lift_triggers_for_clean_up

lift_triggers_for_clean_up()


@pytest.fixture(scope="session")
def django_db_modify_db_settings(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> None:
    """SQLite's test database is a real file: in memory the locks differ, and two runs at once must not share one."""
    connection = connections["default"]
    if connection.vendor == "sqlite":
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
    else:
        request.getfixturevalue("django_db_modify_db_settings_parallel_suffix")


@pytest.fixture(autouse=True)
def quick_and_apart(settings, tmp_path: Path) -> None:
    """Uploads go to a folder of the test, and passwords are hashed quickly."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
