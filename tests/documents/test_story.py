from datetime import UTC, datetime

import pytest

from quoting.documents.story import StoryLine, tell
from quoting.models import Event, Paper, User

AT = datetime(2026, 6, 4, 21, 31, tzinfo=UTC)


@pytest.mark.parametrize(
    ("kind", "data", "words"),
    [
        ("folder opened", "{}", "Folder opened."),
        ("area agreed", '{"area":"A","net":"532.39 ft²"}', "Area A agreed with the customer: 532.39 ft² net."),
        ("something new", '{"days":3,"list":[1],"empty":""}', "Something new: days 3."),
        ("something new", "{}", "Something new."),
        (
            "proposal issued",
            '{"pages":4,"pdf_sha256":"' + "9c41" * 16 + '","scopes":[{"role":"option"},{"role":"together"}]}',
            "issued: 1 option, 4 pages, SHA-256 9c419c419c41 …",
        ),
    ],
)
def test_each_event_is_a_sentence(kind, data, words):
    event = Event(at=AT, kind=kind, data=data, actor=User(name="Ines Ferrow"), paper=Paper(number="0417-A"))
    assert tell([event]) == [StoryLine(AT, "Ines", words, "0417-A")]


def test_what_nobody_did_has_no_name_and_no_paper():
    assert tell([Event(at=AT, kind="folder opened", data="{}")]) == [StoryLine(AT, "", "Folder opened.")]
