"""Every page that a person can reach by following links: a GET writes nothing, and the crew is shown no money."""

import re
from collections.abc import Iterable
from html import unescape

import pytest
from django.db import connection, reset_queries
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from quoting.models import Role, User
from quoting.services.demo import demo_people, make_demo
from tests.reading_pdf import text_of

WRITES = re.compile(r"\s*(INSERT|UPDATE|DELETE|REPLACE)\b(?!.*\bdjango_session\b)", re.IGNORECASE | re.DOTALL)
"""The session alone may note when it was last used."""

MONEY_WORDS = re.compile(
    r"\b((?<!as a unit )(?<!no )price[sd]?|"
    r"costs?|margin|markup|profit|overhead|discount|deposit|invoice|tax|total|USD)\b|\$",
    re.IGNORECASE,
)
"""Words of money. Advice may tell anyone to quote something “as a unit price”; it says no figure; the crew's calendar
says that it holds no price."""


@pytest.fixture
def demo(db: None) -> None:
    """The demo as a new user has it, its papers printed."""
    make_demo(passwords={person["email"]: "a long enough password" for person in demo_people()}, say=lambda text: None)


def signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(User.objects.get(role=role))
    return client


def links_of(answer: HttpResponse) -> Iterable[str]:
    """The addresses of our own that a page leads to, its pictures and style sheets too, in the order of the page."""
    if not answer.headers["Content-Type"].startswith("text/html"):
        return ()
    found = re.findall(r'(?:href|src|hx-get)="(/[^"#]*)', answer.content.decode())
    return (unescape(each) for each in found if not each.startswith("/static/"))


def content_of(answer: HttpResponse) -> bytes:
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


def words_of(answer: HttpResponse) -> str:
    """What a page, a table or a data file says, its tags apart; nothing of a picture."""
    if answer.headers["Content-Type"].startswith("image/"):
        return ""
    if answer.headers["Content-Type"] == "application/pdf":
        return text_of(content_of(answer))
    return re.sub(r"<(script|style)\b.*?</\1>|<[^>]*>", " ", content_of(answer).decode("utf-8", "replace"), flags=re.S)


def walk(client: Client) -> dict[str, tuple[int, str]]:
    """Status and first written query of every page that can be reached from the desk by links."""
    seen: dict[str, tuple[int, str]] = {}
    waiting = ["/"]
    while waiting:
        url = waiting.pop()
        if url in seen:
            continue
        reset_queries()  # the log is short for a whole walk
        with CaptureQueriesContext(connection) as queries:
            answer = client.get(url)
        written = next((query["sql"] for query in queries if WRITES.match(query["sql"])), "")
        seen[url] = (answer.status_code, written)
        if answer.status_code == 302:
            waiting.append(answer.headers["Location"])
        elif not answer.streaming:
            waiting += links_of(answer)
    return seen


def test_looking_at_any_page_writes_nothing_and_fails_nowhere(demo: None) -> None:
    pages = walk(signed_in(Role.OWNER))
    assert {url: written for url, (_status, written) in pages.items() if written} == {}
    assert {url: status for url, (status, _written) in pages.items() if status not in (200, 302)} == {}
    assert len(pages) > 100  # the walk came through


def test_the_crew_is_shown_no_money_on_any_page_not_even_by_its_address(demo: None) -> None:
    crew = signed_in(Role.CREW)
    own = walk(crew)
    addresses = [*own, *(url for url in walk(signed_in(Role.OWNER)) if url not in own)]
    told = {}
    for url in addresses:
        answer = crew.get(url)
        if answer.status_code == 200 and (found := MONEY_WORDS.search(words_of(answer))):
            told[url] = found[0]
    assert told == {}
    sheets = re.compile(r"/visits/|/slab\.pdf$")  # read above: they hold no money
    assert not [url for url in own if url.endswith(".pdf") and not sheets.search(url)]
