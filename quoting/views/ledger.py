"""The ledger of the price book: the book's rows as they stand on the page, with what each figure was."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django import forms
from django.db import models
from moneyed import Money

from quoting.forms.pricebook import Cell, FiguresForm, cell
from quoting.models import Condition, Coverage, Material, MissingCoverage, Surface
from quoting.services.comparison import Difference, Figure, Noun, Place
from quoting.services.pricebook import PriceBook

LEAF = 80
"""Materials on one leaf of the ledger."""


@dataclass(slots=True, kw_only=True)
class LedgerFigure:
    """One figure of the ledger: what it is called, its value, what it was, and the cell that edits it."""

    label: str
    value: object = None
    was: Figure | None = None
    changed: bool = False
    cell: Cell | None = None
    bound: forms.BoundField | None = None
    borrowed: bool = False

    @property
    def kind(self) -> str:
        """How it is written: as money, per cent, or a plain figure."""
        return (
            "money"
            if isinstance(self.value, Money)
            else "percent"
            if self.label in ("waste, %", "share, %")
            else "figure"
        )

    @property
    def percent(self) -> Decimal | None:
        """A share in per cent, which the head of the column says."""
        return self.value.scaleb(2) if isinstance(self.value, Decimal) else None


@dataclass(slots=True, kw_only=True)
class LedgerPack:
    """A pack with its price."""

    size: str
    price: LedgerFigure


@dataclass(slots=True, kw_only=True)
class LedgerRow:
    """A row of the ledger: the row of the book and its figures in the order of the columns."""

    row: models.Model
    figures: list[LedgerFigure]
    packs: list[LedgerPack] = field(default_factory=list)
    strength: str = ""
    more_packs: int = 0
    is_new: bool = False
    words_changed: bool = False

    @property
    def changed(self) -> bool:
        """Whether anything of it differs from the edition that it is held against."""
        every = [*self.figures, *(pack.price for pack in self.packs)]
        return self.is_new or self.words_changed or any(each.changed for each in every)


@dataclass(slots=True, kw_only=True)
class Ledger:
    """What of the book is on the page."""

    groups: list[tuple[str, list[LedgerRow]]]
    tasks: list[LedgerRow]
    charges: list[LedgerRow]
    unit_prices: list[LedgerRow]
    shelves: list[str]
    older: int | None = None
    slab: str = ""

    @property
    def rows(self) -> Iterable[LedgerRow]:
        """All rows."""
        for _, rows in self.groups:
            yield from rows
        yield from (*self.tasks, *self.charges, *self.unit_prices)

    @property
    def figures(self) -> Iterable[LedgerFigure]:
        """All figures."""
        for row in self.rows:
            yield from (pack.price for pack in row.packs)
            yield from row.figures

    def edit_with(self, data: Mapping[str, Any] | None, version: int) -> FiguresForm:
        """The form of all figures of the page, bound to their cells."""
        form = FiguresForm(data, cells=[each.cell for each in self.figures if each.cell], version=version)
        form.errors  # noqa: B018 - what was not sent leaves the form before its cells are drawn
        for each in self.figures:
            if each.cell and each.cell.name in form.fields:
                each.bound = form[each.cell.name]
        return form


class _Was:
    """What figures were in the edition that this one is held against."""

    def __init__(self, differences: Sequence[Difference]) -> None:
        self.by_place = {each.place: each for each in differences}
        self.rows = {(each.place.noun, each.place.key) for each in differences}

    def figure(self, noun: Noun, key: str, column: str, row: models.Model, attribute: str, place: str) -> LedgerFigure:
        difference = self.by_place.get(Place(noun, key, place))
        return LedgerFigure(
            label=column,
            value=getattr(row, attribute),
            was=difference.old if difference else None,
            changed=difference is not None,
            cell=cell(row, attribute, f"{getattr(row, 'name', '') or row.material.name}, {column}"),
        )

    def is_new(self, noun: Noun, key: str) -> bool:
        difference = self.by_place.get(Place(noun, key, ""))
        return difference is not None and difference.old is None


def lay_out(book: PriceBook, shown: Mapping[str, Any], differences: Sequence[Difference]) -> Ledger:
    """The ledger, narrowed to what is asked for: words, shelf, only what changed; coverage on one kind of slab."""
    was = _Was(differences)
    surface, condition = shown.get("surface") or Surface.STAMPED, shown.get("condition") or Condition.WORN
    words = str(shown.get("q") or "").lower().split()
    only_changed, kept = bool(shown.get("changed")), shown.get("kept") or ""

    def asked_for(row: LedgerRow, *texts: str) -> bool:
        text = " ".join(texts).lower()
        return all(word in text for word in words) and (row.changed or not only_changed)

    rows = []
    for row in book.materials.values():
        if kept and row.kept_in != kept:
            continue
        laid = _material(row, was, surface, condition, book.edition.counts_in.strength_sign)
        if asked_for(laid, row.name, row.kept_in, row.get_group_display()):
            rows.append(laid)
    leaf, older = _leaf(rows, shown.get("after"))
    groups: dict[str, list[LedgerRow]] = {}
    for laid in leaf:
        groups.setdefault(laid.row.get_group_display(), []).append(laid)
    others: dict[Noun, list[LedgerRow]] = {}
    for noun, found in (
        (Noun.TASK, [_task(row, was) for row in book.tasks.values()]),
        (Noun.CHARGE, [_charge(row, was) for row in book.charges.values()]),
        (Noun.UNIT_PRICE, [_plain(Noun.UNIT_PRICE, row, row.name, "price", was) for row in book.unit_prices]),
    ):
        others[noun] = [] if kept else [each for each in found if asked_for(each, each.row.name)]
    return Ledger(
        groups=list(groups.items()),
        tasks=others[Noun.TASK],
        charges=others[Noun.CHARGE],
        unit_prices=others[Noun.UNIT_PRICE],
        shelves=sorted({row.kept_in for row in book.materials.values() if row.kept_in}),
        older=older,
        slab=f"{Surface(surface).label}, {Condition(condition).label}",
    )


def _leaf(rows: list[LedgerRow], after: int | None) -> tuple[list[LedgerRow], int | None]:
    keys = [row.row.pk for row in rows]
    start = keys.index(after) + 1 if after in keys else 0
    leaf = rows[start : start + LEAF]
    return leaf, leaf[-1].row.pk if leaf and start + LEAF < len(rows) else None


def _material(row: Material, was: _Was, surface: str, condition: str, strength_sign: str) -> LedgerRow:
    packs = list(row.packs.all())
    ends = packs if len(packs) < 3 else [packs[0], packs[-1]]
    figures = _coverage(row, was, surface, condition)
    figures.append(was.figure(Noun.MATERIAL, row.key, "waste, %", row, "waste", "waste, %"))
    shown = {each.size_text for each in ends} | {"waste, %"}
    places = {place.label for place in was.by_place if place[:2] == (Noun.MATERIAL, row.key)}
    return LedgerRow(
        row=row,
        figures=figures,
        packs=[
            LedgerPack(
                size=pack.size_text,
                price=was.figure(Noun.MATERIAL, row.key, pack.size_text, pack, "price", pack.size_text),
            )
            for pack in ends
        ],
        strength=_strength(row, strength_sign),
        more_packs=len(packs) - len(ends),
        is_new=was.is_new(Noun.MATERIAL, row.key),
        words_changed=bool(places - shown),
    )


def _coverage(row: Material, was: _Was, surface: str, condition: str) -> list[LedgerFigure]:
    words = ("low", "likely", "high")
    try:
        found: Coverage = row.coverage_on(surface, condition)
    except MissingCoverage:
        return [LedgerFigure(label=word) for word in words]
    found.material = row
    if (found.surface, found.condition) != (surface, condition):
        return [LedgerFigure(label=word, value=getattr(found, word), borrowed=True) for word in words]
    where = f"{Surface(surface).label}, {Condition(condition).label}, coat {found.coat}"
    return [was.figure(Noun.MATERIAL, row.key, word, found, word, f"{where}: {word}") for word in words]


def _strength(row: Material, sign: str) -> str:
    if row.strength:
        return f"{row.strength.normalize():f}\u00a0{sign}"
    return {Material.Kind.LIQUID: "as it is", Material.Kind.DRY: "dry"}.get(Material.Kind(row.kind), "")


def _task(row: Any, was: _Was) -> LedgerRow:
    columns = (("rate", "rate", "rate"), ("set-up, h", "setup", "set-up"), ("textured, ×", "textured", "textured"))
    columns += (("awkward, ×", "awkward", "awkward"),)
    figures = [was.figure(Noun.TASK, row.key, *(column, row, attribute, place)) for column, attribute, place in columns]
    places = {place.label for place in was.by_place if place[:2] == (Noun.TASK, row.key)}
    return LedgerRow(
        row=row,
        figures=figures,
        is_new=was.is_new(Noun.TASK, row.key),
        words_changed=bool(places & {"name", "reckoned by"}),
    )


def _charge(row: Any, was: _Was) -> LedgerRow:
    if row.share is None:
        return _plain(Noun.CHARGE, row, row.key, "amount", was)
    figure = was.figure(Noun.CHARGE, row.key, "share, %", row, "share", "share, %")
    return LedgerRow(row=row, figures=[figure], is_new=was.is_new(Noun.CHARGE, row.key))


def _plain(noun: Noun, row: Any, key: str, attribute: str, was: _Was) -> LedgerRow:
    figure = was.figure(noun, key, attribute, row, attribute, attribute)
    return LedgerRow(row=row, figures=[figure], is_new=was.is_new(noun, key))
