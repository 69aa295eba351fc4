"""Reads where things stand on the pages of a printed paper: words outside its margins, how full its pages are.

Coordinates are points, from the lower left corner of a sheet, as pypdfium2 gives them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2
import pypdfium2.raw as pdfium

INCH = 72.0
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """The margins of paper.css in inches."""

    side: float = 0.75
    top: float = 0.65
    foot: float = 0.9


SHEET = Margins()
CREW = Margins(side=0.6, top=0.5, foot=0.7)


def glyphs_outside(pdf: bytes, margins: Margins = SHEET) -> list[str]:
    """Every letter that stands beside the text's width, or lower or higher than a quarter of an inch from the edge of
    the sheet: its page, its place and itself.
    """
    found = []
    for number, page in _pages(pdf):
        width, height = page.get_size()
        for letter, (left, low, right, high) in _glyphs(page):
            beside = left < margins.side * INCH - 1 or right > width - margins.side * INCH + 1
            if beside or low < INCH / 4 or high > height - INCH / 4:
                found.append(f"page {number}: {letter} at {left:.0f}, {low:.0f}")
    return found


def in_the_foot(pdf: bytes, margins: Margins = SHEET) -> list[str]:
    """The letters in the lower margin of each page, without its number."""
    feet = []
    for number, page in _pages(pdf):
        letters = [letter for letter, box in _glyphs(page) if box[3] < margins.foot * INCH - 2]
        feet.append("".join(letters).replace(f"page{number}of", "page of"))
    return feet


def fills_of(pdf: bytes, margins: Margins = SHEET) -> list[float]:
    """How much of the height of each page's text is used, from 0 to 1."""
    fills = []
    for _, page in _pages(pdf):
        _, height = page.get_size()
        top, foot = height - margins.top * INCH, margins.foot * INCH
        lows = [box[1] for _, box in _glyphs(page)]
        lows += [
            each.get_bounds()[1] for each in page.get_objects((pdfium.FPDF_PAGEOBJ_PATH, pdfium.FPDF_PAGEOBJ_IMAGE))
        ]
        fills.append((top - min((low for low in lows if low > foot + 1), default=top)) / (top - foot))
    return fills


def _pages(pdf: bytes) -> Iterator[tuple[int, pypdfium2.PdfPage]]:
    document = pypdfium2.PdfDocument(pdf)
    yield from enumerate(document, start=1)
    document.close()


def _glyphs(page: pypdfium2.PdfPage) -> Iterator[tuple[str, Box]]:
    """Each letter that leaves ink, with its box."""
    text = page.get_textpage()
    for place in range(text.count_chars()):
        letter = text.get_text_range(place, 1)
        box = text.get_charbox(place)
        if letter.strip() and box[2] > box[0]:
            yield letter, box
