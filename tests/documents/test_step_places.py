"""Steps found again by their names after a change order took work out before them."""

import json

from quoting.core.change_orders import without
from quoting.core.scope_file import read_scope
from quoting.core.work_out import work_out
from quoting.core.workings import StepFigure
from quoting.documents.step_places import (
    GONE,
    at_todays_places,
    coats_now,
    key_now,
    place_now,
    places_now,
    still_agreed,
)
from quoting.models import Entry, VisitStep
from tests.sample_visits import three_steps

SEAL = "Seal, two coats"


def without_the_wash() -> tuple[StepFigure, ...]:
    """Colour and seal alone: they stood at places 1 and 2, and stand at 0 and 1."""
    left = without(read_scope(json.dumps(three_steps())), (), {0})
    assert left is not None
    return work_out(left).steps


def now(kind: str, **data: object) -> dict[str, object]:
    (entry,) = at_todays_places([Entry(kind=kind, data=data)], without_the_wash())
    return entry.data


def test_what_was_used_stays_with_its_step():
    assert now("used", place=2, of_step=SEAL, area="Pool deck")["place"] == 1


def test_a_tick_stays_with_its_step_and_coat():
    assert now("tick", step="2.2.1", of_step=SEAL)["step"] == "1.2.1"


def test_what_was_done_of_a_step_taken_out_stands_nowhere():
    assert now("hours", place=0, of_step="Wash")["place"] == GONE


def test_what_was_written_down_before_names_were_kept_stays_where_it_is():
    assert now("used", place=1, material="base-tone") == {"place": 1, "material": "base-tone"}


def test_the_kept_entry_itself_never_changes():
    kept = Entry(kind="used", data={"place": 2, "of_step": SEAL})
    list(at_todays_places([kept], without_the_wash()))
    assert kept.data["place"] == 2


def test_of_steps_with_one_name_it_is_the_one_on_the_area():
    steps = work_out(read_scope(json.dumps(three_steps() | {"work": [
        three_steps()["work"][0] | {"areas": [area]} for area in ("Front walk", "Pool deck")
    ]}))).steps  # fmt: skip
    assert [place_now(2, "Wash", steps, area) for area in ("Front walk", "Pool deck")] == [0, 1]


def test_a_visit_laid_before_the_change_shows_what_is_left_of_its_steps():
    rows = [
        VisitStep(place=0, name="Wash", areas=["Pool deck"]),
        VisitStep(place=2, name=SEAL, areas=["Pool deck"], coat=2),
    ]
    steps = without_the_wash()
    assert still_agreed(rows, steps) == rows[1:]
    assert (places_now(rows, steps), key_now(rows[1], steps)) == ({1}, "1.2.1")


def test_the_coats_of_a_visit_are_told_by_todays_places():
    rows = [
        VisitStep(place=0, name="Wash", areas=["Pool deck"]),
        VisitStep(place=1, name="Base tone", areas=["Pool deck"]),
        VisitStep(place=2, name=SEAL, areas=["Pool deck"], coat=2, coats=2),
    ]
    assert coats_now(rows, without_the_wash()) == {0: set(), 1: {2}}
