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
    ("options/", "pk"): "SELECT id FROM quoting_option WHERE name = 'Recolour and seal' AND job_id = {demo}",
    ("options/<pk>/systems/", "group_pk"): "SELECT id FROM quoting_optiongroup WHERE option_id = "
    "(SELECT id FROM quoting_option WHERE name = 'Recolour and seal' AND job_id = {demo})",
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

FOLDERS = {
    "demo": "(SELECT id FROM quoting_job WHERE number = '0417')",
    "at_work": "(SELECT id FROM quoting_job WHERE number = '0412')",
    "finished": "(SELECT id FROM quoting_job WHERE number = '0409')",
}
"""By the names under which the questions ask for them."""

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

LAST_BILL = "SELECT number FROM quoting_paper WHERE kind = 'invoice' AND job_id = {finished} ORDER BY id DESC LIMIT 1"

OF_ROUTES: dict[str, dict[str, str]] = {
    "folders/<folder:number>/visits/": {"number": "0412", "visit": "2", "kind": "tick"},
    "folders/<folder:number>/visits/holds/": {"number": "0409", "pk": "SELECT id FROM quoting_hold"},
    "folders/<folder:number>/changes/": {
        "number": "0412",
        "pk": "SELECT max(id) FROM quoting_changeorder WHERE job_id = {at_work}",
        "work": "1",
    },
    "folders/<folder:number>/changes/<int:pk>/load/": {
        "number": "0412",
        "pk": "SELECT min(id) FROM quoting_changeorder WHERE job_id = {at_work}",
    },
    "folders/<folder:number>/money/": {
        "number": "0409",
        "pk": "SELECT min(id) FROM quoting_payment WHERE job_id = {finished}",
    },
    "folders/<folder:number>/money/bill/": {"number": "0412"},
    "folders/<folder:number>/hand-over/": {"number": "0412"},
    "folders/<folder:number>/hand-over/se": {"number": "0409"},
    "folders/<folder:number>/hand-over/signed/": {"number": "0409"},
    "folders/<folder:number>/cost/": {"number": "0409", "pk": "SELECT min(id) FROM quoting_extracost"},
    "folders/<folder:number>/slab": {"number": "0409"},
    "folders/<folder:number>/sealing-again/": {"number": "0297"},
    "bills/": {"number": LAST_BILL},
    "papers/<any_paper:number>/mail/": {"number": LAST_BILL},
    "people/<int:pk>/certificates/": {
        "pk": "SELECT customer_id FROM quoting_certificate",
        "row": "SELECT id FROM quoting_certificate",
    },
    "people/<int:pk>/statement.pdf": {"pk": "SELECT id FROM customers_customer WHERE name LIKE 'Nora%'"},
    "your/<any_paper:number>/sign-off/": {
        "number": "SELECT number FROM quoting_paper WHERE kind = 'hand-over' AND job_id = {finished}"
    },
}
"""What stands for the parameters of the routes that begin so, where the folder of the offer is not the one; the longest
beginning counts."""

ASKED_WITH = {"money/bookkeeper/<slug:what>.csv": "?since=2020-01-01&until=2099-12-31"}

ROWS |= {
    ("bookkeeper/", "what"): "sales",
    ("stock/", "pk"): "SELECT min(id) FROM quoting_lot",
    ("gear/", "pk"): "SELECT min(id) FROM quoting_gearitem",
    ("gear/new/", "kind"): "tool",
    ("sealing-again/", "seal"): "acrylic",
}

MORE = (
    "/folders/0297/", "/folders/0409/", "/folders/0412/", "/folders/0415/", "/folders/0416/", "/folders/0418/",
    "/folders/0409/visits/", "/folders/0409/visits/2/", "/folders/0409/hand-over/", "/folders/0412/money/",
    "/folders/0415/questions/", "/folders/0412/papers/", "/folders/0416/money/", "/papers/0416-A/", "/papers/0412-A/",
    "/papers/0412-C2/", "/papers/R-0001/", "/papers/H-0002/", "/money/bookkeeper/?since=2020-01-01&until=2099-12-31",
    "/your/0412-C2/", "/your/0412-C2/review/", "/your/0412-C2/decline/", "/your/0412-A/", "/your/H-0002/",
    "/papers/LAST-BILL/", "/your/LAST-BILL/",
)  # fmt: skip
"""Pages that look otherwise with other rows: jobs at work, finished and only asked, the homeowner's other papers."""

ACTS = (
    "private-link", "paper-evidence",  # tests/e2e/test_homeowner.py follows the link, and reads the evidence of its yes
    "crew-calendar",  # a feed for a program; its address is told once, and tests/views/test_visits.py reads it
    "people-list", "people-list-columns", "people-list-forget",  # a file waits a day; tests/views/test_people_lists.py
    "new-password",  # by a mailed link that opens once; tests/views/test_passwords.py follows it
)  # fmt: skip
"""What the sweep leaves to others."""

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
    """The route of each page that is looked at, by its name."""
    return {name: route for name, route in routes() if name not in ACTS}


def with_last_bill(where: str, database: Path) -> str:
    """One of MORE; the number of a bill begins with its year."""
    return where.replace("LAST-BILL", _asked(LAST_BILL, database))


def address(route: str, database: Path) -> str:
    """The route with its parameters filled in. The demo must hold a row for each, or ROWS say which one it is."""
    filled, plain, at = "/", "", 0
    begins = [beginning for beginning in OF_ROUTES if route.startswith(beginning)]
    own = OF_ROUTES[max(begins, key=len)] if begins else {}
    for found in PARAMETER.finditer(route):
        filled += route[at : found.start()]
        plain += route[at : found.start()]
        filled += _asked(own[found[2]], database) if found[2] in own else _row(plain, found[2], database)
        plain += f"<{found[2]}>"
        at = found.end()
    return filled + route[at:] + ASKED_WITH.get(route, "")


def _row(before: str, name: str, database: Path) -> str:
    keys = [key for key in ROWS if before.endswith(key[0]) and key[1] == name]
    assert keys, f"Say in ROWS which row of the demo stands for <{name}> after {before}"
    said = ROWS[max(keys, key=lambda key: len(key[0]))]
    return _asked(said, database, f"<{name}> after {before}")


def _asked(said: str, database: Path, what: str = "") -> str:
    if not said.startswith("SELECT"):
        return said
    with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as asked:
        row = asked.execute(said.format(draft=DRAFT, **FOLDERS)).fetchone()
    found = row[0] if row else None
    assert found is not None, f"The demo holds no row for {what or said}"
    return str(found)
