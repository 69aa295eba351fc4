"""Closed outlines by coordinates, in exact integers: their doubled area, and where they touch or cross themselves."""

from collections.abc import Sequence
from decimal import MAX_EMAX, MAX_PREC, MIN_EMIN, Context, Decimal
from fractions import Fraction

EXACT = Context(prec=MAX_PREC, Emax=MAX_EMAX, Emin=MIN_EMIN)
"""So wide that moving a point rounds nothing."""

Point = tuple[Decimal, Decimal]
Corner = tuple[int, int]
Side = tuple[Corner, Corner]


def to_integers(points: Sequence[Point]) -> tuple[list[Corner], int]:
    """The points as whole multiples of 1/scale, and that scale: nothing is lost, so every test below is exact."""
    places = max((max(0, -int(value.as_tuple().exponent)) for point in points for value in point), default=0)
    return [(int(x.scaleb(places, EXACT)), int(y.scaleb(places, EXACT))) for x, y in points], 10**places


def cross_sums(corners: Sequence[Corner]) -> tuple[int, int]:
    """Σ x·y of the next corner, and Σ y·x of the next: half of their difference is the area."""
    following = [*corners[1:], *corners[:1]]
    pairs = list(zip(corners, following, strict=True))
    return sum(x * next_y for (x, _), (_, next_y) in pairs), sum(y * next_x for (_, y), (next_x, _) in pairs)


def first_contact(corners: Sequence[Corner]) -> tuple[int, int] | None:
    """The first two sides (counted from 0; side i runs from corner i to the next) that meet where they should not.

    Neighbours share one corner and nothing else; any other two sides must stay apart. None for a plain outline.
    Swept from one end to the other: a side is compared only with those that the sweep has reached and not yet left,
    along the axis on which they overlap least, so that the teeth of a comb are not all compared with each other.
    """
    count = len(corners)
    sides = [(corners[place], corners[(place + 1) % count]) for place in range(count)]
    boxes = [(*_box(side), place) for place, side in enumerate(sides)]
    if _crowding(boxes, 1) < _crowding(boxes, 0):
        boxes = [(low, left, high, right, place) for left, low, right, high, place in boxes]
    contacts = []
    reached: list[tuple[int, int, int, int, int]] = []
    for box in sorted(boxes):
        start, low, _end, high, place = box
        reached = [other for other in reached if other[2] >= start]
        for near in [other[4] for other in reached if other[1] <= high and other[3] >= low]:
            pair = (near, place) if near < place else (place, near)
            if _touch(sides, *pair):
                contacts.append(pair)
        reached.append(box)
    return min(contacts, default=None)


def _crowding(boxes: Sequence[tuple[int, int, int, int, int]], axis: int) -> Fraction:
    """How many boxes lie over each other on an axis, on the average."""
    span = max(box[axis + 2] for box in boxes) - min(box[axis] for box in boxes)
    return Fraction(sum(box[axis + 2] - box[axis] for box in boxes), span) if span else Fraction(len(boxes))


def _touch(sides: Sequence[Side], one: int, other: int) -> bool:
    """Whether two sides, whose boxes overlap, meet where they should not; `one` comes first."""
    if other == one + 1:
        return _folds_back(sides[one], sides[other])
    if one == 0 and other == len(sides) - 1:
        return _folds_back(sides[other], sides[one])
    return _meet(sides[one], sides[other])


def _box(side: Side) -> tuple[int, int, int, int]:
    (x1, y1), (x2, y2) = side
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)


def _turn(a: Corner, b: Corner, c: Corner) -> int:
    """Positive for a left turn on the way from a over b to c, 0 for none."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _folds_back(first: Side, second: Side) -> bool:
    """Whether a side runs back over the one before it, with which it shares a corner."""
    (ax, ay), (bx, by) = first
    _, (cx, cy) = second
    if _turn((ax, ay), (bx, by), (cx, cy)):
        return False
    return (bx - ax) * (cx - bx) + (by - ay) * (cy - by) < 0


def _meet(first: Side, second: Side) -> bool:
    """Whether two sides share any point; their boxes are known to overlap."""
    a, b = first
    c, d = second
    side_c, side_d = _turn(a, b, c), _turn(a, b, d)
    if (side_c > 0 and side_d > 0) or (side_c < 0 and side_d < 0):
        return False
    side_a, side_b = _turn(c, d, a), _turn(c, d, b)
    # All four 0: in one line, and then the overlapping boxes say that they overlap.
    return not ((side_a > 0 and side_b > 0) or (side_a < 0 and side_b < 0))
