"""Region rules in words."""

import pytest

from quoting.documents.region_rules import figures_said


@pytest.mark.parametrize(
    ("kind", "figures", "said"),
    [
        (
            "deposit-cap",
            {"of": "lesser", "fraction": "0.10", "amount": "1000.00"},
            "the lesser of 10\u00a0% and 1,000.00",
        ),
        ("deposit-cap", {"fraction": "1/3", "over": "3000.00"}, "1/3, over 3,000.00"),
        (
            "deposit-cap",
            {"of": "greater", "fraction": "1/3", "special_order": "yes"},
            "the greater of 1/3 and what was ordered specially",
        ),
        (
            "cancellation",
            {"days": "3", "calendar": "sales", "from_home": "25.00", "from_elsewhere": "130.00"},
            "3 business days; signed at home from 25.00, elsewhere from 130.00",
        ),
        ("cancellation", {"days": "3", "older_days": "5", "older_age": "65"}, "3 business days, 5 from the age of 65"),
        ("cancellation", {"days": "14", "calendar": "every"}, "14 days"),
        ("written-form", {"from": "500.00", "needs": "names, dates"}, "in writing, from 500.00: names, dates"),
        ("notice", {}, "on every proposal"),
        ("progress", {}, "never ahead of the work"),
    ],
)
def test_figures_in_words(kind, figures, said):
    assert figures_said(kind, figures) == said
