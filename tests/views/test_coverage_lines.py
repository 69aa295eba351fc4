from decimal import Decimal

from quoting.models import Coverage
from quoting.views.coverage_lines import stretch_of

ROW = Coverage(low=Decimal(150), likely=Decimal(200), high=Decimal(250))


def test_the_book_s_figure_stands_on_its_line():
    line = stretch_of(ROW, None)
    # 6 % of the width is left at each end: (200 − 150) ÷ 100 × 88 + 6 = 50
    assert (line.low_at, line.chosen_at, line.high_at, line.own) == ("6.0%", "50.0%", "94.0%", False)
    assert line.said == "from 150 to 250, likely 200; reckoned with 200"


def test_a_figure_of_its_own_beyond_the_range_lengthens_the_line():
    line = stretch_of(ROW, Decimal(100))
    # from 100 to 250 now: (150 − 100) ÷ 150 × 88 + 6 = 35.3
    assert (line.chosen_at, line.low_at, line.high_at, line.own) == ("6.0%", "35.3%", "94.0%", True)


def test_a_range_without_width_stands_in_the_middle():
    row = Coverage(low=Decimal(200), likely=Decimal(200), high=Decimal(200))
    assert stretch_of(row, None).chosen_at == "50.0%"


def test_the_book_s_figure_typed_again_is_not_its_own():
    assert not stretch_of(ROW, Decimal("200.0000")).own
