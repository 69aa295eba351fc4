"""What mails say, and the one frame that they have."""

from datetime import UTC, date, datetime

import pytest

from quoting.documents.letters import first_words, letter, one_line
from quoting.models import Firm

FIRM = Firm(name="Ferrow & Daughter", street="2 Kiln Lane", town="Larkmere", phone="555-0100", accent="#ffcc00")


def test_the_proposals_first_words():
    subject, words = first_words(
        "proposal", number="0417-A", place="18 Alder Row", customer="Priya and Tom Wexley", pages=4,
        valid_until=date(2026, 6, 30), writer="Ines Ferrow",
    )  # fmt: skip
    assert subject == "Proposal 0417-A: 18 Alder Row"
    assert words.startswith("Dear Priya and Tom Wexley,\n\nHere is our proposal 0417-A for 18 Alder Row.")
    assert "\n\n{link}\n\n" in words
    assert "attached as a PDF of 4\u00a0pages.\n\nIt stands until 30\u00a0June 2026." in words
    assert words.endswith("With kind regards,\nInes Ferrow")


def test_an_offer_without_a_last_day_says_none():
    _, words = first_words("proposal", number="0417-A", place="x", customer="y", pages=1, valid_until=None, writer="z")
    assert "stands until" not in words
    assert "a PDF of 1\u00a0page. If something" in words


def test_the_follow_up_says_when_it_was_sent():
    subject, words = first_words(
        "follow_up", number="0417-A", place="18 Alder Row", customer="Priya", valid_until=date(2026, 6, 30),
        sent=datetime(2026, 6, 1, 17, 0, tzinfo=UTC), writer="Ines",
    )  # fmt: skip
    assert subject == "Your proposal 0417-A: 18 Alder Row"
    assert "On 1\u00a0June 2026 we sent you our proposal 0417-A" in words
    assert "\n\n{link}\n\nThe proposal stands until 30\u00a0June 2026. If it isn’t for you" in words


def test_nobody_elses_words_move_the_link():
    _, words = first_words(
        "answer", number="1", place="x", customer="{link}", asked="{link}?", answer="yes", writer="I"
    )
    assert words.count("{link}") == 1


def test_words_are_not_escaped_in_plain_text():
    subject, words = first_words(
        "answer", paper_name="proposal", number="1", place="Oak & Elm", customer="Tom", asked="<b>?", answer='"yes"',
        writer="I",
    )  # fmt: skip
    assert 'for Oak & Elm:\n\n<b>?\n\nOur answer:\n\n"yes"' in words
    assert subject == "Your question about proposal 1"


def test_the_plain_letter_ends_with_the_letterhead():
    text, _ = letter(FIRM, subject="Hello", words="Dear Tom,\r\n\r\nyes.\r\n")
    assert text == "Dear Tom,\n\nyes.\n\n-- \nFerrow & Daughter\n2 Kiln Lane\nLarkmere\n555-0100"


def test_the_html_letter_escapes_everything_and_darkens_the_accent():
    _, html = letter(FIRM, subject="<x>", words="<script>go()</script>\nsecond line\n\n{link}", with_link=True)
    assert "<script>" not in html
    assert "&lt;script&gt;go()&lt;/script&gt;<br>\nsecond line" in html
    assert "#ffcc00" not in html
    assert html.count('href="{link}"') == 2


def test_without_a_link_the_marker_is_only_words():
    _, html = letter(FIRM, subject="x", words="{link}")
    assert 'href="' not in html
    assert "{link}</p>" in html


@pytest.mark.parametrize(
    ("words", "line"),
    [("a\r\nb", "a b"), ("a\u2028b", "a b"), ("  a \t b ", "a b"), ("a\x00b", "a b"), ("größer", "größer")],
)
def test_a_subject_is_one_line(words, line):
    assert one_line(words) == line
