"""The work and its days, and the sizes of what was measured, in the homeowner's words."""

from decimal import Decimal

import pytest

from quoting.core.areas import Part
from quoting.core.ground import calculated
from quoting.core.scope_reading import Reading
from quoting.core.scope_schema import PART
from quoting.documents.contexts import day_text, lines_of, listed, percent_text, sum_text
from quoting.documents.freeze import count_pages
from quoting.documents.numbering import paper_number, revision_letters
from quoting.documents.proposal_measures import area_text, measures_said, net_figure
from quoting.documents.proposal_work import after_words, coats_of_sealer, days_of, steps_of
from quoting.models import Option, OptionStep, User
from tests.factories import OwnerFactory
from tests.sample_offer import measured_job, offer_option, published_edition, the_firm


@pytest.fixture
def ines(db) -> User:
    return OwnerFactory()


def full(ines: User, system: str = "recolour-and-seal", areas: tuple[str, ...] = ("Pool deck", "Steps")) -> Option:
    the_firm()
    published_edition()
    option = offer_option(measured_job(), ines, system, list(areas))
    return loaded(option)


def loaded(option: Option) -> Option:
    return Option.objects.with_everything().get(pk=option.pk)


def test_days_follow_from_visits_and_holds(ines):
    """Wash on day 1; 48 h are two days; colour on day 4; 8 h: first coat on day 5; 24 h: last coat on day 6."""
    assert days_of(full(ines)) == {1: 1, 2: 4, 3: 5, 4: 6}


def test_filled_cracks_do_not_shorten_the_drying_of_the_wash(ines):
    """Wash (48 h) and cracks (24 h) on one visit: two days on which nobody comes, as without the cracks."""
    option = full(ines)
    OptionStep.objects.filter(group__option=option, step__key="crack").update(on=True)
    assert days_of(loaded(option)) == {1: 1, 2: 4, 3: 5, 4: 6}


def test_coats_of_sealer_are_those_of_all_its_steps(ines):
    assert coats_of_sealer(full(ines)) == "2"


def test_areas_with_different_coats_are_told_apart(ines):
    option = full(ines)
    other = offer_option(option.job, ines, "clean-sand-seal", ["Front walk"], name="Walk")
    other.groups.update(option=option)
    assert coats_of_sealer(loaded(option)) == "2 on A, B; 1 on C"


def test_steps_are_told_with_places_coats_and_what_stays(ines):
    steps = {step["name"]: (step["where"], step["times"], step["with"]) for step in steps_of([full(ines)])}
    assert steps == {
        "Wash, two passes": ("A, B", "2 passes", ""),
        "Mask edges": ("A, B", "", ""),
        "Base tone": ("A, B", "1 coat", "Base tone, graphite"),
        "Second tone": ("A, B", "1 coat", "Second tone, driftwood"),
        "Seal, first coat": ("A, B", "1 coat", "Solvent acrylic, 18 % solids"),
        "Seal, second coat": ("A, B", "1 coat", "Solvent acrylic, 18 % solids"),
    }


def test_a_step_by_length_says_how_long(ines):
    option = full(ines)
    OptionStep.objects.filter(group__option=option, step__key="crack").update(on=True, length="18' 6\"")
    crack = next(step for step in steps_of([loaded(option)]) if step["name"] == "Fill cracks")
    assert crack["length"] == "18′\u00a06″"


def test_a_step_that_is_off_is_not_told(ines):
    assert "Fill cracks" not in [step["name"] for step in steps_of([full(ines)])]


def part(**measures: object) -> Part:
    return calculated(PART.read(measures, "", Reading()))


@pytest.mark.parametrize(
    ("measures", "said"),
    [
        ({"shape": "rectangle", "length": "32 ft", "width": "14' 6\""}, "32′ 0″ × 14′ 6″"),
        ({"shape": "rectangle", "length": "32 ft", "width": "2 ft", "count": 3}, "3 × 32′ 0″ × 2′ 0″"),
        ({"shape": "circle", "diameter": "6 ft"}, "Ø 6′ 0″"),
        ({"shape": "ellipse", "length": "6 ft", "width": "4 ft"}, "oval 6′ 0″ × 4′ 0″"),
        ({"shape": "triangle", "a": "3 ft", "b": "4 ft", "c": "5 ft"}, "triangle 3′ 0″, 4′ 0″, 5′ 0″"),
        ({"shape": "trapezoid", "a": "3 ft", "b": "4 ft", "height": "5 ft"}, "3′ 0″ and 4′ 0″, 5′ 0″ apart"),
        ({"shape": "sector", "radius": "6 ft", "angle": "90"}, "radius 6′ 0″, 90°"),
        ({"shape": "offsets", "spacing": "4 ft", "offsets": ["0 ft", "2 ft", "0 ft"]}, "3 offsets every 4′ 0″"),
        (
            {"shape": "steps", "count": 3, "width": "5 ft", "tread": "12 in", "riser": "7 in"},
            "3 × 5′ 0″, tread 12″, rise 7″",
        ),
        ({"shape": "measured", "area": "40 ft**2"}, "as given"),
    ],
)
def test_a_part_is_told_by_its_sizes_without_the_sum(measures, said):
    assert measures_said(part(**measures), "us").replace("\u00a0", " ") == said


def test_areas_are_printed_with_two_decimals_half_up():
    """49.4605 m² ÷ 0.09290304 = 532.388… ft²."""
    assert (area_text(Decimal("49.4605"), "us"), net_figure(Decimal("49.465"), "metric")) == (
        "532.39\u00a0ft²",
        Decimal("49.47"),
    )


@pytest.mark.parametrize(
    ("revision", "letters"),
    [(1, "A"), (2, "B"), (26, "Z"), (27, "AA"), (28, "AB"), (52, "AZ"), (53, "BA"), (703, "AAA")],
)
def test_revisions_go_by_letters(revision, letters):
    assert revision_letters(revision) == letters


def test_a_paper_is_numbered_by_its_folder():
    assert paper_number("0417", 2) == "0417-B"


def test_words_are_listed_as_they_are_spoken():
    assert [listed([]), listed(["A"]), listed(["A", "B"]), listed(["A", "B", "C"])] == [
        "",
        "A",
        "A and B",
        "A, B and C",
    ]


def test_empty_lines_are_no_lines():
    assert lines_of(" one \n\n\r\n two\n") == ["one", "two"]


def test_sums_and_rates_are_printed_in_full():
    assert (sum_text(Decimal("1810"), "USD"), percent_text(Decimal("0.062500"))) == ("1,810.00", "6.25\u00a0%")


def test_no_date_is_no_words():
    assert day_text(None) == ""


def test_pages_are_counted_in_plain_and_packed_objects():
    assert count_pages(b"1 0 obj <</Type /Page /Parent 2 0 R>> 2 0 obj <</Type /Pages /Kids []>>") == 1


def test_the_hours_after_the_last_coat_in_words():
    # up to two days in hours, then in days: 72 ÷ 24 = 3, 168 ÷ 24 = 7
    waits = {"walk on it": 24, "park on it": 72, "furniture back": 60, "mats back": 168}
    assert after_words(waits) == (
        "After the last coat, in dry weather: walk on it after 24 hours; park on it after 3 days; furniture back after "
        "60 hours; mats back after 7 days. Where a product’s label asks for longer, the label holds."
    )
