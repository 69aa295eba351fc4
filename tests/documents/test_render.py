"""Real papers, printed by the real press and read back."""

import io
import subprocess
import sys
import threading
from datetime import datetime, timedelta, timezone

import pytest
from django.template import Context, Engine
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from quoting.documents.accent import readable_accent
from quoting.documents.press_client import PROJECT, Press
from quoting.documents.press_order import Order, PaperNotPrinted, RenderCrashed, RenderRefused, RenderTooLarge
from quoting.documents.render import Composer, render_pdf
from tests.reading_pdf import (
    Tag,
    bookmarks_of,
    colours_of,
    facts_of,
    fonts_of,
    pages_of,
    picture_of,
    size_of,
    structure_faults,
    structure_of,
    tags_of,
    text_of,
    ua_faults,
)
from tests.sample_paper import DATE, paper, photo, plan, reference_paper

RICH = paper(
    '<section class="clause"><div class="margin"><h2>What we saw</h2></div><p>Dry, 75 °F.</p>'
    '<figure class="photo"><img src="image:deck.jpg" alt="The deck, half wet"><figcaption>Wet</figcaption></figure>'
    '</section><section class="clause"><div class="margin"><h2>Price</h2></div>'
    '<table><thead><tr><th scope="col" class="w60">What</th><th scope="col" class="n">Price</th></tr></thead>'
    '<tbody><tr><th scope="row">Seal</th><td class="n">1,810.00</td></tr>'
    '<tr class="sum"><th scope="row">In all</th><td class="n">1,810.00</td></tr></tbody></table></section>'
    f"{plan(6)}"
)


def printed(body: str, **more) -> bytes:
    return render_pdf(paper(body), document_date=DATE, **more)


@pytest.fixture(scope="module")
def rich() -> bytes:
    return render_pdf(RICH, images={"deck.jpg": photo()}, document_date=DATE)


# What is printed.


def test_a_paper_reads_back_with_its_foot():
    assert text_of(printed("<p>Wash and reseal, 920.00</p>")) == (
        "18 Alder Row Wash and reseal, 920.00 Ferrow & Daughter Proposal 0417-B page 1 of 1"
    )


def test_each_page_counts_itself_and_all():
    pages = pages_of(printed('<p>one</p><section class="clause page whole"><h2>Two</h2></section>'))
    assert [page.splitlines()[-1].rpartition("page")[2] for page in pages] == [" 1 of 2", " 2 of 2"]


@pytest.mark.parametrize(
    ("paper_size", "points"),
    # Letter is 8.5 × 11 in: 612 × 792 points. A4 is 210 × 297 mm: 595.28 × 841.89 points (ISO 216).
    [("letter", (612, 792)), ("a4", (595, 842))],
)
def test_the_sheet_has_the_firms_size(paper_size, points):
    assert size_of(printed("<p>x</p>", paper=paper_size)) == points


def test_the_firms_accent_is_printed_darkened():
    body = '<p class="hand">Overdue</p>'
    assert readable_accent("#ffcc00") in colours_of(printed(body, accent="#ffcc00"))


def test_without_an_accent_the_hand_is_oxide():
    assert "#8a2b17" in colours_of(printed('<p class="hand">Overdue</p>'))


def test_the_date_is_the_papers_own():
    facts = facts_of(printed("<p>x</p>"))
    assert (facts["CreationDate"], facts["ModDate"]) == ("D:20260612093000Z", "D:20260612093000Z")


def test_the_date_is_kept_in_utc():
    # 20:00 at five hours behind UTC is 01:00 of the next day.
    evening = datetime(2026, 6, 12, 20, tzinfo=timezone(-timedelta(hours=5)))
    assert facts_of(render_pdf(paper("<p>x</p>"), document_date=evening))["CreationDate"] == "D:20260613010000Z"


def test_the_same_paper_is_the_same_bytes_in_two_processes(rich):
    other = Press()
    try:
        again = other.print_paper(Order(html=RICH, images={"deck.jpg": photo()}, document_date=DATE))
    finally:
        other.close()
    assert again == rich


