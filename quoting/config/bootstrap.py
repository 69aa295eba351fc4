"""Sets everything up for `python3 manage.py …` in a clean clone. Standard library only: nothing is installed yet.

What it makes is the folder .venv beside manage.py; deleting that folder undoes it. Whoever works in a virtual
environment of his own never comes here.
"""

import ctypes
import fcntl
import hashlib
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import NoReturn, TextIO

ROOT = Path(__file__).resolve().parent.parent.parent
OLDEST, NEWEST = (3, 11), (3, 14)

# What WeasyPrint loads. Without HarfBuzz's subsetter the same paper would have other bytes on this machine.
LIBRARIES: dict[str, tuple[str, ...]] = {
    "Pango": ("libpango-1.0.so.0", "libpango-1.0.dylib", "/opt/homebrew/lib/libpango-1.0.dylib"),
    "Pango for FreeType": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "/opt/homebrew/lib/libpangoft2-1.0.dylib"),
    "HarfBuzz's subsetter": (
        "libharfbuzz-subset.so.0",
        "libharfbuzz-subset.0.dylib",
        "/opt/homebrew/lib/libharfbuzz-subset.0.dylib",
    ),
}
LIBRARY_PACKAGES: dict[str, str] = {
    "apt-get": "apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
    "dnf": "dnf install -y pango harfbuzz",
    "pacman": "pacman -S --needed pango harfbuzz",
    "apk": "apk add so:libpango-1.0.so.0 so:libpangoft2-1.0.so.0 so:libharfbuzz-subset.so.0",
    "brew": "brew install pango harfbuzz",
}
VENV_PACKAGES = {"apt-get": "apt-get install -y python3-venv"}

# How pip and uv word it when nobody answers at the other end.
OFFLINE = re.compile(
    r"NewConnectionError|ConnectTimeout|ReadTimeout|NameResolutionError|Temporary failure in name|Connection refused"
    r"|Network is unreachable|dns error|client error \(Connect\)|error sending request|tcp connect error|ProxyError",
    re.IGNORECASE,
)


class SetUpFailed(Exception):
    """Set-up can't go on; the message says why and what to do about it."""


def hand_over(argv: Sequence[str]) -> NoReturn:
    """Set up what is missing, then run manage.py again inside .venv with the same arguments."""
    try:
        python = set_up(ROOT)
    except SetUpFailed as failure:
        sys.exit(f"Set-up stopped: {failure}")
    except KeyboardInterrupt:
        sys.exit("Set-up was interrupted. Run the same command again: it goes on from where it was.")
    os.execv(python, [str(python), str(ROOT / "manage.py"), *argv[1:]])


def set_up(root: Path) -> Path:
    """Make sure of the environment, the locked packages and the system's libraries; return the environment's Python."""
    check_python(sys.version_info[:2])
    python = root / ".venv" / "bin" / "python"
    # One at a time: whoever comes second waits, and then finds everything done.
    with open_lock(root / ".venv.lock") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another set-up is at work; waiting for it")
            fcntl.flock(lock, fcntl.LOCK_EX)
        if not is_current(root):
            make_environment(root)
            install_locked(root)
            stamp(root).write_text(digest(root), encoding="ascii")  # last: an interrupted set-up has no stamp
        make_sure_of_libraries()
    return python


def check_python(version: Sequence[int]) -> None:
    """Refuse a Python that the locked packages don't support."""
    if not OLDEST <= tuple(version) <= NEWEST:
        have, oldest, newest = (".".join(map(str, v)) for v in (version, OLDEST, NEWEST))
        raise SetUpFailed(
            f"this is Python {have}; {oldest} to {newest} are supported. Run it as python{oldest} manage.py …"
        )


def open_lock(path: Path) -> TextIO:
    """The file that set-ups lock, so that two at once don't undo each other's work."""
    try:
        return path.open("a")
    except OSError as error:
        raise SetUpFailed(f"the folder {path.parent} can't be written to ({error.strerror}).") from error


def stamp(root: Path) -> Path:
    """Where the digest of what has been installed is kept; gone with the environment."""
    return root / ".venv" / "locked-list.sha256"


def digest(root: Path) -> str:
    """SHA-256 of the locked list: another list, or another digest kept, means installing again."""
    return hashlib.sha256(locked_list(root).encode()).hexdigest()


def locked_list(root: Path) -> str:
    """The text of requirements.lock."""
    try:
        return (root / "requirements.lock").read_text(encoding="utf-8")
    except OSError as error:
        raise SetUpFailed(f"requirements.lock can't be read ({error.strerror}). Is this a whole clone?") from error


def is_current(root: Path) -> bool:
    """Whether .venv runs and holds exactly what the locked list of today asks for."""
    wanted = digest(root)
    try:
        kept = stamp(root).read_text(encoding="ascii")
    except (OSError, UnicodeDecodeError):
        return False
    return kept == wanted and (root / ".venv" / "bin" / "python").exists()


