"""The short form of a test, made of the core's questions: one hand, big choices, nothing that must be filled in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from quoting.core.finding_kinds import AnswerKind, Kind, Question
from quoting.core.findings import AnswerFault, check_answers
from quoting.forms.hands import Remembering
from quoting.models import Area

WHOLE = "whole"
LEFT_OPEN = "left open"
LONGEST_ANSWER = 300


def field_of(question: Question) -> forms.Field:
    """The field in which a question is answered; every one may stay open."""
    match question.kind:
        case AnswerKind.CHOICE:
            choices = [(choice.value, choice.words) for choice in question.choices]
            return _choice(question, choices, in_a_row=False)
        case AnswerKind.YES_NO:
            return _choice(question, [("yes", "yes"), ("no", "no")], in_a_row=True)
        case AnswerKind.NUMBER:
            return _blank(question, {"inputmode": "decimal", "class": "figure-in few"}, longest=20)
        case AnswerKind.LENGTH:
            return _blank(question, {"class": "figure-in few"}, longest=40)
        case AnswerKind.TEXT:
            return _blank(question, {}, longest=LONGEST_ANSWER)


def _choice(question: Question, choices: list[tuple[str, str]], *, in_a_row: bool) -> forms.Field:
    field = forms.ChoiceField(
        label=question.label,
        choices=[*choices, ("", LEFT_OPEN)],
        required=False,
        initial="",
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": "Choose one of the answers."},
    )
    field.in_a_row = in_a_row  # type: ignore[attr-defined]
    return field


def _blank(question: Question, attributes: dict[str, str], *, longest: int) -> forms.Field:
    field = forms.CharField(
        label=question.label,
        required=False,
        max_length=longest,
        widget=forms.TextInput(attrs={"autocomplete": "off", **attributes}),
    )
    told = question.unit.lower() in question.label.lower()  # “Places tried, places” would say it twice
    field.unit = "" if told else question.unit  # type: ignore[attr-defined]
    return field


class FindingForm(Remembering):
    """One test on one area; a new one may hold for other areas too, or for the whole property."""

    note = forms.CharField(
        label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2, "class": "short"})
    )

    def __init__(
        self,
        *args: Any,
        kind: Kind,
        others: Sequence[Area] = (),
        may_be_whole: bool = False,
        may_wait: bool = False,
        **kwargs: Any,
    ) -> None:
        kwargs.setdefault("auto_id", f"{kind.key}-%s")
        super().__init__(*args, **kwargs)
        self.kind, self.may_wait = kind, may_wait
        note = self.fields.pop("note")
        for question in kind.questions:
            self.fields[question.name] = field_of(question)
        self.fields["note"] = note
        self._others = {str(area.pk): area for area in others}
        if self._others or may_be_whole:
            choices = [(key, f"{area.letter} {area.name}") for key, area in self._others.items()]
            whole = [(WHOLE, "the whole property")] if may_be_whole else []
            self.fields["same_on"] = forms.MultipleChoiceField(
                label="The same on", choices=choices + whole, required=False, widget=forms.CheckboxSelectMultiple
            )
        self.remember()

    def remember(self) -> None:
        """A new finding has no first values that another could have changed."""
        if (self.initial or {}).get("version"):
            super().remember()

    @property
    def questions(self) -> list[Any]:
        """The bound fields of the test's own questions."""
        return [self[question.name] for question in self.kind.questions]

    @property
    def same_on_field(self) -> Any:
        """The bound field of the other areas; None where there is no other."""
        return self["same_on"] if "same_on" in self.fields else None

    @property
    def starts(self) -> bool:
        """Whether the test is only begun, to be read after its waiting time."""
        return self.may_wait and "begin" in self.data

    @property
    def answers(self) -> dict[str, str]:
        """What was answered, as it was typed."""
        given = {question.name: str(self.cleaned_data.get(question.name) or "") for question in self.kind.questions}
        return {name: text.strip() for name, text in given.items() if text.strip()}

    @property
    def same_on(self) -> list[Area]:
        """The other areas that it holds for."""
        return [self._others[key] for key in self.cleaned_data.get("same_on", ()) if key in self._others]

    @property
    def whole(self) -> bool:
        """Whether it holds for the whole property."""
        return WHOLE in self.cleaned_data.get("same_on", ())

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for name, text in self.answers.items():
            try:
                check_answers(self.kind.key, {name: text})
            except AnswerFault as fault:
                self.add_error(name, str(fault))
        if not self.errors and not self.starts and not self.answers and not cleaned.get("note"):
            self.add_error(None, "Nothing is answered. Answer what you saw, or leave it: then it stays “not tested”.")
        return cleaned
