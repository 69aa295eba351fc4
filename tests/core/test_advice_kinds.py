"""The words of advice."""

from quoting.core.advice_kinds import Approach


def test_every_approach_has_words_of_its_own() -> None:
    assert len({approach.words for approach in Approach}) == len(Approach) == 8
