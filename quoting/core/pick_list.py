"""What to load: packs by count after what is in stock, tools, spares, protective gear, tape and film; for the whole job
and for each visit. No prices.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.gear import Gear, Masking, gear_for
from quoting.core.packs import choose_packs
from quoting.core.rounding import sig20
from quoting.core.scope import Material
from quoting.core.stock import Held, drawn_first
from quoting.core.units import Dimension
from quoting.core.weather_limits import Work
from quoting.core.workings import Workings

MATERIAL = "material"
"""The kind of a line that is a material; others are of a GearKind."""

_NONE = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PickLine:
    """So many of one thing. For a material, `size` is that of a full pack and `left` what is in each (m³, kg, each).

    `buy` marks packs that are not in stock. `steps` are those that it is for.
    """

    key: str
    name: str
    kind: str
    count: int
    place: str = ""
    size: Decimal | None = None
    left: Decimal | None = None
    size_text: str = ""
    dimension: Dimension | None = None
    lot: str = ""
    buy: bool = False
    steps: tuple[str, ...] = ()

    @property
    def opened(self) -> bool:
        """Whether it is a pack of which some is gone."""
        return self.left is not None and self.size is not None and self.left < self.size

    @property
    def amount(self) -> Decimal:
        """What is in all of them; 0 for what is no material."""
        return _NONE if self.left is None else self.left * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class PickList:
    """The lines in order, and the areas whose edge isn't known, which have to be measured for tape and film.

    `needs` is what each material is needed for, by key.
    """

    lines: tuple[PickLine, ...]
    unmeasured: tuple[str, ...] = ()
    needs: Mapping[str, Decimal]

    def by_place(self) -> tuple[tuple[str, tuple[PickLine, ...]], ...]:
        """The lines grouped by where they are stored, places in the order in which they first come."""
        places = dict.fromkeys(line.place for line in self.lines)
        return tuple((place, tuple(line for line in self.lines if line.place == place)) for place in places)

    def planned_left(self, material: str) -> Decimal:
        """What should come back of a material."""
        loaded = sum((line.amount for line in self.lines if line.kind == MATERIAL and line.key == material), _NONE)
        return loaded - self.needs.get(material, _NONE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What the lists are made from: the firm's stock and gear, and what kind of work each step is, by its place.

    `places` says where a material that is bought is kept, by key. A step without a kind takes no gear.
    """

    works: Mapping[int, Work]
    stock: Sequence[Held] = ()
    gear: Collection[Gear] = ()
    masking: Sequence[Masking] = ()
    places: Mapping[str, str] | None = None
    people: int | None = None


def job_list(workings: Workings, load: Load) -> PickList:
    """What the whole job takes. Raises PacksFault."""
    return visit_lists(workings, [tuple(range(len(workings.steps)))], load)[0]


def visit_lists(workings: Workings, visits: Sequence[Collection[int]], load: Load) -> tuple[PickList, ...]:
    """A list for each visit, whose steps are given by their places in the scope. A step done on several visits takes
    its material along from the first on.

    Packs for all visits are chosen at once; each visit takes on what covers it, the rest of the one before included.
    Raises PacksFault.
    """
    chosen = {
        figure.material: _containers(figure.of, _need(workings, figure.material, _all(visits)), load)
        for figure in workings.materials
    }
    lists, done = [], set[int]()
    for visit in visits:
        places = sorted(set(visit) - done)
        done |= set(visit)
        lines: list[PickLine] = []
        needs = {}
        for material, containers in chosen.items():
            need = _need(workings, material, places)
            if need > 0:
                needs[material] = need
                taken, chosen[material] = _take(containers, need)
                lines += _gathered(taken, _steps(workings, material, places))
        works = {load.works[place] for place in visit if place in load.works}
        lines += [_gear_line(each, count) for each, count in gear_for(works, load.people or _crew(workings), load.gear)]
        masked, unmeasured = _masking(workings, sorted(visit), load)
        lists.append(PickList(lines=(*lines, *masked), unmeasured=unmeasured, needs=needs))
    return tuple(lists)


def _crew(workings: Workings) -> int:
    return workings.scope.crew.size


def _all(visits: Sequence[Collection[int]]) -> set[int]:
    return {place for visit in visits for place in visit}


def _uses(workings: Workings, material: str, places: Collection[int]) -> list[tuple[str, Decimal]]:
    return [
        (workings.steps[place].step, use.need)
        for place in sorted(places)
        for use in workings.steps[place].materials
        if use.material == material
    ]


