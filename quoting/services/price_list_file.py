"""The CSV file of materials with their packs and prices: written for a spreadsheet, and read strictly."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

from django.utils.text import slugify

from customers.csv_cells import NotText, as_it_was, csv_line, harmless, text_of_file
from quoting.core.units import NumberFault, parse_number
from quoting.models import Material, Pack
from quoting.models.pricebook import UNITS_OF_KIND
from quoting.services.pricebook import PriceBook

COLUMNS = ("material", "name", "group", "kind", "kept in", "pack", "unit", "price")
MOST_ROWS = 20_000
MOST_FAULTS = 50
LARGEST_FIGURE = Decimal(99_999_999)


class Fault(NamedTuple):
    """What is wrong in the file, and where: the line as a spreadsheet counts it, the column or nothing."""

    line: int
    column: str
    sentence: str


class Change(NamedTuple):
    """One thing that the file changes in the draft; `old` is empty for what is new."""

    material: str
    what: str
    old: str
    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the file: a pack with its material."""

    line: int
    key: str
    name: str
    group: str
    kind: str
    kept_in: str
    size: Decimal
    unit: str
    price: Decimal


@dataclass(slots=True, kw_only=True)
class Report:
    """What a file would do: how many packs it names, what changes, and what is wrong with it."""

    lines: list[Line] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def write_materials(book: PriceBook) -> Iterator[str]:
    """The materials of an edition as CSV, a line a pack; a text that a spreadsheet would run gets a ' before it."""
    yield csv_line(COLUMNS)
    for row in book.materials.values():
        words = [harmless(each) for each in (row.key, row.name, row.group, row.kind, row.kept_in)]
        for pack in row.packs.all():
            size, unit = pack.size_text.split(" ", 1)
            yield csv_line([*words, size, unit, f"{pack.price.amount:.2f}"])


def read_materials(content: bytes, book: PriceBook) -> Report:
    """What the file would do to this draft; nothing is written."""
    report = Report()
    try:
        text = text_of_file(content)
    except NotText as fault:
        report.faults.append(Fault(fault.line, "", str(fault)))
        return report
    _read_lines(text, report)
    if not report.faults:
        _find_clashes(report, book)
    if not report.faults:
        report.changes = list(_changes(report.lines, book))
    return report


def _read_lines(text: str, report: Report) -> None:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        head = [cell.strip().lower() for cell in next(reader, [])]
        if head != list(COLUMNS):
            report.faults.append(
                Fault(1, "", f"The first line must read: {','.join(COLUMNS)}. A file written here has it.")
            )
            return
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if len(report.lines) >= MOST_ROWS:
                report.faults.append(Fault(reader.line_num, "", "The file has more than 20,000 lines."))
                return
            _read_line(cells, reader.line_num, report)
            if len(report.faults) >= MOST_FAULTS:
                return
    except csv.Error as error:
        report.faults.append(Fault(reader.line_num, "", f"This is not a CSV file: {error}."))


def _read_line(cells: list[str], line: int, report: Report) -> None:
    if len(cells) != len(COLUMNS):
        report.faults.append(Fault(line, "", f"It has {len(cells)} cells instead of {len(COLUMNS)}."))
        return
    words = dict(zip(COLUMNS, (as_it_was(cell.strip()) for cell in cells), strict=True))
    before = len(report.faults)

    def fault(column: str, sentence: str) -> None:
        report.faults.append(Fault(line, column, sentence))

    if words["material"] != slugify(words["material"]) or not 0 < len(words["material"]) <= 60:
        fault("material", "The key has small letters, digits and hyphens only, at most 60, such as acrylic-18.")
    for column, longest, needed in (("name", 120, True), ("kept in", 60, False)):
        if needed and not words[column]:
            fault(column, "It is empty.")
        if len(words[column]) > longest:
            fault(column, f"It is longer than {longest} characters.")
        if not words[column].isprintable():
            fault(column, "It holds a character that can’t be printed, such as a line break.")
    for column, known in (("group", Material.Group.values), ("kind", Material.Kind.values)):
        if words[column] not in known:
            fault(column, f"“{words[column][:20]}” is none of {', '.join(known)}.")
    units = UNITS_OF_KIND.get(words["kind"])
    if units and words["unit"] not in units:
        fault("unit", f"“{words['unit'][:20]}” is none of {', '.join(units)}, which a {words['kind']} material has.")
    size = _number(words["pack"], 4, report, line, "pack")
    price = _number(words["price"], 2, report, line, "price")
    if size == 0:
        fault("pack", "It must be more than 0.")
    if len(report.faults) == before and size is not None and price is not None:
        report.lines.append(
            Line(
                line=line,
                key=words["material"],
                name=words["name"],
                group=words["group"],
                kind=words["kind"],
                kept_in=words["kept in"],
                size=size,
                unit=words["unit"],
                price=price,
            )
        )


def _number(text: str, places: int, report: Report, line: int, column: str) -> Decimal | None:
    try:
        number = parse_number(text)
    except NumberFault as fault:
        report.faults.append(Fault(line, column, str(fault)))
        return None
    exponent = number.as_tuple().exponent
    if number < 0:
        report.faults.append(Fault(line, column, "It can’t be less than 0."))
    elif number > LARGEST_FIGURE:
        report.faults.append(Fault(line, column, f"It can’t be more than {LARGEST_FIGURE:,f}."))
    elif isinstance(exponent, int) and -exponent > places:
        report.faults.append(Fault(line, column, f"At most {places} digits after the point."))
    else:
        return number
    return None


def _find_clashes(report: Report, book: PriceBook) -> None:
    """The same pack twice, one material with two names, or a material whose kind would change under its packs."""
    packs: dict[tuple[str, Decimal, str], int] = {}
    first_of: dict[str, Line] = {}
    for line in report.lines:
        if len(report.faults) >= MOST_FAULTS:
            return
        first = first_of.setdefault(line.key, line)
        if (line.name, line.group, line.kind, line.kept_in) != (first.name, first.group, first.kind, first.kept_in):
            sentence = f"{line.key} is described otherwise on line {first.line}."
            report.faults.append(Fault(line.line, "material", sentence))
        at = packs.setdefault((line.key, line.size.normalize(), line.unit), line.line)
        if at != line.line:
            report.faults.append(Fault(line.line, "pack", f"This pack is on line {at} already."))
        known = book.materials.get(line.key)
        if line is first and known and known.kind != line.kind:
            sentence = f"{known.name} is {known.kind} in this draft. Change it on its own page, with its packs."
            report.faults.append(Fault(line.line, "kind", sentence))


def _changes(lines: Sequence[Line], book: PriceBook) -> Iterator[Change]:
    seen: set[str] = set()
    for line in lines:
        known = book.materials.get(line.key)
        if line.key not in seen:
            seen.add(line.key)
            if known is None:
                yield Change(line.name, "material", "", "new")
            else:
                for what, old, new in (
                    ("name", known.name, line.name),
                    ("group", known.get_group_display(), Material.Group(line.group).label),
                    ("kept in", known.kept_in, line.kept_in),
                ):
                    if old != new:
                        yield Change(known.name, what, old or "nowhere", new or "nowhere")
        pack = pack_of(known, line) if known else None
        if pack is None or pack.price.amount != line.price:
            size = f"{line.size.normalize():f} {line.unit}"
            yield Change(line.name, size, f"{pack.price.amount:.2f}" if pack else "", f"{line.price:.2f}")


def pack_of(material: Material, line: Line) -> Pack | None:
    """The pack of the material that the line names."""
    return next((each for each in material.packs.all() if (each.size, each.unit) == (line.size, line.unit)), None)
