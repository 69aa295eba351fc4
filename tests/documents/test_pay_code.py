"""The code on a bill: the squares that the standard's encoder gives, as one path."""

import re

import segno

from quoting.documents.pay_code import LONGEST, QUIET, pay_code


def squares(path: str) -> set[tuple[int, int]]:
    """The dark modules that a path covers."""
    found = set()
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path):
        found |= {(int(x) + n, int(y)) for n in range(int(length))}
    return found


def test_the_path_covers_the_dark_modules_and_no_other():
    code = pay_code("https://pay.ferrow.example.com/", "Code")
    rows = segno.make_qr("https://pay.ferrow.example.com/", error="m").matrix
    dark = {(x + QUIET, y + QUIET) for y, row in enumerate(rows) for x, on in enumerate(row) if on}
    assert squares(code["path"]) == dark
    assert code["side"] == str(len(rows) + 2 * QUIET)


def test_nothing_to_say_gives_no_code():
    assert (pay_code("", "Code"), pay_code("x" * (LONGEST + 1), "Code")) == ({}, {})
