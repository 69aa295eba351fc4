"""The rules of the house, held by a machine; `tests/house.py` says what each looks for, DEVELOPERS.md why."""

import inspect
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from tests import house

CORE = house.modules("quoting/core")
APPS = house.modules("quoting", "customers")
ALL = house.modules("quoting", "customers", "tests")
TEMPLATES = sorted((house.ROOT / "templates").rglob("*.html"))

# The pages that anyone may see without signing in, by the name of their address; each is an exception with a reason.
PUBLIC = {
    "firm-accent": "the log-in page wears the firm's colour; the sheet holds nothing else",
    "sign-in": "the log-in page itself",
    "lost-password": "who has lost it cannot sign in; it says the same for every address and is counted",
    "new-password": "the mailed link is the key: once, for an hour; it lets nobody in by itself",
    "ask-link": "the code on a paper leads here; it says the same for every number and mails to the known address only",
    "private-link": "the homeowner has no log-in: the link is his key, and wrong ones are counted",
    "your-paper": "the homeowner's page, behind the cookie that his private link was swapped for, as all of his below",
    "your-paper-opened": "his page tells that it was opened",
    "your-review": "he looks over what he chose",
    "your-consent": "he agrees to electronic records",
    "your-sign": "he says yes",
    "your-question": "he asks the firm",
    "your-decline": "he says no",
    "your-cancel": "he takes a yes back within its period",
    "your-newer": "he goes on to the revision that stands now",
    "your-sign-off": "he signs the hand-over",
    "your-pdf": "he reads the paper",
    "your-photo": "he sees the photographs that stand on it",
    "crew-calendar": "a calendar program cannot sign in: the address is the key, and it can be taken back",
    "sign-out": "ends a session, also one that has just run out",
}


def faults(rule: Callable[[str], list[str]], paths: list[Path]) -> dict[str, list[str]]:
    """Each file that breaks a rule, with its faults."""
    found = {str(path.relative_to(house.ROOT)): rule(house.read(path)) for path in paths}
    return {name: lines for name, lines in found.items() if lines}


