"""Lets `manage.py test` run pytest, the way pytest-django documents."""

import os
from collections.abc import Sequence


class PytestTestRunner:
    """Hands the arguments over to pytest as they are."""

    def run_tests(self, arguments: Sequence[str]) -> int:
        """Run pytest and return its exit code: 0 when everything passed."""
        # pytest is there for those who test, not for those who only run the site.
        import pytest

        os.environ.setdefault("DJANGO_SETTINGS_MODULE", "quoting.config.settings")
        return int(pytest.main(list(arguments)))
