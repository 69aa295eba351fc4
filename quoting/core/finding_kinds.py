"""What a kind of finding is made of: its questions, its waiting time, and how its answers read."""

from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from quoting.core.conditions import Condition, Is, Over, all_, not_
from quoting.core.rounding import CONTEXT

NOT_KNOWN = "not-known"
"""The value of a choice that says: nobody knows."""

PRACTICE_SOURCE = "common practice, no published source"


class Standing(StrEnum):
    """What stands behind a sentence: a published standard or handbook, or what people in the trade do."""

    STANDARD = "standard"
    PRACTICE = "practice"

    @property
    def words(self) -> str:
        """As a page says it."""
        return "standard" if self is Standing.STANDARD else "common practice"


class AnswerKind(StrEnum):
    """How a question is answered."""

    CHOICE = "choice"
    NUMBER = "number"
    LENGTH = "length"
    TEXT = "text"
    YES_NO = "yes-no"


class Group(StrEnum):
    """What the finding is about, for the order of forms: something done, the slab looked at, what is round it."""

    TEST = "test"
    SLAB = "slab"
    ROUND = "round"

    @property
    def done(self) -> str:
        """What is done of it, after “not”."""
        return {Group.TEST: "tested", Group.SLAB: "noted", Group.ROUND: "noted"}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer to choose: the value that is kept, and its words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question. `unit` goes with a number as its words (“s”, “hours”), with a length as the unit of a bare number.

    `deciding` questions are those that the reading rests on; without them it stays unclear. Numbers lie between `least`
    and `most`. `said` is how the answer is told among others, with {} in its place; of yes or no, what yes means.
    """

    name: str
    label: str
    kind: AnswerKind
    unit: str = ""
    choices: tuple[Choice, ...] = ()
    deciding: bool = False
    least: Decimal = Decimal(0)
    most: Decimal | None = None
    said: str = "{}"


WAITED = "waited"
"""The question that asks for how long a test was left, in seconds or hours."""

SECONDS_OF = {"s": 1, "hours": 3600}
"""Seconds in the units of that question."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quoted:
    """A waiting time in seconds that somebody names, and who does."""

    seconds: int
    source: str = PRACTICE_SOURCE

    @property
    def words(self) -> str:
        """1 minute, 16 hours."""
        return time_words(self.seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """How long before a test can be read, in seconds: what is waited, and all that people quote; the first of those is
    what a firm begins with. `after` says what follows from it.
    """

    seconds: int
    quoted: tuple[Quoted, ...]
    after: str = ""

    @property
    def words(self) -> str:
        """The time that is waited, and the others that are quoted: 16 hours; 24 hours are quoted too."""
        others = [each.words for each in self.quoted if each.seconds != self.seconds]
        too = f"; {' and '.join(others)} {'is' if others == ['1 minute'] else 'are'} quoted too" if others else ""
        return f"{time_words(self.seconds)}{self.after}{too}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reads:
    """How answers read: the first row of a kind that holds. `decides` is False for “too soon” and the like; a row for
    what is read `sooner` than its waiting time has that time as {wait} in its sentence.
    """

    when: Condition
    word: str
    sentence: str
    standing: Standing = Standing.PRACTICE
    source: str = PRACTICE_SOURCE
    decides: bool = True
    sooner: bool = False

    def before(self, seconds: int, unit: str) -> "Reads":
        """The row with the waiting time set into it, in the unit in which the test asks for it."""
        number = CONTEXT.divide(Decimal(seconds), Decimal(SECONDS_OF[unit]))
        early = not_(Over(name=WAITED, number=number, or_equal=True))
        return replace(
            self,
            when=all_(self.when, early),
            sentence=self.sentence.replace("{wait}", time_words(seconds)),
            sooner=False,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of finding. `surfaces` are those that it is for, all where empty; `many` may be noted several times."""

    key: str
    name: str
    group: Group
    how: str
    questions: tuple[Question, ...]
    reads: tuple[Reads, ...]
    wait: Wait | None = None
    cautions: tuple[str, ...] = ()
    surfaces: tuple[str, ...] = ()
    many: bool = False

    def question(self, name: str) -> Question | None:
        """The question of that name."""
        return next((each for each in self.questions if each.name == name), None)

    def read_after(self, seconds: int | None = None) -> "Kind":
        """The kind as it is read where so many seconds are waited, or as many as one begins with."""
        asked = self.question(WAITED)
        if self.wait is None or asked is None:
            return self
        wait = replace(self.wait, seconds=seconds or self.wait.seconds)
        rows = tuple(row.before(wait.seconds, asked.unit) if row.sooner else row for row in self.reads)
        return replace(self, wait=wait, reads=rows)


def time_words(seconds: int) -> str:
    """Seconds in the largest unit that goes into them: 15 seconds, 1 minute, 16 hours."""
    size, unit = next(pair for pair in ((3600, "hour"), (60, "minute"), (1, "second")) if seconds % pair[0] == 0)
    return f"{seconds // size} {unit}{'' if seconds == size else 's'}"


def choice_of(
    name: str, label: str, *choices: str, not_known: bool = False, deciding: bool = True, said: str = "{}"
) -> Question:
    """A question with choices written “value: words”, as the data of kinds write it."""
    made = [Choice(value=value, words=words) for value, _colon, words in (each.partition(": ") for each in choices)]
    if not_known:
        made.append(Choice(value=NOT_KNOWN, words="not known"))
    return Question(name=name, label=label, kind=AnswerKind.CHOICE, choices=tuple(made), deciding=deciding, said=said)


def yes_no(name: str, label: str, said: str, *, deciding: bool = False) -> Question:
    """A question answered with yes or no; `said` is what yes means."""
    return Question(name=name, label=label, kind=AnswerKind.YES_NO, deciding=deciding, said=said)


def number_of(
    name: str,
    label: str,
    unit: str,
    *,
    least: str = "0",
    most: str | None = None,
    deciding: bool = False,
    said: str = "{}",
) -> Question:
    """A question answered with a number in this unit."""
    return Question(
        name=name,
        label=label,
        kind=AnswerKind.NUMBER,
        unit=unit,
        least=Decimal(least),
        most=None if most is None else Decimal(most),
        deciding=deciding,
        said=said,
    )


def length_of(name: str, label: str, unit: str, *, deciding: bool = False, said: str = "{}") -> Question:
    """A question answered with a length as a tape is called out; a bare number is in this unit."""
    return Question(name=name, label=label, kind=AnswerKind.LENGTH, unit=unit, deciding=deciding, said=said)


def text_of(name: str, label: str, said: str = "{}") -> Question:
    """A question answered in words."""
    return Question(name=name, label=label, kind=AnswerKind.TEXT, said=said)


def reads(question: str, value: str, word: str, sentence: str, source: str = "") -> Reads:
    """One choice that reads as a word: common practice, or a standard where a source is named."""
    return Reads(
        when=Is(name=question, words=(value,)),
        word=word,
        sentence=sentence,
        standing=Standing.STANDARD if source else Standing.PRACTICE,
        source=source or PRACTICE_SOURCE,
    )
