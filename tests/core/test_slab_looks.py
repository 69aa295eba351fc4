"""What is seen on a slab."""

from quoting.core.slab_looks import QUARTER_INCH, SLAB_LOOKS
from quoting.core.units import parse_length


def test_the_width_of_a_structural_crack() -> None:
    assert parse_length("1/4 in").magnitude == QUARTER_INCH


def test_cracks_and_stains_may_be_noted_several_times() -> None:
    assert [kind.key for kind in SLAB_LOOKS if kind.many] == ["crack", "stains"]
