"""The blanks of one step on the sheet of an option: which there are, what stands in them, and what was typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.book_units import BookUnits
from quoting.core.units import QuantityFault, parse_length
from quoting.documents.difficulty import difficulty_by_book
from quoting.forms.figures import NumberField, PercentField, plain
from quoting.models import Material, OptionStep, OptionUse, StepMaterial, SystemStep

SPREAD = ("coverage", "mix", "dilution", "stirred")
OWN, USUAL = "own", "usual"
SWAPPED = (Material.Group.POWDERS, Material.Group.SEALERS, Material.Group.CLEANERS)
"""Groups of which another may stand in; sundries have nothing in common."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """One blank: `key` is what it is about (`rate`), `short` its label within the step, `use` its step material."""

    name: str
    key: str
    short: str
    field: forms.Field
    step: int
    use: int | None = None


class LengthField(forms.CharField):
    """A length as a tape is called out; cleans to its text with the unit."""

    def __init__(self, *, unit: str, words: tuple[str, ...] = (), **kwargs: Any) -> None:
        self.unit, self.words = unit, words
        super().__init__(max_length=40, **kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value: Any) -> str:
        text = " ".join(str(super().to_python(value) or "").split())
        if not text or text in self.words:
            return text
        try:
            return parse_length(text, default_unit=self.unit).text
        except QuantityFault as fault:
            raise forms.ValidationError(str(fault)) from fault


def whole(label: str, most: int, least: int = 1) -> NumberField:
    """A small count."""
    return NumberField(label=label, least=least, most=most, places=0, required=False)


def step_prefix(step: OptionStep) -> str:
    """The beginning of the names of a step's blanks."""
    return f"s{step.pk}_"


def use_prefix(step: OptionStep, step_material: StepMaterial) -> str:
    """The beginning of the names of the blanks of one of its materials."""
    return f"u{step.pk}x{step_material.pk}_"


def blanks_of(step: OptionStep, materials: Sequence[Material], units: str) -> Iterator[Blank]:
    """The blanks of a step and of its materials, in the order of the sheet. `materials` are those of the edition."""
    long, short = ("m", "cm") if units == "metric" else ("ft", "in")
    counts_in = step.group.option.edition.counts_in
    for key, label, field in _step_fields(step, long):
        field.label = f"{step.step.name}: {label.lower()}"
        _dress(field)
        yield Blank(name=step_prefix(step) + key, key=key, short=label, field=field, step=step.pk)
    for used in step.step.materials.all():
        for key, label, field in _use_fields(step.step, used, materials, long, short, counts_in):
            field.label = f"{_called(step.step.name, used.material.name)}: {label.lower()}"
            _dress(field)
            name = use_prefix(step, used) + key
            yield Blank(name=name, key=key, short=label, field=field, step=step.pk, use=used.pk)


def _called(step: str, material: str) -> str:
    """A material in its step; `Base tone, graphite` says its step itself."""
    return material if material.startswith(step) else f"{step}, {material}"


def _dress(field: forms.Field) -> None:
    """An empty placeholder lets the style sheet see whether the blank is empty, and strike the book's figure if not."""
    if isinstance(field, forms.CharField):
        field.widget.attrs["placeholder"] = " "
        if isinstance(field, NumberField | LengthField):
            field.widget.attrs["class"] = "figure-in"


def _step_fields(option_step: OptionStep, long: str) -> Iterator[tuple[str, str, forms.Field]]:
    step, task = option_step.step, option_step.step.task
    yield "on", "Done", forms.BooleanField(required=False)
    if step.measure == SystemStep.Measure.LENGTH:
        yield "length", f"How long, {long}", LengthField(unit=long, required=False)
    if step.measure == SystemStep.Measure.EDGE:  # some shapes leave the edge unknown, and some of it needs no work
        yield "length", f"Edge, {long}", LengthField(unit=long, required=False)
    if step.measure == SystemStep.Measure.COUNT:
        yield "count", "How many", whole("", 99_999)
    yield "visit", "On visit", whole("", 30)
    if step.measure == SystemStep.Measure.HOURS:
        yield "hours", "Person-hours", NumberField(most=10_000, required=False)
    elif task is not None:
        yield "passes", "Passes", whole("", 20)
        yield "rate", task.get_unit_display().capitalize(), NumberField(above=0, required=False)
        yield "setup", "Set-up, hours", NumberField(most=1_000, required=False)
        book = difficulty_by_book(step, option_step.group.areas.all())
        by_book = f"by the book, × {plain(book.factor)}" if book.reason else "by the book, as usual"
        choices = [("", by_book), (USUAL, "as usual, × 1"), *_factors(step), (OWN, "a factor of its own")]
        yield "difficulty", "Difficulty", forms.ChoiceField(choices=choices, required=False)
        yield "factor", "Factor of its own", NumberField(above=0, most=20, required=False)
    yield "reason", "Why", forms.CharField(max_length=200, required=False)


def _factors(step: SystemStep) -> list[tuple[str, str]]:
    if step.task is None:
        return []
    words = (("textured", "deep texture"), ("awkward", "slopes, steps, tight places"))
    return [(name, f"{label}, × {plain(factor)}") for name, label in words if (factor := getattr(step.task, name)) != 1]


