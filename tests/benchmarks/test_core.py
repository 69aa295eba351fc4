"""How long the core takes: as a ratio to bare Decimal arithmetic on the same numbers, measured in the same run."""

from collections.abc import Callable
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from time import perf_counter
from typing import Any

import pytest

from quoting.core.packs import choose_packs
from quoting.core.scope_file import scope_from_data
from quoting.core.shapes import PI
from quoting.core.work_out import work_out

AREAS, STEPS, MATERIALS = 20, 10, 5
GALLON = Decimal("3.785411784")
OUNCE = Decimal("0.028349523125")


def best_seconds(work: Callable[[], Any], rounds: int = 15) -> float:
    """The least time of several rounds: what the machine can do when it is not doing something else."""
    times = []
    for _round in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def scope_data() -> dict[str, Any]:
    """Every step on every area, with five materials of its own."""
    return {
        "format": 1,
        "currency": "USD",
        "units": "us",
        "areas": [
            {
                "name": f"Area {a}",
                "texture": "1.12",
                "parts": [{"shape": "rectangle", "length": f"{20 + a} ft", "width": f"{10 + a} ft"}],
                "deducts": [{"shape": "circle", "diameter": "6 ft"}],
            }
            for a in range(AREAS)
        ],
        "materials": {
            f"m-{s}-{m}": {
                "name": f"Material {s} {m}",
                "packs": [{"size": "1 gal", "price": "58.00"}, {"size": "5 gal", "price": "228.00"}],
            }
            for s in range(STEPS)
            for m in range(MATERIALS)
        },
        "work": [
            {
                "step": f"Step {s}",
                "areas": [f"Area {a}" for a in range(AREAS)],
                "labour": {"rate": "220 ft**2/hour", "passes": 2, "setup": "0.5 hour", "difficulty": "1.1"},
                "materials": [
                    {
                        "material": f"m-{s}-{m}",
                        "waste": "0.05",
                        "use": {"by": "coverage", "coverage": f"{200 + 10 * m} ft**2/gal", "coats": 2},
                    }
                    for m in range(MATERIALS)
                ],
            }
            for s in range(STEPS)
        ],
        "crew": {"size": 2, "hourly_cost": "39.00"},
        "charges": [{"name": "Travel", "category": "equipment", "amount": "95.00"}],
        "pricing": {
            "overhead": "0.15",
            "profit": {"margin": "0.30"},
            "round_to": "5.00",
            "tax": [{"name": "State", "rate": "0.0625", "on": "materials"}],
        },
    }


def bare(sizes: list[tuple[Decimal, Decimal, Decimal]], coverages: list[list[Decimal]], rate: Decimal) -> list[Decimal]:
    """The same arithmetic on the same numbers, with nothing around it: total, then the split over the areas."""
    cent, whole, packs = Decimal("0.01"), Decimal(1), (Decimal("0.003785411784"), Decimal("0.01892705892"))
    nets, effectives, edges = [], [], []
    for length, width, diameter in sizes:
        net = length * width - PI * diameter * diameter / 4
        nets.append(net)
        effectives.append(net * Decimal("1.12"))
        edges.append(2 * (length + width))
    by_area = [Decimal(0)] * len(sizes)
    labour = materials = Decimal(0)
    for step in coverages:
        net = sum(nets, Decimal(0))
        effective = sum(effectives, Decimal(0))
        hours = Decimal("0.5") + 2 * net / rate * Decimal("1.1")
        cost = (hours * Decimal(39)).quantize(cent, ROUND_HALF_UP)
        labour += cost
        each = cost / net
        for a, share in enumerate(nets):
            by_area[a] += each * share
        for coverage in step:
            need = effective * 2 / coverage * Decimal("1.05")
            best = None
            for large in range(int((need / packs[1]).to_integral_value(ROUND_CEILING)) + 1):
                small = max(Decimal(0), ((need - large * packs[1]) / packs[0]).to_integral_value(ROUND_CEILING))
                choice = (small * 58 + large * 228, small * packs[0] + large * packs[1], small + large)
                if best is None or choice < best:
                    best = choice
            cost = best[0].quantize(cent, ROUND_HALF_UP)
            materials += cost
            share = need / effective
            needs = [share * weight for weight in effectives]
            each = cost / need
            for a, weight in enumerate(needs):
                by_area[a] += each * weight
    direct = materials + labour + 95
    cost = direct + (direct * Decimal("0.15")).quantize(cent, ROUND_HALF_UP)
    price = (cost / Decimal("0.70")).quantize(cent, ROUND_HALF_UP)
    price = (price / 5).to_integral_value(ROUND_CEILING) * 5
    quotas = [price * 100 * weight / direct for weight in (materials, labour, Decimal(95))]
    floors = [quota.quantize(whole, ROUND_FLOOR) for quota in quotas]
    for i in sorted(range(3), key=lambda i: floors[i] - quotas[i])[: int(price * 100 - sum(floors))]:
        floors[i] += 1
    total = price + (floors[0] / 100 * Decimal("0.0625")).quantize(cent, ROUND_HALF_UP)
    spread = sum(by_area, Decimal(0))
    quotas = [price * 100 * weight / spread for weight in by_area]
    floors = [quota.quantize(whole, ROUND_FLOOR) for quota in quotas]
    for i in sorted(range(len(quotas)), key=lambda i: floors[i] - quotas[i])[: int(price * 100 - sum(floors))]:
        floors[i] += 1
    return [total, *(floor / 100 for floor in floors)]


