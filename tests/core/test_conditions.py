"""Conditions: true, false or not known."""

from decimal import Decimal

import pytest

from quoting.core.conditions import (
    Always,
    Apart,
    Condition,
    Facts,
    Over,
    all_,
    either,
    is_,
    missing,
    names_in,
    not_,
    truth,
)

D = Decimal
FACTS: Facts = {
    "tape": frozenset({"holds"}),
    "drop": frozenset({"open", None}),
    "width": frozenset({D("6.35")}),
    "rinse": frozenset({D("9.1")}),
    "fresh": frozenset({D(8)}),
    "asked": frozenset({None}),
}


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        (Always(), True),
        (is_("tape", "holds", "lifts"), True),
        (is_("tape", "lifts"), False),
        (is_("nobody", "holds"), None),
        (is_("drop", "open"), True),
        (is_("drop", "sealed"), None),  # the other place may be
        (missing("nobody"), True),
        (missing("asked"), True),
        (missing("drop"), False),
        (Over(name="width", number=D("6.35")), False),
        (Over(name="width", number=D("6.35"), or_equal=True), True),
        (Over(name="width", number=D("6.34")), True),
        (Over(name="asked", number=D(1)), None),
        (Apart(name="rinse", other="fresh", by=D(1)), True),
        (Apart(name="rinse", other="fresh", by=D("1.1")), False),
        (Apart(name="rinse", other="asked", by=D(1)), None),
        (Apart(name="rinse", other="nobody", by=D(1)), None),
        (not_(is_("tape", "lifts")), True),
        (not_(is_("nobody", "lifts")), None),
        (all_(is_("tape", "holds"), is_("nobody", "x")), None),
        (all_(is_("tape", "lifts"), is_("nobody", "x")), False),
        (either(is_("tape", "holds"), is_("nobody", "x")), True),
        (either(is_("tape", "lifts"), is_("nobody", "x")), None),
        (either(is_("tape", "lifts"), missing("drop")), False),
    ],
)
def test_a_condition_is_known_as_far_as_its_facts(condition: Condition, expected: bool | None) -> None:
    assert truth(condition, FACTS) is expected


def test_the_facts_that_a_condition_asks_for() -> None:
    condition = all_(
        not_(is_("tape", "x")), either(missing("drop"), Apart(name="rinse", other="fresh", by=D(1))), Always()
    )
    assert names_in(condition) == {"tape", "drop", "rinse", "fresh"}