def pages(patterns: list[URLPattern | URLResolver] | None = None) -> Iterator[URLPattern]:
    """Every address, all levels down."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from pages(pattern.url_patterns)


def test_nothing_visible_is_added_to_the_top_level() -> None:
    visible = {path.name for path in house.ROOT.iterdir() if not path.name.startswith(".")}
    assert visible - house.TOP_LEVEL == set()


def test_importing_the_package_runs_nothing() -> None:
    assert house.read(house.ROOT / "quoting" / "__init__.py") == ""


def test_the_core_runs_without_django() -> None:
    names = [f"quoting.core.{path.stem}" for path in CORE if path.stem != "__init__"]
    program = f"import sys, importlib; [importlib.import_module(n) for n in {names}]; print('django' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], cwd=house.ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"


def test_imports_point_one_way() -> None:
    lint = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()", "--no-cache"]
    done = subprocess.run(lint, cwd=house.ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_noun_has_one_file_name_on_every_floor() -> None:
    floors = ("core", "models", "services", "documents", "forms", "views")
    stems = {path.stem for floor in floors for path in house.modules(f"quoting/{floor}")}
    assert house.spellings(stems) == []


def test_files_are_named_by_what_they_are_about() -> None:
    assert [path for path in ALL if path.stem in house.NAMELESS] == []


def test_files_stay_small() -> None:
    longest = {str(path): len(house.read(path).splitlines()) for path in ALL}
    assert {name: length for name, length in longest.items() if length > house.LONGEST} == {}


def test_tests_mirror_the_core_file_for_file() -> None:
    tested = {path.name for path in house.modules("tests/core")}
    assert [path.name for path in CORE if path.stem != "__init__" and f"test_{path.name}" not in tested] == []


def test_the_core_is_a_calculator() -> None:
    found = faults(house.impure, CORE)
    # The list of units is a file of the core's own, and pint takes its path.
    own_file = {"quoting/core/trade_units.py": ["import of pathlib.Path"]}
    met = {name: [line.partition(": ")[2] for line in lines] for name, lines in found.items()}
    assert met in (own_file, {})


def test_only_one_file_of_the_core_rounds() -> None:
    assert faults(house.roundings, [path for path in CORE if path.name != "rounding.py"]) == {}


def test_rows_are_locked_in_one_place() -> None:
    assert faults(house.unlocked, [path for path in APPS if path.name != "locking.py"]) == {}


def test_money_is_never_added_by_the_database() -> None:
    assert faults(house.sums, APPS) == {}


def test_our_parts_call_each_other_by_name() -> None:
    assert faults(house.signals, APPS) == {}


def test_an_import_inside_a_function_gives_its_reason() -> None:
    assert faults(house.late_imports, APPS) == {}


def test_templates_hold_no_style_and_no_script() -> None:
    found = {}
    for path in TEMPLATES:
        kind = path.relative_to(house.ROOT / "templates").parts[0]
        lines = house.inline_code(
            house.read(path), is_paper=kind in {"documents", "base_print.html"}, is_mail=kind == "emails"
        )
        if lines:
            found[str(path)] = lines
    assert found == {}


@pytest.mark.parametrize(
    "pattern", [house.REGISTRIES, house.PLACES, house.SECRETS_OF_ORIGIN, house.LEFT_OPEN], ids=lambda p: p.pattern[:20]
)
def test_no_file_names_what_a_user_does_not_have(pattern: re.Pattern[str]) -> None:
    assert faults(lambda text: house.matches(pattern, text), house.texts()) == {}


def test_no_test_is_passed_over() -> None:
    assert faults(lambda text: house.matches(house.PASSED_OVER, text), house.modules("tests")) == {}


def test_every_page_is_private_unless_named_here() -> None:
    public = {page.name for page in pages() if not getattr(page.callback, "login_required", True)}
    assert public - PUBLIC.keys() == set()


def test_every_page_says_which_methods_it_answers() -> None:
    views = {inspect.unwrap(page.callback) for page in pages()}
    ours = [view for view in views if view.__module__.startswith("quoting.views")]
    methods = re.compile(r"^@require_(GET|POST|safe|http_methods)\b", re.MULTILINE)
    assert [view.__qualname__ for view in ours if not methods.search(inspect.getsource(view))] == []


def test_views_are_functions() -> None:
    views = {page.callback for page in pages()}
    ours = [view for view in views if view.__module__.startswith("quoting.views")]
    assert [view.__qualname__ for view in ours if hasattr(view, "view_class")] == []


@pytest.mark.parametrize(
    ("rule", "sample"),
    [
        (house.impure, "x = 0.5"),
        (house.impure, "x = float('1')"),
        (house.impure, "import random"),
        (house.impure, "import time"),
        (house.impure, "from datetime import date\ndate.today()"),
        (house.impure, "from django.utils import timezone"),
        (house.impure, "open('x')"),
        (house.roundings, "round(x)"),
        (house.roundings, "x.quantize(y)"),
        (house.roundings, "math.ceil(x)"),
        (house.roundings, "from decimal import *\nwith_(ROUND_HALF_UP)"),
        (house.unlocked, "Job.objects.select_for_update()"),
        (house.sums, "Invoice.objects.aggregate(Sum('total'))"),
        (house.signals, "from django.db.models.signals import post_save"),
        (house.signals, "from django.dispatch import Signal"),
        (house.late_imports, "def f():\n    import this"),
        (house.inline_code, '<p style="color: red">'),
        (house.inline_code, "<style>p {}</style>"),
        (house.inline_code, "<script>go()</script>"),
        (house.inline_code, '<button onclick="go()">'),
        (house.inline_code, '<a href="javascript:go()">'),
    ],
)
def test_each_rule_can_fail(rule: Callable[[str], list[str]], sample: str) -> None:
    assert len(rule(sample)) == 1


@pytest.mark.parametrize(
    ("rule", "sample"),
    [
        (house.impure, "from decimal import Decimal\nx = Decimal('0.5')"),
        (house.impure, "from quoting.core.rounding import up"),
        (house.roundings, "rounding.to_cents(x)"),
        (house.signals, "from django.contrib.auth.signals import user_logged_in"),
        (house.late_imports, "def f():\n    # takes a second\n    import this"),
        (house.inline_code, '<script src="/static/x.js" defer></script>'),
        (house.inline_code, '<script id="x" type="application/json">{}</script>'),
    ],
)
def test_no_rule_refuses_what_is_right(rule: Callable[[str], list[str]], sample: str) -> None:
    assert rule(sample) == []


def test_one_noun_in_two_spellings_is_found() -> None:
    assert house.spellings(["jobs", "job", "firm"]) == [{"jobs", "job"}]


@pytest.mark.parametrize(
    ("pattern", "sample"),
    [
        (house.REGISTRIES, "https://py" + "pi.org/simple"),
        (house.PLACES, "open('/tm" + "p/x')"),
        (house.SECRETS_OF_ORIGIN, "as the seed doc" + "ument says"),
        (house.LEFT_OPEN, "# TO" + "DO: later"),
        (house.PASSED_OVER, "@pytest.mark.sk" + "ip"),
    ],
)
def test_each_word_can_be_found(pattern: re.Pattern[str], sample: str) -> None:
    assert house.matches(pattern, f"first\n{sample}\nlast") == [f"2: {sample}"]
