"""What a browser sends back from a page with forms when nothing was typed."""

from html.parser import HTMLParser

from django.http import HttpResponse


class _Blanks(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.sent: dict[str, str | list[str]] = {}
        self.select = ""
        self.text = ""
        self.forms: list[bool] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        name = given.get("name", "")
        if tag == "form":
            self.forms.append(given.get("method") == "post" and not given.get("action"))
        if not (self.forms and self.forms[-1]):
            return
        if tag == "input" and name:
            ticked = given.get("type") not in {"checkbox", "radio"} or "checked" in given
            if given.get("type") == "checkbox" and ticked and name in self.sent:
                before = self.sent[name]
                self.sent[name] = [*(before if isinstance(before, list) else [before]), given.get("value", "on")]
            elif ticked and given.get("type") != "file":
                self.sent[name] = given.get("value", "on" if given.get("type") == "checkbox" else "")
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and ("selected" in given or self.select not in self.sent):
            self.sent[self.select] = given.get("value", "")
        elif tag == "textarea":
            self.text = name
            self.sent[name] = ""

    def handle_data(self, data: str) -> None:
        if self.text:
            self.sent[self.text] = str(self.sent[self.text]) + data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.sent[self.text] = str(self.sent[self.text]).removeprefix("\n")
            self.text = ""
        elif tag == "select":
            self.select = ""
        elif tag == "form" and self.forms:
            self.forms.pop()


def sent_from(page: HttpResponse) -> dict[str, str | list[str]]:
    """The fields of the page's own form (posted to the page itself), as they stand."""
    parser = _Blanks()
    parser.feed(page.content.decode())
    return parser.sent
