"""From the owner's phone to the homeowner's: a link, the choice, both steps, a question."""

import re
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from quoting.documents.freeze import count_pages
from tests.e2e.conftest import Visit


def private_link(owner: Page, number: str) -> str:
    """The path of a link that the owner makes; the site's own address is a setting, and this one has another port."""
    owner.goto(f"/papers/{number}/links/")
    owner.get_by_role("button", name="Make a link").click()
    address = owner.get_by_label("Copy it now").input_value()
    return "/" + address.split("/", 3)[3]


def standing(owner: Page) -> str:
    """The number of the demo's paper that stands in folder 0417."""
    owner.goto("/folders/0417/papers/")
    found = re.findall(r"0417-[A-Z]", owner.locator("#main").inner_text())
    return sorted(found)[-1]


def looked_at(page: Page) -> None:
    """Nothing serious for axe, and no sideways scroll."""
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"] for node in each["nodes"]]) for each in found] == []
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def pages_in(page: Page) -> str:
    """How many pages the paper has, as somebody finds out who opens it."""
    with page.expect_download() as download:
        page.get_by_role("link", name="Open the paper (PDF)").click()
    return str(count_pages(download.value.path().read_bytes()))


@pytest.mark.parametrize("width", [320, 390, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_offer_reads_at_every_width(visit: Visit, width: int, scheme: Any) -> None:
    owner = visit("owner", width=390)
    page = visit(width=width, color_scheme=scheme)
    page.goto(private_link(owner, standing(owner)))
    page.wait_for_load_state("networkidle")
    looked_at(page)


def test_the_sum_follows_the_ticks_and_opening_is_told(visit: Visit) -> None:
    owner = visit("owner", width=390)
    number = standing(owner)
    page = visit(width=390)
    page.goto(private_link(owner, number))
    before = page.locator(".ticket .total b").inner_text()
    page.locator("#extras input[type=checkbox]").first.check()
    expect(page.locator(".ticket .total b")).not_to_have_text(before)
    owner.goto(f"/papers/{number}/links/")
    expect(owner.locator("tbody tr").first).not_to_contain_text("not yet not yet")


def test_by_the_keyboard_alone_nothing_is_hidden_and_the_total_is_said(visit: Visit) -> None:
    owner = visit("owner", width=390)
    page = visit(width=390)
    page.goto(private_link(owner, standing(owner)))
    page.wait_for_load_state("networkidle")
    reached, hidden = [], []
    for _ in range(40):
        page.keyboard.press("Tab")
        at, is_hidden = page.evaluate(UNDER_THE_SUM)
        reached.append(at)
        hidden += [at] if is_hidden else []
    assert hidden == []
    assert {"Look it over", "Send the question", "o2", "x1"} <= set(reached)
    page.locator("#x1").focus()
    page.keyboard.press("Space")
    expect(page.locator("#sum-said")).to_contain_text("with tax.")
    assert page.evaluate("document.activeElement.id") == "x1"


UNDER_THE_SUM = """() => {
  const here = document.activeElement, sum = document.querySelector('.ticket');
  const one = here.getBoundingClientRect(), other = sum.getBoundingClientRect();
  const apart = here === document.body || sum.contains(here) || one.height === 0;
  const hidden = !apart && one.top < other.bottom && one.bottom > other.top + 1;
  return [here.id || here.textContent.trim().slice(0, 40), hidden];
}"""
"""What has the focus, and whether the bar with the sum lies over it."""


def test_a_question_and_both_steps_without_the_script(visit: Visit) -> None:
    owner = visit("owner", width=390)
    page = visit(width=390, java_script_enabled=False)
    page.goto(private_link(owner, standing(owner)))
    page.get_by_label("Your question").fill("Does the grit show?")
    page.get_by_role("button", name="Send the question").click()
    expect(page.get_by_text("Your question is with us.")).to_be_visible()
    page.get_by_role("button", name="Look it over").click()
    page.get_by_label("How many pages does the paper have?").fill(pages_in(page))
    page.get_by_label("I agree to get papers about this work electronically.").check()
    page.get_by_role("button", name="Go on to sign").click()
    page.get_by_label("Your name, as you sign it").fill("Priya Wexley")
    expect(page.get_by_role("button", name=re.compile("I accept, for"))).to_be_visible()


def test_a_signature_is_drawn_and_the_yes_shows_what_was_agreed(visit: Visit) -> None:
    owner = visit("owner", width=390)
    number = standing(owner)
    page = visit(width=390)
    page.goto(private_link(owner, number))
    page.get_by_role("button", name="Look it over").click()
    page.get_by_label("How many pages does the paper have?").fill(pages_in(page))
    page.get_by_label("I agree to get papers about this work electronically.").check()
    looked_at(page)
    page.get_by_role("button", name="Go on to sign").click()
    expect(page.locator("canvas")).to_be_visible()
    sheet = page.locator("canvas").bounding_box()
    assert sheet is not None
    page.mouse.move(sheet["x"] + 20, sheet["y"] + 40)
    page.mouse.down()
    for step in range(1, 12):
        page.mouse.move(sheet["x"] + 20 + 15 * step, sheet["y"] + 40 + 12 * (step % 3))
    page.mouse.up()
    page.get_by_label("Your name, as you sign it").fill("Priya Wexley")
    looked_at(page)
    page.get_by_role("button", name=re.compile("I accept, for")).click()
    expect(page.get_by_role("heading", name="What was agreed")).to_be_visible()
    looked_at(page)
    owner.goto(f"/papers/{number}/")
    expect(owner.get_by_role("link", name="Evidence of the yes (PDF)")).to_be_visible()