def _need(workings: Workings, material: str, places: Collection[int]) -> Decimal:
    return sum((need for _step, need in _uses(workings, material, places)), _NONE)


def _steps(workings: Workings, material: str, places: Collection[int]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(step for step, _need in _uses(workings, material, places)))


def _containers(material: Material, need: Decimal, load: Load) -> list[PickLine]:
    """A line for each container that covers the need: stock first, then the cheapest packs, large ones first."""
    base = PickLine(
        key=material.key, name=material.name, kind=MATERIAL, count=1, dimension=material.packs[0].size.dimension
    )
    texts = {pack.size.magnitude: pack.size.text for pack in material.packs}
    lines: list[PickLine] = []
    missing = need
    for each in drawn_first([held for held in load.stock if held.material == material.key], need):
        for _i in range(each.count):
            if sig20(missing) > 0 and missing > _slack(need):
                text = texts.get(each.size, "")
                lines.append(
                    replace(base, size=each.size, left=each.left, size_text=text, lot=each.lot, place=each.place)
                )
                missing -= each.left
    if missing > _slack(need):
        choice = choose_packs(missing, [(pack.size.magnitude, pack.price) for pack in material.packs])
        place = (load.places or {}).get(material.key, "")
        for pack, count in sorted(zip(material.packs, choice.counts, strict=True), key=lambda x: -x[0].size.magnitude):
            size = pack.size.magnitude
            one = replace(base, size=size, left=size, size_text=pack.size.text, place=place, buy=True)
            lines += [one] * count
    return lines


def _slack(need: Decimal) -> Decimal:
    """Less than this is only the last digits of a sum."""
    return need * Decimal("1e-20")


def _take(containers: list[PickLine], need: Decimal) -> tuple[list[PickLine], list[PickLine]]:
    """The containers that cover the need, and what is there afterwards for the next visit: the rest and the others."""
    taken: list[PickLine] = []
    slack, left = _slack(need), list(containers)
    while left and need > slack:
        one = left.pop(0)
        taken.append(one)
        inside = one.amount
        if inside - need > slack:
            left.insert(0, replace(one, left=inside - need, buy=False))
        need -= inside
    return taken, left


def _gathered(containers: list[PickLine], steps: tuple[str, ...]) -> list[PickLine]:
    """Equal containers as one line with their count."""
    return [replace(line, count=count, steps=steps) for line, count in Counter(containers).items()]


def _gear_line(gear: Gear, count: int) -> PickLine:
    return PickLine(key=gear.key, name=gear.name, kind=gear.kind, count=count, place=gear.place)


def _masking(workings: Workings, places: Sequence[int], load: Load) -> tuple[list[PickLine], tuple[str, ...]]:
    lines, unmeasured = [], dict[str, None]()
    edges = {area.name: area.edge for area in workings.areas}
    for each in load.masking:
        names = dict.fromkeys(
            area for place in places if load.works.get(place) in each.works for area in workings.steps[place].areas
        )
        known = [edge for name in names if (edge := edges[name]) is not None]
        unmeasured |= dict.fromkeys(name for name in names if edges[name] is None)
        if known:
            rolls = each.rolls(sum(known, _NONE))
            lines.append(PickLine(key=each.key, name=each.name, kind="masking", count=rolls, place=each.place))
    return lines, tuple(unmeasured)


@dataclass(frozen=True, slots=True, kw_only=True)
class PickChange:
    """A line that differs between two lists: how many before, and how many after."""

    line: PickLine
    before: int
    after: int

    @property
    def word(self) -> str:
        """added, dropped, more or fewer."""
        if not self.before:
            return "added"
        if not self.after:
            return "dropped"
        return "more" if self.after > self.before else "fewer"


def difference(before: PickList, after: PickList) -> tuple[PickChange, ...]:
    """What a change order changes in what is loaded, in the order of the new list, then what is dropped."""

    def same(line: PickLine) -> PickLine:
        return replace(line, count=1, steps=(), name="", place="")

    old, new, lines = Counter[PickLine](), Counter[PickLine](), dict[PickLine, PickLine]()
    for counts, each in ((new, after), (old, before)):
        for line in each.lines:
            counts[same(line)] += line.count
            lines.setdefault(same(line), line)
    return tuple(
        PickChange(line=line, before=old[key], after=new[key]) for key, line in lines.items() if old[key] != new[key]
    )
