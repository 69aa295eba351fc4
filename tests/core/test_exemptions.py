"""Taxes taken off by a certificate: in a scope before anything is agreed, and off what was agreed with them."""

import json
from decimal import Decimal

from quoting.core.contracts import Agreed, TaxShare, agreed_of
from quoting.core.exemptions import taxes_off, without_taxes
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from tests.sample_contract import two_areas

D = Decimal


def share(name: str, base: str, amount: str) -> TaxShare:
    return TaxShare(name=name, rate=D("0.01"), on="price", base=D(base), amount=D(amount))


def test_a_scope_without_a_tax_has_the_same_price_and_the_other_tax() -> None:
    scope = read_scope(json.dumps(two_areas()))
    taxed, bare = work_out(scope).price.of, work_out(without_taxes(scope, {"State"})).price.of
    # 650.00; State 6.91 on the materials, City 650.00 × 0.01375 = 8.94
    assert [(each.tax.name, each.amount) for each in taxed.taxes] == [("State", D("6.91")), ("City", D("8.94"))]
    assert [(each.tax.name, each.amount) for each in bare.taxes] == [("State", D("0.00")), ("City", D("8.94"))]
    assert (bare.price, bare.total) == (D("650.00"), D("658.94"))


def test_without_names_nothing_changes() -> None:
    scope = read_scope(json.dumps(two_areas()))
    assert without_taxes(scope, ()) == scope


def test_only_the_taxes_that_are_named_come_off_what_is_agreed() -> None:
    agreed = agreed_of(
        [("Pool deck", D("650.00"))], [share("State", "110.63", "6.91"), share("City", "650.00", "8.94")]
    )
    assert taxes_off(agreed, {"State", "County"}) == Agreed(taxes=(share("State", "-110.63", "-6.91"),))
