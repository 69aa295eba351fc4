"""Findings: what the answers of a test mean."""

from collections.abc import Mapping
from decimal import Decimal

import pytest

from quoting.core.findings import (
    KINDS,
    NOT_KNOWN,
    NOT_TESTED,
    UNCLEAR,
    AnswerFault,
    Finding,
    NoSuchKind,
    Reading,
    Standing,
    check_answers,
    facts_of,
    read_test,
)

D = Decimal


def test_a_reading_says_what_the_answers_mean_and_what_stands_behind_it() -> None:
    assert read_test("solvent-drop", {"result": "tacky"}) == Reading(
        kind="solvent-drop",
        word="solvent-acrylic",
        sentence="Solvent softens the film: it is a solvent-based acrylic.",
        standing=Standing.PRACTICE,
        source="common practice, no published source",
    )


@pytest.mark.parametrize(
    ("kind", "answers", "word"),
    [
        ("water-drop", {"result": "soaks", "seconds": "8", "places": "5"}, "open"),
        ("water-drop", {"result": "beads"}, "sealed"),
        ("water-drop", {"result": "mixed"}, "patchy"),
        ("solvent-drop", {"result": "unchanged", "waited": "60"}, "not-solvent"),
        ("solvent-drop", {"result": "unchanged", "waited": "59"}, "too-soon"),
        ("solvent-drop", {"result": "unchanged"}, UNCLEAR),
        ("tape", {"result": "everywhere"}, "lifts"),
        ("scratch", {"result": "line"}, "holds"),
        ("test-patch", {"result": "holds", "waited": "24", "cut": "yes"}, "bonds"),
        ("test-patch", {"result": "holds", "waited": "23.5", "cut": "yes"}, "too-soon"),
        ("test-patch", {"result": "holds", "waited": "24", "cut": "no"}, "uncut"),
        ("test-patch", {"result": "lifts"}, "fails"),
        ("wet-colour", {"result": "pale"}, "wrong"),
        ("colour-carrier", {"result": "skin"}, "skin"),
        ("joint-sand", {"result": "gone", "damp": "yes"}, "low"),
        ("slip", {"result": "slips"}, "slippery"),
        ("crack", {"width": "1/4", "level": "no"}, "cosmetic"),
        ("crack", {"width": "5/16 in", "level": "no"}, "structural"),
        ("crack", {"width": "1/32", "level": "yes"}, "structural"),
        ("crack", {"width": "1/32"}, UNCLEAR),
        ("efflorescence", {"result": "heavy"}, "heavy"),
        ("surface-history", {"sealed": "never", "age": "old"}, "never"),
        ("surface-history", {"sealed": NOT_KNOWN, "age": "old"}, UNCLEAR),
        ("surface-history", {"sealed": NOT_KNOWN}, NOT_TESTED),
        ("tape", {}, NOT_TESTED),
        ("tape", {"result": "  "}, NOT_TESTED),
    ],
)
def test_what_answers_read_as(kind: str, answers: Mapping[str, str], word: str) -> None:
    assert read_test(kind, answers).word == word


@pytest.mark.parametrize("word", [NOT_TESTED, UNCLEAR, "too-soon"])
def test_what_decides_nothing_is_not_known(word: str) -> None:
    answers = {NOT_TESTED: {}, UNCLEAR: {"result": "unchanged"}, "too-soon": {"result": "unchanged", "waited": "5"}}
    reading = read_test("solvent-drop", answers[word])
    assert (reading.word, reading.known) == (word, False)


@pytest.mark.parametrize(
    ("kind", "wait", "waited", "word"),
    [
        ("solvent-drop", None, "20", "too-soon"),  # a minute to begin with
        ("solvent-drop", 15, "20", "not-solvent"),
        ("solvent-drop", 15, "14", "too-soon"),
        ("plastic-sheet", None, "17", "no-sign"),  # 16 hours to begin with
        ("plastic-sheet", 86_400, "17", "too-soon"),
        ("plastic-sheet", 86_400, "24", "no-sign"),
    ],
)
def test_a_test_is_read_by_the_waiting_time_that_the_firm_chose(
    kind: str, wait: int | None, waited: str, word: str
) -> None:
    result = "unchanged" if kind == "solvent-drop" else "nothing"
    assert read_test(kind, {"result": result, "waited": waited}, wait).word == word


def test_what_is_too_soon_names_the_time_that_is_waited() -> None:
    reading = read_test("plastic-sheet", {"result": "nothing", "waited": "17"}, 86_400)
    assert reading.sentence == "The sheet was on for less than 24 hours, so it says nothing."


@pytest.mark.parametrize(
    ("kind", "answers", "question", "why"),
    [
        ("tape", {"result": "maybe"}, "result", "“maybe” is not one of the answers: clean, places, everywhere."),
        ("tape", {"colour": "red"}, "colour", "Tape has no question called “colour”."),
        ("slip", {"slope": "steep"}, "slope", "“steep” is not one of the answers: yes, no."),
        ("rinse-ph", {"rinse": "15"}, "rinse", "“15”: it must be 0 at least and 14 at most."),
        ("water-drop", {"seconds": "-1"}, "seconds", "“-1”: it must be 0 at least and 3600 at most."),
        ("crack", {"width": "wide"}, "width", "“wide” is not a plain number"),
    ],
)
def test_an_answer_that_is_none_is_refused_beside_its_question(
    kind: str, answers: Mapping[str, str], question: str, why: str
) -> None:
    with pytest.raises(AnswerFault) as caught:
        read_test(kind, answers)
    assert caught.value.question == question
    assert str(caught.value).startswith(why)


def test_a_kind_that_there_is_not_is_refused() -> None:
    with pytest.raises(NoSuchKind, match="There is no kind of finding called “divining”"):
        read_test("divining", {})


def test_answers_become_values() -> None:
    """3/8 in × 0.0254 = 0.009525 m; 18 ft × 0.3048 = 5.4864 m."""
    assert check_answers("crack", {"width": "3/8", "length": "18", "moving": NOT_KNOWN}) == {
        "width": D("0.009525"),
        "length": D("5.4864"),
        "level": None,
        "moving": None,
    }


def test_facts_gather_what_several_places_say() -> None:
    facts = facts_of(
        [
            Finding(kind="tape", answers={"result": "clean"}),
            Finding(kind="tape", answers={"result": "places"}),
            Finding(kind="tape", answers={}),
        ]
    )
    assert facts == {
        "tape": frozenset({"holds", "lifts", None}),
        "tape.result": frozenset({"clean", "places", None}),
    }


def test_a_visit_asks_for_every_kind_of_finding() -> None:
    assert list(KINDS) == [
        *("water-drop", "solvent-drop", "tape", "scratch", "test-patch", "plastic-sheet", "wet-colour"),
        *("colour-carrier", "joint-sand", "slip", "rinse-ph"),
        *("surface-history", "film", "crack", "efflorescence", "spalls", "stains"),
        *("salt-pool", "drainage", "shade", "plants", "glass", "access", "water", "power"),
    ]
