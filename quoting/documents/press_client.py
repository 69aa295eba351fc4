"""The web process's side of the press: starts it when the first paper is printed, waits its turn, hands the order
over.

One press per process, started by a fresh `python -m`, never by a fork, so it works the same under gunicorn's threads,
runserver's reloader and parallel tests. It is started again when it has died. After a fork of the web process the
child starts its own.
"""

import atexit
import contextlib
import fcntl
import os
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

from quoting.documents.press_order import (
    MEMORY_BYTES,
    WALL_SECONDS,
    Order,
    PressBusy,
    PressDown,
    RenderCrashed,
    receive_answer,
)

AT_ONCE = 2
"""Papers set at the same time on this machine: two processes give 1.7 to 2.1 times the work of one, more only need
more memory.
"""

LONGEST_WAIT = 60
"""Seconds that a paper waits for its turn."""

START_SECONDS = 60
"""How long a press may take to start: 1 to 3 seconds, more on a machine that is busy."""

GRACE_SECONDS = 10
"""The kernel ends a paper at its limit; a press that says nothing this much later hangs, and is replaced."""

PROJECT = Path(__file__).resolve().parent.parent.parent
KEPT_VARIABLES = (
    "PATH",
    "LD_LIBRARY_PATH",
    "PYTHONPATH",
    "PYTHONHOME",
    "VIRTUAL_ENV",
    "DYLD_FALLBACK_LIBRARY_PATH",
    "TMPDIR",
)


class Press:
    """A running press and the socket to it."""

    def __init__(self, wall_seconds: int = WALL_SECONDS, memory_bytes: int = MEMORY_BYTES) -> None:
        self._patience = wall_seconds + GRACE_SECONDS
        self._control, theirs = socket.socketpair()
        with theirs:
            # Only what Python needs: the secret key, the database's address and the mail password stay here.
            environment = {name: os.environ[name] for name in KEPT_VARIABLES if name in os.environ}
            self._process = subprocess.Popen(
                [
                    sys.executable,
                    "-m",
                    "quoting.documents.press",
                    str(theirs.fileno()),
                    str(wall_seconds),
                    str(memory_bytes),
                ],
                cwd=PROJECT,
                env=environment | {"LC_ALL": "C.UTF-8", "TZ": "UTC"},
                pass_fds=[theirs.fileno()],
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                start_new_session=True,  # Ctrl-C in a terminal is for the web process, which then closes the press
            )
        try:
            self._await_ready()
        except BaseException:
            self.close()
            raise

    def _await_ready(self) -> None:
        """Wait until the fonts and the style sheet are loaded, or raise PressDown with the press's own reason."""
        self._control.settimeout(START_SECONDS)
        try:
            if self._control.recv(5, socket.MSG_PEEK) == b"ready":
                self._control.recv(5)
                return
            receive_answer(self._control)
        except (OSError, EOFError, RenderCrashed) as error:
            raise PressDown from error
        raise PressDown

    @property
    def pid(self) -> int:
        """The process id of the press."""
        return self._process.pid

    def print_paper(self, order: Order) -> bytes:
        """Print one order; EOFError if the press is gone."""
        ours, theirs = socket.socketpair()
        with ours:
            with theirs:
                try:
                    socket.send_fds(self._control, [b"p"], [theirs.fileno()])
                except OSError as error:
                    raise EOFError from error
            ours.settimeout(self._patience)
            with contextlib.suppress(
                BrokenPipeError, ConnectionResetError
            ):  # the answer says why the child stopped reading
                order.send(ours)
            try:
                return receive_answer(ours)
            except ConnectionResetError as error:
                raise EOFError from error

    def close(self) -> None:
        """End the press: it leaves when its socket closes, and is killed if it does not."""
        self._control.close()
        try:
            self._process.wait(2)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()

    def forget(self) -> None:
        """Let go of a press that belongs to the process this one was forked from."""
        self._control.close()
        self._process.returncode = 0  # not ours to wait for


_lock = threading.Lock()
_press: Press | None = None


def print_paper(order: Order) -> bytes:
    """Print one order in its turn. A press that has died is replaced once; the same order gives the same paper."""
    with turn():
        for _ in range(2):
            press = _running()
            try:
                return press.print_paper(order)
            except EOFError:
                _retire(press)
            except TimeoutError as error:
                _retire(press)
                raise RenderCrashed from error
        raise PressDown


def start_press() -> None:
    """Start the press ahead of the first paper: a thread may wait for it while something else is done.

    Where it does not start, the first paper says why.
    """
    with contextlib.suppress(PressDown):
        _running()


def _running() -> Press:
    """This process's press, started if need be."""
    global _press
    with _lock:
        if _press is None:
            _press = Press()
        return _press


def _retire(press: Press) -> None:
    """Close a press that failed, unless another thread has done so already."""
    global _press
    with _lock:
        if _press is press:
            _press = None
            press.close()


@contextlib.contextmanager
def turn(longest_wait: float = LONGEST_WAIT) -> Iterator[None]:
    """Hold one of the machine's places for setting a paper, or raise PressBusy after `longest_wait` seconds.

    Locked files, not a semaphore: the kernel opens a file lock when its holder dies, however it dies; a semaphore
    stays taken.
    """
    until = time.monotonic() + longest_wait
    with contextlib.ExitStack() as stack:
        places = []
        for number in range(1, AT_ONCE + 1):
            place = os.open(settings.DATA_DIR / f"press-{number}.lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            stack.callback(os.close, place)
            places.append(place)
        while True:
            if any(_taken(place) for place in places):
                yield
                return
            if time.monotonic() > until:
                raise PressBusy
            time.sleep(0.02)


def _taken(place: int) -> bool:
    """Whether the lock of this place could be had; it lasts until the file is closed."""
    try:
        fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _after_fork() -> None:
    """A forked web process starts a press of its own when it prints."""
    global _press, _lock
    _lock = threading.Lock()
    if _press is not None:
        _press.forget()
        _press = None


def _at_exit() -> None:
    if _press is not None:
        _retire(_press)


os.register_at_fork(after_in_child=_after_fork)
atexit.register(_at_exit)
