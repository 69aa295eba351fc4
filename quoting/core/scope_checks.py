"""What no field alone can tell: names that refer to each other, figures that exclude each other, shapes that can't
close.

Every check looks at what could be read, so that one slip doesn't hide the others.
"""

from collections import Counter
from collections.abc import Iterator
from decimal import localcontext
from typing import Any

from quoting.core.areas import AreaFault, measure
from quoting.core.ground import calculated
from quoting.core.labour import along_edge
from quoting.core.rounding import CONTEXT
from quoting.core.scope import (
    EDGE,
    Area,
    Charge,
    CoverageUse,
    CrackUse,
    EachUse,
    Labour,
    LengthUse,
    Material,
    MaterialUse,
    MixUse,
    Part,
    Profit,
    Step,
)
from quoting.core.scope_reading import Reading, inside, shown
from quoting.core.shapes import Polygon, Shape, ShapeFault
from quoting.core.units import Dimension
from quoting.core.uses import UseFault, check_use


def check(data: Any, reading: Reading) -> None:
    """Note the faults of meaning in what was read of the data."""
    built = list(reading.built)
    raw = data if isinstance(data, dict) else {}
    edges = _check_areas(built, reading)
    area_names = _names(raw.get("areas"))
    _check_twice(area_names, "areas", reading)
    materials = {each.key: each for _place, each in built if isinstance(each, Material)}
    raw_materials = raw.get("materials")
    keys = set(raw_materials) if isinstance(raw_materials, dict) else set()
    with localcontext(CONTEXT):
        for place, each in built:
            if isinstance(each, Material):
                _check_material(each, place, reading)
            elif isinstance(each, Step):
                _check_step(each, place, area_names, edges, reading)
            elif isinstance(each, Labour):
                _check_labour(each, place, reading)
            elif isinstance(each, MaterialUse):
                _check_use(each, place, keys, materials, reading)
            elif isinstance(each, Charge) and (each.amount is None) == (each.share is None):
                reading.fault(place, "must have either “amount” or “share”.")
            elif isinstance(each, Profit) and (each.markup is None) == (each.margin is None):
                reading.fault(place, "must have either “markup” or “margin”.")


def _names(raw_areas: Any) -> list[str]:
    areas = raw_areas if isinstance(raw_areas, list) else []
    names = [area.get("name") for area in areas if isinstance(area, dict)]
    return [name for name in names if isinstance(name, str)]


def _check_twice(names: list[str], place: str, reading: Reading) -> None:
    for name, times in Counter(names).items():
        if times > 1:
            reading.fault(place, f"{times} areas are called “{shown(name)}”; each needs a name of its own.")


def _check_areas(built: list[tuple[str, Any]], reading: Reading) -> dict[str, bool]:
    """Measures every area; gives whether the edge of each is known."""
    edges = {}
    shapes = {}  # by the part itself: hashing two hundred corners would take longer than measuring them
    for place, each in built:
        if isinstance(each, Part):
            try:
                shapes[id(each)] = calculated(each)
                shapes[id(each)].shape.area()
            except (ShapeFault, AreaFault) as fault:
                shapes.pop(id(each), None)
                reading.fault(place, str(fault))
        elif isinstance(each, Area) and all(id(part) in shapes for part in (*each.parts, *each.deducts)):
            parts, deducts = (tuple(shapes[id(part)] for part in rows) for rows in (each.parts, each.deducts))
            try:
                measure(parts, deducts, each.texture, edges=False)
                edges[each.name] = all(_knows_edge(part.shape) for part in parts)
            except (ShapeFault, AreaFault) as fault:
                reading.fault(place, str(fault))
    return edges


def _knows_edge(shape: Shape) -> bool:
    """Whether its sizes tell its edge; that of a polygon they always do, and it takes the longest to work out."""
    return isinstance(shape, Polygon) or shape.edge() is not None


