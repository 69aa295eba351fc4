"""In which condition the findings say a slab is: how much it drinks, which is what the price book's coverage goes by.

Common practice, no published source. What is not known says nothing: no condition is guessed.
"""

from quoting.core.advice import Slab, slab_facts
from quoting.core.conditions import Condition, all_, either, is_, not_, truth

CONDITIONS: tuple[tuple[str, Condition], ...] = (
    ("worn", either(is_("film", "worn", "milky", "flaking"), is_("water-drop", "patchy"))),
    ("bare", all_(is_("film", "none"), is_("water-drop", "open"), not_(is_("water-drop", "sealed")))),
    ("sound", all_(is_("film", "even"), not_(is_("water-drop", "open")))),
)
"""The words of an area's condition, and what has to be found for each; the first that holds."""


def condition_found(slab: Slab) -> str | None:
    """The condition that the findings show: `worn`, `bare` or `sound`; None where they don't tell."""
    facts = slab_facts(slab)
    return next((word for word, when in CONDITIONS if truth(when, facts)), None)
