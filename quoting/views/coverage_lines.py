"""The coverage of a material as a dimension line, from low to high, with the figure reckoned with. Formatting only."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from quoting.core.units import format_number
from quoting.forms.figures import plain
from quoting.models import Coverage, MissingCoverage, OptionStep, StepMaterial
from quoting.services.learning import Learning
from quoting.services.scope_work import coverages_for


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A coverage between low and high as a dimension line: places in per cent of its width, figures as text."""

    coat: str
    low: str
    likely: str
    high: str
    chosen: str
    own: bool
    low_at: str
    likely_at: str
    high_at: str
    chosen_at: str
    jobs_say: str = ""
    unit: str = "ft² a gallon"

    @property
    def said(self) -> str:
        """The line in words."""
        return f"{self.coat}from {self.low} to {self.high}, likely {self.likely}; reckoned with {self.chosen}"


def stretches_of(step: OptionStep, used: StepMaterial, learning: Learning) -> Iterator[Stretch]:
    """One line for each coat whose coverage is the book's to say, with the tone that was chosen, and what the firm's
    own jobs say of it."""
    own = step.use_of(used)
    if (
        used.use.get("by") not in ("coverage", "mix", "dilution", "stirred")
        or "coverage" in used.use
        or "rates" in used.use
    ):
        return
    material = (own and own.material) or used.material
    condition = used.use.get("condition", "")
    found = [(area.surface, condition or area.condition) for area in step.group.areas.all()]
    coats = int((own and own.coats) or used.use.get("coats") or 1)
    if not found:
        return
    try:
        rows = coverages_for(material, found, int(used.use.get("first_coat", 1)), coats)
    except MissingCoverage:
        return
    counts_in = step.group.option.edition.counts_in
    different = list(dict.fromkeys(rows))
    for row in different:
        coat = f"coat {row.coat}: " if len(different) > 1 else ""
        said = learning.of_coverage(material.key, row, counts_in)
        stretch = stretch_of(row, own.coverage if own else None, coat)
        yield replace(stretch, jobs_say=said.words if said else "", unit=counts_in.coverage_said)


def stretch_of(row: Coverage, own: Decimal | None, coat: str = "") -> Stretch:
    """The book's row as a line, with the figure that is reckoned with on it."""
    chosen = own or row.likely
    first, last = min(row.low, chosen), max(row.high, chosen)

    def at(value: Decimal) -> str:
        share = (value - first) / (last - first) if last > first else Decimal("0.5")
        return f"{format_number(6 + 88 * share, 1)}%"

    return Stretch(
        coat=coat,
        low=plain(row.low),
        likely=plain(row.likely),
        high=plain(row.high),
        chosen=plain(chosen),
        own=own is not None and own != row.likely,
        low_at=at(row.low),
        likely_at=at(row.likely),
        high_at=at(row.high),
        chosen_at=at(chosen),
    )
