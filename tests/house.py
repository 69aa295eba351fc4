"""The rules of the house as functions: each gives the faults found in a text, so that each can be seen to fail."""

import ast
import re
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

TOP_LEVEL = {
    "LICENSE", "README.md", "DEVELOPERS.md", "manage.py", "pyproject.toml", "requirements.lock",
    "customers", "quoting", "templates", "tests",
}  # fmt: skip
NAMELESS = {"base", "common", "helper", "helpers", "misc", "shared", "stuff", "tools", "util", "utils"}
LONGEST = 400  # lines

# The words of the rules are written in pieces, or these rules would find themselves.
REGISTRIES = re.compile(
    r"(python" r"hosted|py" r"pi|npm" r"js|deb" r"ian|crates|docker)\.(org|com|io)\b", re.IGNORECASE
)
PLACES = re.compile(r"(?<![\w.>])(/wo" r"rk/|/fa" r"rm/|/tm" r"p/|/ro" r"ot/|/ho" r"me/\w|\.\./sha" r"red)")
SECRETS_OF_ORIGIN = re.compile(r"\bseed doc" r"ument|\btrans" r"cript\b", re.IGNORECASE)
LEFT_OPEN = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X|HA" r"CK)\b")
PASSED_OVER = re.compile(r"pytest\.sk" r"ip|mark\.sk" r"ip|mark\.xf" r"ail|unittest\.mo" r"ck|importor" r"skip")

ROUNDING_CALLS = {
    "ceil", "floor", "quantize", "round", "to_integral", "to_integral_exact", "to_integral_value", "trunc",
}  # fmt: skip
OUTSIDE_WORLD = {
    "asyncio", "http", "io", "logging", "multiprocessing", "os", "pathlib", "random", "secrets", "shutil", "socket",
    "sqlite3", "subprocess", "sys", "tempfile", "threading", "time", "urllib", "uuid",
}  # fmt: skip
CORE_MAY_IMPORT = {*sys.stdlib_module_names, "moneyed", "pint"} - OUTSIDE_WORLD


def read(path: Path) -> str:
    """The text of a file of this repository."""
    return path.read_text(encoding="utf-8")


def modules(*folders: str) -> list[Path]:
    """Our Python files below these folders, without the migrations, which Django writes."""
    found = (path for folder in folders for path in (ROOT / folder).rglob("*.py"))
    return sorted(path for path in found if "migrations" not in path.parts and "__pycache__" not in path.parts)


def texts() -> list[Path]:
    """Every text file that a clone has, the locked list and what tools and set-up make apart."""
    kinds = {
        ".css",
        ".csv",
        ".html",
        ".js",
        ".json",
        ".md",
        ".po",
        ".py",
        ".svg",
        ".toml",
        ".txt",
        ".yml",
        ".example",
        "",
    }
    tops = [ROOT / name for name in TOP_LEVEL - {"requirements.lock"}] + [ROOT / ".ci", ROOT / ".env.example"]
    found = (path for top in tops for path in ([top] if top.is_file() else top.rglob("*")))
    return sorted(path for path in found if path.is_file() and path.suffix in kinds)


def matches(pattern: re.Pattern[str], text: str) -> list[str]:
    """Each line that a pattern is found in, with its number."""
    return [f"{number}: {line.strip()}" for number, line in enumerate(text.splitlines(), 1) if pattern.search(line)]


def spellings(stems: Iterable[str]) -> list[set[str]]:
    """Sets of file names that are one noun spelt in several ways: job and jobs, change_order and changeorders."""
    by_noun: dict[str, set[str]] = {}
    for stem in stems:
        by_noun.setdefault(re.sub(r"(ies|y|s)$", "", stem.replace("_", "")), set()).add(stem)
    return [names for names in by_noun.values() if len(names) > 1]


def names_called(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """The last name of everything that is called, with its line."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            if isinstance(node.func, ast.Name):
                yield node.func.id, node.lineno
            elif isinstance(node.func, ast.Attribute):
                yield node.func.attr, node.lineno


def imported(tree: ast.AST) -> Iterator[tuple[str, int]]:
    """The full names that are imported, with their lines."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((f"{node.module or ''}.{alias.name}", node.lineno) for alias in node.names)


def impure(source: str) -> list[str]:
    """What a calculator must not have: floats, the clock, chance, files, and other people's packages."""
    tree = ast.parse(source)
    faults = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float | complex):
            faults.append(f"{node.lineno}: the float {node.value}")
        # To name the type in order to refuse it, as in isinstance(x, float), is fine; to call it is not.
        if isinstance(node, ast.ImportFrom) and node.level:
            faults.append(f"{node.lineno}: a relative import")
    for name, line in names_called(tree):
        if name in {"float", "complex", "input", "now", "open", "print", "today", "utcnow"}:
            faults.append(f"{line}: {name}()")
    for name, line in imported(tree):
        if not name.startswith("quoting.core.") and name.split(".")[0] not in CORE_MAY_IMPORT:
            faults.append(f"{line}: import of {name}")
    return faults


def roundings(source: str) -> list[str]:
    """Every place that rounds, or names a way of rounding."""
    tree = ast.parse(source)
    faults = [f"{line}: {name}()" for name, line in names_called(tree) if name in ROUNDING_CALLS]
    for node in ast.walk(tree):
        name = node.id if isinstance(node, ast.Name) else node.attr if isinstance(node, ast.Attribute) else ""
        if name.startswith("ROUND_"):
            faults.append(f"{node.lineno}: {name}")
    return faults


def unlocked(source: str) -> list[str]:
    """Locks that are not the house's own, which asserts the open write transaction that SQLite needs."""
    return [f"{line}: {name}()" for name, line in names_called(ast.parse(source)) if name == "select_for_update"]


def sums(source: str) -> list[str]:
    """Sums and averages in SQL: over money they are inexact on SQLite, so money is added in Python."""
    return [f"{line}: {name}()" for name, line in names_called(ast.parse(source)) if name in {"Sum", "Avg"}]


def signals(source: str) -> list[str]:
    """Signals between our own parts: the caller can't see what they do. To hear Django's own log-in signal is fine."""
    own = ("django.db.models.signals", "django.dispatch.Signal")
    return [f"{line}: {name}" for name, line in imported(ast.parse(source)) if name.startswith(own)]


def late_imports(source: str) -> list[str]:
    """Imports inside a function without a comment before them in it, or on their line, that gives the reason."""
    lines = source.splitlines()
    faults = set()
    for function in ast.walk(ast.parse(source)):
        if not isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        for node in ast.walk(function):
            if isinstance(node, ast.Import | ast.ImportFrom):
                before = lines[function.lineno - 1 : node.lineno]
                if not any("#" in line for line in before):
                    faults.add(f"{node.lineno}: {lines[node.lineno - 1].strip()}")
    return sorted(faults)


def inline_code(template: str, is_paper: bool = False, is_mail: bool = False) -> list[str]:
    """Style and script that the content security policy would refuse; mail knows no style sheets and so may style."""
    faults = matches(re.compile(r"<script(?![^>]*\bsrc=)(?![^>]*type=\"application/json\")", re.IGNORECASE), template)
    faults += matches(re.compile(r"\son[a-z]+\s*=|hx-on|javascript:|hx-vals=.js:", re.IGNORECASE), template)
    if not is_mail:
        faults += matches(re.compile(r"\sstyle\s*=", re.IGNORECASE), template)
    if not (is_mail or is_paper):
        faults += matches(re.compile(r"<style", re.IGNORECASE), template)
    return faults
