"""Every address of the site by its name, filled in with rows that the demo holds."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from django.urls import URLPattern, URLResolver, get_resolver

PARAMETER = re.compile(r"<(?:(\w+):)?(\w+)>")

ROWS: dict[tuple[str, str], str] = {
    ("folders/", "number"): "0417",
    ("papers/", "number"): "0417-A",
    ("areas/", "pk"): "SELECT id FROM quoting_area WHERE name = 'Pool deck'",
    ("parts/", "part_pk"): "SELECT min(id) FROM quoting_part WHERE area_id = "
    "(SELECT id FROM quoting_area WHERE name = 'Pool deck')",
    ("options/", "pk"): "SELECT id FROM quoting_option WHERE name = 'Recolour and seal'",
    ("options/<pk>/systems/", "group_pk"): "SELECT id FROM quoting_optiongroup WHERE option_id = "
    "(SELECT id FROM quoting_option WHERE name = 'Recolour and seal')",
    ("prices/", "pk"): "SELECT id FROM quoting_edition WHERE state = 'drafted'",
    ("against/", "other"): "SELECT id FROM quoting_edition WHERE state = 'published'",
    ("materials/", "row"): "SELECT min(id) FROM quoting_material WHERE edition_id = {draft}",
    ("price-lists/", "row"): "SELECT min(id) FROM quoting_pricelist WHERE edition_id = {draft}",
    ("systems/", "row"): "SELECT min(id) FROM quoting_restorationsystem WHERE edition_id = {draft}",
    ("steps/", "row"): "SELECT min(id) FROM quoting_systemstep WHERE system_id IN "
    "(SELECT id FROM quoting_restorationsystem WHERE edition_id = {draft})",
    ("uses/", "row"): "SELECT min(id) FROM quoting_stepmaterial WHERE step_id IN (SELECT id FROM quoting_systemstep "
    "WHERE system_id IN (SELECT id FROM quoting_restorationsystem WHERE edition_id = {draft}))",
    ("prices/<pk>/", "noun"): "labour",
    ("prices/<pk>/<noun>/", "row"): "SELECT min(id) FROM quoting_labourtask WHERE edition_id = {draft}",
    ("people/", "pk"): "SELECT id FROM customers_customer WHERE name LIKE 'Priya%'",
    ("firm/people/", "pk"): "SELECT id FROM quoting_user WHERE role = 'office'",
    ("properties/", "place"): "SELECT id FROM customers_property WHERE street = '18 Alder Row'",
}
"""What stands for a parameter, by the end of the address before it: a word, or a question to the demo's database."""

WITHOUT_ROWS = (
    "bills/<", "money/bookkeeper/<", "folders/<folder:number>/money/payments/<", "people/<int:pk>/certificates/<",
    "folders/<folder:number>/visits/<", "crew/calendar/<", "stock/<", "folders/<folder:number>/visits/again",
    "folders/<folder:number>/visits/holds/",
    "folders/<folder:number>/visits/pick-list", "folders/<folder:number>/visits/mix-sheet",
    "folders/<folder:number>/changes/<", "folders/<folder:number>/money/bill/preview",
    "folders/<folder:number>/money/bill/discard", "papers/<any_paper:number>/mail/",
)  # fmt: skip
"""Where the demo holds no row: changes, bills, payments, certificates, visits, files of a period."""

OF_THE_DEMO = "(SELECT id FROM quoting_job WHERE number = '0417')"

ROWS |= {
    ("found/", "pk"): "SELECT min(id) FROM quoting_finding WHERE kind = 'tape' AND job_id = {demo}",
    ("found/", "kind"): "crack",
    ("areas/<pk>/found/", "kind"): "tape",
    ("photos/", "pk"): "SELECT min(id) FROM quoting_photo WHERE job_id = {demo}",
    ("photos/", "name"): "SELECT name FROM quoting_photo WHERE job_id = {demo} ORDER BY id LIMIT 1",
    ("-", "size"): "page",
    ("tones/", "pk"): "SELECT min(id) FROM quoting_tone",
    ("samples/", "pk"): "SELECT min(id) FROM quoting_sample",
    ("mails/", "pk"): "SELECT min(id) FROM quoting_message",
    ("rules/", "pk"): "SELECT min(id) FROM quoting_regionrule",
    ("links/", "pk"): "SELECT max(id) FROM quoting_privatelink WHERE paper_id = "
    "(SELECT id FROM quoting_paper WHERE number = '0417-A')",
    ("questions/", "pk"): "SELECT id FROM quoting_question WHERE answered_at IS NULL AND job_id = {demo}",
    ("read/", "number"): "0417-A",
    ("your/", "number"): "0417-A",
    ("photos/", "sha256"): "SELECT min(sha256) FROM quoting_paperimage",
}

ACTS = ("private-link", "paper-evidence", "new-password")
"""What tests/e2e/test_homeowner.py follows: the link to its paper, and the evidence of a yes that is given
there; and what tests/services/test_passwords.py follows: the mailed link to a new password."""

DRAFT = "(SELECT id FROM quoting_edition WHERE state = 'drafted')"


def routes(patterns: list[URLPattern | URLResolver] | None = None, before: str = "") -> Iterator[tuple[str, str]]:
    """Name and route of every page of our own; the administration brings its own."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield str(pattern.name), route
        elif pattern.app_name != "admin":
            yield from routes(pattern.url_patterns, route)


def with_rows() -> dict[str, str]:
    """The route of each page that the demo holds all rows for, by its name."""
    return {name: route for name, route in routes() if name not in ACTS and not route.startswith(WITHOUT_ROWS)}


def address(route: str, database: Path) -> str:
    """The route with its parameters filled in. The demo must hold a row for each, or ROWS say which one it is."""
    filled, plain, at = "/", "", 0
    for found in PARAMETER.finditer(route):
        filled += route[at : found.start()]
        plain += route[at : found.start()]
        filled += _row(plain, found[2], database)
        plain += f"<{found[2]}>"
        at = found.end()
    return filled + route[at:]


def _row(before: str, name: str, database: Path) -> str:
    keys = [key for key in ROWS if before.endswith(key[0]) and key[1] == name]
    assert keys, f"Say in ROWS which row of the demo stands for <{name}> after {before}"
    said = ROWS[max(keys, key=lambda key: len(key[0]))]
    if not said.startswith("SELECT"):
        return said
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as asked:
        row = asked.execute(said.format(draft=DRAFT, demo=OF_THE_DEMO)).fetchone()
    found = row[0] if row else None
    assert found is not None, f"The demo holds no row for <{name}> after {before}"
    return str(found)
