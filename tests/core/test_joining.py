"""One option with several add-ons, from the scopes of the option with each."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.core.joining import JoinFault, join
from quoting.core.scope import Crew, Scope
from quoting.core.scope_file import read_scope, scope_from_data, write_scope
from quoting.core.work_out import work_out

D = Decimal
Data = dict[str, Any]
SEALER = {"name": "Sealer", "packs": [{"size": "1 gal", "price": "58.00"}, {"size": "5 gal", "price": "228.00"}]}
GRIT = {"name": "Grit", "packs": [{"size": "1 lb", "price": "16.00"}]}
STRIPPER = {"name": "Stripper", "packs": [{"size": "1 gal", "price": "44.00"}]}


def area(name: str, square_feet: int) -> Data:
    """An area of that size."""
    return {"name": name, "parts": [{"shape": "measured", "area": f"{square_feet} ft^2"}]}


def step(name: str, where: str, material: str, coverage: str, visit: int) -> Data:
    """A step with one material."""
    use = {"by": "coverage", "coverage": coverage}
    labour = {"rate": "200 ft**2/hour"}
    materials = [{"material": material, "use": use}]
    return {"step": name, "areas": [where], "labour": labour, "materials": materials, "visit": visit}


SEAL = step("Seal", "Deck", "sealer", "200 ft**2/gal", 2)
WASH = step("Wash", "Deck", "sealer", "900 ft**2/gal", 1)


def scope(title: str, areas: list[Data], materials: Data, work: list[Data], charges: Sequence[Data] = ()) -> Scope:
    """A scope; travel costs 40 a visit."""
    visits = len({each["visit"] for each in work})
    travel = {"name": f"Travel, {visits} visits", "category": "equipment", "amount": str(40 * visits)}
    data: Data = {
        "format": 1,
        "title": title,
        "currency": "USD",
        "units": "us",
        "areas": areas,
        "materials": materials,
        "work": work,
        "crew": {"size": 2, "hourly_cost": "39.00"},
        "charges": [travel, *charges],
        "pricing": {"profit": {"margin": "0.30"}},
    }
    return scope_from_data(data)


DECK, STEPS, WALK, APRON = area("Deck", 400), area("Steps", 60), area("Walk", 150), area("Apron", 90)
DISPOSAL = {"name": "Disposal", "category": "other", "amount": "35.00"}
OPTION = scope("Reseal", [DECK, APRON], {"sealer": SEALER}, [WASH, SEAL])
WITH_GRIT = scope(
    "Reseal + Grit",
    [DECK, APRON],
    {"sealer": SEALER, "grit": GRIT},
    [WASH, SEAL, step("Grit", "Deck", "grit", "900 ft**2/lb", 2)],
)
WITH_STEPS = scope(
    "Reseal + Steps",
    [STEPS, DECK, APRON],
    {"sealer": SEALER, "stripper": STRIPPER},
    [
        WASH,
        SEAL,
        step("Strip", "Steps", "stripper", "60 ft**2/gal", 3),
        step("Seal", "Steps", "sealer", "100 ft**2/gal", 2),
    ],
    [DISPOSAL],
)
WITH_WALK = scope(
    "Reseal + Walk",
    [DECK, WALK, APRON],
    {"sealer": SEALER, "stripper": STRIPPER},
    [
        WASH,
        SEAL,
        step("Strip", "Walk", "stripper", "80 ft**2/gal", 4),
        step("Seal", "Walk", "sealer", "180 ft**2/gal", 2),
    ],
    [DISPOSAL],
)


def needs(found: Scope) -> dict[str, Decimal]:
    """Gallons or pounds of each material, to ten places."""
    return {each.material: round(each.need * 10**10) for each in work_out(found).materials}


def test_several_add_ons_by_hand() -> None:
    joined = join(OPTION, [WITH_GRIT, WITH_STEPS, WITH_WALK])
    assert joined.title == "Reseal + Grit + Steps + Walk"
    assert [each.name for each in joined.areas] == ["Steps", "Deck", "Walk", "Apron"]
    assert [(each.step, *each.areas) for each in joined.work] == [
        ("Wash", "Deck"),
        ("Seal", "Deck"),
        ("Grit", "Deck"),
        ("Strip", "Steps"),
        ("Seal", "Steps"),
        ("Strip", "Walk"),
        ("Seal", "Walk"),
    ]
    assert [each.key for each in joined.materials] == ["grit", "sealer", "stripper"]


def test_new_areas_after_the_same_one_keep_the_order_of_the_add_ons() -> None:
    pad = step("Seal", "Pad", "sealer", "200 ft**2/gal", 2)
    with_pad = scope("Reseal + Pad", [DECK, area("Pad", 50), APRON], {"sealer": SEALER}, [WASH, SEAL, pad])
    names = [each.name for each in join(OPTION, [WITH_WALK, with_pad]).areas]
    assert names == ["Deck", "Walk", "Pad", "Apron"]


def test_without_visits_a_charge_of_another_amount_is_another_charge() -> None:
    plain = [replace(each, work=tuple(replace(one, visit=None) for one in each.work)) for each in (OPTION, WITH_GRIT)]
    dearer = replace(plain[1], charges=(replace(plain[1].charges[0], amount=D("81")),))
    with pytest.raises(JoinFault, match="does not begin with the charges"):
        join(plain[0], [dearer])


def test_visits_are_shared_and_charged_once() -> None:
    """Visits 1 and 2, and 3 and 4 of the add-ons: 4 × 40 = 160. Disposal, the same of both, is one."""
    joined = join(OPTION, [WITH_STEPS, WITH_WALK])
    assert [(each.name, each.amount) for each in joined.charges] == [
        ("Travel, 4 visits", D("160")),
        ("Disposal", D("35.00")),
    ]


def test_one_more_visit_is_charged_where_one_add_on_brings_it() -> None:
    """3 × 40, whichever of the two comes first."""
    for pair in ([WITH_GRIT, WITH_STEPS], [WITH_STEPS, WITH_GRIT]):
        assert join(OPTION, pair).charges[0].amount == D("120")


def test_packs_are_shared() -> None:
    """Sealer: 400/900 + 400/200 + 60/100 + 150/180 = 0.4444 + 2 + 0.6 + 0.8333 = 3.8778 gal → 4 × 1 gal = 232.00.

    Dearer than a 5 gal pack at 228.00, so that is bought.
    """
    sealer = next(
        each for each in work_out(join(OPTION, [WITH_STEPS, WITH_WALK])).materials if each.material == "sealer"
    )
    assert [(each.pack.size.text, each.count) for each in sealer.bought] == [("5 gal", 1)]


def test_joined_with_nothing_is_the_option() -> None:
    assert join(OPTION, []) == OPTION


def test_a_joined_scope_is_one_that_the_reader_accepts() -> None:
    joined = join(OPTION, [WITH_GRIT, WITH_STEPS, WITH_WALK])
    assert read_scope(write_scope(joined)) == joined


@pytest.mark.parametrize(
    ("other", "why"),
    [
        (replace(WITH_GRIT, currency="EUR"), "differs from “Reseal” in its currency"),
        (replace(WITH_GRIT, crew=Crew(size=3, hourly_cost=D("39.00"))), "differs from “Reseal” in its crew"),
        (replace(WITH_GRIT, work=WITH_GRIT.work[1:]), "does not begin with the steps of “Reseal”"),
        (replace(WITH_GRIT, areas=WITH_GRIT.areas[1:]), "lacks “Deck”, or has it otherwise"),
        (replace(WITH_GRIT, materials=WITH_GRIT.materials[:1]), "lacks “Sealer”, or has it otherwise"),
        (replace(WITH_GRIT, charges=()), "does not begin with the charges of “Reseal”"),
        (
            replace(WITH_GRIT, charges=(replace(WITH_GRIT.charges[0], amount=D("81")),)),
            "does not begin with the charges of “Reseal”",
        ),
    ],
)
def test_what_does_not_extend_the_option_is_refused(other: Scope, why: str) -> None:
    with pytest.raises(JoinFault, match=why):
        join(OPTION, [other])


def test_two_measures_of_one_area_are_refused() -> None:
    longer = replace(WITH_STEPS, areas=(measured("Steps", 75), *WITH_STEPS.areas[1:]))
    with pytest.raises(JoinFault, match="“Steps” is measured in two ways"):
        join(OPTION, [WITH_STEPS, longer])


def measured(name: str, square_feet: int) -> Any:
    """The area of that name and size, read."""
    return scope("", [area(name, square_feet)], {}, []).areas[0]


def test_two_prices_of_one_material_are_refused() -> None:
    dearer = replace(WITH_WALK.materials[1], name="Stripper, new price")
    with pytest.raises(JoinFault, match="two sets of packs and prices"):
        join(OPTION, [WITH_STEPS, replace(WITH_WALK, materials=(WITH_WALK.materials[0], dearer))])


@st.composite
def extended(draw: st.DrawFn) -> tuple[Scope, list[Scope]]:
    """An option and its scopes with one to four add-ons, some of them on new areas and on new visits."""
    own = [step(f"Own {i}", "Deck", "sealer", f"{draw(st.integers(90, 900))} ft**2/gal", i + 1) for i in range(3)]
    together = []
    for number in range(draw(st.integers(1, 4))):
        name = draw(st.sampled_from(["Deck", "Apron", f"New {number}"]))
        areas = [DECK, APRON]
        if name.startswith("New"):
            areas.insert(draw(st.integers(0, 2)), area(name, draw(st.integers(1, 900))))
        material = draw(st.sampled_from(["sealer", "stripper"]))
        more = step(
            f"More {number}", name, material, f"{draw(st.integers(60, 400))} ft**2/gal", draw(st.integers(1, 6))
        )
        known = {"sealer": SEALER} | ({"stripper": STRIPPER} if material == "stripper" else {})
        together.append(scope(f"Option + {number}", areas, known, [*own, more]))
    return scope("Option", [DECK, APRON], {"sealer": SEALER}, own), together


@settings(max_examples=60, deadline=None)
@given(extended())
def test_joined_with_one_is_that_one(found: tuple[Scope, list[Scope]]) -> None:
    option, (first, *_rest) = found
    assert join(option, [first]) == first


@settings(max_examples=60, deadline=None)
@given(extended(), st.randoms(use_true_random=False))
def test_the_order_of_add_ons_changes_no_quantity(found: tuple[Scope, list[Scope]], chance: Any) -> None:
    option, together = found
    shuffled = list(together)
    chance.shuffle(shuffled)
    one, other = join(option, together), join(option, shuffled)
    assert needs(one) == needs(other)
    assert {each.name for each in one.areas} == {each.name for each in other.areas}
    assert sorted((each.step, *each.areas) for each in one.work) == sorted((s.step, *s.areas) for s in other.work)
    assert [each.amount for each in one.charges] == [each.amount for each in other.charges]


@settings(max_examples=60, deadline=None)
@given(extended())
def test_needs_add_up(found: tuple[Scope, list[Scope]]) -> None:
    """What is needed in all is what the option needs and what each add-on needs more."""
    option, together = found
    alone, joined = needs(option), needs(join(option, together))
    for key, need in joined.items():
        more = sum(needs(each).get(key, 0) - alone.get(key, 0) for each in together)
        assert abs(need - alone.get(key, 0) - more) <= 1 + len(together)
