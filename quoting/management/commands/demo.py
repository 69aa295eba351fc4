"""`manage.py demo`: the demo firm, its log-ins, its printed proposal, and the site, ready to look at."""

from __future__ import annotations

import logging
import os
import signal
import socket
from pathlib import Path
from threading import Event, Thread
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.servers.basehttp import get_internal_wsgi_application, run
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor

from quoting.documents.press_client import start_press
from quoting.documents.press_order import PaperNotPrinted
from quoting.models import Paper
from quoting.services.demo import NotTheDemo, demo_people, make_demo, new_password
from quoting.services.links import make_link
from quoting.services.outbox import send_due

LOG_INS = "demo-log-ins.txt"
"""In the data folder, readable by its owner only: an address and a password a line, then the demo paper and the path of
its private link."""

LOOK = 2.0
"""Seconds between two looks into the outbox while the site is served."""


class Command(BaseCommand):
    """Makes what is missing, says where everything is, then serves until it is stopped."""

    help = "Sets the demo firm up, prints its proposal, and serves the site; --once stops before serving."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="stop before serving the site")
        parser.add_argument("--port", type=int, help="serve on this port instead of the site address's own")

    def handle(self, *, once: bool, port: int | None, **_options: Any) -> None:
        if settings.PRODUCTION:
            raise CommandError("SITE_ADDRESS is https: this is a site for real, and the demo is for this machine only.")
        host, port = _served_at(port)
        lead_to(host, port)
        if not once:
            _need_free(host, port)
        try:
            self._migrate()
            kept = Path(settings.DATA_DIR) / LOG_INS
            log_ins = _log_ins(kept)
            paper = make_demo(passwords=log_ins, say=self._say)
            link = f"http://{host}:{port}{_link(paper, kept)}"
            pdf = _write_pdf(paper, Path(settings.DATA_DIR))
        except (NotTheDemo, PaperNotPrinted) as refused:
            raise CommandError(str(refused)) from refused
        except OSError as error:
            raise CommandError(
                f"{error.filename or settings.DATA_DIR} can't be written to ({error.strerror})."
            ) from error
        except DatabaseError as error:
            name, why = connection.settings_dict["NAME"], " ".join(str(error).split()).rstrip(".")
            raise CommandError(f"The database {name} can't be used: {why}.") from error
        self._tell(pdf, log_ins, link)
        if once:
            self.stdout.write("Run it without --once to serve the site.")
        else:
            self._serve(host, port)

    def _migrate(self) -> None:
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            self._say("Preparing the database")
            Thread(target=start_press, daemon=True).start()  # what takes as long as the tables do, at the same time
            call_command("migrate", interactive=False, verbosity=0)

    def _tell(self, pdf: Path, log_ins: dict[str, str], link: str) -> None:
        self.stdout.write(f"\nThe demo job’s proposal, as a PDF:\n    {pdf}\n\nLog-ins, as they were made:\n")
        for person in demo_people():
            who = f"{person['name']}, {person['role']}"
            self.stdout.write(f"    {who:21} {person['email']:29} {log_ins[person['email']]}\n")
        self.stdout.write(f"\nThe homeowner’s page of it, without a log-in:\n    {link}\n")
        if settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"):
            self.stdout.write(
                f"\nMails go out while the site is served, as files in:\n    {settings.EMAIL_FILE_PATH}\n"
            )
        self.stdout.write("")

    def _serve(self, host: str, port: int) -> None:
        application = get_internal_wsgi_application()  # it refuses to start on a wrong set-up, as a real server does
        # One line a request would push the log-ins off the screen.
        logging.getLogger("django.server").setLevel(logging.WARNING)

        def bound(_port: object) -> None:
            self.stdout.write(f"The site is at http://{host}:{port}/ until you stop it with Ctrl-C.")
            self.stdout.flush()

        # A shell that starts it in the background leaves the interrupt ignored, and others stop it with a plain kill.
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.default_int_handler)
        ended = Event()
        sender = Thread(target=_send, args=(ended,), daemon=True)
        sender.start()
        try:
            run("127.0.0.1", port, application, threading=True, on_bind=bound)
        except OSError as error:
            raise CommandError(_taken(port, error)) from error
        except KeyboardInterrupt:
            self.stdout.write("\nStopped.")
        finally:
            ended.set()
            sender.join()

    def _say(self, text: str) -> None:
        """Tell what is being done, on stderr like set-up itself."""
        self.stderr.write(f"{text} …", lambda words: words)
        self.stderr.flush()


def _send(ended: Event) -> None:
    """Send what is due in the outbox until it is over, between two mails; a database that is busy is asked again."""
    while not ended.is_set():
        try:
            send_due(stop=ended.is_set)
        except DatabaseError:
            logging.getLogger(__name__).exception("The outbox can’t be read")
        finally:
            connection.close()
        ended.wait(LOOK)


def lead_to(host: str, port: int) -> None:
    """Let links on papers and in mails lead to where the demo is served, whatever port that is."""
    settings.SITE_ADDRESS = f"http://{host}" if port == 80 else f"http://{host}:{port}"


def _served_at(port: int | None) -> tuple[str, int]:
    """Host and port of the site's own address, or another port."""
    address = urlsplit(settings.SITE_ADDRESS)
    port = port if port is not None else address.port or 80
    if not 0 < port < 65536:
        raise CommandError(f"{port} is no port: write a number from 1 to 65535.")
    return address.hostname or "localhost", port


def _need_free(host: str, port: int) -> None:
    """Say at once, before anything is made, that nothing can be served there."""
    with socket.socket() as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind(("127.0.0.1", port))
        except OSError as error:
            raise CommandError(_taken(port, error)) from error


def _taken(port: int, error: OSError) -> str:
    other = port + 1 if port < 65535 else 8000
    return f"Port {port} can't be served on ({error.strerror}). Choose another: manage.py demo --port {other}"


def _link(paper: Paper, kept: Path) -> str:
    """The path of the private link that was made for the demo's paper the first time; it is kept beside the log-ins."""
    lines = kept.read_text(encoding="ascii").splitlines()
    found = dict(line.split() for line in lines)
    if paper.number not in found:
        _, address = make_link(paper, None)
        found[paper.number] = urlsplit(address).path
        _write(kept, "".join(f"{name} {value}\n" for name, value in found.items()).encode("ascii"))
    return found[paper.number]


def _log_ins(kept: Path) -> dict[str, str]:
    """The password of each person by e-mail address; made at random the first time, and kept."""
    try:
        lines = kept.read_text(encoding="ascii").splitlines()
    except FileNotFoundError:
        lines = []
    found = dict(pair for line in lines if len(pair := line.split()) == 2)
    missing = [person["email"] for person in demo_people() if person["email"] not in found]
    if missing:
        found |= {email: new_password() for email in missing}
        text = "".join(f"{email} {password}\n" for email, password in found.items())
        _write(kept, text.encode("ascii"))
    return found


def _write_pdf(paper: Paper, folder: Path) -> Path:
    """The paper's own bytes beside the data; a file that is there with these bytes is left alone."""
    path = folder / f"proposal-{paper.number}.pdf"
    content = bytes(paper.pdf)
    if not (path.exists() and path.read_bytes() == content):
        _write(path, content)
    return path


def _write(path: Path, content: bytes) -> None:
    """Whole or not at all, and readable by its owner only."""
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        file.write(content)
    draft.replace(path)
