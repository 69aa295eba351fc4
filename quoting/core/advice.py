"""Advice: from what was found on an area to what suits it, what is ruled out, what must be tested first, and why.

The rules are data (`advice_rules.py`, `advice_cautions.py`); this evaluates them. What is not known counts as possible:
a caution stands unless the findings show that it doesn't apply, so that less knowledge never takes a caution away.
Findings that contradict each other are told, and what rests on them waits for a test; nothing is resolved in silence.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from quoting.core.advice_cautions import ALLOWANCES, CAUTIONS, CONTRADICTIONS, EXCLUSIONS
from quoting.core.advice_kinds import Allowance, Approach, Rule, Says
from quoting.core.advice_rules import APPROACH_RULES
from quoting.core.conditions import Facts, names_in, truth
from quoting.core.finding_kinds import Standing
from quoting.core.findings import KINDS, Finding, facts_of, read_test

__all__ = [
    "RULES",
    "Advice",
    "Allowance",
    "Approach",
    "Judgement",
    "Remark",
    "Rule",
    "Says",
    "Slab",
    "Unknown",
    "Verdict",
    "advise",
    "slab_facts",
]

RULES: tuple[Rule, ...] = (*APPROACH_RULES, *EXCLUSIONS, *CAUTIONS, *ALLOWANCES, *CONTRADICTIONS)
"""Every rule there is."""


class Verdict(StrEnum):
    """What is said of an approach."""

    SUITS = "suits"
    TEST_FIRST = "test-first"
    RULED_OUT = "ruled-out"
    NOT_CALLED_FOR = "not-called-for"

    @property
    def words(self) -> str:
        """As a page says it."""
        return {
            Verdict.SUITS: "suits",
            Verdict.TEST_FIRST: "needs a test first",
            Verdict.RULED_OUT: "ruled out",
            Verdict.NOT_CALLED_FOR: "nothing calls for it",
        }[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """One area as the rules see it: its surface (`stamped`, `broom`, `exposed`, `concrete-pavers`, `clay-pavers`,
    `steps`) and its findings.
    """

    surface: str
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """One rule that speaks. `certain` is False where it may apply: `waits_for` are the kinds of finding not known."""

    rule: Rule
    certain: bool = True
    waits_for: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The rule's id."""
        return self.rule.id

    @property
    def sentence(self) -> str:
        """The reason, in one sentence, as if it held."""
        return self.rule.sentence

    @property
    def told(self) -> str:
        """The sentence for a page: as it is where it is certain, else with what has to be known first."""
        if self.certain:
            return self.sentence
        names = [KINDS[kind].name.lower() for kind in self.waits_for]
        return f"Not known yet ({', '.join(names)}), but it may be: {self.sentence[:1].lower()}{self.sentence[1:]}"

    @property
    def standing(self) -> Standing:
        """Whether the rule is a standard or common practice."""
        return self.rule.standing

    @property
    def source(self) -> str:
        """Where the rule stands."""
        return self.rule.source

    @property
    def allowance(self) -> Allowance | None:
        """What to allow for, of an allowance."""
        return self.rule.allowance


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """What is said of one approach, with the rules that say it; for TEST_FIRST, the kinds of finding it waits for."""

    approach: Approach
    verdict: Verdict
    reasons: tuple[Remark, ...] = ()
    waits_for: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """A kind of finding that was not looked at, or whose answers don't decide it, in one sentence."""

    kind: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """All that the findings of one area say. `judgements` has every approach, in their order."""

    judgements: tuple[Judgement, ...]
    exclusions: tuple[Remark, ...]
    cautions: tuple[Remark, ...]
    allowances: tuple[Remark, ...]
    contradictions: tuple[Remark, ...]
    unknown: tuple[Unknown, ...]

    def judgement(self, approach: Approach) -> Judgement:
        """What is said of this approach."""
        return next(each for each in self.judgements if each.approach is approach)

    def with_verdict(self, verdict: Verdict) -> tuple[Judgement, ...]:
        """The approaches of which this is said."""
        return tuple(each for each in self.judgements if each.verdict is verdict)


