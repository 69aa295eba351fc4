"""A sample job for a restoration system: one area of a round size, to try a system with and to compare editions by."""

from __future__ import annotations

from typing import Any

from quoting.models import Condition, Firm, OptionStep, RestorationSystem, Surface, SystemStep
from quoting.services.pricebook import PriceBook
from quoting.services.scope import pricing_data
from quoting.services.scope_work import charge_data, labour_data, material_data, use_data

SAMPLE = {"us": ("500 ft**2", "90 ft", "10 ft"), "metric": ("50 m**2", "30 m", "3 m")}
"""Area, edge and length by the units of the book: 20 ft by 25 ft, or 5 m by 10 m."""

SAMPLE_COUNT = 1

Data = dict[str, Any]


def sample_slab(system: RestorationSystem) -> tuple[str, str]:
    """Surface and condition to try a system on: the first surface that it suits, worn if it suits that."""
    worn = Condition.WORN if Condition.WORN in system.conditions else system.conditions[0]
    return system.surfaces[0], str(worn)


def sample_data(
    book: PriceBook, system: RestorationSystem, surface: str, condition: str, firm: Firm | None = None, size: str = ""
) -> Data:
    """The scope of a sample job of 500 ft² (50 m² in a metric book; `size` where it is another book's) with all the
    steps of the system, those that are off by default included.

    Lengths that an option asks for are 10 ft, or 3 m. With `firm` it is priced by the firm's rules, with the steps
    that are on, the charges that go into every option and the taxes of the firm's own place; without, at nothing an
    hour and without profit.
    """
    area, edge, length = SAMPLE[size or book.edition.units]
    counts_in = book.edition.counts_in
    steps = [step for step in system.steps.all() if step.on or firm is None]
    used = {each.material.key: each.material for step in steps for each in step.materials.all()}
    visits = {step.visit for step in steps}
    charges = [charge for charge in book.charges.values() if charge.always] if firm else []
    return {
        "format": 1,
        "title": system.name,
        "currency": firm.currency if firm else "USD",
        "units": firm.units if firm else book.edition.units,
        "areas": [
            {
                "name": "Sample",
                "surface": Surface(surface).label,
                "parts": [{"shape": "measured", "area": area, "edge": edge}],
            }
        ],
        "materials": {key: material_data(material, counts_in) for key, material in used.items()},
        "work": [
            {
                "step": step.name,
                "areas": ["Sample"],
                "labour": labour_data(OptionStep(step=step, length=_length(step, length), count=SAMPLE_COUNT), []),
                "materials": [
                    use_data(
                        each,
                        [(surface, condition)],
                        counts_in=counts_in,
                        length=_length(step, length),
                        count=SAMPLE_COUNT,
                    )
                    for each in step.materials.all()
                ],
            }
            for step in steps
        ],
        "crew": {
            "size": firm.crew_size if firm else 1,
            "hourly_cost": str(firm.hourly_cost.amount) if firm else "0",
        },
        "charges": [charge_data(charge, len(visits)) for charge in charges],
        "pricing": pricing_data(firm, firm) if firm else {"profit": {"markup": "0"}},
    }


def _length(step: SystemStep, length: str) -> str:
    """What the option would say; a step along the edge takes the sample's edge."""
    return "" if step.measure == SystemStep.Measure.EDGE else length
