"""The code on a paper: readable black on white, holding the address and nothing else."""

import re

import segno

from quoting.documents.code import QUIET, draw_code

ADDRESS = "https://quotes.example.com/read/0417-A/"


def modules_of(path: str) -> set[tuple[int, int]]:
    """The dark modules that a path of rows draws."""
    found = re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", path)
    return {(int(x) + step, int(y)) for x, y, length in found for step in range(int(length))}


def test_the_path_draws_the_modules_of_the_code_within_its_quiet_zone():
    matrix = segno.make(ADDRESS, error="m", micro=False).matrix
    dark = {(x + QUIET, y + QUIET) for y, row in enumerate(matrix) for x, module in enumerate(row) if module}
    drawing = draw_code(ADDRESS, width_px=92)
    path = dict(drawing["primitives"][0]["attributes"])["d"]
    assert modules_of(path) == dark
    side = len(matrix) + 2 * QUIET
    assert dict(drawing["attributes"])["viewBox"] == f"0 0 {side} {side}"


def test_who_cannot_see_it_hears_where_it_leads():
    assert draw_code(ADDRESS, width_px=92)["title"] == f"Code that leads to {ADDRESS}"
