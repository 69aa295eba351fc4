"""Joints at scale."""

import pytest

from quoting.documents.plan_joints import SIDE, ashlar_joints, joint_pattern, joints_of


@pytest.mark.parametrize(
    ("surface", "joints"),
    [
        ("stamped concrete", "ashlar"),
        ("Concrete pavers", "bond"),
        ("clay pavers", "bond"),
        ("broom-finished concrete", ""),
        ("exposed aggregate", ""),
    ],
)
def test_each_surface_has_its_joints(surface: str, joints: str) -> None:
    assert joints_of(surface) == joints


def test_pavers_are_four_by_eight_inches_at_scale() -> None:
    # At 100 px a metre 8 in = 0.2032 m = 20.32 px; two courses of 4 in are as high.
    pattern = joint_pattern("bond", 100, "w")
    assert pattern is not None
    assert (pattern.id, pattern.width, pattern.height) == ("w", 20.32, 20.32)
    assert pattern.d == "M0 0H20.320M0 10.160H20.320M0 0V10.160M10.160 10.160V20.320"


def test_joints_finer_than_can_be_seen_are_left_out() -> None:
    assert joint_pattern("ashlar", 10, "w") is None
    assert joint_pattern("bond", 10, "w") is None


def test_no_ashlar_joint_runs_through() -> None:
    joints = ashlar_joints()
    assert {level for level, *_ in joints} == {True, False}
    assert max(long for *_, long in joints) < SIDE
