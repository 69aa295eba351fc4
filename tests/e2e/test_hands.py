"""What hands do: the keyboard alone, a double click, two at once."""

from playwright.sync_api import Page, expect

from tests.e2e.conftest import Visit

OUTLINE = "getComputedStyle(document.activeElement).outlineStyle"
LABEL = "document.activeElement.labels?.[0]?.innerText ?? document.activeElement.innerText"


def tab_to(page: Page, words: str) -> None:
    """Press Tab until what has the focus is called so; every stop on the way shows that it has it."""
    for _ in range(40):
        page.keyboard.press("Tab")
        assert page.evaluate(OUTLINE) != "none", page.evaluate("document.activeElement.outerHTML")
        if words in (page.evaluate(LABEL) or ""):
            return
    raise AssertionError(f"Tab never came to “{words}”")


def test_a_folder_is_opened_with_the_keyboard_alone(visit: Visit) -> None:
    page = visit("office", width=390)
    page.goto("/folders/new/")
    page.keyboard.press("Tab")
    assert page.evaluate(LABEL) == "To the page"
    page.keyboard.press("Enter")
    expect(page.locator("#main")).to_be_focused()
    for label, words in (
        ("Who rang", "Ned Ashdown"),
        ("Street and number", "7 Kestrel Row"),
        ("What they asked", "Seal it."),
    ):
        tab_to(page, label)
        page.keyboard.type(words)
    tab_to(page, "The rest, if they said it")
    page.keyboard.press("Space")
    tab_to(page, "Last sealed")
    page.keyboard.type("never")
    tab_to(page, "Open the folder")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("7 Kestrel Row")
    expect(page.locator("#main")).to_contain_text("never")


def test_a_double_click_issues_one_paper(visit: Visit) -> None:
    page = visit("owner")
    page.goto("/papers/0417-A/")
    revise = page.get_by_role("button", name="Revise it")
    if revise.count():  # a draft of the next revision may be there already
        revise.click()
    page.goto("/folders/0417/proposal/issue/")
    page.get_by_role("button", name="Issue 0417-B").dblclick()
    page.wait_for_url("**/papers/0417-B/")
    page.goto("/folders/0417/papers/")
    numbers = page.get_by_role("rowheader").all_inner_texts()
    assert numbers == ["0417-B", "0417-A"]