def _use_fields(
    step: SystemStep,
    used: StepMaterial,
    materials: Sequence[Material],
    long: str,
    short: str,
    counts_in: BookUnits,
) -> Iterator[tuple[str, str, forms.Field]]:
    kind, usual = used.use.get("by"), used.material
    others = [
        each for each in materials if (each.group, each.kind) == (usual.group, usual.kind) and each.pk != usual.pk
    ]
    if others and usual.group in SWAPPED:
        choices = [("", usual.name), *((str(each.pk), each.name) for each in others)]
        yield "material", "Material", _MaterialField(choices, others)
    asked = step.measure == SystemStep.Measure.LENGTH
    if kind in ("length", "crack") and not asked:
        yield "length", f"How long, {long}", LengthField(unit=long, words=("edge",), required=False)
    if kind == "crack":
        yield "width", f"Crack width, {short}", LengthField(unit=short, required=False)
    if kind == "joint":
        yield "width", f"Joint width, {short}", LengthField(unit=short, required=False)
    if kind in ("crack", "joint"):
        yield "depth", f"Depth, {short}", LengthField(unit=short, required=False)
    if kind in SPREAD:
        yield "coats", "Coats", whole("", 10)
        if usual.kind == Material.Kind.LIQUID or kind in ("mix", "stirred"):
            yield "coverage", counts_in.coverage_said.capitalize(), NumberField(above=0, required=False)
    if kind in ("mix", "stirred"):
        yield "strength", f"Strength, {counts_in.strength_said}", NumberField(above=0, required=False)
    if kind == "each" and "per_area" not in used.use and step.measure != SystemStep.Measure.COUNT:
        yield "count", "How many", whole("", 99_999)
    else:
        yield "waste", "Waste, %", PercentField(required=False)


class _MaterialField(forms.ChoiceField):
    """Another material of the same group; cleans to the row, or None for the book's own."""

    def __init__(self, choices: list[tuple[str, str]], others: Sequence[Material]) -> None:
        super().__init__(choices=choices, required=False)
        self.others = {str(each.pk): each for each in others}

    def clean(self, value: Any) -> Material | None:
        return self.others.get(super().clean(value))


def step_texts(step: OptionStep) -> dict[str, str]:
    """What stands in the blanks of a step as it is kept; a blank that isn't shown may be among them."""
    at = step_prefix(step)
    texts = {at + "on": "on" if step.on else "", at + "reason": step.reason}
    for key in ("length", "count", "hours", "passes", "rate", "setup", "visit"):
        texts[at + key] = _shown(getattr(step, key))
    chosen, factor = _difficulty(step)
    texts |= {at + "difficulty": chosen, at + "factor": factor}
    for used in step.step.materials.all():
        use, within = step.use_of(used) or OptionUse(), use_prefix(step, used)
        texts[within + "material"] = str(use.material_id or "")
        for key in ("length", "width", "depth", "coats", "coverage", "strength", "count"):
            texts[within + key] = _shown(getattr(use, key))
        texts[within + "waste"] = "" if use.waste is None else plain(use.waste.scaleb(2))
    return texts


def _difficulty(step: OptionStep) -> tuple[str, str]:
    if step.difficulty is None:
        return "", ""
    for name, _label in _factors(step.step):
        if getattr(step.step.task, name) == step.difficulty:
            return name, ""
    if step.difficulty == 1:
        return USUAL, ""
    return OWN, plain(step.difficulty)


def _shown(value: Any) -> str:
    if isinstance(value, Decimal):
        return plain(value)
    return "" if value is None else str(value)


Cleaned = tuple[dict[str, Any], dict[int, dict[str, Any]], list[str]]


def clean_step(step: OptionStep, data: Mapping[str, Any]) -> Cleaned:
    """The facts of a step and of its uses, and what differs from the book without a reason.

    Another tone, a factor of the book, and what was measured on the slab (lengths, widths, depths, counts) need none.
    """
    at, row = step_prefix(step), step.step
    facts: dict[str, Any] = {"on": bool(data.get(at + "on")), "reason": data.get(at + "reason", "")}
    differs = []
    for key in ("length", "count", "hours", "passes", "rate", "setup", "visit"):
        if at + key in data:
            facts[key] = _number(key, data[at + key])
            if key not in ("length", "count") and facts[key] is not None and (key != "hours" or row.hours is not None):
                differs.append(key.replace("setup", "set-up"))
    if at + "difficulty" in data:
        facts["difficulty"] = _factor(step, data[at + "difficulty"], data.get(at + "factor"))
        if data[at + "difficulty"] == OWN and facts["difficulty"] is not None:
            differs.append("difficulty")
    uses = {}
    for used in row.materials.all():
        within = use_prefix(step, used)
        use = {
            key: _number(key, data[within + key])
            for key in ("material", "length", "width", "depth", "coats", "coverage", "strength", "waste", "count")
            if within + key in data
        }
        differs += [key for key in ("coats", "coverage", "strength", "waste") if use.get(key) is not None]
        uses[used.pk] = use
    unexplained = differs if facts["on"] and not facts["reason"] else []
    return facts, uses, list(dict.fromkeys(unexplained))


def _number(key: str, value: Any) -> Any:
    return int(value) if key in ("count", "passes", "visit", "coats") and value is not None else value


def _factor(step: OptionStep, chosen: str, own: Decimal | None) -> Decimal | None:
    if chosen == OWN:
        return own
    if chosen == USUAL:
        return Decimal(1)
    factor: Decimal | None = getattr(step.step.task, chosen) if chosen else None
    return factor
