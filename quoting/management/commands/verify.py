"""`manage.py verify`: look at everything that was issued, and name each fault."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand

from quoting.services.verify import Counted, verify_all


class Command(BaseCommand):
    """Prints each fault on one line, with paper and place, and exits with 1; otherwise says what was looked at."""

    help = "Check every issued paper, the books, the crew's days and entries, and the chain of the trail."

    def handle(self, *args: Any, **options: Any) -> None:
        counted, faults = Counted(), 0
        for fault in verify_all(counted):
            faults += 1
            self.stdout.write(" ".join(fault.split()))
        looked_at = (
            f"{counted.papers} papers, {counted.scopes} scope files, {counted.proposals} proposals' states, "
            f"{counted.entries} entries of the crew and {counted.events} events of the trail"
        )
        if faults:
            self.stderr.write(f"{faults} faults in {looked_at}.")
            sys.exit(1)
        self.stdout.write(f"All is as it was issued: {looked_at} were checked.")
