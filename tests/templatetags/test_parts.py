"""The parts of a page, as the templates of the rooms include them."""

from html.parser import HTMLParser

import pytest
from django import forms
from django.http import QueryDict
from django.template.loader import render_to_string
from django.test import RequestFactory

from quoting.core.working_lines import WorkingLine

SUM = (
    WorkingLine("", "435.73", "ft², net"),
    WorkingLine("×", "1.12", "texture"),
    WorkingLine("=", "488.01", "ft²"),
    WorkingLine("→", "500", "up to the next hundred"),
)


class Outline(HTMLParser):
    """The tags with their attributes, and the words between them."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        if data.strip():
            self.words.append(" ".join(data.split()))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attrs for name, attrs in self.tags if name == tag]


def part(name: str, **context) -> Outline:
    return Outline(render_to_string(f"parts/_{name}.html", context, RequestFactory().get("/")))


class Deck(forms.Form):
    width = forms.IntegerField(help_text="In feet.")
    note = forms.CharField(required=False)
    side = forms.ChoiceField(choices=[("a", "near"), ("b", "far")], widget=forms.RadioSelect)
    grit = forms.BooleanField()
    ticket = forms.CharField(widget=forms.HiddenInput, required=False)


def test_a_fault_stands_beside_its_field_and_is_tied_to_it():
    page = Outline(Deck({"width": "wide", "side": "a", "grit": "on"})["width"].as_field_group())
    control = page.all("input")[0]
    assert (control["aria-invalid"], control["aria-describedby"]) == ("true", "id_width_helptext id_width_error")
    assert control["value"] == "wide"
    assert [span.get("id") for span in page.all("span")] == ["id_width_helptext", "id_width_error"]
    assert page.words == ["Width", "In feet.", "Enter a whole number."]


def test_every_control_has_its_label():
    form = Deck()
    page = Outline(str(form))
    shown = [control["id"] for control in page.all("input") if control["type"] != "hidden"]
    assert shown == ["id_width", "id_note", "id_side_0", "id_side_1", "id_grit"]
    assert {label["for"] for label in page.all("label")} == set(shown)


def test_choices_are_a_group_with_a_name_and_its_fault():
    page = Outline(Deck({})["side"].as_field_group())
    assert page.all("fieldset") == [{"class": "choices bad", "aria-describedby": "id_side_error"}]
    assert page.words == ["Side", "near", "far", "This field is required."]


def test_the_summary_leaps_to_each_field():
    page = part("errors", forms=Deck({"width": "wide"}))
    assert [link["href"] for link in page.all("a")] == ["#id_width", "#id_side", "#id_grit"]
    assert page.words[:2] == ["Three things to mend", "Width: Enter a whole number."]
    assert page.all("div")[0]["role"] == "alert"


def test_what_leads_nowhere_is_in_the_summary_without_a_link():
    form = Deck({"width": "3", "side": "a", "grit": "on"})
    form.add_error(None, "The deck is not closed.")
    page = part("errors", forms=form)
    assert (page.words, page.all("a")) == (["One thing to mend", "The deck is not closed."], [])


def test_a_form_that_is_right_or_new_has_no_summary():
    assert part("errors", forms=Deck()).tags == []
    assert part("errors", forms=Deck({"width": "3", "side": "a", "grit": "on"})).tags == []


def test_what_was_typed_can_never_become_markup():
    form = Deck({"width": "<b onclick=x>"})
    page = part("errors", forms=form)
    assert "b" not in {tag for tag, _ in page.tags + Outline(str(form)).tags}


def test_a_figure_opens_to_its_sum():
    page = part("working", figure="500", lines=SUM)
    assert [row.get("class") for row in page.all("tr")] == [None, None, "line", "end"]
    assert page.words == [
        "500",
        *("435.73", "ft², net", "×", "1.12", "texture", "=", "488.01", "ft²", "→", "500", "up to the next hundred"),
    ]
    assert "open" not in page.all("details")[0]


def test_a_figure_without_a_sum_is_just_the_figure():
    page = part("working", figure="500", lines=())
    assert (page.tags, page.words) == ([], ["500"])


@pytest.mark.parametrize(
    ("state", "classes"), [("drafted", "state drafted"), ("overdue", "state late"), ("expired", "state ended")]
)
def test_a_state_is_always_said_in_a_word(state, classes):
    page = part("state", state=state)
    assert (page.all("span"), page.words) == ([{"class": classes}], [state])


def test_an_act_that_cant_be_undone_is_asked_once_with_its_consequence():
    page = part("ask", title="Withdraw 0402-A?", words="Nobody can accept it.", act="Withdraw 0402-A", back_url="/x/")
    assert page.all("form")[0]["method"] == "post"
    assert "csrfmiddlewaretoken" in {control["name"] for control in page.all("input")}
    assert page.words == ["Withdraw 0402-A?", "Nobody can accept it.", "Withdraw 0402-A", "Leave it as it is"]


def test_two_hands_keep_what_was_typed_and_send_it_with_the_version_of_now():
    page = part(
        "two_hands",
        title="Maribel changed option 2 at 9:31",
        who="Maribel",
        rows=[("Coats", "1", "2", "1"), ("Name", "A", "B", "B")],
        posted=QueryDict("csrfmiddlewaretoken=x&version=3&coats=1&name=B"),
        version=4,
        back_url="/x/",
    )
    sent = [(control["name"], control["value"]) for control in page.all("input")][1:]
    assert sent == [("coats", "1"), ("name", "B"), ("version", "4")]
    assert [row.get("class") for row in page.all("tr")] == [None, "changed", None]


def test_leaves_of_a_list_lead_both_ways_or_not_at_all():
    assert [link["rel"] for link in part("pages", newer_url="?b=1", older_url="?a=1").all("a")] == ["prev", "next"]
    assert [link["rel"] for link in part("pages", newer_url="", older_url="?a=1").all("a")] == ["next"]
    assert part("pages").tags == []


def test_an_empty_page_says_what_to_do_first():
    page = part(
        "empty", title="No folder yet", words="Start with who rang.", act="Open the first folder", act_url="/n/"
    )
    assert page.words == ["No folder yet", "Start with who rang.", "Open the first folder"]
    assert page.all("a") == [{"class": "go", "href": "/n/"}]


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "500"])
def test_pages_for_what_went_wrong_need_no_request(name):
    page = Outline(render_to_string(f"{name}.html"))
    assert len(page.all("h1")) == 1
    assert page.all("script") == []
