"""How long the sheet of an option takes to answer a changed figure, as a ratio to the work that it can't do without."""

import json
from collections.abc import Callable
from time import perf_counter
from typing import Any

import pytest
from django.urls import reverse

from quoting.core.work_out import work_out
from quoting.forms.option_sheet import sheet_texts
from quoting.models import Option
from quoting.services.scope import scope_of
from tests.factories import (
    OptionGroupFactory,
    OptionStepFactory,
    OwnerFactory,
    StepMaterialFactory,
    SystemStepFactory,
)
from tests.sample_options import House, whole

AREAS, GROUPS, STEPS = 20, 2, 10
ANSWER = 15
"""How many times the work under it an answer may take: building the scope and working it out.

Measured: 8 to 9 times, some 50 ms on one core of 2025; a fifth of a second is what a person takes for at once.
"""

pytestmark = pytest.mark.django_db


def best_seconds(work: Callable[[], Any], rounds: int = 9) -> float:
    """The least time of several rounds."""
    times = []
    for _round in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def big_option(house: House) -> Option:
    """Two systems of ten steps, a material each, on twenty areas."""
    areas = [house.area(f"Area {n}") for n in range(AREAS)]
    option = house.option(*areas)
    option.groups.all().delete()
    for n in range(GROUPS):
        system = house.system(f"system-{n}")
        for position in range(1, STEPS):
            step = SystemStepFactory(system=system, task=house.task, position=position)
            StepMaterialFactory(step=step, material=house.sealer)
        group = OptionGroupFactory(option=option, system=system, areas=areas, position=n)
        for step in system.steps.all():
            OptionStepFactory(group=group, step=step)
    return option


def test_a_changed_figure_is_answered_at_once(client, capsys):
    house = House()
    option = big_option(house)
    client.force_login(OwnerFactory())
    read = whole(option)
    texts = sheet_texts(read)
    step = read.groups.first().steps.first()
    posted = {name: text for name, text in texts.items() if text}
    posted |= {"version": "1", "had": json.dumps(texts), f"s{step.pk}_rate": "333"}
    url = reverse("option-figures", args=[option.job.number, option.pk])
    scope = scope_of(house.firm, read)
    calculation = best_seconds(lambda: work_out(scope))
    building = best_seconds(lambda: scope_of(house.firm, read))
    answer = best_seconds(lambda: client.post(url, posted))
    with capsys.disabled():
        print(
            f"\noption of {AREAS} areas × {GROUPS} systems × {STEPS} steps: calculation {calculation * 1000:.1f} ms, "
            f"scope {building / calculation:.1f} ×, answer {answer / calculation:.1f} × ({answer * 1000:.0f} ms); "
            f"÷ scope and calculation {answer / (building + calculation):.1f}, at most {ANSWER}"
        )
    assert client.post(url, posted).status_code == 200
    assert answer / (building + calculation) <= ANSWER