def _check_material(material: Material, place: str, reading: Reading) -> None:
    dimension = material.packs[0].size.dimension
    for i, pack in enumerate(material.packs):
        if pack.size.dimension is not dimension:
            sentence = f"“{pack.size.text}” is {pack.size.dimension}, and the first pack is {dimension}."
            reading.fault(f"{place}.packs[{i}].size", sentence)
    for key, quantity in (("on_hand", material.on_hand), ("scoop", material.scoop)):
        if quantity is not None and quantity.dimension is not dimension:
            reading.fault(
                inside(place, key), f"“{quantity.text}” is {quantity.dimension}, and the packs are {dimension}."
            )


def _check_step(step: Step, place: str, names: list[str], edges: dict[str, bool], reading: Reading) -> None:
    for i, name in enumerate(step.areas):
        if name not in names:
            reading.fault(f"{place}.areas[{i}]", f"there is no area called “{shown(name)}”.")
        elif name in step.areas[:i]:
            reading.fault(f"{place}.areas[{i}]", f"“{shown(name)}” is there already.")
    unknown = [name for name in step.areas if not edges.get(name, True)]
    for edge_place in _edges_wanted(step, place) if unknown else ():
        which = ", ".join(f"“{shown(name)}”" for name in unknown)
        reading.fault(edge_place, f"the edge of {which} is not known from its shapes: give a length.")


def _edges_wanted(step: Step, place: str) -> Iterator[str]:
    for i, each in enumerate(step.materials):
        if isinstance(each.use, LengthUse | CrackUse) and each.use.length == EDGE:
            yield f"{place}.materials[{i}].use.length"
    if step.labour is not None and along_edge(step.labour):
        yield f"{place}.labour.length"


def _check_labour(labour: Labour, place: str, reading: Reading) -> None:
    if (labour.rate is None) == (labour.hours is None):
        reading.fault(place, "must have either “rate” or “hours”.")
        return
    if labour.rate is None:
        if labour.passes != 1 or labour.setup is not None or labour.difficulty != 1:
            reading.fault(place, "“hours” are the hours outright: leave out “passes”, “setup” and “difficulty”.")
        by = None
    else:
        by = labour.rate.dimension
    if labour.length is not None and by is not Dimension.LENGTH_PER_TIME:
        reading.fault(f"{place}.length", "belongs to a rate by length, such as “80 ft/hour”.")
    if labour.count is not None and by is not Dimension.COUNT_PER_TIME:
        reading.fault(f"{place}.count", "belongs to a rate by count, such as “6 each/hour”.")
    if labour.count is None and by is Dimension.COUNT_PER_TIME:
        reading.fault(f"{place}.count", "is missing: the rate is by count.")


def _check_use(each: MaterialUse, place: str, keys: set[str], materials: dict[str, Material], reading: Reading) -> None:
    use, before = each.use, reading.count
    if isinstance(use, CoverageUse):
        if (use.coverage is None) == (not use.rates):
            reading.fault(f"{place}.use", "must have either “coverage” or “rates”.")
        elif use.rates and use.coats not in (None, len(use.rates)):
            reading.fault(f"{place}.use.coats", f"is {use.coats}, but “rates” gives {len(use.rates)}, one a coat.")
    elif isinstance(use, EachUse) and (use.count is None) == (use.per_area is None):
        reading.fault(f"{place}.use", "must have either “count” or “per_area”.")
    elif isinstance(use, MixUse) and use.batch_step and use.batch_step.magnitude > use.batch.magnitude:
        sentence = f"“{use.batch_step.text}” is more than the batch, {use.batch.text}."
        reading.fault(f"{place}.use.batch_step", sentence)
    if each.material not in keys:
        reading.fault(f"{place}.material", f"there is no material with the key “{shown(each.material)}”.")
    elif each.material in materials and reading.count == before:
        try:
            check_use(use, materials[each.material])
        except UseFault as fault:
            reading.fault(f"{place}.use", str(fault))
