"""What a paper says that nobody knows: tests that were not done, by areas, in as few sentences as there are places."""

import pytest

from quoting.documents.found import found_for_paper
from tests.factories import AreaFactory, JobFactory
from tests.found_factories import FindingFactory

pytestmark = pytest.mark.django_db


def told(*done: tuple[str, dict[str, str]]) -> tuple[str, ...]:
    """Of two stamped areas of which the first had these tests."""
    job = JobFactory()
    one, _ = AreaFactory(job=job, surface="stamped"), AreaFactory(job=job, surface="stamped", position=1)
    for kind, answers in done:
        FindingFactory(area=one, kind=kind, answers=answers)
    return found_for_paper(job).not_known


def test_what_was_tested_nowhere_is_one_sentence():
    first, *rest = told()
    assert first.startswith("Not tested: water drop, solvent drop, tape, scratch, ")
    assert [sentence for sentence in rest if "ot tested" in sentence] == []


def test_what_was_tested_on_one_area_is_named_for_the_other():
    sentences = told(("tape", {"result": "clean"}), ("water-drop", {"result": "soaks", "seconds": "8"}))
    assert "Not tested on B: water drop and tape." in sentences
    assert ": not tested" not in " ".join(sentences)


def test_what_was_not_looked_up_is_said_as_such():
    assert "Not noted: age and sealer." in told()
