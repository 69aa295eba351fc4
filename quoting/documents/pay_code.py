"""The code that a telephone's camera reads off a bill: where or how it is paid, as one path of black squares."""

from __future__ import annotations

import segno

from quoting.documents.contexts import Facts

QUIET = 4
"""Modules of white around a QR code that a reader needs; ISO/IEC 18004, 9.1."""

LONGEST = 600
"""Characters; a longer text gives a code too fine to be read off a paper."""


def pay_code(text: str, title: str) -> Facts:
    """The code of this text as what the template prints: side in modules, path, title. Empty for no or too long a
    text.
    """
    if not text or len(text) > LONGEST:
        return {}
    rows = segno.make_qr(text, error="m").matrix
    side = len(rows) + 2 * QUIET
    runs = [
        f"M{start + QUIET} {y + QUIET}h{length}v1h-{length}z"
        for y, row in enumerate(rows)
        for start, length in _dark_runs(row)
    ]
    return {"side": str(side), "path": "".join(runs), "title": title}


def _dark_runs(row: bytearray | tuple[int, ...]) -> list[tuple[int, int]]:
    """Where each run of dark modules begins, and how long it is."""
    runs: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if not dark:
            continue
        if runs and sum(runs[-1]) == x:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((x, 1))
    return runs
