"""`manage.py outbox`: once, or watching until it is told to end, and then between two mails."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.utils import timezone

from quoting.management.commands.outbox import WAKE
from quoting.models import Message
from tests.factories import FirmFactory, IssuedProposalFactory, MessageFactory
from tests.mail_server import MailServer, free_port, running
from tests.services.test_outbox_killed import database_url

pytestmark = pytest.mark.django_db(transaction=True)
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def paper(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_USE_TLS, settings.EMAIL_HOST_USER = "127.0.0.1", False, ""
    FirmFactory()
    return IssuedProposalFactory().paper


def told() -> str:
    out = StringIO()
    call_command("outbox", stdout=out)
    return out.getvalue()


def test_once_sends_what_is_due_and_says_so(settings, paper):
    MessageFactory(paper=paper, written_at=timezone.now())
    with running(MailServer()) as server:
        settings.EMAIL_PORT = server.port
        assert told() == "1 sent, 0 refused, 0 to be tried again.\n"
        assert told() == "0 sent, 0 refused, 0 to be tried again.\n"


def test_without_a_server_it_says_what_waits(settings, paper):
    settings.EMAIL_PORT = free_port()
    MessageFactory.create_batch(2, paper=paper, written_at=timezone.now())
    assert told() == "0 sent, 0 refused, 1 to be tried again. The mail server can’t be reached; 2 waiting.\n"


def test_it_leaves_the_signals_as_they_were(settings, paper):
    before = signal.getsignal(signal.SIGTERM)
    told()
    assert signal.getsignal(signal.SIGTERM) == before


def test_watching_wakes_within_twenty_seconds():
    assert WAKE <= 20


def test_watching_ends_cleanly_between_two_mails(paper):
    MessageFactory.create_batch(30, paper=paper, written_at=timezone.now())
    with running(MailServer(delay=0.1)) as server:
        environment = os.environ | {
            "DATABASE_URL": database_url(),
            "EMAIL_HOST": "127.0.0.1",
            "EMAIL_PORT": str(server.port),
            "EMAIL_SECURITY": "none",
        }
        program = [sys.executable, "manage.py", "outbox", "--watch"]
        with subprocess.Popen(program, cwd=ROOT, env=environment, stdout=subprocess.PIPE, text=True) as watching:
            until = time.monotonic() + 60
            while len(server.taken) < 2 and watching.poll() is None and time.monotonic() < until:
                time.sleep(0.02)
            watching.send_signal(signal.SIGTERM)
            said = watching.stdout.read()
    assert watching.returncode == 0
    assert said.startswith("Watching the outbox until it is stopped.\n")
    assert said.endswith("Stopped.\n")
    sent = Message.objects.filter(state="sent").count()
    assert 2 <= sent < 30
    assert len(server.taken) == sent
    assert not Message.objects.exclude(state="sent").exclude(leased_until=None).exists()
