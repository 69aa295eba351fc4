"""The rules of advice as data: each speaks on one slab and is silent on another."""

import pytest

from quoting.core.advice import RULES, Says, slab_facts
from quoting.core.advice_kinds import Rule
from quoting.core.advice_rules import APPROACH_RULES
from quoting.core.conditions import All, Always, Condition, Either, Missing, Not, names_in, truth
from quoting.core.findings import KINDS, Standing
from tests.core.slab_cases import CASES, case

BY_ID = {rule.id: rule for rule in RULES}


def test_every_rule_has_its_two_cases_and_an_id_of_its_own() -> None:
    assert CASES.keys() == BY_ID.keys()
    assert len(BY_ID) == len(RULES)


@pytest.mark.parametrize("rule_id", CASES)
def test_a_rule_holds_where_it_should(rule_id: str) -> None:
    assert truth(BY_ID[rule_id].when, slab_facts(case(CASES[rule_id][0]))) is True


@pytest.mark.parametrize("rule_id", [each for each, (_yes, no) in CASES.items() if no != "always"])
def test_a_rule_is_known_not_to_hold_where_it_should_not(rule_id: str) -> None:
    assert truth(BY_ID[rule_id].when, slab_facts(case(CASES[rule_id][1]))) is False


@pytest.mark.parametrize("rule_id", [each for each, (_yes, no) in CASES.items() if no == "always"])
def test_only_a_rule_for_every_slab_is_never_silent(rule_id: str) -> None:
    assert BY_ID[rule_id].when == Always()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_goes_by_facts_that_there_are(rule: Rule) -> None:
    questions = {f"{kind.key}.{question.name}" for kind in KINDS.values() for question in kind.questions}
    assert names_in(rule.when) - KINDS.keys() - questions <= {"surface"}
    assert set(rule.tests) <= KINDS.keys()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_says_why_in_one_sentence_and_what_stands_behind_it(rule: Rule) -> None:
    assert rule.sentence.endswith(".")
    assert ". " not in rule.sentence
    assert (rule.standing is Standing.STANDARD) == (rule.source != "common practice, no published source")


@pytest.mark.parametrize("rule", APPROACH_RULES, ids=lambda rule: rule.id)
def test_a_rule_of_choice_names_its_approaches(rule: Rule) -> None:
    assert rule.approaches
    assert (rule.says is Says.TEST_FIRST) == bool(rule.tests)


def not_missing(condition: Condition, negated: bool = False) -> bool:
    """Whether no Missing stands within a Not, where less knowledge would take a truth away."""
    match condition:
        case Missing():
            return not negated
        case Not(of=inner):
            return not_missing(inner, negated=True)
        case All(of=parts) | Either(of=parts):
            return all(not_missing(part, negated) for part in parts)
    return True


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_no_rule_denies_a_lack_of_knowledge(rule: Rule) -> None:
    assert not_missing(rule.when)
