"""Workings as JSON, in the documented form.

Magnitudes are texts in the scope's units, unrounded; sums of money have exactly the currency's decimals. Beside the
figures stand their one-line workings. `film` gives the wet film of each coat and, for a material with `solids`, the dry
film.
"""

import json
from decimal import Decimal, localcontext
from typing import Any

from quoting.core.rounding import CONTEXT
from quoting.core.scope import Category
from quoting.core.units import Dimension, to_unit
from quoting.core.working_lines import SHOWN, ShownIn
from quoting.core.workings import AreaFigure, MaterialFigure, PriceFigure, StepFigure, UseFigure, Workings


def workings_data(workings: Workings) -> dict[str, Any]:
    """The plain data of workings."""
    shown = SHOWN[workings.scope.units]
    with localcontext(CONTEXT):
        return {
            "format": 1,
            "areas": [_area(area, shown) for area in workings.areas],
            "steps": [_step(step, shown) for step in workings.steps],
            "materials": [_material(material, shown) for material in workings.materials],
            "price": _price(workings.price),
            "warnings": list(workings.warnings),
        }


def write_workings(workings: Workings, indent: int | None = None) -> str:
    """The JSON text of workings: one line, or indented for reading."""
    separators = (",", ":") if indent is None else None
    return json.dumps(
        workings_data(workings), ensure_ascii=False, allow_nan=False, indent=indent, separators=separators
    )


def _text(number: Decimal) -> str:
    """Unrounded, without an exponent; a whole number without a point."""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _in(magnitude: Decimal, unit: str) -> dict[str, str]:
    return {"value": _text(to_unit(magnitude, unit)), "unit": unit}


def _held(magnitude: Decimal, dimension: Dimension, shown: ShownIn) -> dict[str, str]:
    return _in(magnitude, shown.unit(dimension))


def _area(area: AreaFigure, shown: ShownIn) -> dict[str, Any]:
    return {
        "name": area.name,
        "net": _in(area.net, shown.area),
        "effective": _in(area.effective, shown.area),
        "edge": None if area.edge is None else _in(area.edge, shown.length),
        "working": area.working,
    }


def _step(step: StepFigure, shown: ShownIn) -> dict[str, Any]:
    return {
        "step": step.step,
        "areas": list(step.areas),
        "person_hours": _text(step.person_hours),
        "elapsed_hours": _text(step.elapsed_hours),
        "labour_cost": f"{step.labour_cost:f}",
        "working": step.working,
        "materials": [_use(use, shown) for use in step.materials],
    }


def _use(use: UseFigure, shown: ShownIn) -> dict[str, Any]:
    data: dict[str, Any] = {
        "material": use.material,
        "need": _held(use.need, use.dimension, shown),
        "working": use.working,
    }
    if use.batches:
        data["batches"] = [_batch(use, place, shown) for place in range(len(use.batches))]
    if use.wet_films:
        data["film"] = {"wet": [_in(film, shown.film) for film in use.wet_films]}
        if use.dry_films:
            data["film"]["dry"] = [_in(film, shown.film) for film in use.dry_films]
    return data


def _batch(use: UseFigure, place: int, shown: ShownIn) -> dict[str, Any]:
    batch = use.batches[place]
    data: dict[str, Any] = {
        "count": batch.count,
        "water": _in(batch.water, shown.volume),
        "powder": _in(batch.powder, shown.mass),
        "powder_grams": _in(batch.powder, "g"),
    }
    scoops = use.scoops(batch)
    if scoops is not None:
        data["scoops"] = _text(scoops)
    return data


def _material(material: MaterialFigure, shown: ShownIn) -> dict[str, Any]:
    return {
        "material": material.material,
        "name": material.name,
        "need": _held(material.need, material.dimension, shown),
        "from_stock": _held(material.taken, material.dimension, shown),
        "buy": [{"size": bought.pack.size.text, "count": bought.count} for bought in material.bought],
        "left_over": _held(material.left_over, material.dimension, shown),
        "cost": f"{material.cost:f}",
        "working": material.working,
        "cost_working": material.cost_working,
    }


def _price(figure: PriceFigure) -> dict[str, Any]:
    price = figure.of
    return {
        **{str(category): f"{price.direct_by_category[category]:f}" for category in Category},
        "direct": f"{price.direct:f}",
        "overhead": f"{price.overhead:f}",
        "cost": f"{price.cost:f}",
        "profit": f"{price.profit:f}",
        "markup": None if price.markup is None else _text(price.markup),
        "margin": None if price.margin is None else _text(price.margin),
        "before_rounding": f"{price.computed:f}",
        "discount": f"{price.discount:f}",
        "price": f"{price.price:f}",
        "tax": [{"name": tax.tax.name, "base": f"{tax.base:f}", "amount": f"{tax.amount:f}"} for tax in price.taxes],
        "total": f"{price.total:f}",
        "by_category": {str(category): f"{price.shares[category]:f}" for category in Category},
        "by_area": [{"area": name, "amount": f"{amount:f}"} for name, amount in figure.by_area],
        "working": figure.working,
    }
