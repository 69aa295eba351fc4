"""What is round a slab."""

from quoting.core.finding_kinds import Group
from quoting.core.slab_surroundings import SLAB_SURROUNDINGS


def test_nothing_round_the_slab_is_called_a_test() -> None:
    assert {kind.group for kind in SLAB_SURROUNDINGS} == {Group.ROUND}
