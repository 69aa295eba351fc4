"""What a paper's HTML may hold. Looked at before anything is set, so that a template's fault is named and nothing
reaches out.

The renderer passes over what it does not know (`<iframe>`, `<script>`) without a word, and it attaches files to a PDF
when asked. So the elements of a paper are a closed list, every address has a known form, and what a screen reader
needs must be there.
"""

from xml.etree.ElementTree import Element

from quoting.documents.press_order import RenderRefused

SVG = "{http://www.w3.org/2000/svg}"

HTML_ELEMENTS = frozenset({
    "html", "head", "meta", "title", "body", "main", "header", "footer", "section", "article", "div", "p", "span",
    "a", "b", "strong", "i", "em", "small", "s", "sub", "sup", "br", "hr", "time", "abbr", "h1", "h2", "h3", "h4",
    "ul", "ol", "li", "dl", "dt", "dd", "blockquote", "figure", "figcaption", "img", "address", "del", "ins", "table",
    "caption", "colgroup", "col", "thead", "tbody", "tfoot", "tr", "th", "td",
})  # fmt: skip
SVG_ELEMENTS = frozenset({
    "svg", "g", "defs", "title", "desc", "path", "line", "polyline", "polygon", "rect", "circle", "ellipse", "text",
    "tspan", "textPath", "pattern", "clipPath", "marker", "symbol", "use", "image",
})  # fmt: skip
LINKS = ("#", "https://", "http://", "mailto:", "tel:")
FORBIDDEN_ATTRIBUTES = frozenset(
    ("style", "srcset", "background", "data", "poster", "action", "formaction", "manifest", "download", "ping")
)
HEADINGS = ("h1", "h2", "h3", "h4")


def check_paper(root: Element) -> None:
    """Raise RenderRefused with the first fault of a parsed paper; say nothing when it may be set."""
    level = 0
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue  # a comment
        _check_element(element)
        if element.tag in HEADINGS:
            deeper = int(element.tag[1])
            if deeper > level + 1:
                raise RenderRefused(f"The headings of the paper jump to <{element.tag}>: “{_text(element)[:40]}”.")
            level = deeper
    title = root.find("./head/title")
    if title is None or not _text(title):
        raise RenderRefused("The paper has no title.")


def _check_element(element: Element) -> None:
    """One element, its attributes, and what it must have for someone who can't see it."""
    tag = element.tag
    in_svg = tag.startswith(SVG)
    name = tag.removeprefix(SVG)
    if name not in (SVG_ELEMENTS if in_svg else HTML_ELEMENTS):
        raise RenderRefused(f"The element <{name.rpartition('}')[2][:30]}> has no place on a paper.")
    for attribute, value in element.attrib.items():
        _check_attribute(name, attribute.rpartition("}")[2].lower(), value, in_svg)
    if tag == "img" and not element.get("alt", "").strip():
        raise RenderRefused(f"The image “{element.get('src', '')[:60]}” has no alternative text.")
    if name == "svg" and not _text(element.find(f"{SVG}title")):
        raise RenderRefused("A drawing on the paper has no title.")
    if tag == "table":
        if element.get("role") in ("presentation", "none"):
            raise RenderRefused("A table is used for layout: use a block with the class cols instead.")
        if element.find(".//th") is None:
            raise RenderRefused("A table has no header cells.")


def _check_attribute(element: str, attribute: str, value: str, in_svg: bool) -> None:
    """No way out of the paper through an attribute: only links of known kinds, own images, and names within the
    paper.
    """
    place = f"{attribute} of <{element}>"
    if attribute in FORBIDDEN_ATTRIBUTES or attribute.startswith("on") or attribute == "base":
        raise RenderRefused(f"The attribute {place} has no place on a paper.")
    if attribute == "rel" and "attachment" in value.lower():
        raise RenderRefused("A paper has no attachments.")
    if attribute == "src" or (attribute == "href" and element == "image"):
        if not value.startswith("image:"):
            raise RenderRefused(f"The paper asks for “{value[:80]}”, which is not one of its own images.")
    elif attribute == "href":
        if not value.lower().startswith(LINKS[:1] if in_svg and element != "a" else LINKS):
            raise RenderRefused(
                f"The paper leads to “{value[:80]}”: only web, mail and telephone addresses may be linked."
            )
    elif in_svg and "url(" in value.lower().replace(" ", "") and not value.strip().startswith("url(#"):
        raise RenderRefused(f"The {place} asks for “{value[:80]}”, which is not on the paper.")


def _text(element: Element | None) -> str:
    """All text of an element, trimmed."""
    return "" if element is None else "".join(element.itertext()).strip()