def test_working_out_takes_at_most_three_times_the_bare_arithmetic(capsys: pytest.CaptureFixture[str]) -> None:
    scope = scope_from_data(scope_data())
    sizes = [
        (area.parts[0].size("length").magnitude, area.parts[0].size("width").magnitude, Decimal("1.8288"))
        for area in scope.areas
    ]
    coverages = [[each.use.coverage.magnitude for each in step.materials] for step in scope.work]
    rate = scope.work[0].labour.rate.magnitude
    workings = work_out(scope)
    assert bare(sizes, coverages, rate) == [
        workings.price.of.total,
        *(amount for _area, amount in workings.price.by_area),
    ]
    ours = best_seconds(lambda: work_out(scope))
    plain = best_seconds(lambda: bare(sizes, coverages, rate))
    with capsys.disabled():
        times = f"{ours * 1000:.1f} ms ÷ {plain * 1000:.1f} ms"
        print(f"\nwork_out ÷ bare Decimal: {ours / plain:.2f} ({times}), at most 3")
    assert ours / plain <= 3


PACKS = {
    "1 and 5 gal": [(GALLON, "58"), (5 * GALLON, "228")],
    "1, 5 and 55 gal": [(GALLON, "58"), (5 * GALLON, "228"), (55 * GALLON, "2100")],
    "0.7 and 2.3 L": [(Decimal("0.7"), "9.10"), (Decimal("2.3"), "27.50")],
    "1 oz and 50 lb": [(OUNCE, "1.90"), (800 * OUNCE, "940")],
    "1 L, 1 and 5 gal": [(Decimal(1), "15.50"), (GALLON, "58"), (5 * GALLON, "228")],
}


def every_set(need: Decimal, packs: list[tuple[Decimal, Decimal]]) -> Decimal:
    """The cost of the cheapest set of the first two packs, by trying each number of the larger one."""
    (small, small_price), (large, large_price) = packs[:2]
    best = None
    for many in range(int((need / large).to_integral_value(ROUND_CEILING)) + 1):
        rest = max(Decimal(0), ((need - many * large) / small).to_integral_value(ROUND_CEILING))
        cost = many * large_price + rest * small_price
        if best is None or cost < best:
            best = cost
    assert best is not None
    return best


@pytest.mark.parametrize("name", PACKS)
def test_two_thousand_smallest_packs_take_less_than_trying_every_set(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    packs = [(size, Decimal(price)) for size, price in PACKS[name]]
    need = 2000 * packs[0][0]
    reference = [(OUNCE, Decimal("1.90")), (5 * OUNCE, Decimal("9.00"))]  # 401 sets
    ours = best_seconds(lambda: choose_packs(need, packs), rounds=30)
    plain = best_seconds(lambda: every_set(2000 * OUNCE, reference), rounds=30)
    with capsys.disabled():
        print(f"\npacks of {name} ÷ trying 401 sets: {ours / plain:.2f} ({ours * 1000:.3f} ms), at most 1")
    assert ours / plain <= 1


def test_a_need_a_thousand_times_larger_takes_no_longer(capsys: pytest.CaptureFixture[str]) -> None:
    packs = [(size, Decimal(price)) for size, price in PACKS["0.7 and 2.3 L"]]
    small = best_seconds(lambda: choose_packs(2000 * packs[0][0], packs), rounds=30)
    large = best_seconds(lambda: choose_packs(2_000_000 * packs[0][0], packs), rounds=30)
    with capsys.disabled():
        print(f"\npacks for 2,000,000 ÷ packs for 2,000: {large / small:.2f}, at most 2")
    assert large / small <= 2
