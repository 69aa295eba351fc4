"""The press as a process: its limits, its turns, what it may not see, and that it outlives every paper."""

import os
import signal
import socket
import subprocess
import sys
import threading
import time

import pytest

from quoting.documents import press_client
from quoting.documents.press import _forbid
from quoting.documents.press_client import PROJECT, Press, turn
from quoting.documents.press_order import (
    Order,
    PressBusy,
    PressDown,
    RenderCrashed,
    RenderRefused,
    RenderTimedOut,
    RenderTooLarge,
    receive_answer,
    send_failure,
    send_pdf,
)
from quoting.documents.render import render_pdf
from tests.reading_pdf import text_of
from tests.sample_paper import DATE, paper, priced_rows

SHORT = Order(html=paper("<p>still here</p>"), document_date=DATE)
LONG = Order(html=paper(priced_rows(6_000)), document_date=DATE)  # some ten seconds and half a gigabyte


def ended(pid: int, seconds: float = 10) -> bool:
    """Whether a process is gone within some seconds."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        with open(f"/proc/{pid}/stat", encoding="ascii") as file:
            if file.read().rpartition(")")[2].split()[0] == "Z":
                return True
        time.sleep(0.05)
    return False


@pytest.fixture
def press():
    """A press of this test's own."""
    own = Press()
    yield own
    own.close()


# Limits.


def test_a_paper_that_takes_too_long_is_stopped_and_the_next_is_printed():
    own = Press(wall_seconds=1)
    try:
        started = time.monotonic()
        with pytest.raises(RenderTimedOut):
            own.print_paper(LONG)
        assert time.monotonic() - started < 5
        assert "still here" in text_of(own.print_paper(SHORT))
    finally:
        own.close()


def test_a_paper_that_takes_too_much_memory_is_stopped_and_the_next_is_printed():
    own = Press(memory_bytes=350 * 1024**2)
    try:
        with pytest.raises((RenderTooLarge, RenderCrashed)):
            own.print_paper(LONG)
        assert "still here" in text_of(own.print_paper(SHORT))
    finally:
        own.close()


def test_a_child_can_reach_nothing():
    # Each line is tried in a process that has given up what a child gives up; all of them must be refused.
    program = """
import os, socket, sqlite3, subprocess, sys
from quoting.documents.press import give_up_everything
ours, theirs = socket.socketpair()
give_up_everything(ours.fileno(), 5, 1024**3)
for attempt in (
    lambda: open("/etc/passwd"),
    lambda: open("left-behind", "w"),
    lambda: open(os.__file__, "a"),
    lambda: os.open("/etc/passwd", os.O_RDONLY),
    lambda: socket.socket(),
    lambda: socket.create_connection(("127.0.0.1", 80)),
    lambda: socket.getaddrinfo("example.com", 80),
    lambda: sqlite3.connect(":memory:"),
    lambda: subprocess.run(["true"]),
    lambda: os.system("true"),
    lambda: os.fork(),
    lambda: os.remove("x"),
    lambda: bytearray(2 * 1024**3),
):
    try:
        print(attempt())
    except Exception as error:
        print(type(error).__name__)
print(open(os.__file__).readline()[:2])
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=PROJECT, capture_output=True, text=True)
    assert done.stdout.split() == ["RenderRefused"] * 12 + ["MemoryError", 'r"']


def test_a_file_of_python_itself_may_be_read():
    assert _forbid("open", (os.__file__, "r", os.O_RDONLY)) is None


def test_any_other_file_may_not_be_read():
    with pytest.raises(RenderRefused):
        _forbid("open", (__file__, "r", os.O_RDONLY))


# What the press can see.


def test_the_press_has_none_of_our_secrets(monkeypatch):
    monkeypatch.setenv("SECRET_KEY", "not-for-the-press")
    monkeypatch.setenv("DATABASE_URL", "postgresql://not-for-the-press")
    own = Press()
    try:
        with open(f"/proc/{own.pid}/environ", "rb") as file:
            assert b"not-for-the-press" not in file.read()
    finally:
        own.close()


@pytest.mark.django_db
def test_the_press_has_no_open_database_or_network(press, settings):
    open_files = [os.readlink(f"/proc/{press.pid}/fd/{name}") for name in os.listdir(f"/proc/{press.pid}/fd")]
    data = str(settings.DATA_DIR)
    # Six sockets at most: to us, and the pair that wakes it when a child ends; none of them of the internet.
    with open(f"/proc/{press.pid}/net/tcp", encoding="ascii") as file:
        inodes = {line.split()[9] for line in file.readlines()[1:]}
    assert [name for name in open_files if name.startswith(data) or name[8:-1] in inodes] == []


def test_the_press_runs_one_thread(press):
    assert os.listdir(f"/proc/{press.pid}/task") == [str(press.pid)]


# It outlives its papers, and never its parent.


def test_the_same_press_prints_one_paper_after_another():
    render_pdf(SHORT.html, document_date=DATE)
    first = press_client._press.pid
    with pytest.raises(RenderRefused):
        render_pdf(paper("<iframe>"), document_date=DATE)
    render_pdf(SHORT.html, document_date=DATE)
    assert press_client._press.pid == first


def test_a_press_that_was_killed_is_replaced():
    render_pdf(SHORT.html, document_date=DATE)
    first = press_client._press.pid
    os.kill(first, signal.SIGKILL)
    assert "still here" in text_of(render_pdf(SHORT.html, document_date=DATE))
    assert press_client._press.pid != first


def test_an_order_that_breaks_off_leaves_the_press_alive(press):
    for bytes_sent in (b"", b"\0" * 8, b"\xff" * 8, b"\0\0\0\0\0\0\0\x02{}", b"\0\0\0\0\0\0\0\x09not json!"):
        ours, theirs = socket.socketpair()
        with ours, theirs:
            socket.send_fds(press._control, [b"p"], [theirs.fileno()])
            ours.sendall(bytes_sent)
    assert "still here" in text_of(press.print_paper(SHORT))


def test_the_press_ends_with_the_process_that_started_it():
    program = """
