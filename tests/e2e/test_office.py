"""The office's day with one job: accepted, deposit, a change, progress, final, paid; each page and paper looked at."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.e2e.conftest import Visit
from tests.e2e.test_every_page import look_at
from tests.e2e.test_homeowner import pages_in, private_link
from tests.e2e.test_main_job import (
    DECK,
    add_area,
    blank,
    download,
    draft_option,
    follow,
    issue,
    keep,
    open_folder,
    press,
    tape,
)
from tests.open_rules import broken_rules
from tests.reading_pdf import text_of, ua_faults

SUM = re.compile(r"[\d,]+\.\d\d")


def offered_job(page: Page) -> str:
    """A folder with a deck that is offered and a walk that is only measured; gives its number."""
    page.goto("/")
    number = open_folder(page, "7 Mill Row")
    add_area(page, number, DECK, "stamped concrete", "sound old film")
    tape(page, "rectangle", "20' × 15'")
    add_area(page, number, "Front walk", "concrete pavers", "worn or patchy")
    tape(page, "rectangle", "24' 3\" × 4' 2\"")
    page.goto(f"/folders/{number}/options/new/")
    draft_option(page, "Wash and reseal", [DECK])
    keep(page)
    issue(page, number)
    return number


def say_yes(homeowner: Page, link: str) -> None:
    """Both steps, as the homeowner goes them."""
    homeowner.goto(link)
    homeowner.get_by_role("button", name="Look it over").click()
    homeowner.get_by_label("How many pages does the paper have?").fill(pages_in(homeowner))
    homeowner.get_by_label("I agree to get papers about this work electronically.").check()
    homeowner.get_by_role("button", name="Go on to sign").click()
    homeowner.get_by_label("Your name, as you sign it").fill("Ada Penhallow")
    homeowner.get_by_role("button", name=re.compile("I accept, for")).click()
    expect(homeowner.get_by_role("heading", name="What was agreed")).to_be_visible()


def bill(page: Page, number: str, kind: str, folder: Path, amount: str = "") -> str:
    """Draft the next bill, change it if asked, issue it, look at page and paper; gives its number."""
    page.goto(f"/folders/{number}/money/")
    assert look_at(page) == {}
    press(page, "Draft the next bill")
    expect(blank(page, "What it is")).to_have_value(kind)
    if amount:
        blank(page, "Sum, tax included").fill(amount)
        press(page, "Keep the draft")
    assert look_at(page) == {}
    follow(page, "Issue it")
    assert look_at(page) == {}
    press(page, "Issue it")
    expect(page.get_by_role("heading", level=1)).to_contain_text(re.compile(r"\d{4}-\d{3}"))
    assert look_at(page) == {}
    pdf = download(page, folder)
    found = re.search(r"\d{4}-\d{3}", page.url)
    assert found is not None
    assert found[0] in text_of(pdf)
    assert ua_faults(pdf) == []
    return found[0]


def pay(page: Page, number: str) -> None:
    """Enter what is due, put it on the bills, give a receipt."""
    page.goto(f"/folders/{number}/money/")
    due = SUM.search(page.locator("header.tb dl").inner_text())
    assert due is not None
    follow(page, "Enter a payment")
    assert look_at(page) == {}
    blank(page, "Sum").first.fill(due[0].replace(",", ""))
    press(page, "Enter it")
    press(page, "Issue a receipt")
    expect(page.get_by_role("link", name=re.compile("Download receipt R-"))).to_be_visible()
    assert look_at(page) == {}


def change(page: Page, homeowner: Page, number: str) -> None:
    """Do my pavers too: worked out, issued, accepted."""
    page.goto(f"/folders/{number}/changes/new/")
    assert look_at(page) == {}
    draft_option(page, "Clean, sand and seal pavers", ["Front walk"], "Work it out")
    assert look_at(page) == {}
    follow(page, "Issue it")
    press(page, "Issue it")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Change order")
    found = re.search(rf"{number}-C\d", page.locator("h1").inner_text())
    assert found is not None
    assert look_at(page) == {}
    say_yes(homeowner, private_link(page, found[0]))


def test_from_the_yes_to_the_last_payment(visit: Visit, tmp_path: Path) -> None:
    page, homeowner = visit("owner"), visit(width=390, java_script_enabled=False)
    number = offered_job(page)
    say_yes(homeowner, private_link(page, f"{number}-A"))

    deposit = bill(page, number, "deposit", tmp_path)
    pay(page, number)
    change(page, homeowner, number)
    bill(page, number, "progress", tmp_path)
    final = bill(page, number, "final", tmp_path)
    pay(page, number)

    page.goto(f"/folders/{number}/money/")
    expect(page.get_by_text("All that is agreed is billed.")).to_be_visible()
    account = page.locator("table.account")
    sums = {
        word: SUM.search(account.locator("tr", has_text=re.compile(rf"^\s*{word}")).first.inner_text())
        for word in ("Contract sum now", "Billed", "Paid", "Due")
    }
    told = {word: found[0] for word, found in sums.items() if found}
    assert told["Contract sum now"] == told["Billed"] == told["Paid"]
    assert told["Due"] == "0.00"

    page.goto("/money/bookkeeper/")
    assert look_at(page) == {}
    expect(page.get_by_role("link", name=deposit)).to_be_visible()
    page.goto("/money/owed/")
    assert look_at(page) == {}
    assert broken_rules(page.request.get(f"/bills/{final}.xml").body()) == []
