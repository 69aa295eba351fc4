"""A change in the yard: “do my pavers too” on the owner's phone, and the homeowner's yes in the same two steps."""

import re

from playwright.sync_api import Page, expect

from tests.e2e.conftest import Visit
from tests.e2e.test_every_page import look_at
from tests.e2e.test_homeowner import pages_in, private_link


def accepted_folder(owner: Page) -> str:
    """The number of a folder of the demo whose offer was accepted."""
    owner.goto("/folders/?state=accepted")
    return re.findall(r"\b[0-9]{4}\b", owner.locator("#main table").first.inner_text())[0]


def test_a_further_area_is_offered_and_accepted(visit: Visit) -> None:
    owner = visit("owner", width=390)
    number = accepted_folder(owner)
    owner.goto(f"/folders/{number}/")
    owner.get_by_role("link", name="Change something").click()
    assert look_at(owner) == {}
    owner.get_by_role("group", name="On").get_by_role("checkbox").first.check()
    owner.get_by_role("group", name="Restoration system").get_by_role("radio").first.check()
    owner.get_by_label(re.compile("^Length")).fill("96 ft")
    owner.get_by_role("button", name="Work it out").click()
    assert look_at(owner) == {}
    owner.get_by_label("A sum agreed outright, before tax").fill("120")
    owner.get_by_label("What the sum is for").fill("Moving the planters")
    owner.get_by_role("button", name="Keep and work out").click()
    expect(owner.get_by_text("Kept.")).to_be_visible()
    with_sum = owner.locator("#main").inner_text()
    assert "120.00" in with_sum
    owner.get_by_role("link", name="Issue it").click()
    assert look_at(owner) == {}
    owner.get_by_role("button", name="Issue it").click()
    paper = re.findall(r"[0-9]{4}-C[0-9]+", owner.locator("h1").inner_text())[0]
    assert look_at(owner) == {}

    page = visit(width=390)
    page.goto(private_link(owner, paper))
    assert look_at(page) == {}
    page.get_by_role("button", name="Look it over").click()
    page.get_by_label("How many pages does the paper have?").fill(pages_in(page))
    page.get_by_label("I agree to get papers about this work electronically.").check()
    assert look_at(page) == {}
    page.get_by_role("button", name="Go on to sign").click()
    page.get_by_label("Your name, as you sign it").fill("Ruth Calloway")
    page.get_by_role("button", name=re.compile("I accept, for")).click()
    expect(page.get_by_role("heading", name="What was agreed")).to_be_visible()

    owner.goto(f"/folders/{number}/#agreed")
    expect(owner.get_by_role("link", name=re.compile(paper)).first).to_be_visible()
