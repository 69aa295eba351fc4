"""The joints of a surface at scale, as a pattern: ashlar for stamped concrete, running bond for pavers, else none."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from quoting.documents.drawing import Pattern, number

Joints = Literal["ashlar", "bond", ""]

ASHLAR_MODULE = 0.1524
"""6 in, in metres: stamped ashlar is cut in multiples of it. Common practice, no published source."""

PAVER = 0.2032
"""8 in, in metres: a paver of 8 in by 4 in in running bond. Common practice, no published source."""

SIDE = 12
STONES = ((3, 2), (2, 3), (2, 2), (4, 2), (2, 1), (1, 2), (1, 1))
"""Sizes of stones in modules, wide and high."""

ACROSS = ((1, 11, 3, 2), (7, 11, 2, 2), (11, 3, 2, 2), (11, 7, 3, 2))
"""Stones that lie across the tile's edges (x, y, width, height), so that no joint runs through from tile to tile."""

FINEST = 2.4
"""px between joints: finer ones would only grey the sheet and are left out."""


def joints_of(surface: str) -> Joints:
    """Which joints a surface shows, by its trade name."""
    name = surface.casefold()
    if "paver" in name or "brick" in name:
        return "bond"
    return "ashlar" if "stamp" in name else ""


def joint_pattern(joints: Joints, scale: float, name: str) -> Pattern | None:
    """The pattern at `scale` px a metre, with the id `name`; None where there are no joints or they are too fine."""
    if joints == "ashlar" and ASHLAR_MODULE * scale >= FINEST:
        module = ASHLAR_MODULE * scale
        d = "".join(
            f"M{number(x * module)} {number(y * module)}{'h' if level else 'v'}{number(long * module)}"
            for level, x, y, long in ashlar_joints()
        )
        return Pattern(id=name, width=SIDE * module, height=SIDE * module, d=d)
    if joints == "bond" and PAVER / 2 * scale >= FINEST:
        w, h = PAVER * scale, PAVER / 2 * scale
        d = f"M0 0H{w:.3f}M0 {h:.3f}H{w:.3f}M0 0V{h:.3f}M{w / 2:.3f} {h:.3f}V{2 * h:.3f}"
        return Pattern(id=name, width=w, height=2 * h, d=d)
    return None


@lru_cache(maxsize=1)
def ashlar_joints() -> tuple[tuple[bool, int, int, int], ...]:
    """The joints of one ashlar tile, in modules: (level?, x, y, length). The tile meets itself at its edges."""
    stone = _stones()
    found: list[tuple[bool, int, int, int]] = []
    for level in (True, False):
        for line in range(SIDE):
            run = 0
            for along in range(SIDE + 1):
                x, y = (along, line) if level else (line, along)
                joint = along < SIDE and stone[y][x] != (stone[y - 1][x] if level else stone[y][x - 1])
                if not joint and run:
                    found.append((level, x - run, y, run) if level else (level, x, y - run, run))
                run = run + 1 if joint else 0
    return tuple(found)


def _stones() -> list[list[int]]:
    """Which stone lies on each module: those across the edges, then the next size that fits, from the top left."""
    stone = [[0] * SIDE for _ in range(SIDE)]
    laid = 0

    def lay(x: int, y: int, wide: int, high: int) -> bool:
        cells = [((y + j) % SIDE, (x + i) % SIDE) for i in range(wide) for j in range(high)]
        if any(stone[row][column] for row, column in cells):
            return False
        for row, column in cells:
            stone[row][column] = laid + 1
        return True

    for x, y, wide, high in ACROSS:
        laid += lay(x, y, wide, high)
    for y in range(SIDE):
        for x in range(SIDE):
            sizes = (STONES[(laid * 3 + y + turn) % len(STONES)] for turn in range(len(STONES)))
            if not stone[y][x]:
                laid += any(lay(x, y, wide, high) for wide, high in sizes)
    return stone
