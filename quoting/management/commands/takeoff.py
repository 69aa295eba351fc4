"""Scope files in, workings out, one line of JSON a file. Needs no database."""

import os
import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from quoting.core.scope_faults import ScopeFaults
from quoting.core.scope_file import LARGEST_FILE, read_scope
from quoting.core.work_out import work_out
from quoting.core.workings_file import write_workings

BAD_FILES = 2
"""What the command exits with when a file was bad."""


class Command(BaseCommand):
    """`manage.py takeoff SCOPE.json [MORE.json …]`."""

    help = (
        "Works out scope files and prints the workings, one line of JSON a file. A bad file prints one line per fault "
        "on standard error; the others are still worked out, and the command then exits with 2."
    )
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", metavar="SCOPE.json", help="a scope file; - is standard input")
        parser.add_argument("--indent", action="store_true", help="print the workings for reading")

    def handle(self, *, files: list[str], indent: bool, **_options: Any) -> None:
        # JSON is UTF-8, whatever the terminal's own encoding is.
        for stream in (self.stdout, self.stderr):
            if reconfigure := getattr(stream, "reconfigure", None):
                reconfigure(encoding="utf-8", errors="backslashreplace")
        try:
            good = [self._take_off(name, indent) for name in files]
            self.stdout.flush()
        except BrokenPipeError:
            # The reader, such as head, has seen enough; keep Python from complaining about it once more on the way out.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return
        if not all(good):
            sys.exit(BAD_FILES)

    def _take_off(self, name: str, indent: bool) -> bool:
        try:
            text = write_workings(work_out(read_scope(_contents(name))), 2 if indent else None)
        except OSError as error:
            self._fault(name, f"file: can't be read: {error.strerror or 'no reason was given'}.")
            return False
        except ScopeFaults as faults:
            for fault in faults.faults:
                self._fault(name, str(fault))
            return False
        self.stdout.write(text)
        return True

    def _fault(self, name: str, line: str) -> None:
        shown = "".join(letter if letter.isprintable() else "�" for letter in name)
        self.stderr.write(f"{shown}: {line}", lambda text: text)


def _contents(name: str) -> bytes:
    """No more of the file than tells that it is too large."""
    if name == "-":
        return sys.stdin.buffer.read(LARGEST_FILE + 1)
    with Path(name).open("rb") as file:
        return file.read(LARGEST_FILE + 1)
