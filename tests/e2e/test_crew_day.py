"""The crew's day on a phone, with and without network: nothing is lost, nothing is doubled."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from quoting.models import Entry, Hold, Job
from quoting.services.booking import lines_to_book
from quoting.services.visits import move_visit
from tests.factories import CrewFactory
from tests.sample_visits import planned_job, visit_of

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


def test_batches_are_written_down_without_signal_and_stand_on_the_sheet_after_it(
    phone: Callable[[str], Page], job: Job
) -> None:
    page = phone(f"/folders/{job.number}/visits/2/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    batch = page.locator("form[data-boxes]").first
    planned = batch.get_by_label("Really used").input_value()
    batch.get_by_label("Lot").fill("K-4")
    batch.get_by_role("button").click()
    expect(batch.get_by_text("Written down.")).to_be_visible()
    page.get_by_text("Left over · Lo que sobró").click()
    left = page.locator("form[action$='/left/']")
    left.get_by_label("How much").fill("6 oz")
    left.get_by_label("Lot").fill("K-4")
    left.get_by_role("button").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("2")
    assert entries() == []
    page.context.set_offline(False)
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    used, kept = Entry.objects.order_by("made_at")
    assert (used.kind, used.data["batch"], used.data["lot"], used.data["called"]) == ("used", 1, "K-4", planned)
    assert (kept.kind, kept.data["called"], kept.data["lot"]) == ("left", "6 oz", "K-4")
    page.reload()
    expect(page.locator("form[data-boxes]").first.get_by_label("Lot")).to_have_value("K-4")
    assert [(line.lot, line.wrote) for line in lines_to_book(visit_of(job, 2))] == [("K-4", (used, kept))]


def test_a_visit_is_held_without_signal_and_the_days_move_once_there_is_one(
    phone: Callable[[str], Page], job: Job
) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    page.reload()
    hold_on(page, "2026-07-20", "Storm at 7.")
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    assert Hold.objects.count() == 0
    page.context.set_offline(False)
    expect(page.locator("header.tb")).to_contain_text("20 Jul")
    hold = Hold.objects.get()
    assert (hold.reason, hold.words, hold.to_day, hold.entry.made_at < hold.entry.arrived_at) == (
        "rain", "Storm at 7.", date(2026, 7, 20), True
    )  # fmt: skip


def test_a_visit_that_was_done_without_signal_is_done_once(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="The visit is done · La visita está terminada").click()
    expect(page.locator("form[action$='/done/'] [data-kept-here]")).to_contain_text("Written down. It is sent as soon")
    assert visit_of(job).state == "planned"
    page.context.set_offline(False)
    expect(page.get_by_role("button", name="It is not done · No está terminada")).to_be_visible()
    assert (visit_of(job).state, [entry.kind for entry in Entry.objects.all()]) == ("done", ["done"])


def test_a_hold_that_crosses_a_move_of_the_office_is_said_and_kept(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    hold_on(page, "2026-07-17", "Gusts of 30.")
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    move_visit(visit=visit_of(job), version=1, by=job.opened_by, day=date(2026, 7, 21), reason="")
    page.context.set_offline(False)
    expect(page.locator("[data-says=said]")).to_contain_text("the office has moved this visit to Tuesday 21")
    expect(page.locator("#end ~ .caution")).to_contain_text("la oficina pasó esta visita al martes 21")
    kept = Entry.objects.get()
    assert (kept.words, kept.data["aside"], visit_of(job).day) == ("Gusts of 30.", "moved", date(2026, 7, 21))


def test_the_table_for_a_day_without_signal_opens_without_one(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/3/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    page.reload()
    page.get_by_text("Without signal: wait when …").click()
    expect(page.get_by_role("row", name="75 55 61 66")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def hold_on(page: Page, day: str, words: str) -> None:
    """Write down that the visit is held until that day."""
    page.locator("summary", has_text="Hold the visit").click()
    form = page.locator("form[action$='/hold/']")
    form.get_by_label("Try again on").fill(day)
    form.get_by_label("What happened").fill(words)
    form.get_by_role("button").click()


def test_what_is_loaded_without_signal_stays_ticked(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/2/")
    kept_for_the_day(page)
    page.context.set_offline(True)
    page.goto(f"/folders/{job.number}/visits/2/pick-list/")
    page.get_by_role("button", name="Base tone powder, slate, Loaded").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    page.context.set_offline(False)
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    expect(page.get_by_role("button", name="Base tone powder, slate, Take the tick back")).to_be_visible()
    expect(page.locator("header.tb")).to_contain_text("1 /")
    page.reload()
    expect(page.get_by_role("button", name="Base tone powder, slate, Take the tick back")).to_be_visible()
    kept = Entry.objects.get()
    assert (kept.kind, kept.by.name, kept.data["thing"].endswith("Base tone powder, slate")) == (
        "tick", "Mateo Ruiz", True
    )  # fmt: skip


def again(page: Page) -> None:
    """The next round of the queue, now."""
    page.evaluate("dispatchEvent(new Event('online'))")


def test_an_entry_that_the_server_fails_on_holds_nothing_up_and_is_delivered_once(
    phone: Callable[[str], Page], job: Job
) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    failed: list[str] = []

    def fail(route: Route) -> None:
        failed.append(route.request.url)
        route.fulfill(status=500, body="")

    page.context.route("**/entries/tick/", fail)
    page.get_by_role("button", name="Wash, Done").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    note_down(page, "The gate is shut.")
    expect(page.locator(".plainlist")).to_contain_text("The gate is shut.")
    assert entries() == [("note", "The gate is shut.")]
    stuck = page.locator("[data-says=stuck]")
    while len(failed) < 3:
        before = len(failed)
        again(page)
        page.wait_for_timeout(200)
        assert len(failed) > before
    expect(stuck).to_contain_text("done · hecho: Wash")
    expect(stuck).to_contain_text("(500)")
    page.context.unroute("**/entries/tick/")
    again(page)
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    expect(stuck).to_be_hidden()
    assert entries() == [("tick", "0.1.1"), ("note", "The gate is shut.")]


def test_holds_and_ends_of_a_visit_keep_their_order_when_one_fails(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    page.context.route("**/entries/done/", lambda route: route.fulfill(status=500, body=""))
    page.get_by_role("button", name="The visit is done · La visita está terminada").click()
    expect(page.locator("[data-says=waiting] b")).to_have_text("1")
    hold_on(page, "2026-07-20", "Storm at 7.")
    expect(page.locator("[data-says=waiting] b")).to_have_text("2")
    again(page)
    assert Entry.objects.count() == 0
    page.context.unroute("**/entries/done/")
    again(page)
    expect(page.locator("[data-says=waiting]")).to_be_hidden()
    assert [entry.kind for entry in Entry.objects.order_by("arrived_at")] == ["done", "hold"]


def test_a_refused_entry_is_corrected_or_thrown_away(phone: Callable[[str], Page], job: Job) -> None:
    page = phone(f"/folders/{job.number}/visits/1/")
    refused = page.locator("[data-says=refused]")
    page.locator("summary", has_text="Hours · Horas").click()
    form = page.locator("form[action$='/hours/']")
    for hours in ("99", "88"):
        form.get_by_label("Hours").fill(hours)
        form.get_by_role("button").click()
        expect(refused).to_contain_text(f"{hours}. Hours are more than 0 and at most 24.")
    page.goto(f"/folders/{job.number}/visits/2/")
    page.locator("[data-says=refused] li", has_text="99").get_by_role("button", name="Correct").click()
    page.wait_for_url("**/visits/1/")
    expect(form.get_by_label("Hours")).to_have_value("99")
    form.get_by_label("Hours").fill("9")
    form.get_by_role("button").click()
    expect(refused).not_to_contain_text("99")
    drop = refused.get_by_role("button", name="Throw away")
    drop.click()
    expect(refused).to_contain_text("88")
    refused.get_by_role("button", name="Really throw it away?").click()
    expect(refused).to_be_hidden()
    page.reload()
    expect(page.locator("#queue")).to_be_hidden()
    assert [(entry.kind, entry.data["hours"]) for entry in Entry.objects.all()] == [("hours", "9")]


def note_down(page: Page, words: str) -> None:
    """Write a note."""
    page.get_by_text("Note · Nota", exact=False).first.click()
    page.get_by_label("What the office must know").fill(words)
    page.locator("form[action$='/note/'] button").click()


@pytest.mark.parametrize("path", ["visits/", "visits/2/", "visits/2/pick-list/", "visits/2/hold/"])
def test_the_crews_pages_hold_no_fault_and_fit_a_phone(phone: Callable[[str], Page], job: Job, path: str) -> None:
    page = phone(f"/folders/{job.number}/{path}")
    for fold in page.locator("details.how").all():
        fold.evaluate("fold => fold.open = true")
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"][:120] for node in each["nodes"]]) for each in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") == 390
