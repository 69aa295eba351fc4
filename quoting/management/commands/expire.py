"""`manage.py expire`: let the proposals run out whose last day is past. To be run once a day."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from quoting.services.proposals import expire_proposals


class Command(BaseCommand):
    """Says how many proposals ran out."""

    help = "Let every issued proposal run out whose last day is past; run it once a day."

    def handle(self, *args: Any, **options: Any) -> None:
        count = expire_proposals()
        self.stdout.write(f"{count} proposal{'' if count == 1 else 's'} ran out.")
