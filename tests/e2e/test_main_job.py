"""The main job, from the log-in to the downloaded PDF, on a phone and at a desk, and once without JavaScript."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.e2e.conftest import Site, Visit, sign_in
from tests.reading_pdf import bookmarks_of, tags_of, text_of, ua_faults

DECK = "Pool deck"


def blank(page: Page, label: str | re.Pattern[str], *, exact: bool = False) -> Locator:
    """The blank with this label, the search in the mast apart."""
    return page.locator("#main").get_by_label(label, exact=exact)


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()
    page.wait_for_load_state()


def follow(page: Page, name: str) -> None:
    page.get_by_role("link", name=name, exact=True).first.click()
    page.wait_for_load_state()


def open_folder(page: Page, street: str) -> str:
    """A folder for somebody who rings for the first time; gives its number."""
    follow(page, "Folders")
    follow(page, "Open a folder")
    blank(page, "Who rang").fill("Ada Penhallow")
    blank(page, "Telephone").fill("555-0134")
    blank(page, "Street and number").fill(street)
    blank(page, "Town").fill("Larkmere")
    blank(page, "What they asked").fill("Can it look like stone again?")
    press(page, "Open the folder")
    expect(page.get_by_role("heading", level=1)).to_contain_text(street)
    found = re.search(r"/folders/(\d{4})/", page.url)
    assert found is not None
    return found[1]


def add_area(page: Page, number: str, name: str, surface: str, condition: str, texture: str = "1") -> None:
    page.goto(f"/folders/{number}/areas/new/")
    blank(page, "Name").fill(name)
    blank(page, "Surface").select_option(label=surface)
    blank(page, "Condition").select_option(label=condition)
    blank(page, "Texture").fill(texture)
    press(page, "Add the area")


def tape(page: Page, shape: str, called: str, *, live: str = "", place: str = "", out: bool = False) -> None:
    """Call one part out in one line; with `live`, look at the figure that appears before anything is kept."""
    if shape not in ("rectangle", "circle" if out else "rectangle"):
        blank(page, "Shape").select_option(label=shape)
        if page.get_by_role("button", name="Show the blanks of this shape").is_visible():
            press(page, "Show the blanks of this shape")
        expect(page.locator("#part-form .margin")).to_contain_text(f"{shape.capitalize()}.")
        expect(page.locator(".htmx-added")).to_have_count(0)  # the new blanks are live a moment after they are shown
    blank(page, "Or as it was called, in one line").fill(called)
    if live:
        expect(page.locator("div.bar")).to_contain_text(live)
    fold = page.locator("details.fold > summary")
    if (place or out) and fold.is_visible():  # at a desk it stands open
        fold.click()
    if place:
        blank(page, "In the plan").select_option(label=place)
    if out:
        blank(page, "From the left end of the first part").fill("24 ft")
        blank(page, "From its lower side").fill("7 ft")
    press(page, "Take it out" if out else "Keep the part")
    expect(page.locator(".done")).to_be_visible()


def measure_all(page: Page, number: str, *, live: bool) -> None:
    """The three areas of the demo job, as they were called out."""
    add_area(page, number, DECK, "stamped concrete", "sound old film", "1.12")
    tape(page, "rectangle", "32' × 14' 6\"", live="464.00" if live else "")
    follow(page, "Add a part")
    curve = "4', 0, 2' 1\", 3' 5\", 4' 2\", 4' 5\", 4' 2\", 3' 5\", 2' 1\", 0"
    tape(page, "curved edge by offsets", curve, live="560.67" if live else "", place="above the part before")
    follow(page, "Take something out")
    tape(page, "circle", "6'", live="532.39" if live else "", out=True)
    add_area(page, number, "Steps", "steps", "sound old film")
    tape(page, "steps", "3, 5', 12, 7", live="23.75" if live else "")
    add_area(page, number, "Front walk", "concrete pavers", "worn or patchy")
    tape(page, "rectangle", "24' 3\" × 4' 2\"", live="101.04" if live else "")
    follow(page, "Add a part")
    landing = "6' 2\", 5' 8\", 6' 4\", 5' 6 1/2\", 8' 5\", 8' 4 1/2\""
    tape(page, "four-sided", landing, live="136.06" if live else "")


def draft_option(page: Page, system: str, areas: list[str], button: str = "Draft the option") -> None:
    """On the page of a new option: tick the areas, choose the system."""
    for box in page.get_by_role("checkbox").all():
        label = box.evaluate("box => box.labels[0].textContent")
        box.set_checked(any(name in label for name in areas))
    blank(page, system).check()
    press(page, button)


def set_edge(page: Page) -> None:
    """The curve leaves the edge unknown, so that masking asks for it."""
    blank(page, "Edge, ft", exact=True).fill("112")


def keep(page: Page, what: str = "Keep the option") -> None:
    press(page, what)
    expect(page.locator(".done")).to_be_visible()


def price_all(page: Page, number: str, *, live: bool) -> None:
    """Two options with a reason for what differs, and an extra."""
    page.goto(f"/folders/{number}/options/new/")
    draft_option(page, "Wash and reseal", [DECK, "Steps"])
    set_edge(page)
    keep(page)
    page.goto(f"/folders/{number}/options/new/")
    draft_option(page, "Recolour and seal", [DECK, "Steps"])
    set_edge(page)
    base = page.locator(".step-row", has=page.get_by_role("checkbox", name=re.compile("^Base tone")))
    base.locator("details.differ > summary").click()
    base.get_by_label("Ft² a gallon").fill("175")
    before = page.locator("#now").text_content()
    if live:
        expect(base.locator(".step-figures")).to_contain_text("22.50 oz")  # 596.28 + 23.75 ft² ÷ 175 → 3¾ gal × 6 oz
        expect(page.locator("#now")).not_to_have_text(re.compile("not yet"))
    press(page, "Keep the option")
    expect(page.get_by_text("Say why it differs from the book").first).to_be_visible()
    base.get_by_label("Why it differs from the book").fill("drops are gone in 8 s")
    blank(page, "This is the one we advise").check()
    keep(page)
    assert before
    follow(page, "Add an extra to it")
    draft_option(page, "Clean, sand and seal pavers", ["Front walk"], "Add the extra")
    page.goto(f"/folders/{number}/options/")


def issue(page: Page, number: str) -> None:
    page.goto(f"/folders/{number}/proposal/")
    press(page, "Draft the proposal")
    blank(page, "In short").fill("Your deck looked like stone and can again.")
    press(page, "Keep the draft")
    follow(page, f"Issue {number}-A")
    press(page, f"Issue {number}-A")
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"Proposal {number}-A")


def download(page: Page, folder: Path) -> bytes:
    with page.expect_download() as waiting:
        follow(page, "Download the PDF")
    kept = folder / waiting.value.suggested_filename
    waiting.value.save_as(kept)
    return kept.read_bytes()


@pytest.mark.parametrize(
    ("width", "script"), [(1280, True), (390, True), (390, False)], ids=["desk", "phone", "phone without JavaScript"]
)
def test_from_the_log_in_to_the_printed_proposal(
    visit: Visit, site: Site, tmp_path: Path, width: int, script: bool
) -> None:
    page = visit(width=width, java_script_enabled=script)
    sign_in(page, site, "owner")
    # A street of its own: the same call taken twice within a minute is one folder, so two runs may not share it.
    street = f"{width + script} Fern Way"
    number = open_folder(page, street)
    measure_all(page, number, live=script)
    price_all(page, number, live=script)
    row = page.locator("tr", has=page.get_by_role("rowheader", name="Price before tax"))
    prices = row.locator("summary").all_text_contents()
    issue(page, number)
    pdf = download(page, tmp_path)

    words = text_of(pdf)
    for said in ("Ada Penhallow", street, f"{number}-A", "532.39", "23.75", "136.06", "692.20"):
        assert said in words
    assert len(prices) == 2
    assert [price for price in prices if price.strip() not in words] == []
    assert ua_faults(pdf) == []
    names = [tag.name for tag in tags_of(pdf)]
    assert {"H1", "H2", "Table", "TH", "Figure"} <= set(names)
    assert bookmarks_of(pdf)[0] == (0, street)
