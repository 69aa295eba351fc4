"""The trade's tests: what waits, and what is warned of."""

from quoting.core.slab_tests import SLAB_TESTS


def test_waiting_times_are_a_start_and_what_is_quoted() -> None:
    """Solvent drop 15 s and 1 min, test patch 24 h: common practice. Sheet: ASTM D4263 16 h, MIL-HDBK-1110 24 h."""
    waits = {kind.key: (kind.wait.seconds, kind.wait.quoted) for kind in SLAB_TESTS if kind.wait}
    assert waits == {
        "solvent-drop": (60, (15, 60)),
        "test-patch": (86_400, (86_400,)),
        "plastic-sheet": (57_600, (57_600, 86_400)),
    }


def test_solvent_and_acid_are_warned_of() -> None:
    cautions = {kind.key: " ".join(kind.cautions) for kind in SLAB_TESTS if kind.cautions}
    assert cautions.keys() == {"solvent-drop", "rinse-ph"}
    assert "no flame, spark" in cautions["solvent-drop"]
    assert "Acid into water, never water into acid" in cautions["rinse-ph"]


def test_joint_sand_is_asked_of_pavers_only() -> None:
    assert [kind.key for kind in SLAB_TESTS if kind.surfaces] == ["joint-sand"]
