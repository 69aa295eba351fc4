"""What the style sheet of the papers promises: no widow heading, no row cut, no total alone, nothing too pale."""

import io
import re

import pytest
from fontTools.ttLib import TTFont

from quoting.documents.accent import contrast
from quoting.documents.render import FONT_FILES, STYLE_SHEET, render_pdf
from tests.reading_pdf import pages_of, picture_of, text_of
from tests.sample_paper import DATE, clause, paper

ROWS = "".join(f'<tr><th scope="row">Row {n}<br>second line {n}</th><td class="n">1.00</td></tr>' for n in range(1, 5))
TABLE = (
    '<table><thead><tr><th scope="col" class="w60">Step</th><th scope="col" class="n">Price</th></tr></thead>'
    f'<tbody>{ROWS}<tr class="sum"><th scope="row">In all</th><td class="n">4.00</td></tr></tbody></table>'
)
HEIGHTS = range(620, 860, 24)  # px of a drawing that pushes what follows to and over the end of the first page


def pushed_down(height: int, body: str) -> list[str]:
    """The pages of a paper where `body` begins that far down."""
    drawing = f'<svg width="10" height="{height}"><title>Space</title></svg>'
    return pages_of(render_pdf(paper(drawing + body), document_date=DATE))


@pytest.mark.parametrize("height", HEIGHTS)
def test_a_total_never_parts_from_its_table_and_no_row_is_cut(height):
    pages = pushed_down(height, clause("Price", TABLE))
    for page in pages:
        assert ("In all" not in page) or ("Row 4" in page)
        assert re.findall(r"Row (\d)", page) == re.findall(r"second line (\d)", page)
        assert ("second line" not in page) or ("Step" in page)


@pytest.mark.parametrize("height", HEIGHTS)
def test_a_heading_never_stands_alone_at_the_foot_of_a_page(height):
    beside = clause("Warranty", f"<p>{'Two years against peeling. ' * 12}</p>")
    above = '<section class="clause whole"><h2>Warranty</h2><p>Two years against peeling.</p></section>'
    for body in (beside, above):
        first = pushed_down(height, body)[0]
        assert ("Warranty" in first) == ("Two years" in first)


def test_fixed_columns_take_their_width_from_the_header_cells():
    # 60 % of 5.65 in is 3.39 in: a cell of that width holds this text on one line, half of it would not.
    words = "Base tone broomed into the recesses, second"
    head = '<thead><tr><th class="w60">A</th><th>B</th></tr></thead>'
    table = f"<table>{head}<tbody><tr><th>{words}</th><td>1</td></tr></tbody></table>"
    (page,) = pages_of(render_pdf(paper(clause("Work", table)), document_date=DATE))
    assert words in page


def test_a_long_name_takes_a_second_line_of_the_foot_and_stays_on_the_page():
    html = paper("<p>x</p>").replace(
        "Ferrow &amp; Daughter", "Ferrow and Daughter, Restoring Colour and Sealer on Stone " * 3
    )
    pdf = render_pdf(html, document_date=DATE)
    margin = picture_of(pdf).convert("L").crop((0, 0, 60, 1100))
    assert ("page 1 of 1" in text_of(pdf), margin.getextrema()) == (True, (255, 255))


def test_every_colour_of_text_can_be_read_on_white():
    # WCAG 2.2, 1.4.3: 4.5 : 1. The accent is made readable by accent.py.
    sheet = STYLE_SHEET.read_text(encoding="utf-8")
    colours = set(re.findall(r"[{;]\s*color: (#[0-9a-f]{6})", sheet))
    assert colours == {"#16191b", "#454b4e"}
    assert [colour for colour in sorted(colours) if contrast(colour, "#ffffff") < 4.5] == []


@pytest.mark.parametrize("address", FONT_FILES)
def test_every_figure_of_a_font_has_the_same_width(address):
    font = TTFont(io.BytesIO(FONT_FILES[address][2].read_bytes()))
    letters, widths = font.getBestCmap(), font["hmtx"]
    assert len({widths[letters[ord(figure)]][0] for figure in "0123456789"}) == 1


def test_the_style_sheet_loads_nothing():
    assert re.findall(r"url\(|@import|@font-face", STYLE_SHEET.read_text(encoding="utf-8")) == []
