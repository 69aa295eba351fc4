"""The plan: measured areas drawn to scale, for the screen and for paper, by one pure function."""

from __future__ import annotations

from collections.abc import Callable
from math import floor

from quoting.documents.drawing import Drawing, Path, Pattern, Primitive, Text, around, clean, width_of
from quoting.documents.plan_areas import draw_area
from quoting.documents.plan_details import Hand
from quoting.documents.plan_joints import joint_pattern
from quoting.documents.plan_labels import NARROW
from quoting.documents.plan_parts import Place, PlacedPart, PlanArea, PlanPart, box_of, place_parts
from quoting.documents.plan_rows import lay_rows, scale_bar
from quoting.documents.plan_words import Units, describe, listed

__all__ = ["Drawing", "Place", "PlanArea", "PlanPart", "draw_plan"]

FOOT = 0.3048
LARGEST_SCALE = 44 / FOOT
"""px a metre: nothing is drawn larger, so that a stepping stone does not fill the sheet."""

SMALLEST_SCALE = 0.0005

LINE = 18.0
TRIES = 40

CROWDED, GAINED = 0.7, 1.2
"""Under that share of the first scale the words push it down, and a key is tried; it has to gain that much."""

Laid = tuple[list[Primitive], list[str]]
"""A drawing's primitives, and what its numbers stand for, a line for each area."""


def draw_plan(
    areas: tuple[PlanArea, ...],
    *,
    width_px: int,
    units: Units = "us",
    highlight: tuple[str, int] | None = None,
    prefix: str = "plan",
    title: str = "Plan, to scale",
) -> Drawing:
    """Areas drawn to one scale on a sheet `width_px` wide, its height as needed.

    `highlight` is the letter of an area and the index of its part that is being measured: that part shows the letters
    of its sides, the others are cut against it and numbered. `prefix` keeps ids apart where a page carries several
    drawings.
    """
    narrow = width_px <= NARROW
    lit = {letter: index for letter, index in [highlight] if letter} if highlight else {}
    shown = [(area, place_parts(area, highlight=lit.get(area.letter), narrow=narrow)) for area in areas]
    shown = [(area, placed) for area, placed in shown if placed]

    def lay(scale: float, crowded: bool) -> Laid:
        hands = [
            Hand(
                scale=scale, units=units, highlight=lit.get(area.letter), width=width_px, prefix=prefix, crowded=crowded
            )
            for area, _ in shown
        ]
        blocks = [draw_area(area, placed, hand) for (area, placed), hand in zip(shown, hands, strict=True)]
        return lay_rows(blocks, scale_bar(scale, units), width_px), [block.key for block in blocks if block.key]

    def excess(laid: Laid) -> float:
        return _excess(laid[0], width_px, len(shown), narrow=narrow)

    first = _first_scale(shown, width_px, narrow=narrow)
    scale, (things, keys) = _fitted(lambda scale: lay(scale, False), excess, first)
    if scale < CROWDED * first:
        larger, keyed = _fitted(lambda scale: lay(scale, True), excess, first)
        if larger > GAINED * scale:
            scale, (things, keys) = larger, keyed
    sentences = _notes(shown)
    left, top, right, low = around([thing.box for thing in things])
    things = [thing.moved(max(-left, 0.0), max(2.0 - top, 0.0)) for thing in things]
    y = low + max(2.0 - top, 0.0) + 24
    for key in keys:
        for line in _wrap([key], width_px - 4.0):
            things.append(Text(cls="t-dim", x=2, y=y, words=line, size=13))
            y += LINE
    for note in _wrap(sentences, width_px - 4.0):
        things.append(Text(cls="t-note", x=2, y=y, words=note, size=13))
        y += LINE
    return Drawing(
        width=max(width_px, floor(right + max(-left, 0.0)) + 2),
        height=floor(y - LINE) + 8,
        title=clean(title),
        desc=describe([area for area, _ in shown], units, sentences[1:] if shown else sentences),
        primitives=tuple(things),
        patterns=_patterns(things, scale, prefix),
        prefix=prefix,
        scale=scale,
    )


def _fitted(lay: Callable[[float], Laid], excess: Callable[[Laid], float], scale: float) -> tuple[float, Laid]:
    """The largest scale found at which the drawing goes on its sheet, and the drawing at it."""
    laid, tries = lay(scale), 0
    while tries < TRIES and scale > SMALLEST_SCALE and (over := excess(laid)) > 1.0:
        # Furniture does not shrink with the scale, so the step is never smaller than two in a hundred.
        scale, tries = max(scale / max(1.02, min(over**0.6, 2.0)), SMALLEST_SCALE), tries + 1
        laid = lay(scale)
    return scale, laid


def _first_scale(shown: list[tuple[PlanArea, tuple[PlacedPart, ...]]], width_px: int, *, narrow: bool) -> float:
    """The largest scale worth trying: the widest area alone in its row."""
    widest = max((box_of(placed)[2] - box_of(placed)[0] for _, placed in shown), default=1.0)
    return min(LARGEST_SCALE, max(width_px - (24.0 if narrow else 40.0), 40.0) / max(widest, 1e-6))


def _excess(things: list[Primitive], width_px: int, count: int, *, narrow: bool) -> float:
    """By how much a drawing is too wide or too high for its sheet: 1 or less is right."""
    left, top, right, low = around([thing.box for thing in things])
    highest = width_px * (1.6 if narrow else 0.84) + max(0, count - 3) * (110.0 if narrow else 60.0)
    return max((right - left) / (width_px - 1.0), (low - top) / highest)


def _notes(shown: list[tuple[PlanArea, tuple[PlacedPart, ...]]]) -> list[str]:
    """What the drawing says about itself."""
    letters = [clean(area.letter) for area, _ in shown]
    if not letters:
        return ["Nothing is measured yet."]
    every = [one for _, placed in shown for one in placed]
    notes = ["Drawn to scale." if len(letters) == 1 else "Drawn to one scale."]
    if len(letters) > 1:
        whose = listed(letters) if len(letters) <= 4 else "the areas"
        notes.append(f"The places of {whose} to one another are not measured.")
    if any(one.part.kind == "deduct" and (one.part.x is None or one.part.y is None) for one in every):
        notes.append("The places of what is taken out are not measured.")
    if any(one.figure.cut for one in every):
        notes.append("Where a part is cut, its figure gives the whole length.")
    return notes


def _wrap(sentences: list[str], width: float) -> list[str]:
    """Sentences set in lines no wider than `width` px."""
    lines: list[str] = []
    for word in " ".join(sentences).split(" "):
        if lines and width_of(f"{lines[-1]} {word}", 13) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def _patterns(things: list[Primitive], scale: float, prefix: str) -> tuple[Pattern, ...]:
    """The patterns that the drawing uses, once each."""
    used = {thing.fill for thing in things if isinstance(thing, Path) and thing.fill}
    found = [joint_pattern(joints, scale, f"{prefix}-{joints}") for joints in ("ashlar", "bond")]
    return tuple(pattern for pattern in found if pattern and pattern.id in used)
