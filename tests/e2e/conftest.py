"""The browser run: the demo served by `manage.py demo`, as a new user has it, and Chromium looking at it."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests import house

# Playwright keeps an event loop in this thread from its first use on, and Django then refuses the database to whatever
# other test runs here later.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--disable-quic",
]  # fmt: skip
PEOPLE = {"owner": "ines", "office": "maribel", "crew": "mateo"}
PATIENCE = 15_000  # milliseconds
EXPECTED = re.compile(r"^htmx:(afterRequest|sendAbort|xhr:abort)|status of 422")
"""A live figure that was still on its way when the page was left, and the answer to a form with something to mend."""


@dataclass(frozen=True, slots=True)
class Site:
    """The demo as it is served: its address, its data folder, and a password by e-mail address."""

    address: str
    folder: Path
    log_ins: dict[str, str]

    def log_in_of(self, role: str) -> tuple[str, str]:
        return next(pair for pair in self.log_ins.items() if pair[0].startswith(PEOPLE[role]))


@dataclass(slots=True)
class Seen:
    """What a browser complained about, page by page."""

    complaints: list[str] = field(default_factory=list)

    def listen(self, page: Page) -> None:
        page.on("console", lambda said: self._note(page, said.type, said.text))
        page.on("pageerror", lambda error: self._note(page, "error", str(error)))

    def _note(self, page: Page, kind: str, text: str) -> None:
        if kind in {"error", "warning"} and not EXPECTED.search(text):
            self.complaints.append(f"{page.url}: {text}")


Visit = Callable[..., Page]


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """`manage.py demo` in an empty data folder, on a port that is free."""
    folder = tmp_path_factory.mktemp("site") / "data"
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    ours = {"DATABASE_URL", "SITE_ADDRESS", "SECRET_KEY", "DATA_DIR"}
    around = {name: value for name, value in os.environ.items() if name not in ours} | {"DATA_DIR": str(folder)}
    command = [sys.executable, str(house.ROOT / "manage.py"), "demo", "--port", str(port)]
    with subprocess.Popen(command, env=around, stdout=subprocess.PIPE, text=True) as serving:
        assert serving.stdout is not None
        said = list(until_it_serves(serving.stdout))
        log_ins = dict(line.split()[-2:] for line in said if "@" in line)
        assert len(log_ins) == len(PEOPLE), "".join(said)
        yield Site(f"http://localhost:{port}", folder, log_ins)
        serving.terminate()


def until_it_serves(lines: Iterable[str]) -> Iterator[str]:
    """What the demo prints, up to the line that says where the site is."""
    for line in lines:
        yield line
        if line.startswith("The site is at"):
            return


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        yield found
        found.close()


@pytest.fixture(scope="session")
def signed_in(site: Site, browser: Browser) -> Callable[[str], Any]:
    """The cookies of a person in this role, who signed in once through the page."""
    kept: dict[str, Any] = {}

    def state(role: str) -> Any:
        if role not in kept:
            context = browser.new_context(base_url=site.address)
            page = context.new_page()
            sign_in(page, site, role)
            kept[role] = context.storage_state()
            context.close()
        return kept[role]

    return state


def sign_in(page: Page, site: Site, role: str) -> None:
    """Through the page, as a person does."""
    email, password = site.log_in_of(role)
    page.goto("/sign-in/")
    page.get_by_label("E-mail").fill(email)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")


@pytest.fixture
def visit(site: Site, browser: Browser, signed_in: Callable[[str], Any]) -> Iterator[Visit]:
    """Opens a page for somebody, or for a stranger; at the end nothing may have been complained of."""
    contexts: list[BrowserContext] = []
    seen = Seen()

    def open_page(role: str = "", width: int = 1280, **options: Any) -> Page:
        context = browser.new_context(
            base_url=site.address,
            viewport={"width": width, "height": 844},
            storage_state=signed_in(role) if role else None,
            **options,
        )
        context.set_default_timeout(PATIENCE)
        contexts.append(context)
        page = context.new_page()
        seen.listen(page)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert seen.complaints == []
