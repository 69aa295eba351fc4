"""`manage.py daily`: what has to be done once a day, by a line of cron."""

from __future__ import annotations

from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand

from quoting.services.proposals import expire_proposals


class Command(BaseCommand):
    """Running it again on the same day does nothing more."""

    help = "Let proposals run out whose last day is past, and clear sessions that are over; run it once a day."

    def handle(self, *args: Any, **options: Any) -> None:
        count = expire_proposals()
        call_command("clearsessions")
        self.stdout.write(f"{count} proposal{'' if count == 1 else 's'} ran out.")