def test_another_date_gives_other_bytes(rich):
    later = render_pdf(RICH, images={"deck.jpg": photo()}, document_date=DATE + timedelta(days=1))
    assert later != rich


def test_the_reference_paper_has_four_pages_and_stays_under_a_megabyte():
    html, images = reference_paper()
    pdf = render_pdf(html, images=images, document_date=DATE)
    assert (len(pages_of(pdf)), len(pdf) < 1_000_000) == (4, True)


def test_a_photograph_is_sampled_down():
    # 3200 pixels on 7 inches are 457 dots an inch; at 150 the bytes are about a ninth.
    large = photo(9, 3200, 2400)
    pdf = printed('<p><img src="image:large.jpg" alt="Deck"></p>', images={"large.jpg": large})
    assert len(pdf) < len(large) / 3


@pytest.mark.parametrize(
    "text", ["12′ 6″ × 4 − 3 · ½", "Ø 6′, ≥ 5 °F, ⅛ in", "José Muñoz, Łódź", "5\u202fft", "a\u00adb"]
)
def test_the_letters_of_the_trade_are_in_the_fonts(text):
    pdf = printed(f"<p>{text}</p><p class='sans'>{text}</p>")
    assert all("Source" in name for name in fonts_of(pdf))


def test_text_is_legible_in_black_and_white():
    # The accent, the notes and the rules of a paper all become greys; the darkest part of a note must stay dark.
    grey = picture_of(printed('<p class="note">Prices before sales tax</p>', accent="#ffee00")).convert("L")
    assert grey.crop((70, 90, 400, 160)).getextrema()[0] < 110


# What is refused.


@pytest.mark.parametrize(
    "body",
    [
        '<img src="file:///etc/passwd" alt="x">',
        '<img src="http://example.com/x.png" alt="x">',
        '<img src="data:text/html;base64,PHA+" alt="x">',
        '<style>@import "http://example.com/x.css";</style>',
        '<svg width="9" height="9"><title>t</title><image href="http://example.com/x.png" width="9" height="9"/></svg>',
        '<svg width="9" height="9"><title>t</title><use href="file:///etc/passwd#a"/></svg>',
        '<iframe src="http://example.com"></iframe>',
        '<object data="file:///etc/passwd"></object>',
        '<embed src="file:///etc/passwd">',
        '<a rel="attachment" href="file:///etc/passwd">x</a>',
        '<link rel="attachment" href="file:///etc/passwd">',
        "<math><mi>x</mi></math>",
    ],
)
def test_a_paper_can_not_reach_out(body):
    with pytest.raises(RenderRefused):
        printed(body)


def test_an_image_that_was_not_given_is_refused():
    with pytest.raises(RenderRefused, match=r"asks for “image:missing\.jpg”"):
        printed('<img src="image:missing.jpg" alt="x">')


def test_an_image_that_was_not_given_is_refused_in_a_drawing_too():
    with pytest.raises(RenderRefused, match=r"asks for “image:missing\.jpg”"):
        printed(
            '<svg width="9" height="9"><title>t</title><image href="image:missing.jpg" width="9" height="9"/></svg>'
        )


@pytest.mark.parametrize(
    "rule",
    [
        "body { background: url(file:///etc/passwd) }",
        "body { background: url(http://example.com/x.png) }",
        "body { background: url(data:image/png;base64,AAAA) }",
        '@import "http://example.com/x.css";',
        "@font-face { font-family: x; src: url(file:///etc/passwd) }",
        "p::before { content: url(ftp://example.com/x) }",
    ],
)
def test_the_fetcher_itself_lets_nothing_through(rule, tmp_path):
    # A style element never gets this far (see test_paper_check), so a composer is given a style sheet that reaches out.
    class Reaching(Composer):
        def _varied(self, order, fetcher):
            return self._weasyprint.CSS(string=rule, url_fetcher=fetcher, font_config=self._fonts)

    with pytest.raises(RenderRefused, match="not one of its own images"):
        Reaching().set_paper(Order(html=paper("<p>x</p>"), document_date=DATE))


