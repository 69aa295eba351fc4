"""How long a sealing lasts with this firm: its own years over the figures to start from."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from quoting.core.recall import STARTING_LIVES, Exposure, Life, Month, RecallFault, Resealing, Seal, Season
from quoting.documents.recall_rules import STARTING_SOURCE, life_rows
from quoting.models import ChangedMeanwhile, RecallRules
from quoting.services import recall_rules as acts
from tests.factories import OwnerFactory

pytestmark = pytest.mark.django_db
D = Decimal


def keep(version: int = 0, **more: object) -> RecallRules:
    years = {None: (D(2), D("2.5"), D(3))} | dict.fromkeys(Exposure)
    facts = {"seal": Seal.ACRYLIC, "years": years, "source": "our jobs since 2015"} | more
    return acts.keep_lives(by=OwnerFactory(), version=version, **facts)


def test_before_anything_is_set_the_figures_to_start_from_count():
    assert acts.current_resealing() == Resealing(lives=STARTING_LIVES, season=None)
    assert {row.source for row in life_rows(acts.the_rules())} == {STARTING_SOURCE}


def test_only_what_differs_is_the_firms_own():
    row = keep(years={None: (D(2), D("2.5"), D(3)), Exposure.POOL: (D(1), D("1.5"), D(2)), Exposure.FULL_SUN: None})
    assert row.lives == {"acrylic/pool": ["1", "1.5", "2"], "acrylic/full-sun": None}
    lives = acts.current_resealing().lives
    assert lives[Seal.ACRYLIC, Exposure.POOL] == Life(least=12, likely=18, most=24)
    assert (Seal.ACRYLIC, Exposure.FULL_SUN) not in lives
    told = {(each.seal, each.exposure): each for each in life_rows(row)}
    assert told[Seal.ACRYLIC, Exposure.POOL].source == "our jobs since 2015"
    assert told[Seal.ACRYLIC, None].source == STARTING_SOURCE


def test_a_figure_set_back_is_a_starting_value_again():
    keep(years={None: (D(4), D(5), D(6))})
    assert keep(version=1).lives == {f"acrylic/{each}": None for each in Exposure}


def test_the_window_follows_the_firms_figures_and_season():
    keep(years={None: (D(1), D("1.5"), D(2))})
    acts.keep_season(by=OwnerFactory(), version=1, season=Season(first=4, last=9))
    window = acts.current_resealing().window(date(2026, 6, 10), Seal.ACRYLIC)
    # 12, 18 and 24 months on: June 2027, December 2027 which moves to April, June 2028.
    assert (window.first, window.likely, window.last) == (Month(2027, 6), Month(2028, 4), Month(2028, 6))


def test_a_seal_that_lasts_no_time_is_refused():
    with pytest.raises(RecallFault):
        keep(years={None: None})
    assert not RecallRules.objects.exists()


def test_two_hands_are_told():
    keep()
    for version in (0, 7):
        with pytest.raises(ChangedMeanwhile):
            keep(version=version)
