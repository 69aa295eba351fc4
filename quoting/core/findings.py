"""Findings: what a test or a look at an area shows. The trade's tests are data; this reads their answers.

`KINDS` holds every kind of finding with its questions, its waiting time, how it is done and how its answers read. A
form asks the questions of a Kind; `read_test` says what the answers mean. Answers are texts by the question's name: the
value of a choice, a plain number, a length as a tape is called out, “yes” or “no”, or free text. A question left out or
empty was not answered, and the choice NOT_KNOWN says that nobody knows: both count as not known.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from quoting.core.conditions import Facts, Value, truth
from quoting.core.finding_kinds import NOT_KNOWN, AnswerKind, Choice, Kind, Question, Standing, Wait
from quoting.core.slab_looks import SLAB_LOOKS
from quoting.core.slab_surroundings import SLAB_SURROUNDINGS
from quoting.core.slab_tests import SLAB_TESTS
from quoting.core.units import Dimension, QuantityFault, parse_number, parse_quantity

__all__ = [
    "KINDS",
    "NOT_KNOWN",
    "NOT_TESTED",
    "UNCLEAR",
    "AnswerFault",
    "AnswerKind",
    "Choice",
    "Finding",
    "Kind",
    "NoSuchKind",
    "Question",
    "Reading",
    "Standing",
    "Wait",
    "check_answers",
    "facts_of",
    "kind_read_after",
    "read_test",
]

_AS_WRITTEN: Mapping[str, Kind] = {kind.key: kind for kind in (*SLAB_TESTS, *SLAB_LOOKS, *SLAB_SURROUNDINGS)}

KINDS: Mapping[str, Kind] = {key: kind.read_after() for key, kind in _AS_WRITTEN.items()}
"""Every kind of finding by its key, in the order in which a visit goes, with the waiting time that one begins with."""

NOT_TESTED = "not-tested"
"""The word of a reading without any answer."""

UNCLEAR = "unclear"
"""The word of a reading whose answers don't decide it."""


class NoSuchKind(ValueError):
    """There is no kind of finding of that name."""

    def __init__(self, kind: str) -> None:
        super().__init__(f"There is no kind of finding called “{kind[:40]}”.")


class AnswerFault(ValueError):
    """An answer that its question doesn't allow; `question` is its name, the sentence says what would be right."""

    def __init__(self, question: str, sentence: str) -> None:
        self.question = question
        super().__init__(sentence)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One test or look: its kind's key, its answers by the names of the questions, and the seconds that the firm waits
    for it, None for what one begins with.
    """

    kind: str
    answers: Mapping[str, str]
    wait: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What the answers mean: a word that rules go by, and a sentence for page and paper.

    `known` is False where nothing was tested or the answers don't decide. `standing` says whether the way of reading is
    a standard or common practice; `source` names it.
    """

    kind: str
    word: str
    sentence: str
    standing: Standing
    source: str
    known: bool = True


def kind_read_after(kind: str, wait: int | None) -> Kind:
    """The kind as it is read where so many seconds are waited, None for what one begins with. Raises NoSuchKind."""
    return _kind(kind) if wait is None else _AS_WRITTEN[_kind(kind).key].read_after(wait)


def read_test(kind: str, answers: Mapping[str, str], wait: int | None = None) -> Reading:
    """What these answers mean where so many seconds are waited, None for what one begins with.

    Raises NoSuchKind or AnswerFault.
    """
    found = kind_read_after(kind, wait)
    given = check_answers(kind, answers)
    if all(value is None for value in given.values()):
        return _unread(found, NOT_TESTED, f"{found.name}: not {found.group.done}.")
    facts: Facts = {name: frozenset({value}) for name, value in given.items()}
    for row in found.reads:
        holds = truth(row.when, facts)
        if holds is None:
            break
        if holds:
            return Reading(
                kind=kind,
                word=row.word,
                sentence=row.sentence,
                standing=row.standing,
                source=row.source,
                known=row.decides,
            )
    return _unread(found, UNCLEAR, f"{found.name}: what was noted does not decide it.")


def check_answers(kind: str, answers: Mapping[str, str]) -> dict[str, Value]:
    """The answer to each question of the kind as a value; None where it was not answered.

    Numbers are Decimals in the unit of the question, lengths Decimals in metres. Raises NoSuchKind or AnswerFault.
    """
    found = _kind(kind)
    strange = sorted(answers.keys() - {question.name for question in found.questions})
    if strange:
        raise AnswerFault(strange[0], f"{found.name} has no question called “{strange[0][:40]}”.")
    return {question.name: _value(question, answers.get(question.name, "")) for question in found.questions}


def facts_of(findings: Iterable[Finding]) -> dict[str, frozenset[Value]]:
    """What the findings of one area say, for conditions: `tape` is how the tape test reads, `crack.width` an answer.

    Several findings of one kind are several places. Raises NoSuchKind or AnswerFault.
    """
    gathered: dict[str, set[Value]] = {}
    for finding in findings:
        reading = read_test(finding.kind, finding.answers, finding.wait)
        gathered.setdefault(finding.kind, set()).add(reading.word if reading.known else None)
        for name, value in check_answers(finding.kind, finding.answers).items():
            gathered.setdefault(f"{finding.kind}.{name}", set()).add(value)
    return {name: frozenset(values) for name, values in gathered.items()}


def _kind(key: str) -> Kind:
    if key not in KINDS:
        raise NoSuchKind(key)
    return KINDS[key]


def _unread(kind: Kind, word: str, sentence: str) -> Reading:
    return Reading(kind=kind.key, word=word, sentence=sentence, standing=Standing.PRACTICE, source="", known=False)


def _value(question: Question, text: str) -> Value:
    text = text.strip()
    if not text or (text == NOT_KNOWN and question.kind in (AnswerKind.CHOICE, AnswerKind.YES_NO)):
        return None
    try:
        match question.kind:
            case AnswerKind.NUMBER:
                return _number(question, text)
            case AnswerKind.LENGTH:
                length = parse_quantity(text, Dimension.LENGTH, default_unit=question.unit or None, zero=True)
                return length.magnitude
            case AnswerKind.YES_NO:
                return _one_of(question, text, ("yes", "no"))
            case AnswerKind.CHOICE:
                return _one_of(question, text, tuple(choice.value for choice in question.choices))
            case AnswerKind.TEXT:
                return text
    except QuantityFault as fault:
        raise AnswerFault(question.name, str(fault)) from fault


def _number(question: Question, text: str) -> Decimal:
    number = parse_number(text)
    if number < question.least or (question.most is not None and number > question.most):
        upper = "" if question.most is None else f" and {question.most} at most"
        raise AnswerFault(question.name, f"“{text}”: it must be {question.least} at least{upper}.")
    return number


def _one_of(question: Question, text: str, allowed: tuple[str, ...]) -> str:
    if text not in allowed:
        raise AnswerFault(question.name, f"“{text[:40]}” is not one of the answers: {', '.join(allowed)}.")
    return text
