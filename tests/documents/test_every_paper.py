"""What holds for every kind of paper: nothing runs off the sheet, no page is left half empty, each is a sound PDF."""

import re

import pytest

from tests.reading_pages import CREW, SHEET, Margins, fills_of, glyphs_outside, in_the_foot
from tests.reading_pdf import fonts_of, pages_of, size_of, ua_faults
from tests.sample_papers import folder, papers_of

pytestmark = pytest.mark.django_db

KINDS = [
    "proposal", "evidence", "change-order", "invoice", "receipt", "credit-note", "statement", "pick-list", "mix-sheet",
    "2-pick-list", "2-mix-sheet", "hand-over",
]  # fmt: skip

LONG = "W" * 200
"""Of the widest letter, with no place to break at."""


def printed(**more: object) -> dict[str, bytes]:
    papers = dict(papers_of(*folder(**more)))
    assert list(papers) == KINDS
    return papers


def margins_of(kind: str) -> Margins:
    return CREW if kind.endswith(("pick-list", "mix-sheet")) else SHEET


def test_a_word_without_an_end_runs_off_no_paper():
    papers = printed(words=LONG)
    assert {kind: glyphs_outside(pdf, margins_of(kind)) for kind, pdf in papers.items()} == {kind: [] for kind in KINDS}
    for kind, pdf in papers.items():  # nor into the foot, which is the same on every page but for where it is cut
        feet = {re.sub("W+", "W", foot) for foot in in_the_foot(pdf, margins_of(kind))}
        assert (kind, len(feet)) == (kind, 1)


@pytest.mark.parametrize(
    ("firm", "size"),
    [({"paper_size": "letter", "units": "us"}, (612, 792)), ({"paper_size": "a4", "units": "metric"}, (595, 842))],
    ids=["letter", "a4"],
)
def test_every_paper_is_sound_and_fills_its_pages(firm, size):
    for kind, pdf in printed(**firm).items():
        assert (kind, glyphs_outside(pdf, margins_of(kind))) == (kind, [])
        assert (kind, [fill for fill in before_the_end(kind, pdf) if fill < 0.5]) == (kind, [])
        assert (kind, ua_faults(pdf), size_of(pdf)) == (kind, [], size)
        # A font that is cut down to the letters used has a name that begins with six capitals.
        assert {
            name: sound and bool(re.match(r"[A-Z]{6}\+", name)) for name, sound in fonts_of(pdf).items()
        } == dict.fromkeys(fonts_of(pdf), True)
        assert len(pdf) < 250_000


def before_the_end(kind: str, pdf: bytes) -> list[float]:
    """How full each page is but the last; of a proposal also but the last before the notice, a sheet to tear off."""
    fills = fills_of(pdf, margins_of(kind))[:-1]
    return fills[:-1] if "Notice of cancellation" in pages_of(pdf)[-1] else fills
