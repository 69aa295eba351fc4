"""Hours: person-hours = set-up + passes × quantity ÷ rate × difficulty, or given outright."""

from dataclasses import dataclass
from decimal import Decimal

from quoting.core.ground import Ground
from quoting.core.scope import EDGE, Labour
from quoting.core.units import Dimension, Quantity

_NONE = Decimal(0)


class LabourFault(ValueError):
    """The hours can't be worked out; the sentence says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Person-hours of a step, and the weights that spread them over its areas."""

    person_hours: Decimal
    weights: tuple[Decimal, ...]
    weight: Decimal


def hours_of(labour: Labour | None, ground: Ground) -> Hours:
    """The person-hours of a step on this ground: none where it has no labour. Raises LabourFault."""
    weights, weight = ground.nets, ground.net
    if labour is None:
        return Hours(person_hours=_NONE, weights=weights, weight=weight)
    if labour.rate is None:
        hours = _NONE if labour.hours is None else labour.hours.magnitude
        return Hours(person_hours=hours, weights=weights, weight=weight)
    if along_edge(labour):
        weights, weight = ground.edges, ground.edge or _NONE
    setup = _NONE if labour.setup is None else labour.setup.magnitude
    quantity = labour_quantity(labour, ground)
    hours = setup + labour.passes * quantity / labour.rate.magnitude * labour.difficulty
    return Hours(person_hours=hours, weights=weights, weight=weight)


def along_edge(labour: Labour) -> bool:
    """Whether the hours go with the areas' edge."""
    by_length = labour.rate is not None and labour.rate.dimension is Dimension.LENGTH_PER_TIME
    return by_length and labour.length in (None, EDGE)


def labour_quantity(labour: Labour, ground: Ground) -> Decimal:
    """What the rate goes with: the net area (m²), a length (m) or a count. Raises LabourFault where it isn't known."""
    by = labour.rate.dimension if labour.rate is not None else None
    if by is Dimension.AREA_PER_TIME:
        return ground.net
    if by is Dimension.COUNT_PER_TIME and labour.count is not None:
        return Decimal(labour.count)
    if by is Dimension.LENGTH_PER_TIME:
        if isinstance(labour.length, Quantity):
            return labour.length.magnitude
        if ground.edge is not None:
            return ground.edge
    raise LabourFault("the edge or the count that the rate goes with is not known.")
