"""Go, wait or pre-wet."""

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from quoting.core.finding_kinds import Standing
from quoting.core.scope import Units
from quoting.core.weather import REASON_KEYS, Readings, ReadingsFault, Word, go_or_wait, hours_since
from quoting.core.weather_limits import STARTING_LIMITS, Work

D = Decimal

FINE = Readings(
    work=Work.SEAL,
    units=Units.US,
    air=D(70),
    slab=D(75),
    humidity=D(50),
    wind=D(5),
    air_lowest=D(60),
    since_wash=D(48),
    since_rain=D(72),
    until_rain=D(72),
)


def test_a_fine_day_is_a_go():
    verdict = go_or_wait(FINE)
    assert (verdict.word, verdict.deciding, verdict.asked, verdict.complete) == (Word.GO, (), (), True)


def test_a_broken_limit_is_a_wait_with_its_reason():
    verdict = go_or_wait(replace(FINE, slab=D("55.0")))
    (reason,) = verdict.deciding
    assert verdict.word is Word.WAIT
    assert reason.sentence == "The slab at 55.0 °F is 4.5 °F over the dew point of 50.5 °F; it takes 5 °F or more."
    assert reason.source.startswith("MIL-HDBK-1110 (1996), 9.6.6")
    assert (reason.standing, reason.key) == (Standing.STANDARD, "dew-margin.broken")
    assert reason.figures == {"value": "4.5 °F", "limit": "5 °F", "slab": "55.0 °F", "dew": "50.5 °F"}


def test_what_decides_stands_first():
    verdict = go_or_wait(replace(FINE, until_rain=D(6)))
    assert verdict.reasons[0].sentence == "Rain is 6 h away; it takes 24 h or more."


def test_what_is_missing_is_asked_for():
    verdict = go_or_wait(replace(FINE, humidity=None, until_rain=None))
    assert (verdict.word, verdict.asked, verdict.complete) == (Word.WAIT, ("humidity", "until_rain"), False)
    assert verdict.dew_point is None


def test_nothing_known_asks_for_everything_that_sealing_needs():
    asked = go_or_wait(Readings(work=Work.SEAL, units=Units.US)).asked
    assert set(asked) == {
        "slab", "air", "humidity", "air_lowest", "wind", "since_wash", "since_rain", "until_rain",
    }  # fmt: skip


def test_washing_and_stripping_ask_for_what_speaks_against_them():
    assert set(go_or_wait(Readings(work=Work.WASH, units=Units.US)).asked) == {
        "air", "air_lowest", "slab", "wind", "until_rain",
    }  # fmt: skip
    assert set(go_or_wait(Readings(work=Work.STRIP, units=Units.US)).asked) == {"air", "slab", "wind", "until_rain"}


@pytest.mark.parametrize(
    ("work", "reading", "figure", "word", "broken"),
    [
        # common practice, no published source: over 32 °F, slab to 90 °F, wind to 20 mph, 2 h to rain for washing
        (Work.WASH, "air", "33", Word.GO, []),
        (Work.WASH, "air", "32", Word.WAIT, ["frost.broken"]),
        (Work.WASH, "air_lowest", "32", Word.WAIT, ["frost-coming.broken"]),
        (Work.WASH, "slab", "90", Word.GO, []),
        (Work.WASH, "slab", "91", Word.PRE_WET, ["slab-most-wash.broken"]),
        (Work.WASH, "wind", "20", Word.GO, []),
        (Work.WASH, "wind", "21", Word.WAIT, ["wind-most-wash.broken"]),
        (Work.WASH, "until_rain", "2", Word.GO, []),
        (Work.WASH, "until_rain", "0", Word.WAIT, ["rain-while-washing.broken"]),
        # common practice, no published source: 50 to 90 °F, wind to 10 mph, 4 h to rain for stripping
        (Work.STRIP, "air", "50", Word.GO, []),
        (Work.STRIP, "air", "49", Word.WAIT, ["air-least-strip.broken"]),
        (Work.STRIP, "slab", "91", Word.WAIT, ["slab-most-strip.broken"]),
        (Work.STRIP, "wind", "11", Word.WAIT, ["wind-most-strip.broken"]),
        (Work.STRIP, "until_rain", "3", Word.WAIT, ["rain-while-stripping.broken"]),
        # jointing sand is wetted: no frost
        (Work.SAND, "air", "32", Word.WAIT, ["frost.broken"]),
        (Work.SAND, "air_lowest", "33", Word.GO, []),
    ],
)
def test_what_speaks_against_washing_stripping_and_sanding(
    work: Work, reading: str, figure: str, word: Word, broken: list[str]
):
    verdict = go_or_wait(replace(FINE, work=work, **{reading: D(figure)}))
    assert (verdict.word, [reason.key for reason in verdict.deciding]) == (word, broken)


