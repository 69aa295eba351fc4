"""What warns without blocking."""

import pytest

from quoting.core.advice_cautions import ALLOWANCES, CAUTIONS, CONTRADICTIONS, EXCLUSIONS
from quoting.core.advice_kinds import Rule, Says


@pytest.mark.parametrize(
    ("rules", "says"),
    [
        (EXCLUSIONS, Says.EXCLUDE),
        (CAUTIONS, Says.CAUTION),
        (ALLOWANCES, Says.ALLOW),
        (CONTRADICTIONS, Says.CONTRADICTION),
    ],
)
def test_none_of_them_speaks_about_an_approach(rules: tuple[Rule, ...], says: Says) -> None:
    assert {(rule.says, rule.approaches) for rule in rules} == {(says, ())}


def test_an_allowance_is_a_share_or_a_unit_price() -> None:
    kinds = {bool(rule.allowance and (rule.allowance.low or rule.allowance.unit_price)) for rule in ALLOWANCES}
    assert kinds == {True}
