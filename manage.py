#!/usr/bin/env python
"""Django's command-line utility for administrative tasks."""

import os
import sys


def main():
    """Run administrative tasks."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "quoting.config.settings")
    try:
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
    except ImportError as exc:
        if sys.prefix == sys.base_prefix and "VIRTUAL_ENV" not in os.environ:
            from quoting.config import bootstrap

            bootstrap.hand_over(sys.argv)
        raise ImportError(
            "Couldn't import Django. Are you sure it's installed and "
            "available on your PYTHONPATH environment variable? Did you "
            "forget to activate a virtual environment?"
        ) from exc
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as fault:
        sys.exit(f"{fault}")


if __name__ == "__main__":
    main()
