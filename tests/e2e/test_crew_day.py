"""The crew's day on a phone, with and without network: nothing is lost, nothing is doubled."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from quoting.models import Entry, Job
from tests.factories import CrewFactory
from tests.sample_visits import planned_job

PATIENCE = 15_000


@pytest.fixture
def job(transactional_db: None) -> Job:
    return planned_job()


@pytest.fixture
def phone(job: Job, live_server: Any, browser: Browser) -> Iterator[Callable[[str], Page]]:
    """Mateo's phone, signed in, at an address of the site."""
    client = Client()
    client.force_login(CrewFactory(name="Mateo Ruiz"))
    address = live_server.url.replace("127.0.0.1", "localhost")
    context: BrowserContext = browser.new_context(base_url=address, viewport={"width": 390, "height": 844})
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": address}])
    context.set_default_timeout(PATIENCE)

    def open_page(path: str) -> Page:
        page = context.new_page()
        page.goto(path)
        return page

    yield open_page
    context.close()


def kept_for_the_day(page: Page) -> None:
    """Until the worker has kept the page that is open and the sheets that it leads to."""
    expect(page.get_by_text("Pages kept on this phone for a day without signal.")).to_be_visible()


def entries() -> list[tuple[str, Any]]:
    return [(entry.kind, entry.data.get("step") or entry.data.get("called") or entry.words)
            for entry in Entry.objects.order_by("made_at")]  # fmt: skip


def test_a_day_without_signal_is_delivered_once(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/2/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    page.reload()
    expect(page.get_by_role("heading", name="18 Alder Row")).to_be_visible()
    expect(page.get_by_text("No signal. What you write is kept here and sent later.")).to_be_visible()
    page.get_by_role("button", name="Base tone, Done").click()
    guard = page.locator("form[data-guard]").first
    guard.get_by_label("Used").fill("1")
    expect(guard.get_by_text("Too thin")).to_be_visible()
    guard.get_by_role("button").click()
    page.get_by_text("Note · Nota", exact=False).first.click()
    page.get_by_label("What the office must know").fill("The gate is shut.")
    page.locator("form[action$='/note/'] button").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("3")
    assert entries() == []
    page.reload()
    expect(page.locator("[data-says=waiting] b")).to_have_text("3")
    page.goto(f"/folders/{job.number}/visits/2/pick-list/")
    expect(page.get_by_text("Base tone powder, slate")).to_be_visible()
    page.goto(f"/folders/{job.number}/visits/2/")
    page.context.set_offline(False)
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    expect(page.locator(".plainlist")).to_contain_text("The gate is shut.")
    assert entries() == [("tick", "1.1.1"), ("used", "1 gal"), ("note", "The gate is shut.")]
    assert all(entry.made_at < entry.arrived_at and entry.by.name == "Mateo Ruiz" for entry in Entry.objects.all())


def test_an_entry_whose_answer_was_lost_is_kept_once(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    lost: list[int] = []

    def lose_first(route: Route) -> None:
        if lost:
            route.continue_()
            return
        lost.append(route.fetch().status)
        route.abort()

    page.context.route("**/entries/**", lose_first)
    with page.expect_event("requestfailed", lambda asked: "/entries/" in asked.url):
        page.get_by_role("button", name="Wash, Done").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    assert (lost, entries()) == ([200], [("tick", "0.1.1")])
    page.reload()
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    expect(page.get_by_role("button", name="Wash, Take the tick back")).to_be_visible()
    assert entries() == [("tick", "0.1.1")]


@pytest.mark.parametrize("path", ["visits/", "visits/2/", "visits/2/pick-list/", "visits/2/hold/"])
def test_the_crews_pages_hold_no_fault_and_fit_a_phone(phone: Callable[[str], Page], job: Job, path: str) -> None:
    page = phone(f"/folders/{job.number}/{path}")
    for fold in page.locator("details.how").all():
        fold.evaluate("fold => fold.open = true")
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390
