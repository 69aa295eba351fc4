"""The press: `python -m quoting.documents.press FD SECONDS BYTES`, one small process beside each web process that
prints.

Why not in the web process: its threads make forking unsafe, the renderer's fonts can't be shared between threads, and
what a stranger typed must not be set beside the database, the secret key and the mail password. This process is
started fresh, so it inherits none of them; it imports the renderer and parses the style sheet once, then forks a
limited child for each paper, which costs a tenth of a second instead of two. It runs no threads. It ends when its
parent closes the socket or dies.
"""

import contextlib
import gc
import io
import os
import resource
import selectors
import shutil
import signal
import socket
import sys
import sysconfig
import tempfile
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from PIL import Image

from quoting.documents.press_order import (
    Order,
    PaperNotPrinted,
    PressDown,
    RenderCrashed,
    RenderRefused,
    RenderTimedOut,
    RenderTooLarge,
    send_failure,
    send_pdf,
)

if TYPE_CHECKING:
    from quoting.documents.render import Composer

READY = b"ready"
OUT_OF_MEMORY = 12  # exit code of a child that could not even say so
OUT_OF_TIME = (signal.SIGALRM, signal.SIGXCPU)
NO_MEMORY = (signal.SIGABRT, signal.SIGTRAP, signal.SIGKILL)  # libraries that get none give up; the kernel kills

FONTS_CONF = """<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd">
<fontconfig><dir>{folder}/none</dir><cachedir>{folder}/cache</cachedir></fontconfig>
"""

SPECIMEN = """<!doctype html><html><head><title>Specimen</title></head><body>
<footer class="foot"><div>x</div><div class="pg" data-of="of">page </div></footer><main>
<h1>Aa</h1><h2>Bb</h2><p>Cc <b>Dd</b> <i>Ee</i></p><p><img src="image:photo" alt="p"><img src="image:mark" alt="m"></p>
<table><thead><tr><th>1</th></tr></thead><tbody><tr><td class="n">2</td></tr></tbody></table>
<p><svg width="9" height="9"><title>t</title><path d="M0 0h9"/><text x="1" y="8">x</text></svg></p>
</main></body></html>"""

QUIET_EVENTS = frozenset({"os.listdir", "os.scandir", "os.fwalk", "os.walk"})  # how Python looks for a module
NOISY_FAMILIES = (
    "socket.",
    "subprocess.",
    "os.",
    "shutil.",
    "tempfile.",
    "sqlite3.",
    "urllib.",
    "http.",
    "ftplib.",
    "pty.",
)
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND


def main(descriptor: int, wall_seconds: int, memory_bytes: int) -> None:
    """Serve orders that arrive on a socket inherited from the parent until it is closed."""
    control = socket.socket(fileno=descriptor)
    folder = tempfile.mkdtemp(prefix="press-")
    try:
        _leave_system_fonts_out(Path(folder))
        try:
            # After the line above: the renderer reads the font configuration when it is imported.
            from quoting.documents.render import Composer

            composer = Composer()
            composer.set_paper(_specimen())
        except PaperNotPrinted as failure:
            send_failure(control, PressDown(failure.sentence))
            return
        gc.collect()
        gc.freeze()  # children share these pages with the parent instead of copying them
        control.sendall(READY)
        _serve(control, composer, (wall_seconds, memory_bytes))
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _specimen() -> Order:
    """A paper with one of everything, set once at the start: what Python loads late must be there before children may
    not read.
    """
    images = {}
    for name, kind in (("photo", "JPEG"), ("mark", "PNG")):
        file = io.BytesIO()
        Image.new("RGB", (400, 400), "white").save(file, kind)
        images[name] = file.getvalue()
    return Order(html=SPECIMEN, images=images, document_date=datetime(2000, 1, 1, tzinfo=UTC))


def _leave_system_fonts_out(folder: Path) -> None:
    """A font configuration without any system font: a letter our fonts lack is then a fault, not another machine's
    font.
    """
    (folder / "none").mkdir()
    (folder / "fonts.conf").write_text(FONTS_CONF.format(folder=folder), encoding="utf-8")
    os.environ["FONTCONFIG_FILE"] = str(folder / "fonts.conf")
    tempfile.tempdir = str(folder)