def advise(slab: Slab) -> Advice:
    """The advice for one area. Raises NoSuchKind or AnswerFault for findings that can't be read."""
    facts = slab_facts(slab)
    contradictions = tuple(Remark(rule=rule) for rule in CONTRADICTIONS if truth(rule.when, facts))
    return Advice(
        judgements=tuple(_judge(approach, facts, contradictions) for approach in Approach),
        exclusions=_possible(EXCLUSIONS, facts),
        cautions=_possible(CAUTIONS, facts),
        allowances=_possible(ALLOWANCES, facts),
        contradictions=contradictions,
        unknown=tuple(_unknown(slab)),
    )


def slab_facts(slab: Slab) -> Facts:
    """What is known of the area, for conditions; its surface as `surface`."""
    return {**facts_of(slab.findings), "surface": frozenset({slab.surface})}


def _possible(rules: Sequence[Rule], facts: Facts) -> tuple[Remark, ...]:
    """The rules that hold or may hold, those that do first."""
    remarks = [_remark(rule, facts) for rule in rules if truth(rule.when, facts) is not False]
    return tuple(sorted(remarks, key=lambda remark: not remark.certain))


def _remark(rule: Rule, facts: Facts) -> Remark:
    certain = truth(rule.when, facts) is True
    return Remark(rule=rule, certain=certain, waits_for=() if certain else _open_kinds(rule, facts))


def _judge(approach: Approach, facts: Facts, contradictions: tuple[Remark, ...]) -> Judgement:
    rules = [rule for rule in APPROACH_RULES if approach in rule.approaches]
    about = [_remark(rule, facts) for rule in rules if _speaks(rule, facts)]
    against = [each for each in about if each.rule.says is Says.RULES_OUT]
    if sure := [each for each in against if each.certain]:
        return Judgement(approach=approach, verdict=Verdict.RULED_OUT, reasons=tuple(sure))
    reasons = [each for each in about if each.rule.says is Says.SUITS]
    if not reasons:
        return Judgement(approach=approach, verdict=Verdict.NOT_CALLED_FOR)
    certain = [each for each in reasons if each.certain]
    tests = [each for each in about if each.rule.says is Says.TEST_FIRST and each.certain]
    torn = [each for each in contradictions if _rests_on(rules, each.rule)]
    waiting = [*tests, *against, *torn, *([] if certain else reasons)]
    if not waiting:
        return Judgement(approach=approach, verdict=Verdict.SUITS, reasons=tuple(certain))
    wanted = [kind for each in tests for kind in each.rule.tests]
    wanted += [kind for each in waiting for kind in each.waits_for]
    wanted += [kind for each in torn for kind in _kinds(each.rule)]
    return Judgement(
        approach=approach,
        verdict=Verdict.TEST_FIRST,
        reasons=tuple(dict.fromkeys([*waiting, *certain])),
        waits_for=_in_order(wanted),
    )


def _speaks(rule: Rule, facts: Facts) -> bool:
    holds = truth(rule.when, facts)
    return holds is True or (holds is None and truth(rule.waits, facts) is not False)


def _rests_on(rules: Sequence[Rule], contradiction: Rule) -> bool:
    """Whether any of the rules goes by what is contradicted."""
    return any(names_in(rule.when) & names_in(contradiction.when) for rule in rules)


def _kinds(rule: Rule) -> tuple[str, ...]:
    """The kinds of finding that a rule goes by; an area's surface is always known, and none of them."""
    return _in_order(name.partition(".")[0] for name in names_in(rule.when))


def _open_kinds(rule: Rule, facts: Facts) -> tuple[str, ...]:
    """The kinds of finding that the rule goes by and that are not known."""
    names = [name for name in names_in(rule.when) if None in facts.get(name, frozenset({None}))]
    return _in_order(name.partition(".")[0] for name in names)


def _in_order(kinds: Iterable[str]) -> tuple[str, ...]:
    wanted = set(kinds)
    return tuple(kind for kind in KINDS if kind in wanted)


def _unknown(slab: Slab) -> Iterable[Unknown]:
    for key, kind in KINDS.items():
        if kind.surfaces and slab.surface not in kind.surfaces:
            continue
        readings = [read_test(key, each.answers, each.wait) for each in slab.findings if each.kind == key]
        if not readings:
            yield Unknown(kind=key, sentence=f"{kind.name}: not {kind.group.done}.")
        elif all(not reading.known for reading in readings):
            yield Unknown(kind=key, sentence=readings[0].sentence)
