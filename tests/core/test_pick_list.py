"""What to load."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.gear import Gear, GearKind, Masking, Per
from quoting.core.pick_list import Load, PickLine, PickList, difference, job_list, visit_lists
from quoting.core.rounding import round_half_up
from quoting.core.scope_file import scope_from_data
from quoting.core.stock import Held
from quoting.core.units import from_unit, to_unit
from quoting.core.weather_limits import Work
from quoting.core.work_out import work_out
from quoting.core.workings import Workings

D = Decimal


def gallons(number: str) -> Decimal:
    return from_unit(D(number), "gal")


def patio(*coats: str, area: str = "1000 ft**2", **more: Any) -> Workings:
    """1,000 ft² with a step of sealer for each of these coverages, sold by 1 gal at 60 and 5 gal at 200."""
    scope = {
        "format": 1,
        "title": "Patio",
        "currency": "USD",
        "units": "us",
        "areas": [{"name": "Patio", "parts": [{"shape": "measured", "area": area} | more]}],
        "materials": {
            "sealer": {
                "name": "Sealer",
                "packs": [{"size": "1 gal", "price": "60.00"}, {"size": "5 gal", "price": "200.00"}],
            }
        },
        "work": [
            {
                "step": f"Coat {number}",
                "areas": ["Patio"],
                "materials": [
                    {"material": "sealer", "use": {"by": "coverage", "coverage": f"{coverage} ft**2/gal", "coats": 1}}
                ],
            }
            for number, coverage in enumerate(coats, 1)
        ],
        "crew": {"size": 2, "hourly_cost": "39.00"},
        "pricing": {"profit": {"margin": "0.30"}},
    }
    return work_out(scope_from_data(scope))


def packs(lines: PickList) -> list[tuple[int, str, str]]:
    """Count, gallons in each, and lot of each material line."""
    return [
        (line.count, f"{round_half_up(to_unit(line.left, 'gal'), 3).normalize():f}", "buy" if line.buy else line.lot)
        for line in lines.lines
        if line.left is not None
    ]


BARE = Load(works={}, gear=())


def test_packs_are_listed_by_count():
    # 1000 ÷ 160 = 6.25 gal: 5 + 1 + 1 at 320 is cheaper than 5 + 5 at 400
    assert packs(job_list(patio("160"), BARE)) == [(1, "5", "buy"), (2, "1", "buy")]


def test_stock_comes_first():
    # 6.25 gal: 2 opened in the shed, then 4.25 to buy as one pail of 5 (200, and four of 1 would be 240 and too little)
    stock = [Held(material="sealer", size=gallons("5"), left=gallons("2"), lot="L7", place="Shed")]
    listed = job_list(patio("160"), replace(BARE, stock=stock))
    assert packs(listed) == [(1, "2", "L7"), (1, "5", "buy")]
    assert listed.lines[0].place == "Shed"


def test_stock_that_is_not_needed_stays():
    stock = [Held(material="sealer", size=gallons("5"), left=gallons("5"), count=3, lot="L7")]
    assert packs(job_list(patio("200"), replace(BARE, stock=stock))) == [(1, "5", "L7")]


def test_a_visit_takes_what_covers_it_and_the_rest_of_the_one_before():
    # 4 gal and 2.5 gal: 5 + 1 + 1 at 320 for both. The pail covers the first; its last gallon goes along to the second
    first, second = visit_lists(patio("250", "400"), [[0], [1]], BARE)
    assert (packs(first), packs(second)) == ([(1, "5", "buy")], [(1, "1", ""), (2, "1", "buy")])
    assert second.lines[0].opened


def test_what_should_come_back():
    # 7 gal loaded for 6.25
    assert round_half_up(to_unit(job_list(patio("160"), BARE).planned_left("sealer"), "gal"), 6) == D("0.75")


def test_a_step_that_goes_on_the_next_day_takes_its_material_once():
    first, second = visit_lists(patio("200"), [[0], [0]], BARE)
    assert (packs(first), packs(second)) == ([(1, "5", "buy")], [])


def test_gear_goes_with_the_work():
    mask = Gear(key="mask", name="Mask", kind=GearKind.PROTECTIVE, works=frozenset({Work.SEAL}), per=Per.PERSON)
    washer = Gear(key="washer", name="Washer", kind=GearKind.TOOL, works=frozenset({Work.WASH}))
    lines = job_list(patio("200"), Load(works={0: Work.SEAL}, gear=(mask, washer))).lines
    assert [(line.key, line.count) for line in lines if line.kind != "material"] == [("mask", 2)]


TAPE = Masking(key="tape", name="Tape", roll=from_unit(D(60), "yd"), works=frozenset({Work.SEAL}))


def test_tape_goes_by_the_measured_edge():
    # 400 ft × 1.15 = 460 ft in rolls of 180 ft: 3
    listed = job_list(patio("200", edge="400 ft"), Load(works={0: Work.SEAL}, gear=(), masking=(TAPE,)))
    assert [(line.key, line.count) for line in listed.lines if line.kind == "masking"] == [("tape", 3)]


def test_an_edge_that_is_not_known_has_to_be_measured():
    listed = job_list(patio("200"), Load(works={0: Work.SEAL}, gear=(), masking=(TAPE,)))
    assert listed.unmeasured == ("Patio",)


def line(key: str, count: int = 1, place: str = "") -> PickLine:
    return PickLine(key=key, name=key.title(), kind="tool", count=count, place=place)


def test_lines_are_grouped_by_place():
    listed = PickList(
        lines=(line("hose", place="Shed"), line("scale", place="Van"), line("broom", place="Shed")), needs={}
    )
    groups = [(place, [each.key for each in lines]) for place, lines in listed.by_place()]
    assert groups == [("Shed", ["hose", "broom"]), ("Van", ["scale"])]


def test_the_difference_of_two_lists():
    before = PickList(lines=(line("hose", 2), line("cones", 4), line("scale"), line("broom")), needs={})
    after = PickList(lines=(line("hose", 3), line("cones", 2), line("broom"), line("bucket", 3)), needs={})
    changes = [(change.line.key, change.word, change.before, change.after) for change in difference(before, after)]
    assert changes == [
        ("hose", "more", 2, 3),
        ("cones", "fewer", 4, 2),
        ("bucket", "added", 0, 3),
        ("scale", "dropped", 1, 0),
    ]


def test_a_change_order_changes_the_packs():
    # 1,000 ft² at 200 is a pail of 5; 1,200 ft² is one of 5 and one of 1
    before, after = (job_list(patio("200", area=f"{size} ft**2"), BARE) for size in ("1000", "1200"))
    assert [(change.line.size_text, change.word) for change in difference(before, after)] == [("1 gal", "added")]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(60, 400), min_size=1, max_size=4),
    st.lists(st.decimals("0.1", "5", places=1), max_size=4),
)
def test_every_visit_has_what_it_needs(coverages: list[int], lefts: list[Decimal]):
    stock = [Held(material="sealer", size=gallons("5"), left=gallons(str(left)), lot=str(left)) for left in lefts]
    lists = visit_lists(
        patio(*map(str, coverages)), [[place] for place in range(len(coverages))], replace(BARE, stock=stock)
    )
    for listed in lists:
        assert listed.planned_left("sealer") > D("-1e-15")
