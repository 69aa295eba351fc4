"""Areas by their letters, in a row and not."""

import pytest

from quoting.documents.area_letters import told_letters


@pytest.mark.parametrize(
    ("letters", "told"),
    [
        ("", []),
        ("A", ["A"]),
        ("A B C", ["A", "B", "C"]),
        ("A B C D", ["A to D"]),
        ("A B C D F", ["A to D", "F"]),
        ("A C D E F G", ["A", "C to G"]),
        ("Y Z AA AB", ["Y to AB"]),
        ("D C B A", ["D", "C", "B", "A"]),
        ("? ? 1 2", ["?", "?", "1", "2"]),
    ],
)
def test_four_and_more_in_a_row_are_told_by_first_and_last(letters, told):
    assert told_letters(letters.split()) == told
