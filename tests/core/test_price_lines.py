"""The price and its taxes in one line."""

from quoting.core.price_lines import tax_lines
from quoting.core.scope_file import scope_from_data
from quoting.core.work_out import work_out
from quoting.core.working_lines import WorkingLine, one_line
from tests.sample_scopes import everything, pool_deck


def test_a_margin_a_minimum_and_overhead() -> None:
    assert work_out(scope_from_data(pool_deck())).price.working == (
        "43.00 materials + 96.74 labour + 95.00 equipment = 234.74 direct + 35.21 overhead, 0.15 of direct "
        "= 269.95 cost ÷ 0.7 what a margin of 0.3 leaves for cost = 385.64 before rounding → 650.00 the minimum"
    )


def test_a_markup_rounding_up_and_a_discount() -> None:
    assert work_out(scope_from_data(everything())).price.working == (
        "1,322.15 materials + 1,696.85 labour + 95.00 equipment + 120.00 subcontract + 40.00 other = 3,274.00 direct "
        "+ 491.10 overhead, 0.15 of direct = 3,765.10 cost × 1.45 with a markup of 0.45 = 5,459.40 before rounding "
        "→ 5,460.00 up to the next 5 − 100.00 discount = 5,360.00 price"
    )


def test_a_tax_on_a_share_and_on_the_price() -> None:
    taxes = work_out(scope_from_data(everything())).price.of.taxes
    assert tax_lines(taxes[0]) == (
        WorkingLine("", "2,164.55", "of materials"),
        WorkingLine("×", "0.0625", "rate"),
        WorkingLine("=", "135.28", "tax"),
    )
    assert one_line(tax_lines(taxes[1])) == "5,360.00 price × 0.01 rate = 53.60 tax"


def test_a_share_of_direct_cost_has_a_line_of_its_own() -> None:
    data = pool_deck()
    data["charges"].append({"name": "Contingency", "category": "other", "share": "0.2"})
    # 234.74 × 0.2 = 46.948 → 46.95; overhead 0.15 × 281.69 = 42.25; 323.94 ÷ 0.7 = 462.77
    assert work_out(scope_from_data(data)).price.working == (
        "43.00 materials + 96.74 labour + 95.00 equipment = 234.74 before shares + 46.95 Contingency, 0.2 of 234.74 "
        "= 281.69 direct + 42.25 overhead, 0.15 of direct = 323.94 cost ÷ 0.7 what a margin of 0.3 leaves for cost "
        "= 462.77 before rounding → 650.00 the minimum"
    )
