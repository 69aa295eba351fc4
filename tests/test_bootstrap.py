"""Set-up from a clean clone: it does what is missing, once, and says what stands in its way."""

import ast
import difflib
import fcntl
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import django
import pytest

from quoting.config import bootstrap

BARE_PYTHON = [sys._base_executable, "-S", "-E"]  # the Python underneath, without any installed package


@pytest.fixture
def clone(tmp_path: Path) -> Path:
    """A folder with what set-up needs of a clone, and nothing installed."""
    root = tmp_path / "clone"
    for name in ("manage.py", "requirements.lock", "quoting/__init__.py", "quoting/config/__init__.py"):
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(bootstrap.ROOT / name, root / name)
    shutil.copy(bootstrap.__file__, root / "quoting/config/bootstrap.py")
    return root


@pytest.fixture
def ready(clone: Path) -> Path:
    """The same, set up; its Python only tells what it was called with."""
    python = clone / ".venv" / "bin" / "python"
    python.parent.mkdir(parents=True)
    python.write_text('#!/bin/sh\necho "called with: $*"\n', encoding="ascii")
    python.chmod(0o755)
    bootstrap.stamp(clone).write_text(bootstrap.digest(clone), encoding="ascii")
    return clone


def manage(root: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run manage.py with the bare Python, as somebody does who has installed nothing."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("VIRTUAL_ENV", "PIP_", "UV_"))}
    command = [*BARE_PYTHON, str(root / "manage.py"), *arguments]
    return subprocess.run(command, env=kept | environment, capture_output=True, text=True, timeout=120, check=False)


def test_it_stands_on_the_standard_library_alone() -> None:
    tree = ast.parse(Path(bootstrap.__file__).read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {str(node.module) for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert {name.split(".")[0] for name in names} - sys.stdlib_module_names == set()


def test_manage_py_is_the_stock_file_but_for_a_few_lines() -> None:
    # Quotes of either kind are the same here: the formatter has turned them.
    stock = Path(django.__file__).parent / "conf/project_template/manage.py-tpl"
    plain, ours = (
        [
            line.replace('"', "'").replace("{{ project_name }}.settings", "quoting.config.settings")
            for line in path.read_text(encoding="utf-8").splitlines()
            if line.strip()
        ]
        for path in (stock, bootstrap.ROOT / "manage.py")
    )
    changes = [line for line in difflib.ndiff(plain, ours) if line.startswith(("+", "-"))]
    assert changes == [
        "+         from django.core.exceptions import ImproperlyConfigured",
        "+         if sys.prefix == sys.base_prefix and 'VIRTUAL_ENV' not in os.environ:",
        "+             from quoting.config import bootstrap",
        "+             bootstrap.hand_over(sys.argv)",
        "+     try:",
        "-     execute_from_command_line(sys.argv)",
        "+         execute_from_command_line(sys.argv)",
        "+     except ImproperlyConfigured as fault:",
        "+         sys.exit(f'{fault}')",
    ]


@pytest.mark.parametrize("version", [(3, 11), (3, 12), (3, 13), (3, 14)])
def test_these_pythons_are_supported(version: tuple[int, int]) -> None:
    bootstrap.check_python(version)


@pytest.mark.parametrize("version", [(3, 10), (3, 15), (2, 7)])
def test_other_pythons_are_refused(version: tuple[int, int]) -> None:
    with pytest.raises(bootstrap.SetUpFailed, match=r"3\.11 to 3\.14 are supported"):
        bootstrap.check_python(version)


def test_everything_that_is_installed_is_pinned_and_hashed() -> None:
    blocks = re.split(r"\n(?=[a-z0-9])", bootstrap.locked_list(bootstrap.ROOT).strip())
    assert [block.splitlines()[0] for block in blocks if "==" not in block or "--hash=sha256:" not in block] == []
    assert "uv" in {block.partition("==")[0] for block in blocks}


def test_what_is_set_up_is_not_set_up_again(ready: Path) -> None:
    done = manage(ready, "demo", "--once")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"called with: {ready / 'manage.py'} demo --once\n", "")


def test_another_locked_list_is_installed(ready: Path) -> None:
    assert bootstrap.is_current(ready)
    with (ready / "requirements.lock").open("a", encoding="utf-8") as file:
        file.write("# another day\n")
    assert not bootstrap.is_current(ready)


@pytest.mark.parametrize("lost", [".venv/locked-list.sha256", ".venv/bin/python"])
def test_an_interrupted_set_up_is_not_taken_for_a_whole_one(ready: Path, lost: str) -> None:
    (ready / lost).unlink()
    assert not bootstrap.is_current(ready)


@pytest.mark.parametrize("text", ["", "#!/bin/sh\nexit 1\n", "not a program"])
def test_a_broken_python_is_found_out(tmp_path: Path, text: str) -> None:
    python = tmp_path / "python"
    python.write_text(text, encoding="ascii")
    python.chmod(0o755)
    assert not bootstrap.works(python)


def test_no_registry_is_one_clear_sentence_and_the_next_run_goes_on(clone: Path) -> None:
    away = {"PIP_INDEX_URL": "http://127.0.0.1:9/", "PIP_CONFIG_FILE": os.devnull}
    first = manage(clone, "demo", **away)
    assert first.returncode == 1
    assert first.stdout == ""
    assert first.stderr.splitlines() == [
        "Making the virtual environment .venv …",
        "Getting uv into it …",
        "Set-up stopped: uv can't be installed, because the package registry can't be reached. Connect to the network, "
        "or name your own registry in PIP_INDEX_URL and UV_DEFAULT_INDEX, and run the same command again.",
    ]
    assert manage(clone, "demo", **away).stderr.splitlines()[0] == "Getting uv into it …"


def test_the_second_of_two_waits_for_the_first(ready: Path) -> None:
    with (ready / ".venv.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        second = subprocess.Popen(
            [*BARE_PYTHON, str(ready / "manage.py"), "check"],
            env={name: value for name, value in os.environ.items() if name != "VIRTUAL_ENV"},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert second.stderr is not None
        assert second.stderr.readline() == "Another set-up is at work; waiting for it …\n"
        assert second.poll() is None
    assert second.communicate(timeout=60) == (f"called with: {ready / 'manage.py'} check\n", "")


def test_whoever_has_an_environment_of_his_own_notices_nothing(clone: Path) -> None:
    done = manage(clone, "check", VIRTUAL_ENV="/opt/mine")
    assert done.returncode == 1
    assert "Did you forget to activate a virtual environment?" in done.stderr
    assert not (clone / ".venv").exists()


def test_a_clone_without_its_locked_list_is_named(clone: Path) -> None:
    (clone / "requirements.lock").unlink()
    assert manage(clone, "check").stderr.splitlines()[-1].startswith("Set-up stopped: requirements.lock can't be read")


def test_libraries_that_can_not_be_loaded_are_named() -> None:
    def load(name: str) -> None:
        if "subset" in name:
            raise OSError(name)

    assert bootstrap.missing_libraries(load) == ["HarfBuzz's subsetter"]


@pytest.mark.parametrize(
    ("manager", "command"),
    [
        ("dnf", "sudo dnf install -y pango harfbuzz"),
        ("pacman", "sudo pacman -S --needed pango harfbuzz"),
        ("apk", "sudo apk add so:libpango-1.0.so.0 so:libpangoft2-1.0.so.0 so:libharfbuzz-subset.so.0"),
        ("apt-get", "sudo apt-get install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
        ("brew", "brew install pango harfbuzz"),
    ],
)
def test_each_system_has_its_one_command(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, manager: str, command: str
) -> None:
    put_program(tmp_path / manager, "exit 0")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(bootstrap.SetUpFailed) as told:
        bootstrap.make_sure_of_package("Pango", bootstrap.LIBRARY_PACKAGES)
    assert str(told.value).split("\n\n") == [
        "Pango is missing. Install it with this command, then run the same again:",
        f"    {command}\n",
    ]


def test_an_unknown_system_is_told_what_is_missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(bootstrap.SetUpFailed, match="with your system's package manager"):
        bootstrap.make_sure_of_package("Pango", bootstrap.LIBRARY_PACKAGES)


def test_root_with_apt_has_them_installed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put_program(tmp_path / "apt-get", f'echo "$*" >> {tmp_path}/calls')
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    bootstrap.make_sure_of_package("Pango", bootstrap.LIBRARY_PACKAGES)
    assert (tmp_path / "calls").read_text().splitlines() == [
        "update -q",
        "install -y libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 -q --no-install-recommends "
        "-o DPkg::Lock::Timeout=300",
    ]
    assert capsys.readouterr().err == "Installing Pango with apt-get …\n"


def test_a_command_that_fails_is_shown_with_what_it_said(tmp_path: Path) -> None:
    program = put_program(tmp_path / "uv", "echo hash mismatch; exit 1")
    with pytest.raises(bootstrap.SetUpFailed) as told:
        bootstrap.run([program, "install"], "the locked packages can't be installed")
    assert str(told.value) == (
        f"the locked packages can't be installed. The command was {program} install, and it said:\nhash mismatch"
    )


def put_program(path: Path, script: str) -> str:
    """A small program of the given name, standing in for one of the system's."""
    path.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    path.chmod(0o755)
    return str(path)
