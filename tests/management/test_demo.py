"""`manage.py demo` as it is typed: what it prints, what it leaves in the data folder, and how it refuses."""

import os
import re
import signal
import socket
import stat
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from quoting.management.commands.demo import lead_to
from quoting.models import User
from quoting.services.demo import NotTheDemo
from quoting.services.links import make_link
from tests import house
from tests.factories import PaperFactory, UserFactory

MANAGE = [sys.executable, str(house.ROOT / "manage.py")]


def surroundings(folder: Path, **more: str) -> dict[str, str]:
    """The environment of a person who has set nothing but the data folder."""
    ours = {"DATABASE_URL", "SITE_ADDRESS", "SECRET_KEY", "DATA_DIR"}
    return {name: value for name, value in os.environ.items() if name not in ours} | {"DATA_DIR": str(folder)} | more


def demo(folder: Path, *arguments: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*MANAGE, "demo", *arguments], env=surroundings(folder, **more), capture_output=True, text=True, check=False
    )


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def mails(folder: Path) -> str:
    """All that went out, one mail after the other."""
    return "".join(path.read_text() for path in (folder / "mail").iterdir())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("demo") / "data"


@pytest.fixture(scope="module")
def first(folder: Path) -> subprocess.CompletedProcess[str]:
    """The first run in an empty folder."""
    return demo(folder, "--once")


@pytest.fixture
def taken_port() -> Iterator[int]:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield int(other.getsockname()[1])


def test_it_says_what_takes_a_moment(first):
    assert (first.returncode, first.stderr.splitlines()) == (
        0,
        [
            "Preparing the database …",
            "Setting up the firm …",
            "Writing the price book …",
            "Printing the proposal for 40 Hill Street …",
            "Printing a hand-over sheet for 40 Hill Street …",
            "Printing a bill for 40 Hill Street …",
            "Writing the price book …",
            "Printing the proposal for 7 Orchard Hill …",
            "Printing a bill for 7 Orchard Hill …",
            "Printing a receipt for 7 Orchard Hill …",
            "Printing a bill for 7 Orchard Hill …",
            "Printing a credit note for 7 Orchard Hill …",
            "Printing a bill for 7 Orchard Hill …",
            "Printing a hand-over sheet for 7 Orchard Hill …",
            "Printing a bill for 7 Orchard Hill …",
            "Printing the proposal for 31 Mill Race …",
            "Printing a bill for 31 Mill Race …",
            "Printing a change order for 31 Mill Race …",
            "Printing the proposal for 5 Quarry Road …",
            "Printing the proposal for 5 Quarry Road …",
            "Printing the proposal for 9 Weir Lane …",
            "Printing a change order for 31 Mill Race …",
            "Printing the proposal for 18 Alder Row …",
        ],
    )


def test_it_says_where_the_pdf_is_and_the_pdf_is_there(first, folder):
    assert first.stdout.splitlines()[1:3] == [
        "The demo job’s proposal, as a PDF:",
        f"    {folder / 'proposal-0417-A.pdf'}",
    ]
    assert (folder / "proposal-0417-A.pdf").read_bytes().startswith(b"%PDF-")


def test_it_prints_a_log_in_for_each_role_and_keeps_them_for_their_owner_only(first, folder):
    found = re.findall(
        r"^    ([^\n]*?), (owner|office|crew) +(\S+@ferrow\.example\.com) +(\S{23})$", first.stdout, re.M
    )
    assert [row[:2] for row in found] == [("Ines Ferrow", "owner"), ("Maribel Soto", "office"), ("Mateo Ruiz", "crew")]
    kept = folder / "demo-log-ins.txt"
    link = re.search(r"^    http://localhost:8000(/p/\S{43}/)$", first.stdout, re.M)
    assert link is not None
    lines = [f"{email} {password}\n" for _, _, email, password in found]
    assert kept.read_text() == "".join([*lines, f"0417-A {link[1]}\n"])
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_run_again_it_prints_the_same_and_touches_no_file(first, folder):
    def files() -> dict[str, tuple[bytes, int]]:
        paths = [path for path in folder.rglob("*") if path.is_file()]
        return {str(path): (path.read_bytes(), path.stat().st_mtime_ns) for path in paths}

    before = files()
    again = demo(folder, "--once")
    assert (again.returncode, again.stdout, again.stderr) == (0, first.stdout, "")
    assert files() == before


def test_it_serves_the_site_sends_the_mail_and_stops_when_told(first, folder):
    port = free_port()
    command = [*MANAGE, "demo", "--port", str(port)]
    with subprocess.Popen(command, env=surroundings(folder), stdout=subprocess.PIPE, text=True) as serving:
        try:
            assert serving.stdout is not None
            line = next(line for line in serving.stdout if line.startswith("The site is at"))
            assert line == f"The site is at http://localhost:{port}/ until you stop it with Ctrl-C.\n"
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=20) as answer:
                assert (answer.status, answer.url.partition("?")[0]) == (200, f"http://127.0.0.1:{port}/sign-in/")
            until = time.monotonic() + 20
            while "To: wexley@example.com" not in mails(folder) and time.monotonic() < until:
                time.sleep(0.1)
        finally:
            serving.send_signal(signal.SIGINT)
            try:
                left, _ = serving.communicate(timeout=20)
            finally:
                serving.kill()  # nothing where it has ended; without it a site that goes on would hold the run up
    assert (serving.returncode, left) == (0, "\nStopped.\n")
    assert "To: wexley@example.com" in mails(folder)


@pytest.mark.django_db
def test_links_lead_to_the_port_that_is_served(settings):
    settings.SITE_ADDRESS = "http://localhost:8000"
    lead_to("localhost", 8301)
    _, address = make_link(PaperFactory(), None)
    assert address.startswith("http://localhost:8301/p/")


def test_a_port_that_is_taken_is_one_sentence(first, folder, taken_port):
    done = demo(folder, "--port", str(taken_port))
    assert (done.returncode, done.stdout, done.stderr) == (
        1,
        "",
        f"CommandError: Port {taken_port} can't be served on (Address already in use). "
        f"Choose another: manage.py demo --port {taken_port + 1}\n",
    )


def test_a_folder_that_can_not_be_made_is_one_sentence(tmp_path):
    (tmp_path / "file").touch()
    done = demo(tmp_path / "file" / "data", "--once")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == f"DATA_DIR {tmp_path / 'file' / 'data'} can't be made (Not a directory).\n"


def test_a_database_that_can_not_be_opened_is_one_sentence(tmp_path):
    done = demo(tmp_path, "--once", DATABASE_URL=f"sqlite:///{tmp_path}")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == f"CommandError: The database {tmp_path} can't be used: unable to open database file.\n"


def test_a_site_for_real_gets_no_demo(tmp_path):
    done = demo(tmp_path, "--once", SITE_ADDRESS="https://quotes.example.com", SECRET_KEY="k" * 60)
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr.splitlines()[-1].startswith("CommandError: SITE_ADDRESS is https")


@pytest.mark.django_db
def test_a_firm_that_is_at_work_gets_no_demo(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    UserFactory()
    with pytest.raises(CommandError, match=re.escape(str(NotTheDemo()))):
        call_command("demo", once=True)
    assert User.objects.count() == 1
