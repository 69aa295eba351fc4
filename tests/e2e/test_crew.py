"""The crew sees what to do and what to load, and no money anywhere."""

import re

import pytest

from tests.e2e.conftest import Visit

MONEY = re.compile(r"\b\d{1,3}(?:,\d{3})*\.\d\d\b")
WORDS = re.compile(r"\b(price|cost|margin|markup|profit|overhead|tax|total)s?\b", re.IGNORECASE)


def test_the_crew_reads_the_work_without_a_price(visit: Visit) -> None:
    office = visit("office")
    office.goto("/papers/0417-A/")
    offered = office.locator("table", has=office.get_by_text("Options and extras"))
    secret = set(MONEY.findall(offered.inner_text()))
    office.goto("/folders/0417/options/")
    for row in ("Materials", "Cost", "Profit", "Price before tax", "Total"):
        figures = office.locator("tr", has=office.get_by_role("rowheader", name=row, exact=True)).locator("summary")
        secret |= set(MONEY.findall(" ".join(figures.all_inner_texts())))
    assert len(secret) > 10
    page = visit("crew", width=390)
    page.goto("/")
    page.get_by_role("link", name="Folders").click()
    page.get_by_role("link", name="18 Alder Row").click()
    page.wait_for_url("**/folders/0417/")
    shown = page.locator("body").text_content() or ""  # what is folded counts as well
    assert [word for word in ("Base tone", "Pool deck", "532.39") if word not in shown] == []
    assert set(MONEY.findall(page.content())) & secret == set()
    assert WORDS.findall(shown) == []


@pytest.mark.parametrize(
    "where",
    [
        "/folders/0417/options/", "/folders/0417/options/new/", "/folders/0417/proposal/", "/folders/0417/papers/",
        "/papers/0417-A/", "/papers/0417-A.pdf", "/prices/", "/prices/1/", "/prices/1/materials.csv", "/firm/",
        "/firm/pricing/", "/people/", "/firm/people/",
    ],
)  # fmt: skip
def test_an_address_with_money_is_shut_to_the_crew(visit: Visit, where: str) -> None:
    answer = visit("crew").request.get(where, max_redirects=0)
    assert answer.status in {403, 404}
    assert MONEY.findall(answer.text()) == []
