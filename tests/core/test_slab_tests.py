"""The trade's tests: what waits, and what is warned of."""

from quoting.core.slab_tests import SLAB_TESTS


def test_waiting_times_are_a_start_and_what_is_quoted() -> None:
    """Solvent drop 15 s and 1 min, test patch 24 h: common practice. Sheet: ASTM D4263 16 h, MIL-HDBK-1110 24 h."""
    waits = {
        kind.key: (kind.wait.seconds, [each.seconds for each in kind.wait.quoted]) for kind in SLAB_TESTS if kind.wait
    }
    assert waits == {
        "solvent-drop": (60, [60, 15]),
        "test-patch": (86_400, [86_400]),
        "plastic-sheet": (57_600, [57_600, 86_400]),
    }


def test_a_waiting_time_is_told_with_the_others_that_are_quoted() -> None:
    """Sheet: ASTM D4263 16 h, MIL-HDBK-1110 24 h. Drop: 15 s and 1 min, common practice."""
    told = {
        (kind.key, each.seconds): kind.read_after(each.seconds).wait.words
        for kind in SLAB_TESTS
        if kind.wait
        for each in kind.wait.quoted
    }
    assert told == {
        ("solvent-drop", 60): "1 minute; 15 seconds are quoted too",
        ("solvent-drop", 15): "15 seconds; 1 minute is quoted too",
        ("test-patch", 86_400): "24 hours, so a second visit or the day of the wash",
        ("plastic-sheet", 57_600): "16 hours; 24 hours are quoted too",
        ("plastic-sheet", 86_400): "24 hours; 16 hours are quoted too",
    }


def test_solvent_and_acid_are_warned_of() -> None:
    cautions = {kind.key: " ".join(kind.cautions) for kind in SLAB_TESTS if kind.cautions}
    assert cautions.keys() == {"solvent-drop", "rinse-ph"}
    assert "no flame, spark" in cautions["solvent-drop"]
    assert "Acid into water, never water into acid" in cautions["rinse-ph"]


def test_joint_sand_is_asked_of_pavers_only() -> None:
    assert [kind.key for kind in SLAB_TESTS if kind.surfaces] == ["joint-sand"]