def test_a_style_the_renderer_does_not_know_fails_the_paper():
    class Careless(Composer):
        def _varied(self, order, fetcher):
            return self._weasyprint.CSS(string="p { colour: red }", url_fetcher=fetcher)

    with pytest.raises(RenderRefused, match="found a fault"):
        Careless().set_paper(Order(html=paper("<p>x</p>"), document_date=DATE))


def test_what_a_person_typed_is_printed_as_typed():
    typed = '<img src=file:///etc/passwd> & </p><script>"x"</script>'
    html = Engine().from_string(paper("<p>{{ note }}</p>")).render(Context({"note": typed}))
    assert typed in text_of(render_pdf(html, document_date=DATE))


@pytest.mark.parametrize(("letter", "code"), [("王", "U+738B"), ("🙂", "U+1F642"), ("⌀", "U+2300")])
def test_a_letter_that_the_fonts_lack_is_named(letter, code):
    with pytest.raises(RenderRefused) as refused:
        printed(f"<p>for {letter}</p>")
    assert refused.value.sentence == (
        f"The paper's fonts have no letter for “{letter}” ({code}). Write it in another way."
    )


@pytest.mark.parametrize(
    "data", [b"", b"GIF89a" + b"\0" * 20, photo()[:-2000], b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"%!PS-Adobe"]
)
def test_only_whole_photographs_are_printed(data):
    with pytest.raises(RenderRefused, match="not a whole JPEG or PNG"):
        printed('<img src="image:x" alt="x">', images={"x": data})


def test_a_file_that_only_looks_like_a_photograph_is_refused():
    with pytest.raises(RenderRefused, match="can't be read"):
        printed('<img src="image:x" alt="x">', images={"x": b"\xff\xd8\xff" + b"\0" * 500 + b"\xff\xd9"})


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"paper": "legal"}, "not a paper size"),
        ({"language": "en; x"}, "tag of a language"),
        ({"images": {"../x": photo()}}, "name of an image"),
        ({"document_date": datetime(2026, 6, 12)}, "no time zone"),  # noqa: DTZ001 (the fault that is looked for)
    ],
)
def test_an_order_that_makes_no_sense_is_refused(more, sentence):
    with pytest.raises(RenderRefused, match=sentence):
        render_pdf(paper("<p>x</p>"), **{"document_date": DATE} | more)


# What would take the machine down.


@pytest.mark.parametrize(
    ("size", "sentence"),
    # 51 and 170 megapixels: over our limit, under Pillow's own (which warns at 89, refuses at 179); 400: over both.
    [((8_500, 6_000), "50 megapixels"), ((17_000, 10_000), "50 megapixels"), ((20_000, 20_000), "can't be read")],
)
def test_a_photograph_that_would_fill_the_memory_is_refused_by_its_header(size, sentence):
    file = io.BytesIO()
    Image.new("1", size).save(file, "PNG")
    with pytest.raises(RenderRefused, match=sentence):
        printed('<img src="image:x.png" alt="x">', images={"x.png": file.getvalue()})


@pytest.mark.parametrize("depth", [2_000, 6_000])
def test_a_paper_nested_without_end_is_refused_and_the_next_is_printed(depth):
    with pytest.raises((RenderRefused, RenderCrashed, RenderTooLarge)):
        printed("<div>" * depth + "x")
    assert "still here" in text_of(printed("<p>still here</p>"))


def paper_or_sentence(body: str) -> bool:
    """Whether printing ends in one of the two ways there are."""
    try:
        return printed(body).startswith(b"%PDF")
    except PaperNotPrinted as failure:
        return bool(failure.sentence)


@pytest.mark.parametrize("size", ["1e30", "99999999", "-5", "NaN", "10%", ""])
def test_a_drawing_of_an_absurd_size_is_printed_or_refused(size):
    view = f'width="{size}" height="{size}" viewBox="0 0 1e30 {size}"'
    assert paper_or_sentence(f'<svg {view}><title>t</title><path d="M0 0L1e30 9"/></svg>')


