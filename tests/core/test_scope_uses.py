"""The ways of using material in a scope file."""

from typing import Any

import pytest

from quoting.core.scope import CoverageUse, CrackUse, DilutionUse, EachUse, JointUse, LengthUse, MixUse
from quoting.core.scope_reading import Reading
from quoting.core.scope_uses import USES
from tests.sample_scopes import everything

SAMPLES = [each["use"] for step in everything()["work"] for each in step["materials"]]


def read(use: dict[str, Any]) -> tuple[Any, list[str]]:
    reading = Reading()
    return USES.read(use, "use", reading), [str(fault) for fault in reading.faults]


def test_each_word_gives_a_use_of_its_own() -> None:
    types = {use["by"]: type(read(use)[0]) for use in SAMPLES}
    assert types == {
        "coverage": CoverageUse,
        "mix": MixUse,
        "dilution": DilutionUse,
        "length": LengthUse,
        "crack": CrackUse,
        "joint": JointUse,
        "each": EachUse,
    }


@pytest.mark.parametrize("use", SAMPLES)
def test_what_was_read_is_written_back(use: dict[str, Any]) -> None:
    written = USES.write(read(use)[0], 2)
    assert {key: written[key] for key in use} == use
    assert read(written)[0] == read(use)[0]


def test_a_use_with_a_size_of_another_is_refused() -> None:
    assert read({"by": "each", "count": 1, "coverage": "200 ft**2/gal"})[1] == [
        "use.coverage: is not a key of this file; known are by, count, per_area."
    ]


def test_a_use_says_what_is_missing() -> None:
    assert read({"by": "crack", "length": "edge"})[1] == ["use.width: is missing.", "use.depth: is missing."]