def test_the_lowest_slab_counts_when_it_is_given():
    # the dew point stays at 50.51 °F: 54 °F is 3.5 °F over it
    verdict = go_or_wait(replace(FINE, slab_lowest=D(54)))
    assert [reason.key for reason in verdict.deciding] == ["dew-margin-later.broken"]


def test_a_hot_slab_is_wetted_for_colour_and_waited_for_with_sealer():
    hot = replace(FINE, slab=D(95), wind=D(0))
    assert go_or_wait(hot).word is Word.WAIT
    assert go_or_wait(replace(hot, work=Work.COLOUR)).word is Word.PRE_WET


def test_waiting_outweighs_pre_wetting():
    assert go_or_wait(replace(FINE, work=Work.COLOUR, slab=D(95), since_rain=D(3))).word is Word.WAIT


def test_metric_readings_have_limits_of_their_own():
    # 20 °C and 50 %: dew point 9.26 °C; 12.2 °C is 2.94 °C over it: enough for 5 °F (2.78 °C), not for 3 °C
    metric = replace(FINE, units=Units.METRIC, air=D(20), slab=D("12.2"), air_lowest=D(15), wind=D(8))
    verdict = go_or_wait(metric)
    assert [reason.sentence for reason in verdict.deciding] == [
        "The slab at 12.2 °C is 2.9 °C over the dew point of 9.3 °C; it takes 3 °C or more."
    ]


def test_a_firm_s_limit_decides():
    limits = STARTING_LIMITS.set_to({"wind-most": D(4)}, Units.US)
    (reason,) = go_or_wait(FINE, limits).deciding
    assert reason.sentence == "The wind is 5 mph; it takes 4 mph or less."
    assert reason.source.startswith("the firm’s own setting")


def test_a_limit_that_is_off_asks_for_nothing():
    limits = STARTING_LIMITS.set_to({"rain-after-seal": None}, Units.US)
    assert go_or_wait(replace(FINE, until_rain=None), limits).word is Word.GO


def test_a_part_of_a_degree_is_shown():
    (reason,) = go_or_wait(replace(FINE, wind=D("15.5"))).deciding
    assert reason.sentence == "The wind is 15.5 mph; it takes 15 mph or less."


@pytest.mark.parametrize("work", Work)
def test_every_reason_has_a_known_key(work: Work):
    # a reason is said in each language by its key
    for slab in ("20", "75", "140"):
        verdict = go_or_wait(replace(FINE, work=work, slab=D(slab), wind=D(30), slab_lowest=D(60)))
        assert {reason.key for reason in verdict.reasons} <= set(REASON_KEYS)


def test_hours_since():
    # two days and 90 minutes
    then = datetime(2026, 5, 1, 7, 0, tzinfo=UTC)
    assert hours_since(then, datetime(2026, 5, 3, 8, 30, tzinfo=UTC)) == D("49.5")


def test_the_future_is_not_since():
    then = datetime(2026, 5, 1, 7, 0, tzinfo=UTC)
    with pytest.raises(ReadingsFault, match="lies in the future"):
        hours_since(then, datetime(2026, 5, 1, 6, 0, tzinfo=UTC))
