"""`manage.py test`: everything after the word goes to pytest, untouched."""

import sys
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand
from django.test.utils import get_runner


class Command(BaseCommand):
    """Runs the tests with pytest."""

    help = "Runs the tests with pytest; takes pytest's arguments."
    requires_system_checks: list[str] = []

    def run_from_argv(self, argv: list[str]) -> None:
        """Skip Django's own parser, which would refuse pytest's options."""
        sys.exit(get_runner(settings)().run_tests(argv[2:]))

    def handle(self, *args: Any, **options: Any) -> None:
        """Run pytest with the given arguments, for `call_command`."""
        sys.exit(get_runner(settings)().run_tests(args))