def make_environment(root: Path) -> None:
    """Make .venv, or make it anew where it is broken or of a Python that isn't supported."""
    venv = root / ".venv"
    if venv.exists() and works(venv / "bin" / "python"):
        return
    try:
        # Debian takes it out of Python, and without it a virtual environment has no pip.
        import ensurepip  # noqa: F401
    except ImportError:
        make_sure_of_package("Python's venv module", VENV_PACKAGES)
    say("Making the virtual environment .venv anew" if venv.exists() else "Making the virtual environment .venv")
    run([sys.executable, "-m", "venv", "--clear", str(venv)], "the virtual environment can't be made")


def works(python: Path) -> bool:
    """Whether this interpreter starts, has pip and is of a supported version."""
    program = f"import sys, pip; sys.exit(not {OLDEST} <= sys.version_info[:2] <= {NEWEST})"
    try:
        return subprocess.run([python, "-c", program], capture_output=True, timeout=60, check=False).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def install_locked(root: Path) -> None:
    """Get uv with pip, then what is listed and nothing else with uv, in seconds; all hashes are checked."""
    venv, text = root / ".venv", locked_list(root)
    own = re.search(r"^uv==.*\n(?:[ \t].*\n)*", text, re.MULTILINE)
    if own is None:
        raise SetUpFailed("requirements.lock doesn't list uv, which installs the rest.")
    say("Getting uv into it")
    only_uv = venv / "uv.lock"
    only_uv.write_text(own.group(), encoding="utf-8")
    pip = [str(venv / "bin" / "python"), "-m", "pip", "--disable-pip-version-check", "install", "--quiet"]
    run([*pip, "--retries", "1", "--require-hashes", "--no-deps", "-r", str(only_uv)], "uv can't be installed")
    say(f"Installing the {len(re.findall(r'^[a-z0-9].*==', text, re.MULTILINE))} locked packages, hashes checked")
    uv = [str(venv / "bin" / "uv"), "pip", "install", "--quiet", "--python", str(venv / "bin" / "python")]
    listed = ["--require-hashes", "--no-deps", "-r", str(root / "requirements.lock")]
    run([*uv, *listed], "the locked packages can't be installed")


def run(command: Sequence[str], trouble: str, environment: Mapping[str, str] | None = None) -> None:
    """Run a command quietly; when it fails, say what was to be done and what the command said."""
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            env={**os.environ, **(environment or {})},
            check=False,
        )
    except OSError as error:
        raise SetUpFailed(f"{trouble}: {command[0]} doesn't start ({error.strerror}).") from error
    if done.returncode == 0:
        return
    if OFFLINE.search(done.stdout):
        raise SetUpFailed(
            f"{trouble}, because the package registry can't be reached. Connect to the network, or name your own "
            "registry in PIP_INDEX_URL and UV_DEFAULT_INDEX, and run the same command again."
        )
    raise SetUpFailed(f"{trouble}. The command was {' '.join(command)}, and it said:\n{done.stdout.strip()[-4000:]}")


def make_sure_of_libraries() -> None:
    """Have the libraries that papers are rendered with."""
    if missing := missing_libraries():
        make_sure_of_package(" and ".join(missing), LIBRARY_PACKAGES)
        if missing := missing_libraries():
            raise SetUpFailed(f"{' and '.join(missing)} can't be loaded, although the system's packages are installed.")


def missing_libraries(load: Callable[[str], object] = ctypes.CDLL) -> list[str]:
    """The names of the libraries that can't be loaded here."""

    def is_there(names: Sequence[str]) -> bool:
        for name in names:
            try:
                load(name)
            except OSError:
                continue
            return True
        return False

    return [label for label, names in LIBRARIES.items() if not is_there(names)]


def make_sure_of_package(what: str, commands: Mapping[str, str]) -> None:
    """Install a package of the system: root with apt does it here; anyone else is told the one command."""
    manager = next((name for name in commands if shutil.which(name)), None)
    if manager is None:
        raise SetUpFailed(f"{what} is missing. Install it with your system's package manager, then run this again.")
    if manager != "apt-get" or os.geteuid() != 0:
        command = commands[manager] if manager == "brew" or os.geteuid() == 0 else f"sudo {commands[manager]}"
        raise SetUpFailed(
            f"{what} is missing. Install it with this command, then run the same again:\n\n    {command}\n"
        )
    say(f"Installing {what} with apt-get")
    quiet = {"DEBIAN_FRONTEND": "noninteractive"}
    run(["apt-get", "update", "-q"], "apt-get can't read its lists of packages", quiet)
    patient = [*commands[manager].split(), "-q", "--no-install-recommends", "-o", "DPkg::Lock::Timeout=300"]
    run(patient, f"{what} can't be installed", quiet)


def say(text: str) -> None:
    """Tell what is being done, on stderr: stdout belongs to the command that was asked for."""
    print(f"{text} …", file=sys.stderr, flush=True)
