"""One form for a part of every shape, entered as a tape is called out: a blank for each measure, or all in one line."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from quoting.core.shapes import CannotClose, Shape, ShapeFault, make_shape
from quoting.core.units import Dimension, Quantity, parse_length, parse_number, parse_quantity
from quoting.forms.hands import Remembering
from quoting.forms.plausible import ask_about
from quoting.forms.shapes import SHAPES, Measure, ShapeAsked
from quoting.models import Part

BARE_UNITS = {
    "us": {"length": "ft", "inches": "in", "lengths": "ft", "points": "ft", "area": "ft²"},
    "metric": {"length": "m", "inches": "cm", "lengths": "m", "points": "m", "area": "m²"},
}
"""What a bare number is, by what is typed and by the firm's units."""

MOST_LIKE_IT = 999
"""How often one part may be repeated; the core takes no more."""

LIST_FIELDS = {"lengths", "points"}
_BETWEEN = re.compile(r"[,;\n×]|\s+(?:x|by)\s+(?=\d)|(?<=['\"\d′″])x(?=\d)", re.IGNORECASE)


class PartForm(Remembering):
    """A part of one shape. When it is valid, `facts` is what `keep_part` takes and `shape` the shape of the core.

    `preview` is for figures while they are typed: an empty blank is no fault, and `shape` is None meanwhile. What is
    hardly right is asked about once: `asks` is then true, and the box `sure` with the same readings lets it pass.
    """

    shape_key = forms.ChoiceField(label="Shape", choices=[(shape.key, shape.label) for shape in SHAPES.values()])
    name = forms.CharField(label="Called", max_length=120, required=False)
    called = forms.CharField(label="Or as it was called, in one line", max_length=4000, required=False)
    alike = forms.CharField(label="How many alike", max_length=4, required=False)
    place = forms.ChoiceField(label="In the plan", choices=Part.Place, required=False)
    at_x = forms.CharField(label="From the left end", max_length=40, required=False)
    at_y = forms.CharField(label="From the lower side", max_length=40, required=False)
    kind = forms.ChoiceField(choices=Part.Kind, widget=forms.HiddenInput)
    sure = forms.CharField(max_length=8000, required=False, widget=forms.HiddenInput)
    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        units: str,
        shape: str = "rectangle",
        preview: bool = False,
        live_url: str = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        chosen = data.get("shape_key", shape) if data is not None else shape
        self.asked: ShapeAsked = SHAPES.get(chosen, SHAPES["rectangle"])
        self.units, self.preview, self.live_url = units, preview, live_url
        self.shape: Shape | None = None
        self.facts: dict[str, Any] = {}
        self.asks = False
        self.initial.setdefault("shape_key", self.asked.key)
        for measure in self.asked.measures:
            self.fields[measure.name] = _blank(measure)
        if self.asked.key == "steps":
            del self.fields["alike"]
        taken_out = (self.data.get("kind") if self.is_bound else self.initial.get("kind")) == Part.Kind.DEDUCT
        for name in ["place"] if taken_out else ["at_x", "at_y"]:
            del self.fields[name]
        self.remember()
        if live_url:
            live = {"hx-post": live_url, "hx-trigger": "input changed delay:150ms"}
            for name in {"called", "alike", "place", "at_x", "at_y", "name", *self.measure_names} & set(self.fields):
                self.fields[name].widget.attrs.update(live)

    @property
    def measure_names(self) -> list[str]:
        return [measure.name for measure in self.asked.measures]

    @property
    def blanks(self) -> list[tuple[Measure, forms.BoundField]]:
        """The measures with their fields, in the order in which a tape calls them out."""
        return [(measure, self[measure.name]) for measure in self.asked.measures]

    @property
    def fingerprint(self) -> str:
        """The readings as they were typed: what `sure` must repeat."""
        typed = [str(self.data.get(name, "")).strip() for name in [*self.measure_names, "called"]]
        return " | ".join(text for text in typed if text)

    def clean(self) -> dict[str, Any]:
        """Read every measure, make the shape, and ask about what is hardly right."""
        data = super().clean() or {}
        typed = self._typed()
        sizes: dict[str, Any] = {}
        readings: list[tuple[str, Quantity]] = []
        for measure in self.asked.measures:
            text = typed.get(measure.name, "")
            if not text:
                if measure.required and not self.preview and "called" not in self.errors:
                    self._fault(measure.name, f"{measure.label} is missing.")
                continue
            try:
                sizes[measure.name] = self._read(measure, text, readings)
            except ValueError as fault:
                self._fault(measure.name, str(fault))
        places = self._places()
        alike = self._alike()
        complete = all(measure.name in sizes for measure in self.asked.measures if measure.required)
        if complete and not self.errors:
            self._make(sizes)
        if self.shape is not None:
            self._ask(readings)
            self.facts = {
                "kind": data.get("kind", Part.Kind.PART),
                "name": data.get("name", "").strip(),
                "measures": self._measures(sizes, alike),
                "place": data.get("place") or Part.Place.RIGHT,
                **places,
            }
        return data

    def _typed(self) -> dict[str, str]:
        """The text of each measure: from the one line if it was used, else from its own blank."""
        line = self.cleaned_data.get("called", "").strip()
        if not line:
            return {name: self.cleaned_data.get(name, "").strip() for name in self.measure_names}
        pieces = split_call(line)
        measures = self.asked.measures
        if measures[-1].kind in LIST_FIELDS:
            single = len(measures) - 1
            rest = ", ".join(pieces[single:])
            return dict(zip(self.measure_names, [*pieces[:single], rest], strict=False))
        if not self.asked.fewest <= len(pieces) <= len(measures):
            wanted = ", ".join(measure.label.lower() for measure in measures)
            many = (
                str(len(measures)) if self.asked.fewest == len(measures) else f"{self.asked.fewest} to {len(measures)}"
            )
            readings = "reading is" if many == "1" else "readings are"
            self.add_error("called", f"{many} {readings} wanted ({wanted}); this line has {len(pieces)}.")
            return {}
        return dict(zip(self.measure_names, pieces, strict=False))

    def _read(self, measure: Measure, text: str, readings: list[tuple[str, Quantity]]) -> Any:
        """The size in the scope file's words; its quantities are noted for the questions."""
        bare = BARE_UNITS[self.units].get(measure.kind)
        if measure.kind == "whole":
            return read_whole(text)
        if measure.kind == "angle":
            return parse_number(re.sub(r"\s*(?:°|deg(?:rees?)?\.?)\s*\Z", "", text, flags=re.IGNORECASE))
        if measure.kind == "area":
            return parse_quantity(text, Dimension.AREA, default_unit=bare)
        if measure.kind in LIST_FIELDS:
            corners = measure.kind == "points"
            pieces = split_call(text)
            found = []
            for place, piece in enumerate(pieces, start=1):
                try:
                    found.append(parse_length(piece, default_unit=bare, zero=True, negative=corners))
                except ValueError as fault:
                    raise ValueError(f"Reading {place}: {fault}") from fault
            readings += [(measure.name, each) for each in found]
            return _pairs(found) if corners else tuple(found)
        size = parse_length(text, default_unit=bare)
        readings.append((measure.name, size))
        return size

    def _make(self, sizes: dict[str, Any]) -> None:
        try:
            self.shape = make_shape(self.asked.key, {name: _canonical(size) for name, size in sizes.items()})
        except CannotClose as fault:
            self.add_error(None, str(fault))
        except ShapeFault as fault:
            self._fault(self.measure_names[-1], str(fault))

    def _ask(self, readings: list[tuple[str, Quantity]]) -> None:
        questions = ask_about(readings, self.units)
        self.asks = bool(questions)
        if questions and self.cleaned_data.get("sure") != self.fingerprint:
            for name, question in questions.items():
                self._fault(name, question)

    def _alike(self) -> int:
        text = self.cleaned_data.get("alike", "").strip()
        if not text:
            return 1
        try:
            return read_whole(text, MOST_LIKE_IT)
        except ValueError as fault:
            self.add_error("alike", str(fault))
            return 1

    def _places(self) -> dict[str, str]:
        """Where what is taken out lies, both figures or neither."""
        places = {"at_x": "", "at_y": ""}
        bare = BARE_UNITS[self.units]["length"]
        for name in places:
            text = self.cleaned_data.get(name, "").strip()
            if text:
                try:
                    places[name] = parse_length(text, default_unit=bare, zero=True).text
                except ValueError as fault:
                    self.add_error(name, str(fault))
        if bool(places["at_x"]) != bool(places["at_y"]) and not self.preview:
            empty = "at_y" if places["at_x"] else "at_x"
            if empty not in self.errors:
                self.add_error(empty, "Give both figures, or neither.")
        return places

    def _fault(self, name: str, sentence: str) -> None:
        """Beside the blank it belongs to; beside the one line where that was used, with the name of the measure."""
        if self.cleaned_data.get("called", "").strip():
            self.add_error("called", f"{self.fields[name].label}: {sentence}")
        else:
            self.add_error(name, sentence)

    def _measures(self, sizes: dict[str, Any], alike: int) -> dict[str, Any]:
        measures = {"shape": self.asked.key} | {name: _text(size) for name, size in sizes.items()}
        return measures | ({"count": alike} if alike > 1 else {})


