"""`manage.py takeoff`: scope files in, workings out, a plain line for every fault."""

import io
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data
from tests.sample_scopes import everything, pool_deck

MANAGE = Path(__file__).resolve().parents[2] / "manage.py"


def take_off(*names: object, **options: Any) -> tuple[str, str, int]:
    """What the command prints on standard output and standard error, and its exit code."""
    out, err = io.StringIO(), io.StringIO()
    code = 0
    try:
        call_command("takeoff", *map(str, names), stdout=out, stderr=err, **options)
    except SystemExit as stop:
        code = int(stop.code or 0)
    return out.getvalue(), err.getvalue(), code


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    path = tmp_path / "yard.json"
    path.write_text(json.dumps(pool_deck()), encoding="utf-8")
    return path


def test_one_line_of_json_a_file_in_order(yard: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    other.write_text(json.dumps(everything()), encoding="utf-8")
    out, err, code = take_off(other, yard)
    assert (err, code) == ("", 0)
    assert [json.loads(line) for line in out.splitlines()] == [
        workings_data(work_out(scope_from_data(data))) for data in (everything(), pool_deck())
    ]


def test_indented_for_reading(yard: Path) -> None:
    out, _err, _code = take_off(yard, indent=True)
    assert out.startswith('{\n  "format": 1,\n')
    assert json.loads(out)["price"]["total"] == "657.44"


def test_the_documented_form(yard: Path) -> None:
    data = json.loads(take_off(yard)[0])
    assert list(data) == ["format", "areas", "steps", "materials", "price", "warnings"]
    assert data["areas"][0]["edge"] == {"value": "93", "unit": "ft"}
    assert data["steps"][0]["materials"][0]["batches"] == [
        {
            "count": 1,
            "water": {"value": "3.5", "unit": "gal"},
            "powder": {"value": "21", "unit": "oz"},
            "powder_grams": {"value": "595.339985625", "unit": "g"},
        }
    ]
    assert data["materials"][0]["buy"] == [{"size": "1 lb", "count": 2}]
    assert data["price"]["by_area"] == [{"area": "Pool deck", "amount": "650.00"}]


def test_scoops_where_the_material_has_a_scoop(tmp_path: Path) -> None:
    path = tmp_path / "scoops.json"
    path.write_text(json.dumps(everything()), encoding="utf-8")
    batches = json.loads(take_off(path)[0])["steps"][4]["materials"][0]["batches"]
    # 30 oz for 5 gal, 15 for 2.5; 2 oz a scoop
    assert [(batch["count"], batch["scoops"]) for batch in batches] == [(3, "15"), (1, "7.5")]


def test_a_bad_file_prints_its_faults_and_the_others_go_on(yard: Path, tmp_path: Path) -> None:
    data = pool_deck()
    data["areas"][0]["parts"][0]["length"] = "32 gal"
    data["title"] = 7
    bad = tmp_path / "bad.json"
    bad.write_text(json.dumps(data), encoding="utf-8")
    out, err, code = take_off(bad, yard)
    assert code == 2
    assert len(out.splitlines()) == 1
    assert err.splitlines() == [
        f"{bad}: title: must be a text, not the bare number 7.",
        f"{bad}: areas[0].parts[0].length: “32 gal” is a volume; here it must be a length, such as “12 ft”.",
    ]


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    missing = tmp_path / "missing.json"
    assert take_off(missing) == ("", f"{missing}: file: can't be read: No such file or directory.\n", 2)


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert take_off(tmp_path) == ("", f"{tmp_path}: file: can't be read: Is a directory.\n", 2)


def test_a_file_over_5_mb_is_not_read_whole(tmp_path: Path) -> None:
    large = tmp_path / "large.json"
    with large.open("wb") as file:
        file.truncate(10**12)
    assert take_off(large) == ("", f"{large}: file: is larger than 5 MB.\n", 2)


def test_a_name_that_would_break_the_line_stays_on_it(tmp_path: Path) -> None:
    assert take_off(tmp_path / "a\nb.json")[1].count("\n") == 1


def run(*arguments: str, text: str = "", **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, str(MANAGE), "takeoff", *arguments],
        input=text.encode(),
        capture_output=True,
        check=False,
        env={"PATH": "/usr/bin:/bin", "VIRTUAL_ENV": sys.prefix, **environment},
    )


def test_standard_input_without_a_database_or_a_terminal_that_knows_utf_8() -> None:
    done = run(
        "-", text=json.dumps(pool_deck()), LC_ALL="C", PYTHONUTF8="0", DATABASE_URL="postgres://nobody@localhost:1/none"
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert "× 1.12 texture" in json.loads(done.stdout)["materials"][0]["working"]


def test_damaged_input_never_shows_a_traceback() -> None:
    for text in ("", "{", "[" * 10**6, "\0", "null", '{"format": 1e400}'):
        done = run("-", text=text)
        assert (done.returncode, done.stdout) == (2, b"")
        assert done.stderr.startswith(b"-: ")
        assert b"Traceback" not in done.stderr
