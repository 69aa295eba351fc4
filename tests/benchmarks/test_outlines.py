"""How long an absurd scope file takes: 500 outlines of 200 corners each, the most that a part may have, in 3.4 MB."""

import json
import math
from collections.abc import Callable
from decimal import Decimal
from time import process_time
from typing import Any

import pytest

from quoting.core.outlines import first_contact
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out

CORNERS = 200
FOOT = Decimal("0.3048")


def best_cpu_seconds(work: Callable[[], Any], rounds: int) -> float:
    """The least time of several rounds, the processor's own, so that half a second isn't measured with others' work."""
    times = []
    for _round in range(rounds):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def round_outline() -> list[tuple[Decimal, Decimal]]:
    """Feet, to six decimals."""
    at = [2 * math.pi * place / CORNERS for place in range(CORNERS)]
    return [(Decimal(f"{50 + 40 * math.cos(turn):.6f}"), Decimal(f"{50 + 40 * math.sin(turn):.6f}")) for turn in at]


def comb() -> list[tuple[Decimal, Decimal]]:
    """Nearly two hundred long teeth, each over the whole width: a side overlaps every other on one axis."""
    teeth = [(Decimal(90 if place % 2 else 0), Decimal(place)) for place in range(CORNERS - 2)]
    return [*teeth, (Decimal(120), Decimal(CORNERS)), (Decimal(120), Decimal(0))]


def hostile(outlines: int) -> tuple[bytes, list[list[tuple[str, str]]]]:
    """A scope file of so many round outlines, in areas of fifty, and their corners as texts."""
    corners = [(f"{x} ft", f"{y} ft") for x, y in round_outline()]
    data: dict[str, Any] = {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [
            {"name": f"Area {a}", "parts": [{"shape": "polygon", "points": corners} for _ in range(50)]}
            for a in range(outlines // 50)
        ],
        "materials": {},
        "work": [
            {"step": "Wash", "areas": ["Area 0"], "labour": {"rate": "220 ft**2/hour"}, "materials": []},
        ],
        "crew": {"size": 2, "hourly_cost": "39.00"},
        "pricing": {"overhead": "0.15", "profit": {"margin": "0.30"}},
    }
    return json.dumps(data).encode(), [corners] * outlines


def bare(content: bytes, outlines: list[list[tuple[str, str]]]) -> Decimal:
    """The least that can be done with it: parse the JSON, turn each text into metres, and add up by coordinates."""
    json.loads(content)
    total = Decimal(0)
    for corners in outlines:
        points = [(Decimal(x[:-3]) * FOOT, Decimal(y[:-3]) * FOOT) for x, y in corners]
        doubled = sum(
            (x * v - u * y for (x, y), (u, v) in zip(points, [*points[1:], points[0]], strict=True)), Decimal(0)
        )
        total += abs(doubled) / 2
    return total


def test_a_comb_takes_little_more_than_a_round_outline(capsys: pytest.CaptureFixture[str]) -> None:
    shapes = [[(int(x * 10**6), int(y * 10**6)) for x, y in outline] for outline in (round_outline(), comb())]
    assert [first_contact(shape) for shape in shapes] == [None, None]
    plain = best_cpu_seconds(lambda: first_contact(shapes[0]), rounds=40)
    toothed = best_cpu_seconds(lambda: first_contact(shapes[1]), rounds=40)
    with capsys.disabled():
        print(f"\ncomb ÷ round outline of 200 corners: {toothed / plain:.2f} ({toothed * 1000:.2f} ms), at most 2")
    assert toothed / plain <= 2


def test_an_absurd_file_takes_at_most_sixty_times_the_bare_arithmetic(capsys: pytest.CaptureFixture[str]) -> None:
    content, outlines = hostile(100)
    workings = work_out(read_scope(content))
    with_us = sum((area.figures.net for area in workings.areas), Decimal(0))
    assert round(with_us, 12) == round(bare(content, outlines), 12)
    ours = best_cpu_seconds(lambda: work_out(read_scope(content)), rounds=3)
    plain = best_cpu_seconds(lambda: bare(content, outlines), rounds=5)
    with capsys.disabled():
        print(f"\n100 outlines of 200 corners, read and worked out ÷ bare: {ours / plain:.1f}, at most 60")
    assert ours / plain <= 60
