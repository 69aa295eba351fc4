"""Faults and the error that carries them."""

from quoting.core.scope_faults import Fault, ScopeFaults


def test_a_fault_reads_as_place_and_sentence() -> None:
    assert str(Fault("areas[0].name", "is missing.")) == "areas[0].name: is missing."


def test_the_error_reads_as_its_faults_one_a_line() -> None:
    error = ScopeFaults([Fault("title", "must be a text."), Fault("crew", "is missing.")])
    assert str(error) == "title: must be a text.\ncrew: is missing."
    assert [fault.place for fault in error.faults] == ["title", "crew"]
