"""Every page of the site, by its name: it answers, nothing sticks out sideways, and axe finds nothing serious."""

from __future__ import annotations

import re
from collections.abc import Iterator
from email import message_from_bytes
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.e2e.addresses import MORE, address, with_last_bill, with_rows
from tests.e2e.conftest import PATIENCE, Seen, Site

ROUTES = with_rows()
WIDTHS = (1280, 390, 320)
TEXT = {"resultTypes": ["violations"], "runOnly": {"type": "rule", "values": ["color-contrast"]}}
OPEN_EVERYTHING = "document.querySelectorAll('#main details').forEach(each => { each.open = true; })"
BEYOND = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def seen() -> Seen:
    return Seen()


@pytest.fixture(scope="module")
def owner(site: Site, browser: Browser, signed_in: Any, seen: Seen) -> Iterator[Page]:
    """The owner's browser, after a draft of a proposal and of an edition were begun, and a price list was read."""
    context = browser.new_context(base_url=site.address, storage_state=signed_in("owner"))
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    seen.listen(page)
    begin_drafts(page)
    open_own_link(page, site)
    open_mailed_links(page, site)
    seen.complaints.clear()
    yield page
    context.close()


def begin_drafts(page: Page) -> None:
    page.goto("/folders/0417/proposal/")
    page.get_by_role("button", name="Draft the proposal").click()
    page.goto("/prices/2/copy/")
    page.locator("#main").get_by_role("button").first.click()
    page.wait_for_url("**/prices/3/")
    page.goto("/prices/3/price-lists/new/")
    list_of_prices = page.request.get("/prices/3/materials.csv").body()
    page.get_by_label("CSV file").set_input_files(
        {"name": "list.csv", "mimeType": "text/csv", "buffer": list_of_prices}
    )
    page.get_by_role("button", name="Show what it would do").click()
    page.wait_for_load_state()
    page.goto("/folders/0412/money/")
    page.get_by_role("button", name="Draft the next bill").click()
    page.goto("/folders/0412/changes/new/")
    page.get_by_role("checkbox", name="Garden walk").check()
    page.get_by_role("radio", name="Furniture moved out and back").check()
    page.get_by_label("Called").fill("The bench on the walk")
    page.get_by_role("button", name="Work it out").click()
    page.wait_for_load_state()
    page.goto("/folders/0412/hand-over/")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_load_state()


def open_mailed_links(page: Page, site: Site) -> None:
    """What the demo mailed to homeowners, by the links in those mails: changes, bills, hand-over sheets."""
    for path in sorted((site.folder / "mail").iterdir()):
        for part in message_from_bytes(path.read_bytes()).walk():
            if part.get_content_type() == "text/plain":
                found = re.search(r"/p/[\w-]{43}/", str(part.get_payload(decode=True), "utf-8"))
                if found:
                    page.goto(found[0])


def open_own_link(page: Page, site: Site) -> None:
    """The homeowner's page of the demo's paper, by the link that the demo keeps; from then on its addresses open."""
    lines = (site.folder / "demo-log-ins.txt").read_text().splitlines()
    page.goto(dict(line.split() for line in lines)["0417-A"])


def faults(page: Page, options: dict[str, Any] | None = None) -> list[str]:
    """What axe finds that is serious or worse, with the first place of each."""
    found = Axe().run(page, options=options or {"resultTypes": ["violations"]}).response["violations"]
    return [
        f"{each['id']}: {each['nodes'][0]['html'][:120]}" for each in found if each["impact"] in {"serious", "critical"}
    ]


def look_at(page: Page) -> dict[str, list[str]]:
    """What is wrong with the page that is open: at each width, and in the dark; everything that folds stands open."""
    wrong: dict[str, list[str]] = {}
    page.evaluate(OPEN_EVERYTHING)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        if (beyond := page.evaluate(BEYOND)) > 0:
            wrong[f"{width} px"] = [f"{beyond} px stick out"]
        if width != min(WIDTHS):
            wrong.setdefault(f"{width} px", []).extend(faults(page))
    page.emulate_media(color_scheme="dark")
    wrong["dark"] = faults(page, TEXT)
    page.emulate_media(color_scheme="light")
    return {where: what for where, what in wrong.items() if what}


@pytest.mark.parametrize("name", ROUTES)
def test_a_page_is_sound(owner: Page, site: Site, seen: Seen, name: str) -> None:
    where = address(ROUTES[name], site.folder / "quoting.sqlite3")
    answer = owner.request.get(where, max_redirects=0)
    assert answer.status in {200, 302, 405}, where  # 405: an address that only takes what a form sends
    if answer.status != 200 or not answer.headers["content-type"].startswith("text/html"):
        return
    owner.set_viewport_size({"width": WIDTHS[0], "height": 844})
    owner.goto(where)
    assert look_at(owner) == {}
    assert seen.complaints == []


@pytest.mark.parametrize("where", MORE)
def test_a_page_with_other_rows_is_sound(owner: Page, site: Site, seen: Seen, where: str) -> None:
    owner.set_viewport_size({"width": WIDTHS[0], "height": 844})
    answer = owner.goto(with_last_bill(where, site.folder / "quoting.sqlite3"))
    assert answer is not None
    assert answer.status == 200, where
    assert look_at(owner) == {}
    assert seen.complaints == []


@pytest.mark.parametrize(
    "where",
    [
        "/", "/folders/", "/folders/0417/", "/folders/0412/", "/folders/0412/visits/", "/folders/0412/visits/2/",
        "/folders/0412/visits/2/pick-list/", "/folders/0409/visits/4/", "/account/", "/search/?q=alder",
    ],
)  # fmt: skip
def test_a_page_of_the_crew_is_sound(visit: Any, where: str) -> None:
    page = visit("crew")
    page.goto(where)
    assert look_at(page) == {}


@pytest.mark.parametrize("where", ["/sign-in/", "/no-such-page/"])
def test_a_page_for_a_stranger_is_sound(site: Site, browser: Browser, where: str) -> None:
    page = browser.new_page(base_url=site.address)
    page.goto(where)
    assert look_at(page) == {}
    page.close()
