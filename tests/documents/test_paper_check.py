"""A paper that reaches out, or that can't be read aloud, is refused by name before anything is set."""

from xml.etree.ElementTree import fromstring

import pytest

from quoting.documents.paper_check import check_paper
from quoting.documents.press_order import RenderRefused

HEAD = "<html><head><title>Proposal</title></head><body><h1>18 Alder Row</h1>"
XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'


def whole(body: str) -> str:
    return f"{HEAD}{body}</body></html>"


def drawing(inside: str) -> str:
    return whole(f'<svg xmlns="http://www.w3.org/2000/svg" {XLINK}><title>Plan</title>{inside}</svg>')


@pytest.mark.parametrize(
    "fine",
    [
        '<p>Words <a href="mailto:office@example.com">mail</a> <a href="#terms">x</a></p>',
        '<p><a href="tel:5550142">555-0142</a></p>',
        '<p><a href="https://quotes.example.com/p">page</a></p><!-- a comment -->',
        '<img src="image:deck.jpg" alt="The deck"/>',
        '<table><tr><th scope="row">Sum</th><td class="n">1</td></tr></table>',
        "<h2>One</h2><h3>Deeper</h3><h2>Back</h2>",
    ],
)
def test_what_a_paper_may_hold(fine):
    assert check_paper(fromstring(whole(fine))) is None  # noqa: S314 (our own text)


def test_a_drawing_may_refer_to_itself():
    body = drawing(
        '<defs><pattern id="a"/></defs><path fill="url(#a)"/><use xlink:href="#a"/><image href="image:x.png"/>'
    )
    assert check_paper(fromstring(body)) is None  # noqa: S314 (our own text)


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (whole('<img src="file:///etc/passwd" alt="x"/>'), "file:///etc/passwd"),
        (whole('<img src="http://example.com/x.png" alt="x"/>'), "not one of its own images"),
        (whole('<img src="//example.com/x.png" alt="x"/>'), "not one of its own images"),
        (whole('<img src="data:text/html,x" alt="x"/>'), "data:text/html"),
        (whole('<img src="data:image/svg+xml,x" alt="x"/>'), "not one of its own images"),
        (whole('<img src="image:x.png" srcset="http://example.com/2x.png 2x" alt="x"/>'), "srcset of <img>"),
        (whole('<iframe src="http://example.com"/>'), "<iframe> has no place"),
        (whole('<object data="file:///etc/passwd"/>'), "<object> has no place"),
        (whole('<embed src="file:///etc/passwd"/>'), "<embed> has no place"),
        (whole("<script>1</script>"), "<script> has no place"),
        (whole('<style>@import "http://example.com/x.css";</style>'), "<style> has no place"),
        (whole('<link rel="stylesheet" href="http://example.com/x.css"/>'), "<link> has no place"),
        (whole('<link rel="attachment" href="file:///etc/passwd"/>'), "<link> has no place"),
        (whole('<base href="file:///"/>'), "<base> has no place"),
        (whole('<form action="http://example.com"/>'), "<form> has no place"),
        (whole('<input type="text"/>'), "<input> has no place"),
        (whole('<p style="background: url(file:///etc/passwd)">x</p>'), "style of <p>"),
        (whole('<p onclick="x">x</p>'), "onclick of <p>"),
        (whole('<a rel="attachment" href="https://example.com/x">x</a>'), "no attachments"),
        (whole('<a href="file:///etc/passwd">x</a>'), "only web, mail and telephone"),
        (whole('<a href="javascript:alert(1)">x</a>'), "only web, mail and telephone"),
        (whole('<a href="/etc/passwd">x</a>'), "only web, mail and telephone"),
        (drawing('<image href="http://example.com/x.png"/>'), "not one of its own images"),
        (drawing('<image xlink:href="file:///etc/passwd"/>'), "not one of its own images"),
        (drawing('<use href="http://example.com/x.svg#a"/>'), "x.svg#a"),
        (drawing('<path fill="url(http://example.com/x.svg#a)"/>'), "which is not on the paper"),
        (drawing("<foreignObject/>"), "<foreignObject> has no place"),
        (drawing("<style>x</style>"), "<style> has no place"),
        (drawing("<script>x</script>"), "<script> has no place"),
        (whole('<img src="image:x.png"/>'), "no alternative text"),
        (whole('<img src="image:x.png" alt=" "/>'), "no alternative text"),
        (whole('<svg xmlns="http://www.w3.org/2000/svg"/>'), "drawing on the paper has no title"),
        (whole('<table role="presentation"><tr><th>x</th></tr></table>'), "used for layout"),
        (whole("<table><tr><td>x</td></tr></table>"), "no header cells"),
        (whole("<h3>Too deep</h3>"), "jump to <h3>: “Too deep”"),
        ("<html><head><title> </title></head><body/></html>", "no title"),
        ("<html><head/><body/></html>", "no title"),
    ],
)
def test_what_a_paper_may_not_hold(body, sentence):
    with pytest.raises(RenderRefused) as refused:
        check_paper(fromstring(body))  # noqa: S314 (our own text)
    assert sentence in refused.value.sentence
