"""A QR code as a drawing: one path of black modules, with the quiet zone that readers need."""

from __future__ import annotations

import segno

from quoting.documents.contexts import Facts

QUIET = 4
"""Modules of white on every side (ISO/IEC 18004, from memory)."""

INK = "#000"
"""Pure black, whatever the firm's colour is: cameras need the contrast."""


def draw_code(address: str, *, width_px: int, prefix: str = "code") -> Facts:
    """The code that leads to this address, as parts/_plan.html prints it."""
    modules = [[bool(dark) for dark in row] for row in segno.make(address, error="m", micro=False).matrix]
    side = len(modules) + 2 * QUIET
    path = "".join(
        f"M{start + QUIET} {top + QUIET}h{length}v1h-{length}z"
        for top, row in enumerate(modules)
        for start, length in _runs(row)
    )
    return {
        "prefix": prefix,
        "title": f"Code that leads to {address}",
        "desc": "For the camera of a phone; the address stands beside it.",
        "attributes": [
            ["width", str(width_px)],
            ["height", str(width_px)],
            ["viewBox", f"0 0 {side} {side}"],
            ["role", "img"],
            ["aria-labelledby", f"{prefix}-t {prefix}-d"],
        ],
        "patterns": [],
        "primitives": [{"tag": "path", "attributes": [["class", "code"], ["d", path], ["fill", INK]], "words": ""}],
    }


def _runs(row: list[bool]) -> list[tuple[int, int]]:
    """Where each stretch of dark modules begins, and how long it is."""
    runs: list[tuple[int, int]] = []
    for place, dark in enumerate(row):
        if not dark:
            continue
        if runs and sum(runs[-1]) == place:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((place, 1))
    return runs
