"""What suits each area by what was found on it, which systems of the price book do that, and what the owner chose."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.db import transaction
from django.utils import timezone

from quoting.core.advice import Advice, Approach, Judgement, Verdict, advise
from quoting.core.findings import KINDS
from quoting.documents.findings import slab_of
from quoting.models import AdviceChoice, Area, ChangedMeanwhile, Finding, Job, RestorationSystem, User, lock_row
from quoting.services.trail import record


class ReasonMissing(Exception):
    """The advice is gone against without a word."""

    def __init__(self) -> None:
        super().__init__("The advice says otherwise. Write why you choose it all the same; it is kept.")


@dataclass(frozen=True, slots=True)
class Line:
    """What is said of one approach on one area, and today's systems that carry it out."""

    judgement: Judgement
    systems: tuple[RestorationSystem, ...] = ()
    chosen: bool = False

    @property
    def approach(self) -> Approach:
        return self.judgement.approach

    @property
    def verdict(self) -> Verdict:
        return self.judgement.verdict

    @property
    def name(self) -> str:
        """The systems by their names, or the approach where the price book has none for it."""
        words = self.approach.words
        return ", ".join(system.name for system in self.systems) or f"{words[0].upper()}{words[1:]}"

    @property
    def tests(self) -> str:
        """The tests that it waits for, by name."""
        return ", ".join(KINDS[kind].name.lower() for kind in self.judgement.waits_for)


@dataclass(frozen=True, slots=True)
class AreaAdvice:
    """The advice for one area, and what the owner made of it."""

    area: Area
    advice: Advice
    lines: tuple[Line, ...] = field(default=())
    choice: AdviceChoice | None = None

    def saying(self, *verdicts: Verdict) -> list[Line]:
        """The lines with one of these verdicts."""
        return [line for line in self.lines if line.verdict in verdicts]

    @property
    def suits(self) -> list[Line]:
        return self.saying(Verdict.SUITS)

    @property
    def tests_first(self) -> list[Line]:
        return self.saying(Verdict.TEST_FIRST)

    @property
    def ruled_out(self) -> list[Line]:
        return self.saying(Verdict.RULED_OUT)

    @property
    def not_called_for(self) -> list[Line]:
        return self.saying(Verdict.NOT_CALLED_FOR)

    @property
    def chosen(self) -> Line | None:
        """The line of what the owner chose."""
        return next((line for line in self.lines if line.chosen), None)


def advise_areas(
    areas: Iterable[Area],
    findings: Sequence[Finding],
    systems: Collection[RestorationSystem] = (),
    choices: Mapping[int, AdviceChoice] | None = None,
) -> list[AreaAdvice]:
    """The advice for each area by all findings of its folder; `choices` are by area. No queries."""
    return [_advise(area, findings, systems, (choices or {}).get(area.pk)) for area in areas]


def advice_of_job(job: Job, systems: Collection[RestorationSystem] = ()) -> list[AreaAdvice]:
    """The advice for each area of a folder, in two queries besides the areas."""
    choices = {row.area_id: row for row in AdviceChoice.objects.filter(area__job=job)}
    return advise_areas(job.areas.all(), list(Finding.objects.filter(job=job)), systems, choices)


def words_beside(system: RestorationSystem, advised: Iterable[AreaAdvice]) -> str:
    """What the advice says of a system, area by area: “suits A; needs a test first on B (tape)”.

    An approach that nothing calls for is left out.
    """
    said = []
    for each in advised:
        line = next((line for line in each.lines if line.approach == system.approach), None)
        if line is None or line.verdict == Verdict.NOT_CALLED_FOR:
            continue
        tests = f" ({line.tests})" if line.tests else ""
        on = "" if line.verdict == Verdict.SUITS else " on"
        said.append(f"{line.verdict.words}{on} {each.area.letter}{tests}")
    return "; ".join(said)


def choose_approach(*, area: Area, version: int, by: User, approach: Approach, reason: str = "") -> AdviceChoice:
    """Keep which approach the owner takes for an area; one that the advice doesn't call suited needs a reason.

    `version` is that of the choice there was, 0 for none. Raises ReasonMissing or ChangedMeanwhile.
    """
    with transaction.atomic():
        lock_row(Job, area.job_id)
        findings = list(Finding.objects.filter(job=area.job_id))
        judgement = advise(slab_of(area, findings)).judgement(approach)
        against = judgement.verdict != Verdict.SUITS
        if against and not reason:
            raise ReasonMissing
        facts = {
            "approach": str(approach),
            "against": against,
            "reason": reason,
            "rules": [remark.id for remark in judgement.reasons],
            "chosen_at": timezone.now(),
            "chosen_by": by,
        }
        row = AdviceChoice.objects.filter(area=area).first()
        if row is None:
            row = AdviceChoice.objects.create(area=area, **facts)
        else:
            if row.version != version:
                raise ChangedMeanwhile(row)
            row.claim(version)
            for name, value in facts.items():
                setattr(row, name, value)
            row.save(update_fields=list(facts))
        kind = "advice gone against" if against else "advice followed"
        told = {"area": area.letter, "approach": approach.words, "rules": facts["rules"]}
        record(kind, job=area.job, actor=by, data=told)
    return row


def _advise(
    area: Area, findings: Sequence[Finding], systems: Collection[RestorationSystem], choice: AdviceChoice | None
) -> AreaAdvice:
    advice = advise(slab_of(area, findings))
    lines = tuple(
        Line(
            judgement,
            tuple(each for each in systems if each.approach == judgement.approach and area.surface in each.surfaces),
            chosen=choice is not None and choice.approach == judgement.approach,
        )
        for judgement in advice.judgements
    )
    return AreaAdvice(area, advice, lines, choice)
