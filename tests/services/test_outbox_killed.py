"""A sender that is killed at the worst moments loses no mail, and sends none under another Message-ID."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

import pytest
from django.db import connection
from django.utils import timezone

from quoting.models import Message
from tests.factories import FirmFactory, IssuedProposalFactory, MessageFactory
from tests.mail_server import MailServer, running

pytestmark = pytest.mark.django_db(transaction=True)

KILLS = 60
MAILS = 20
ROOT = Path(__file__).resolve().parents[2]


class Killer(MailServer):
    """Kills who sends, at the moment that it is told: when it names the recipient, before its mail is taken, after that
    but before it hears so, or a little after it has heard so."""

    victim: int = 0
    moment: str = ""
    wait: float = 0.0

    def __init__(self) -> None:
        super().__init__(on_recipient=self.hear_recipient)

    def hear_recipient(self, address: str) -> str:
        self.kill_at("recipient")
        return "250 OK"

    async def handle_DATA(self, server, session, envelope) -> str:  # noqa: N802
        self.kill_at("before")
        answer = await super().handle_DATA(server, session, envelope)
        self.kill_at("taken")
        if self.moment == "after":
            threading.Timer(self.wait, self.kill_at, ["after"]).start()
        return answer

    def kill_at(self, moment: str) -> None:
        if self.victim and self.moment == moment:
            victim, self.victim = self.victim, 0
            os.kill(victim, signal.SIGKILL)


def database_url() -> str:
    """The address of this test's own database, as another program needs it."""
    given = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{given['NAME']}"
    password = f":{quote(given['PASSWORD'], safe='')}" if given["PASSWORD"] else ""
    port = f":{given['PORT']}" if given["PORT"] else ""
    host = f"?host={quote(given['HOST'], safe='')}" if given["HOST"] else ""
    return f"postgresql://{quote(given['USER'])}{password}@{port}/{quote(str(given['NAME']))}{host}"


@contextmanager
def sender(port: int) -> Iterator[subprocess.Popen[str]]:
    """The program whose children are killed, on this test's database."""
    settings = {
        "DJANGO_SETTINGS_MODULE": "quoting.config.settings",
        "DATABASE_URL": database_url(),
        "EMAIL_HOST": "127.0.0.1",
        "EMAIL_PORT": str(port),
        "EMAIL_SECURITY": "none",
        "PYTHONPATH": str(ROOT),
    }
    program = [sys.executable, str(Path(__file__).with_name("outbox_sender.py"))]
    with subprocess.Popen(
        program, cwd=ROOT, env=os.environ | settings, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            yield process
        finally:
            process.stdin.write("end\n")
            process.stdin.close()


def turn(process: subprocess.Popen[str], server: Killer) -> None:
    """One run of the sender from its beginning to its end or its death."""
    process.stdin.write("go\n")
    process.stdin.flush()
    server.victim = int(process.stdout.readline())
    assert process.stdout.readline() == "ended\n"
    server.victim = 0
    Message.objects.exclude(state="sent").update(leased_until=None)  # as if the time of the lease had passed


def test_sixty_kills_lose_nothing():
    FirmFactory()
    paper = IssuedProposalFactory().paper
    written = {mail.message_id for mail in MessageFactory.create_batch(MAILS, paper=paper, written_at=timezone.now())}
    chance = random.Random(60)  # the moments are the same in every run  # noqa: S311
    with running(Killer()) as server, sender(server.port) as process:
        for _ in range(KILLS):
            server.moment = chance.choice(("recipient", "before", "taken", "after"))
            server.wait = chance.uniform(0, 0.004)
            turn(process, server)
            if not Message.objects.filter(state="waiting").exists():
                MessageFactory.create_batch(5, paper=paper, written_at=timezone.now())
                written = set(Message.objects.values_list("message_id", flat=True))
        server.moment = ""
        Message.objects.update(due_at=timezone.now())
        turn(process, server)
        assert set(Message.objects.values_list("state", flat=True)) == {"sent"}
        assert set(server.ids) == written
        assert len(server.ids) > len(written)  # some were taken, and their sender died before he could mark them