def split_call(line: str) -> list[str]:
    """The readings of one line: parted by commas, semicolons, ×, “x” or “by”, or lines."""
    return [piece.strip() for piece in _BETWEEN.split(line) if piece and piece.strip()]


def read_whole(text: str, most: int = 200) -> int:
    """A count from 1. Raises ValueError with the sentence to show."""
    if not re.fullmatch(r"[0-9]{1,4}", text) or not 1 <= int(text) <= most:
        raise ValueError(f"Write a whole number from 1 to {most}.")
    return int(text)


def initial_of(part: Part) -> dict[str, str]:
    """What the form shows of a part that was kept: its measures as they were called out."""
    measures = part.measures
    steps = measures.get("shape") == "steps"
    initial = {
        name: value if isinstance(value, str) else _listed(value)
        for name, value in measures.items()
        if name != "shape" and (name != "count" or steps)
    }
    if not steps and "count" in measures:
        initial["alike"] = str(measures["count"])
    return initial | {
        "kind": part.kind,
        "name": part.name,
        "place": part.place,
        "at_x": part.at_x,
        "at_y": part.at_y,
    }


def _blank(measure: Measure) -> forms.CharField:
    attrs = {"autocomplete": "off", "class": "figure-in"}
    if measure.kind in ("whole", "angle"):
        attrs["inputmode"] = "decimal"
    if measure.kind in LIST_FIELDS:
        widget: forms.Widget = forms.Textarea(
            attrs={"rows": 6 if measure.kind == "points" else 3, "autocomplete": "off"}
        )
        return forms.CharField(label=measure.label, required=False, max_length=12000, widget=widget)
    return forms.CharField(label=measure.label, required=False, max_length=60, widget=forms.TextInput(attrs=attrs))


def _pairs(found: list[Quantity]) -> tuple[tuple[Quantity, Quantity], ...]:
    if len(found) % 2:
        raise ValueError(f"Corner {len(found) // 2 + 1} has one figure; it needs two: along, then out.")
    return tuple(zip(found[::2], found[1::2], strict=True))


def _canonical(size: Any) -> Any:
    if isinstance(size, Quantity):
        return size.magnitude
    return tuple(_canonical(each) for each in size) if isinstance(size, tuple) else size


def _text(size: Any) -> Any:
    if isinstance(size, Quantity):
        return size.text
    if isinstance(size, tuple):
        return [_text(each) for each in size]
    return f"{size:f}" if isinstance(size, Decimal) else size


def _listed(value: Any) -> str:
    if isinstance(value, list):
        corners = value and isinstance(value[0], list)
        return "\n".join(", ".join(pair) for pair in value) if corners else ", ".join(value)
    return str(value)