PIECES = [
    "<table>", "<tr>", "<td>", "<th colspan=99>", "</p>", "<svg>", "<path d='M0 0h'>", "<li>", "<b>", "<h2>", "<title>",
    "<img src=image:x alt=y>", "&#0;", "\x01", "<text>", "<!--", "]]>", "<dl><dt>", "9" * 400,
]  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=12))
def test_any_broken_markup_ends_in_a_paper_or_a_sentence(pieces):
    assert paper_or_sentence("".join(pieces))


def test_four_threads_get_their_own_papers():
    papers: dict[int, str] = {}

    def one(number: int) -> None:
        papers[number] = text_of(printed(f"<p>Paper {number}</p>"))

    threads = [threading.Thread(target=one, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [f"Paper {number}" in papers[number] for number in range(4)] == [True] * 4


def test_the_web_process_never_loads_the_renderer():
    loaded = "import sys, quoting.documents.render; print('weasyprint' in sys.modules)"
    assert (
        subprocess.run([sys.executable, "-c", loaded], cwd=PROJECT, capture_output=True, text=True).stdout == "False\n"
    )


# What a screen reader needs (PDF/UA-1's conventions).


def test_nothing_is_missing_that_a_program_can_look_for(rich):
    assert ua_faults(rich) == []


def test_the_reference_paper_lacks_nothing_either():
    html, images = reference_paper()
    assert ua_faults(render_pdf(html, images=images, document_date=DATE)) == []


def test_the_rules_find_what_is_missing():
    file = io.BytesIO()
    Image.new("RGB", (10, 10)).save(file, "PDF")
    assert ua_faults(file.getvalue()) == [
        "it is not marked as tagged",
        "its language is 'missing', not 'en'",
        "its title is not shown",
        "it has no title",
        "it does not say that it follows PDF/UA-1",
        "it has no bookmarks",
        "a page does not follow the structure when tabbed through",
        "the structure is not one tree under one document",
        "there is no heading",
    ]


def test_the_rules_find_faults_of_structure():
    tree = [Tag("Document", children=(Tag("H2"), Tag("Figure"), Tag("Table", children=(Tag("TR"),))))]
    assert structure_faults(tree) == [
        "the headings jump from level 0 to H2",
        "a figure has no alternative text",
        "a table has no header cells",
    ]


def test_there_is_one_tree(rich):
    assert [top.name for top in structure_of(rich)] == ["Document"]


def test_headings_follow_one_another(rich):
    assert [tag.name for tag in tags_of(rich) if tag.name.startswith("H") and tag.name != "H"] == ["H1", "H2", "H2"]


def test_photographs_and_drawings_say_what_they_show(rich):
    assert [tag.alt for tag in tags_of(rich) if tag.name == "Figure"] == ["The deck, half wet", "Plan to scale"]


def test_the_foot_is_no_table_of_data(rich):
    assert [tag.name for tag in tags_of(rich)].count("Table") == 1


def test_header_cells_are_header_cells(rich):
    assert [tag.name for tag in tags_of(rich) if tag.name in ("TH", "TD")] == ["TH", "TH", "TH", "TD", "TH", "TD"]


def test_every_heading_is_a_bookmark(rich):
    assert bookmarks_of(rich) == [(0, "18 Alder Row"), (1, "What we saw"), (1, "Price")]


def test_the_language_is_the_papers():
    assert ua_faults(printed("<h2>Losa</h2>", language="es"), "es") == []


def test_only_the_houses_fonts_are_in_it_and_whole(rich):
    assert {name.partition("+")[2]: sound for name, sound in fonts_of(rich).items()} == {
        "Source-Sans-Pro": True,
        "Source-Sans-Pro-Semi-Bold": True,
        "Source-Serif-Pro": True,
        "Source-Serif-Pro-Semi-Bold": True,
    }
