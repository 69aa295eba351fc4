"""The condition that coverage goes by, as the findings show it: common practice, no published source."""

import pytest

from quoting.core.advice import Slab
from quoting.core.findings import Finding
from quoting.core.slab_conditions import condition_found


def film(look: str) -> Finding:
    return Finding(kind="film", answers={"look": look})


def drop(result: str) -> Finding:
    return Finding(kind="water-drop", answers={"result": result})


@pytest.mark.parametrize(
    ("findings", "condition"),
    [
        ((film("worn"),), "worn"),
        ((film("milky"), drop("beads")), "worn"),
        ((film("even"), drop("mixed")), "worn"),
        ((film("none"), drop("soaks")), "bare"),
        ((film("even"), drop("beads")), "sound"),
    ],
)
def test_what_was_found_shows_the_condition(findings: tuple[Finding, ...], condition: str) -> None:
    assert condition_found(Slab(surface="stamped", findings=findings)) == condition


@pytest.mark.parametrize(
    "findings",
    [
        (),
        (film("even"),),  # nobody tried a drop
        (film("none"), drop("beads")),  # a penetrant, or a curing agent: a test patch decides
        (film("even"), drop("soaks")),  # they contradict each other
    ],
)
def test_what_does_not_tell_is_not_guessed(findings: tuple[Finding, ...]) -> None:
    assert condition_found(Slab(surface="stamped", findings=findings)) is None
