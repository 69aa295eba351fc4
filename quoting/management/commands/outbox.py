"""`manage.py outbox`: send the mail that is due; with `--watch`, go on doing so."""

from __future__ import annotations

import os
import select
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, close_old_connections

from quoting.models import Message
from quoting.services.outbox import Passed, send_due

WAKE = 10.0
"""Seconds between two looks into the outbox."""


class Command(BaseCommand):
    """Ends between two mails when it is asked to (SIGTERM, Ctrl-C), so that a mail that went is marked as sent."""

    help = "Send what is due in the outbox once; with --watch, stay and send whatever becomes due."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--watch", action="store_true", help="stay, and look every ten seconds")

    def handle(self, *, watch: bool, **_options: Any) -> None:
        with asked_to_end() as ended:
            if watch:
                self._say("Watching the outbox until it is stopped.")
            while True:
                self._pass(ended, watch)
                if not watch or ended.wait(WAKE):
                    break
            if watch:
                self._say("Stopped.")

    def _pass(self, ended: Ended, watch: bool) -> None:
        try:
            close_old_connections()
            passed = send_due(stop=ended.asked)
        except DatabaseError as error:
            why = " ".join(str(error).split()).rstrip(".")
            if not watch:
                raise CommandError(f"The outbox can’t be read: {why}.") from error
            self.stderr.write(f"The outbox can’t be read: {why}. Looking again in {WAKE:.0f} seconds.")
            return
        if not watch or passed != Passed():
            self._say(told(passed))

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


def told(passed: Passed) -> str:
    """What a pass did, in one line."""
    done = f"{passed.sent} sent, {passed.refused} refused, {passed.later} to be tried again"
    if passed.reached:
        return f"{done}."
    waiting = Message.objects.filter(state=Message.State.WAITING).count()
    return f"{done}. The mail server can’t be reached; {waiting} waiting."


class Ended:
    """Whether somebody asked the program to end; waking from a wait when he does."""

    def __init__(self) -> None:
        self._read, self._write = os.pipe()

    def ask(self, *_signal: object) -> None:
        os.write(self._write, b".")

    def asked(self) -> bool:
        return self.wait(0)

    def wait(self, seconds: float) -> bool:
        """True as soon as it was asked for, False after that many seconds."""
        return bool(select.select([self._read], [], [], seconds)[0])

    def close(self) -> None:
        os.close(self._read)
        os.close(self._write)


@contextmanager
def asked_to_end() -> Iterator[Ended]:
    """Listens for SIGTERM and Ctrl-C, and leaves everything as it was."""
    ended = Ended()
    before = {number: signal.signal(number, ended.ask) for number in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield ended
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        ended.close()
