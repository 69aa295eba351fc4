"""The ground a step is done on: the figures of its areas, summed, and how they spread over the areas."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from quoting.core import areas
from quoting.core.scope import Area, Part
from quoting.core.shapes import make_shape
from quoting.core.units import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Areas taken together: `places` are theirs in the scope. In m² and m; `edge` is None where one of them is unknown.

    `nets`, `effectives` and `edges` are the shares of the single areas, in the order of `places`.
    """

    places: tuple[int, ...]
    net: Decimal
    effective: Decimal
    edge: Decimal | None
    nets: tuple[Decimal, ...]
    effectives: tuple[Decimal, ...]
    edges: tuple[Decimal, ...]
    texture: Decimal | None
    """The texture that all of them share, or None where they differ."""


def magnitude(size: Any) -> Any:
    """A size of a part without its text: a Decimal, a whole number, or a tuple of such."""
    if isinstance(size, Quantity):
        return size.magnitude
    return tuple(map(magnitude, size)) if isinstance(size, tuple) else size


def calculated(part: Part) -> areas.Part:
    """The part as a shape that can be measured. Raises ShapeFault or AreaFault for sizes that can't be."""
    shape = make_shape(part.shape, {name: magnitude(size) for name, size in part.sizes})
    return areas.Part(shape, part.count, part.name)


def measured(area: Area, units: str) -> areas.AreaFigures:
    """What the area measures. Raises ShapeFault or AreaFault."""
    return areas.measure(tuple(map(calculated, area.parts)), tuple(map(calculated, area.deducts)), area.texture, units)


def ground_of(names: Sequence[str], places: Mapping[str, int], figures: Sequence[areas.AreaFigures]) -> Ground:
    """The ground that the areas of these names make together."""
    chosen = tuple(places[name] for name in names)
    nets = tuple(figures[place].net for place in chosen)
    effectives = tuple(figures[place].effective for place in chosen)
    edges = tuple(edge for place in chosen if (edge := figures[place].edge) is not None)
    textures = {figures[place].texture for place in chosen}
    return Ground(
        places=chosen,
        net=sum(nets, Decimal(0)),
        effective=sum(effectives, Decimal(0)),
        edge=sum(edges, Decimal(0)) if len(edges) == len(chosen) else None,
        nets=nets,
        effectives=effectives,
        edges=edges,
        texture=textures.pop() if len(textures) == 1 else None,
    )