import os, django
django.setup()
from quoting.documents.press_client import Press
press = Press()
print(press.pid, flush=True)
os._exit(1)
"""
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "quoting.config.settings"}
    done = subprocess.run([sys.executable, "-c", program], cwd=PROJECT, env=environment, capture_output=True, text=True)
    assert ended(int(done.stdout))


def test_a_paper_in_work_ends_with_its_press(press):
    failures = []

    def waiting() -> None:
        try:
            press.print_paper(LONG)
        except EOFError as error:
            failures.append(error)

    thread = threading.Thread(target=waiting)
    thread.start()
    until = time.monotonic() + 10
    children: list[str] = []
    while not children and time.monotonic() < until:
        time.sleep(0.05)
        with open(f"/proc/{press.pid}/task/{press.pid}/children", encoding="ascii") as file:
            children = file.read().split()
    os.kill(press.pid, signal.SIGTERM)
    thread.join(10)
    assert [ended(int(child)) for child in children] == [True]
    assert len(failures) == 1


def test_a_forked_process_starts_a_press_of_its_own():
    program = """
import os, django
django.setup()
from quoting.documents import press_client
from quoting.documents.render import render_pdf
from tests.sample_paper import DATE, paper
render_pdf(paper("<p>x</p>"), document_date=DATE)
mine = press_client._press.pid
child = os.fork()
if child == 0:
    render_pdf(paper("<p>x</p>"), document_date=DATE)
    os._exit(press_client._press.pid == mine)
print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
"""
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "quoting.config.settings"}
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program], cwd=PROJECT, env=environment, capture_output=True, text=True
    )
    assert (done.stdout, done.stderr) == ("0\n", "")


# Turns. Each test has places of its own, so that papers printed elsewhere on this machine are not counted.


@pytest.fixture
def places(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.mark.usefixtures("places")
def test_a_third_paper_waits_for_its_turn():
    with turn(), turn(), pytest.raises(PressBusy), turn(longest_wait=0.1):
        pass


@pytest.mark.usefixtures("places")
def test_a_turn_ends_with_its_paper():
    for _ in range(3):
        with turn(longest_wait=5):
            pass


@pytest.mark.usefixtures("places")
def test_a_turn_is_given_back_when_a_paper_fails():
    for _ in range(3):
        with pytest.raises(RenderRefused):
            render_pdf(paper("<iframe>"), document_date=DATE)
    with turn(longest_wait=5), turn(longest_wait=5):
        pass


# The answer.


def answered(write) -> bytes:
    """What the web process makes of bytes that a child wrote before it ended."""
    ours, theirs = socket.socketpair()
    with ours:
        with theirs:
            write(theirs)
        return receive_answer(ours)


def test_a_whole_answer_is_the_paper():
    assert answered(lambda line: send_pdf(line, b"%PDF-1.7 x")) == b"%PDF-1.7 x"


def test_no_answer_is_the_end_of_the_press():
    with pytest.raises(EOFError):
        answered(lambda line: None)


def test_half_an_answer_is_never_a_paper():
    def half(line: socket.socket) -> None:
        line.sendall(b"P" + (100).to_bytes(8, "big") + b"\0" * 32 + b"%PDF")

    with pytest.raises(RenderCrashed):
        answered(half)


def test_half_an_answer_filled_up_by_a_failure_is_never_a_paper():
    def mixed(line: socket.socket) -> None:
        line.sendall(b"P" + (10).to_bytes(8, "big") + b"\0" * 32 + b"%PDF")
        send_failure(line, RenderTimedOut())

    with pytest.raises(RenderCrashed):
        answered(mixed)


@pytest.mark.parametrize("kind", [RenderRefused, RenderTimedOut, RenderTooLarge, RenderCrashed, PressDown])
def test_a_failure_arrives_by_name_with_its_sentence(kind):
    with pytest.raises(kind, match="The reason"):
        answered(lambda line: send_failure(line, kind("The reason.")))


def test_a_press_that_was_started_ahead_prints_the_first_paper():
    press_client.start_press()
    ahead = press_client._press
    assert ahead is not None
    render_pdf(SHORT.html, document_date=DATE)
    assert press_client._press is ahead
