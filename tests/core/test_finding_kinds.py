"""The data of the kinds of finding: whole, and readable to the end."""

import pytest

from quoting.core.conditions import names_in
from quoting.core.finding_kinds import AnswerKind, Choice, Kind, choice_of
from quoting.core.findings import KINDS, NOT_KNOWN, read_test

EVERY = list(KINDS.values())


def key_of(kind: Kind) -> str:
    """The key, to name a test by."""
    return kind.key


def test_choices_are_written_with_their_words() -> None:
    question = choice_of("sealed", "Was it sealed?", "never: never: not once", not_known=True)
    assert question.choices == (
        Choice(value="never", words="never: not once"),
        Choice(value=NOT_KNOWN, words="not known"),
    )


@pytest.mark.parametrize("kind", EVERY, ids=key_of)
def test_a_reading_goes_by_questions_that_are_asked(kind: Kind) -> None:
    asked = {question.name for question in kind.questions}
    rested_on = {name for row in kind.reads for name in names_in(row.when)}
    assert rested_on <= asked
    assert {question.name for question in kind.questions if question.deciding} <= rested_on


@pytest.mark.parametrize("kind", EVERY, ids=key_of)
def test_every_answer_to_the_first_choice_reads_as_something(kind: Kind) -> None:
    """With whatever else decides at its most: waited long, and the grid cut."""
    for question in [each for each in kind.questions if each.kind is AnswerKind.CHOICE and each.deciding]:
        for choice in [each for each in question.choices if each.value != NOT_KNOWN]:
            rest = {"waited": "99", "cut": "yes"}
            answers = {name: value for name, value in rest.items() if kind.question(name)}
            assert read_test(kind.key, answers | {question.name: choice.value}).known


@pytest.mark.parametrize("kind", EVERY, ids=key_of)
def test_words_for_people_are_sentences(kind: Kind) -> None:
    for sentence in (kind.how, *kind.cautions, *(row.sentence for row in kind.reads)):
        assert sentence.endswith(".")
        assert sentence[0].isupper()
