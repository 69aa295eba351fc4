"""Faults and the error that carries them."""

import json
import time

import pytest

from quoting.core.scope_faults import Fault, ScopeFaults
from quoting.core.scope_file import read_scope


def test_a_fault_reads_as_place_and_sentence() -> None:
    assert str(Fault("areas[0].name", "is missing.")) == "areas[0].name: is missing."


def test_the_error_reads_as_its_faults_one_a_line() -> None:
    error = ScopeFaults([Fault("title", "must be a text."), Fault("crew", "is missing.")])
    assert str(error) == "title: must be a text.\ncrew: is missing."
    assert [fault.place for fault in error.faults] == ["title", "crew"]


def test_of_very_many_faults_a_hundred_are_said_and_the_others_counted() -> None:
    text = json.dumps({f"slip {number}": 1 for number in range(1_000)})
    with pytest.raises(ScopeFaults) as raised:
        read_scope(text)
    # 1,000 unknown keys, and six that are missing: currency, units, areas, crew, pricing, format; 1,006 − 100.
    places = [fault.place for fault in raised.value.faults]
    assert places[:2] == ["[“slip 0”]", "[“slip 1”]"]
    assert len(places) == 101
    assert str(raised.value.faults[-1]) == "file: has 906 more faults; mend these first."


def test_one_repeated_key_among_a_hundred_thousand_is_found_at_once() -> None:
    keys = ",".join(f'"k{number}":1' for number in range(100_000))
    begun = time.monotonic()
    with pytest.raises(ScopeFaults):
        read_scope(f'{{{keys},"k7":2}}')
    assert time.monotonic() - begun < 20  # counting each key in all the others took five minutes
