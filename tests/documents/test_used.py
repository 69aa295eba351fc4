"""What was used, from what the crew wrote down: last words count, solutions and mixes become their material."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from django.utils import timezone

from quoting.core.job_cost import LABOUR, Used
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.core.workings import Workings
from quoting.documents.used import crew_used
from quoting.models import Entry
from tests.sample_contract import sealed_areas


@pytest.fixture
def workings() -> Workings:
    return work_out(read_scope(json.dumps(sealed_areas())))


def entry(kind: str, **data: object) -> Entry:
    return Entry(kind=kind, data=data, made_at=timezone.now())


def sealer(magnitude: str, **data: object) -> Entry:
    return entry("used", place=1, material="sealer", magnitude=magnitude, dimension="VOLUME", **data)


def test_hours_of_several_people_add_up_and_fall_on_the_areas_as_planned(workings):
    used = crew_used(workings, [entry("hours", place=1, hours="3"), entry("hours", place=1, hours="2.5")])
    nets = {area.name: area.net for area in workings.areas}
    share = nets["Pool deck"] / sum(nets.values())
    assert sum(each.amount for each in used.values()).quantize(Decimal("0.0001")) == Decimal("5.5")
    assert abs(used[1, "Pool deck", LABOUR].amount - Decimal("5.5") * share) < Decimal("1E-20")


def test_an_amount_that_is_written_down_again_counts_once(workings):
    entries = [
        sealer("0.001", area="Pool deck", coat=1), sealer("0.002", area="Pool deck", coat=1),
        sealer("0.003", area="Pool deck", coat=2),
    ]  # fmt: skip
    assert crew_used(workings, entries) == {(1, "Pool deck", "sealer"): Used(amount=Decimal("0.005"))}


def test_amounts_without_an_area_add_up(workings):
    used = crew_used(workings, [sealer("0.001"), sealer("0.002")])
    assert sum(each.amount for each in used.values()).quantize(Decimal("0.000001")) == Decimal("0.003")
    assert {area for _place, area, _of in used} == {"Pool deck", "Front walk"}


def test_a_mix_is_powder(workings):
    mixed = entry("used", place=0, material="base-tone", area="Pool deck", coat=1, magnitude="0.01", dimension="VOLUME")
    # 6 oz/gal = 0.170097 kg in 3.785412 L: 44.935 kg/m³; ten litres of mix hold 0.449 kg.
    used = crew_used(workings, [mixed])[0, "Pool deck", "base-tone"]
    assert used.amount.quantize(Decimal("0.001")) == Decimal("0.449")


def test_what_does_not_fit_the_work_is_left_out(workings):
    entries = [
        entry("hours", place=9, hours="3"), sealer("0.001", area="Elsewhere", coat=1),
        entry("used", place=1, material="paint", magnitude="1", dimension="VOLUME"),
        entry("used", place=1, material="sealer", magnitude="1", dimension="MASS"),
    ]  # fmt: skip
    assert crew_used(workings, entries) == {}
