"""Findings in words: what an answer says, which hold for an area, and the table with tests down and areas across."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import formats, timezone

from quoting.core.advice import Slab
from quoting.core.finding_kinds import Group, Kind, Question
from quoting.core.findings import KINDS, NOT_KNOWN, AnswerKind, Reading, kind_read_after, read_test
from quoting.core.findings import Finding as Found
from quoting.models import Area, Finding

NB = "\u00a0"
NOT_FOR_IT = "not for it"


def is_read(row: Finding) -> bool:
    """Whether the finding says something already: it doesn't wait, and its kind is one that is known today."""
    return row.found_at is not None and row.kind in KINDS


def holding_for(area: Area, rows: Iterable[Finding]) -> list[Finding]:
    """Which of a folder's findings hold for an area: its own, and those of the whole property.

    Of a kind that is noted once, the area's own goes before the property's; of one that is noted often, both hold.
    """
    rows = list(rows)
    own = [row for row in rows if row.area_id == area.pk]
    noted = {row.kind for row in own if is_read(row)}
    return own + [row for row in rows if row.area_id is None and (row.kind not in noted or KINDS[row.kind].many)]


def slab_of(area: Area, rows: Iterable[Finding]) -> Slab:
    """The area as the rules of advice see it; a test that waits says nothing yet."""
    holding = [row for row in holding_for(area, rows) if is_read(row)]
    return Slab(
        surface=area.surface,
        findings=tuple(Found(kind=row.kind, answers=row.answers, wait=row.wait_seconds) for row in holding),
    )


def is_for(kind: Kind, area: Area | None) -> bool:
    """Whether a kind of finding is for the surface of this area."""
    return area is None or not kind.surfaces or area.surface in kind.surfaces


def kind_of(row: Finding) -> Kind:
    """The row's kind, with the waiting time that the row was noted with. Raises NoSuchKind."""
    return kind_read_after(row.kind, row.wait_seconds)


def reading_of(row: Finding) -> Reading:
    """What the row's answers mean today."""
    return read_test(row.kind, row.answers, row.wait_seconds)


def said(kind: Kind, answers: Mapping[str, str]) -> str:
    """What was found in a few words: “Water soaks in, 8 s, 5 places”; of measures “1/8 in, 18 ft: cosmetic”."""
    reading = read_test(kind.key, answers, kind.wait.seconds if kind.wait else None)
    decides = next((each for each in kind.questions if each.kind is AnswerKind.CHOICE and each.deciding), None)
    others = [question for question in kind.questions if question is not decides]
    words = [_said(question, answers.get(question.name, "").strip()) for question in others]
    answered = ", ".join(word for word in words if word)
    if decides is None:
        return f"{answered}: {reading.word}" if reading.known else answered
    if not answers.get(decides.name):
        return answered
    head = head_of(reading.sentence) if reading.known else reading.sentence.rstrip(".")
    return f"{head}, {answered}" if answered else head


def head_of(sentence: str) -> str:
    """What was found, without what it tells: what stands before a colon, or else the first of two sentences."""
    return re.split(r"[:.] ", sentence, maxsplit=1)[0].rstrip(".")


def _said(question: Question, answer: str) -> str:
    if not answer or answer == NOT_KNOWN:
        return ""
    if question.kind is AnswerKind.YES_NO:
        return question.said if answer == "yes" else ""
    return question.said.replace("{}", _answered(question, answer))


def _answered(question: Question, answer: str) -> str:
    match question.kind:
        case AnswerKind.CHOICE:
            return next((choice.words for choice in question.choices if choice.value == answer), answer)
        case AnswerKind.NUMBER:
            if question.unit == "pH":
                return f"pH {answer}"
            one = answer == "1" and len(question.unit) > 1
            return f"{answer}{NB}{question.unit[:-1] if one else question.unit}"
        case AnswerKind.LENGTH:
            bare = answer.replace("/", "").replace(".", "").replace(" ", "").isdigit()
            return f"{answer}{NB}{question.unit}" if bare else answer
        case _:
            return answer


def may_be_read_at(row: Finding) -> datetime:
    """When a test that was begun may be read."""
    wait = kind_of(row).wait if row.kind in KINDS else None
    return row.started_at + timedelta(seconds=wait.seconds if wait else 0)


def clock_words(at: datetime) -> str:
    """Day and time in the firm's own time: 10 June, 9:30."""
    local = timezone.localtime(at)
    return f"{formats.date_format(local, f'j{NB}F')}, {formats.time_format(local, 'G:i')}"


def waits_words(row: Finding, now: datetime | None = None) -> str:
    """What to say of a test that was begun: when it may be read, or that it may be read now."""
    at = may_be_read_at(row)
    since = f"begun {clock_words(row.started_at)}"
    return f"{since}, may be read now" if at <= (now or timezone.now()) else f"{since}, read it after {clock_words(at)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What one test showed on one area; `off` where there is nothing to show."""

    words: str
    sentence: str = ""
    off: bool = False
    waits: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One test over all areas; `whole` instead of cells where it was noted for the property only."""

    kind: str
    name: str
    cells: tuple[Cell, ...] = ()
    whole: Cell | None = None


def table_of_tests(areas: Sequence[Area], rows: Sequence[Finding]) -> tuple[Row, ...]:
    """Every test with what it showed, area by area, in the order of a visit; of looks only those that were noted."""
    noted = {row.kind for row in rows}
    kinds = [kind for kind in KINDS.values() if kind.key in noted or kind.group is Group.TEST]
    return tuple(_row(kind, areas, rows) for kind in kinds if any(is_for(kind, area) for area in areas))


def _row(kind: Kind, areas: Sequence[Area], rows: Sequence[Finding]) -> Row:
    of_kind = [row for row in rows if row.kind == kind.key]
    if of_kind and all(row.area_id is None for row in of_kind):
        return Row(kind=kind.key, name=kind.name, whole=_cell(kind, of_kind))
    return Row(
        kind=kind.key,
        name=kind.name,
        cells=tuple(
            _cell(kind, holding_for(area, of_kind)) if is_for(kind, area) else Cell(words=NOT_FOR_IT, off=True)
            for area in areas
        ),
    )


def _cell(kind: Kind, rows: Sequence[Finding]) -> Cell:
    if not rows:
        return Cell(words=f"not {kind.group.done}", off=True)
    words, sentences = [], []
    for row in rows:
        if row.found_at is None:
            words.append(waits_words(row))
            continue
        reading = reading_of(row)
        words.append(said(kind_of(row), row.answers) or row.note or "not known")
        sentences.append(reading.sentence)
    return Cell(
        words="; ".join(dict.fromkeys(words)),
        sentence=" ".join(dict.fromkeys(sentences)),
        waits=any(row.found_at is None for row in rows),
    )