def _serve(control: socket.socket, composer: "Composer", limits: tuple[int, int]) -> None:
    """Fork a child for each socket that comes in; report the children that end without an answer."""
    alarm_reader, alarm_writer = socket.socketpair()
    alarm_writer.setblocking(False)
    signal.signal(signal.SIGCHLD, lambda *_: None)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    signal.set_wakeup_fd(alarm_writer.fileno(), warn_on_full_buffer=False)
    at_work: dict[int, socket.socket] = {}
    try:
        with selectors.DefaultSelector() as selector:
            selector.register(control, selectors.EVENT_READ)
            selector.register(alarm_reader, selectors.EVENT_READ)
            while True:
                for key, _ in selector.select():
                    if key.fileobj is alarm_reader:
                        alarm_reader.recv(4096)
                        _bury(at_work)
                        continue
                    message, descriptors, _, _ = socket.recv_fds(control, 1, 1)
                    if not message:
                        return
                    for descriptor in descriptors:
                        line = socket.socket(fileno=descriptor)
                        pid = os.fork()
                        if pid == 0:
                            for other in (control, alarm_reader, alarm_writer, *at_work.values()):
                                other.detach()  # closed below with every other descriptor
                            _work(line, composer, limits)
                        at_work[pid] = line
    finally:
        signal.set_wakeup_fd(-1)
        for pid in at_work:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)


def _bury(at_work: dict[int, socket.socket]) -> None:
    """Collect the children that ended, and answer for those that could not."""
    while at_work:
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid == 0:
            return
        line = at_work.pop(pid)
        code = os.waitstatus_to_exitcode(status)
        if code != 0:
            failure: PaperNotPrinted = RenderCrashed()
            if -code in OUT_OF_TIME:
                failure = RenderTimedOut()
            elif code == OUT_OF_MEMORY or -code in NO_MEMORY:
                failure = RenderTooLarge()
            line.setblocking(False)  # a reader who stopped reading must not stop the press
            with contextlib.suppress(OSError):
                send_failure(line, failure, f"The child of this paper ended with code {code}.")
        line.close()


def _work(line: socket.socket, composer: "Composer", limits: tuple[int, int]) -> NoReturn:
    """Set one paper in this child and end. Never returns: what the parent holds open must not be tidied up twice."""
    code = 1
    try:
        give_up_everything(line.fileno(), *limits)
        order = Order.receive(line)
        try:
            pdf = composer.set_paper(order)
        except RecursionError as error:
            raise RenderRefused("The paper is nested too deeply to set.") from error
        send_pdf(line, pdf)
        code = 0
    except MemoryError:
        code = OUT_OF_MEMORY
    except PaperNotPrinted as failure:
        send_failure(line, failure)
        code = 0
    except (EOFError, BrokenPipeError, ConnectionResetError):
        code = 0  # nobody waits for this paper any more
    except BaseException:
        send_failure(line, RenderCrashed(), traceback.format_exc())  # this child may not even write to a log file
        code = 0
    finally:
        os._exit(code)


def give_up_everything(line: int, wall_seconds: int, memory_bytes: int) -> None:
    """Take everything from this child that setting a paper does not need. The kernel enforces time, memory and
    writing.
    """
    signal.set_wakeup_fd(-1)
    for number in (signal.SIGCHLD, signal.SIGTERM, signal.SIGALRM, signal.SIGXCPU):
        signal.signal(number, signal.SIG_DFL)
    signal.setitimer(signal.ITIMER_REAL, wall_seconds)
    resource.setrlimit(resource.RLIMIT_CPU, (wall_seconds, wall_seconds + 2))
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_NOFILE, (64, 64))
    os.closerange(3, line)
    os.closerange(line + 1, 1024)
    sys.dont_write_bytecode = True
    sys.addaudithook(_forbid)


CODE_FOLDERS = tuple(
    os.path.realpath(sysconfig.get_path(name)) + os.sep for name in ("stdlib", "platstdlib", "purelib", "platlib")
)


def _forbid(event: str, arguments: tuple[Any, ...]) -> None:
    """Audit hook of a child: no connection, no process, no database, no file but Python's own code for reading."""
    if event == "open":
        path, _, flags = arguments
        reading = not (isinstance(flags, int) and flags & WRITING)
        if isinstance(path, str) and reading and os.path.realpath(path).startswith(CODE_FOLDERS):
            return
        raise RenderRefused("The paper asks for a file of this computer.")
    if event.startswith(NOISY_FAMILIES) and event not in QUIET_EVENTS:
        raise RenderRefused("The paper asks for something outside itself.")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
