from dataclasses import asdict

from quoting.core.scope_file import scope_from_data, write_scope
from quoting.core.work_out import work_out
from quoting.core.workings_file import workings_data, write_workings
from quoting.documents.crew import CrewMaterial, crew_offers
from quoting.models import PaperScope

SCOPE = {
    "format": 1,
    "currency": "USD",
    "units": "us",
    "areas": [{"name": "Pool deck", "parts": [{"shape": "rectangle", "length": "30 ft", "width": "15 ft"}]}],
    "materials": {
        "base": {
            "name": "Base tone, graphite",
            "packs": [{"size": "1 lb", "price": "21.57"}, {"size": "5 lb", "price": "84.13"}],
        }
    },
    "work": [
        {
            "step": "Base tone",
            "areas": ["Pool deck"],
            "visit": 2,
            "hold": "12 hour",
            "labour": {"rate": "225 ft**2/hour", "setup": "0.5 hour"},
            "materials": [
                {
                    "material": "base",
                    "use": {"by": "mix", "strength": "6 oz/gal", "coverage": "150 ft**2/gal", "batch": "2 gal"},
                }
            ],
        }
    ],
    "crew": {"size": 2, "hourly_cost": "39.11"},
    "charges": [{"name": "Travel", "category": "equipment", "amount": "95.23"}],
    "pricing": {"overhead": "0.15", "profit": {"margin": "0.30"}},
}


def frozen() -> tuple[PaperScope, dict]:
    scope = scope_from_data(SCOPE)
    workings = work_out(scope)
    row = PaperScope(name="Recolour", scope=write_scope(scope), workings=write_workings(workings))
    return row, workings_data(workings)


def test_the_crew_reads_steps_materials_batches_and_packs():
    row, _ = frozen()
    (offer,) = crew_offers([row])
    (step,) = offer.steps
    assert (offer.name, step.name, step.areas, step.visit, step.hold) == (
        "Recolour",
        "Base tone",
        "Pool deck",
        2,
        "12 hour",
    )
    # 0.5 + 450 ÷ 225 = 2.5
    assert step.hours == "2.5\u00a0h"
    # 450 ÷ 150 = 3 gal: a batch of 2 and one of 1; 6 × 3 = 18 oz
    assert step.materials == (
        CrewMaterial(
            "Base tone, graphite",
            "18.00\u00a0oz",
            (
                "1 × 2.00\u00a0gal water, 12.00\u00a0oz powder",
                "1 × 1.00\u00a0gal water, 6.00\u00a0oz powder",
            ),
        ),
    )
    # 18 oz is more than one pound: two of 1 lb at 43.14 are less than one of 5 lb
    assert offer.packs == (("Base tone, graphite", "2 × 1 lb"),)


def test_no_sum_of_money_of_the_offer_is_in_what_the_crew_reads():
    row, workings = frozen()
    price = workings["price"]
    sums = {price[name] for name in ("direct", "overhead", "cost", "profit", "price", "total")}
    sums |= {step["labour_cost"] for step in workings["steps"]} | {each["cost"] for each in workings["materials"]}
    sums |= {"39.11", "21.57", "84.13", "95.23"}
    read = str([asdict(offer) for offer in crew_offers([row])])
    assert not [each for each in sums if each in read]
