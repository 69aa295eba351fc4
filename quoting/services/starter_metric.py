"""The starter edition's rows for a metric firm: metric packs and batches, figures converted and rounded."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Any

from quoting.core.book_units import METRIC, US, rate_in
from quoting.core.trade_units import from_unit, to_unit

Rows = dict[str, Any]

ROUND = Context(prec=2, rounding=ROUND_HALF_UP)
"""Starting values are no more exact than two digits."""

PACKS = {
    "1 gal": "4 L", "5 gal": "20 L", "1 lb": "0.5 kg", "5 lb": "2.5 kg", "50 lb": "25 kg",
}  # fmt: skip
"""A metric pack of about the same size; prices are invented, so they stay."""

WORDS = {
    "0.01 each/ft": "0.03 each/m",
    "0.25 gal": "1 L",
    "2 gal": "8 L",
    "5 gal": "20 L",
    "1 in": "25 mm",
    "1/2 in": "12 mm",
    "1/4 in": "6 mm",
    "1/8 in": "3 mm",
    "4 in": "10 cm",
    "8 in": "20 cm",
}
"""Quantities in the uses of the systems, each by about the same."""

SAID = {"four ounces to a gallon": "thirty grams to a litre"}
UNIT_PRICES = {
    "One more strip pass, a square foot": ("One more strip pass, a square metre", "20.00"),
    "Crack filled with paste, a foot": ("Crack filled with paste, a metre", "21.00"),
}


def metric_rows(data: Rows) -> Rows:
    """The rows of the file in metric units."""
    for row in data["material"]:
        row["packs"] = [_pack(*each) for each in row["packs"]]
        for kind in ("strength", "scoop", "density"):
            if kind in row:
                row[kind] = _figure(row[kind], getattr(US, kind), getattr(METRIC, kind))
    for rows in data["coverage"].values():
        for row in rows:
            row[3:6] = [_figure(each, US.coverage, METRIC.coverage) for each in row[3:6]]
    for row in data["task"]:
        before = row.get("unit", US.area_rate)
        row["unit"] = rate_in("metric", before)
        row["rate"] = _figure(row["rate"], before, row["unit"])
    for system in data["system"]:
        for step in system["step"]:
            for words, metric in SAID.items():
                step["how"] = step.get("how", "").replace(words, metric)
            for use in step.get("materials", ()):
                use["use"] = {key: WORDS.get(value, value) for key, value in use["use"].items()}
    for row in data["unit_price"]:
        row["name"], row["price"] = UNIT_PRICES.get(row["name"], (row["name"], row["price"]))
    return data


def _pack(size: str, unit: str, price: str) -> tuple[str, str, str]:
    size, unit = PACKS.get(f"{size} {unit}", f"{size} {unit}").split()
    return size, unit, price


def _figure(text: str, before: str, after: str) -> str:
    if before == after:
        return text
    return f"{ROUND.plus(to_unit(from_unit(Decimal(text), before), after)):f}"
