"""A cone bends as its maker says, and what a potter reads of it is taken for what it is worth."""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.errors import InputError
from supervisor.core.heatwork import CONES, Cone
from supervisor.core.heatwork.tip import (
    FIRST_MOVEMENT_WORK,
    JUST_TOUCHED_WORK,
    LEVEL_DEG,
    STANDING_DEG,
    Stance,
    clock_of,
    parse_clock,
    stance_of,
    tip_angle_deg,
    work_at_angle,
    work_range_of,
)

CHART_C_PER_H = 60.0
"""The slower of the two rates of Orton's chart of temperature equivalents."""
STEP_C = 0.05

WORKS = st.floats(0.0, 1.0)


def left_c(cone: Cone) -> dict[float, float]:
    """Work against how many °C before the end, climbing at the chart's rate."""
    step_s = STEP_C / CHART_C_PER_H * 3600.0
    # Far enough back that nothing of note was had before.
    temp_c = cone.temp_at_rate(1e-7)
    work, climbed = 0.0, []
    while work < 1.0:
        work += cone.rate_per_s(temp_c + STEP_C / 2.0) * step_s
        temp_c += STEP_C
        climbed.append((work, temp_c))
    return {work: temp_c - at_c for work, at_c in climbed}


def before_end_c(climb: dict[float, float], work: float) -> float:
    """How many °C before the end the cone has had ``work``."""
    return next(left for had, left in climb.items() if had >= work)


CLIMBS = {name: left_c(cone) for name, cone in CONES.items()}


def test_the_end_point_is_the_tip_level_with_the_base() -> None:
    # Orton, chart of temperature equivalents: about 90 degrees.
    assert tip_angle_deg(1.0) == LEVEL_DEG == 90.0
    assert tip_angle_deg(0.0) == STANDING_DEG


def test_a_cone_bends_over_usually_within_22_degrees() -> None:
    # Orton, text of the chart: usually under 40 °F (22 °C).
    spans_c = [before_end_c(climb, FIRST_MOVEMENT_WORK) for climb in CLIMBS.values()]
    within = sum(span_c < 22.0 for span_c in spans_c)
    assert within > 0.8 * len(spans_c)
    assert max(spans_c) < 30.0
    assert min(spans_c) > 5.0


def test_a_cone_takes_15_to_25_minutes_from_first_movement_to_its_end() -> None:
    # Orton, text of the chart. At 60 °C/h a minute is a degree.
    minutes = [before_end_c(climb, FIRST_MOVEMENT_WORK) for climb in CLIMBS.values()]
    assert 15.0 <= median(minutes) <= 25.0
    for name in ("5", "5.5", "6", "7", "8", "9", "10"):
        assert 15.0 <= before_end_c(CLIMBS[name], FIRST_MOVEMENT_WORK) <= 25.0, name


def test_a_cone_bends_slowly_at_first_and_fast_after_half_way() -> None:
    # Orton, text of the chart.
    half_way = work_at_angle((STANDING_DEG + LEVEL_DEG) / 2.0)
    for name, climb in CLIMBS.items():
        first = before_end_c(climb, FIRST_MOVEMENT_WORK) - before_end_c(climb, half_way)
        assert first > 3.0 * before_end_c(climb, half_way), name


def test_four_o_clock_is_1_or_2_degrees_before_the_tip_touches() -> None:
    # Orton, Using Orton Pyrometric Cones.
    assert clock_of(work_at_angle(60.0)) == "4"
    for name in ("05", "04", "03", "1", "3", "5", "6", "8", "9", "10"):
        assert 0.5 <= before_end_c(CLIMBS[name], work_at_angle(60.0)) <= 2.5, name


@given(WORKS, WORKS)
def test_more_work_never_bends_a_cone_back(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert tip_angle_deg(low) <= tip_angle_deg(high)
    assert STANDING_DEG <= tip_angle_deg(low) <= LEVEL_DEG


@given(st.floats(0.01, 1.0))
def test_the_angle_leads_back_to_the_work(work: float) -> None:
    assert work_at_angle(tip_angle_deg(work)) == pytest.approx(work, abs=1e-6)


@given(st.floats(-1.0, 12.0))
def test_a_cone_that_is_not_down_is_never_shown_as_touching(work: float) -> None:
    assert (clock_of(work) == "touching") is (work >= 1.0)
    assert (stance_of(work) is Stance.TOUCHING) is (work >= 1.0)
    assert (clock_of(work) == "upright") is (stance_of(work) is Stance.UPRIGHT)


@given(st.floats(0.0, 12.0))
def test_what_is_shown_can_be_written_back_and_holds_the_work(work: float) -> None:
    shown = clock_of(work)
    assert parse_clock(shown) == shown
    low, high = work_range_of(shown)
    assert low <= work <= high


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("12", "upright"),
        ("12:00", "upright"),
        ("Upright", "upright"),
        ("12:30", "12:30"),
        ("1", "1"),
        ("01:05", "1:05"),
        (" 3:30 ", "3:30"),
        ("5:59", "5:59"),
        ("6", "touching"),
        ("touching", "touching"),
        ("just  touching", "just touching"),
    ],
)
def test_the_hand_is_read_in_its_one_spelling(text: str, meant: str) -> None:
    assert parse_clock(text) == meant
    assert parse_clock(meant) == meant


@pytest.mark.parametrize(
    "text",
    ["", "0", "7", "9", "11", "6:01", "3:60", "3:5", "3.30", "half past 3", "03:300", "-3", "٣"],
)
def test_what_is_no_hand_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(InputError, match=r"from 12 .* to 6") as caught:
        parse_clock(text)
    assert "\n" not in str(caught.value)


def test_between_upright_and_touching_the_hand_is_true_to_half_an_hour() -> None:
    for said, degrees in (("1", 15.0), ("2:30", 37.5), ("4", 60.0), ("5", 75.0)):
        low, high = work_range_of(said)
        assert tip_angle_deg(low) == pytest.approx(degrees - 7.5, abs=0.6)
        assert tip_angle_deg(high) == pytest.approx(degrees + 7.5, abs=0.01)


def test_of_an_upright_cone_only_the_most_is_known_and_of_one_down_the_least() -> None:
    low, high = work_range_of("12")
    assert work_range_of("12:30") == (low, high)
    assert low == 0.0
    assert FIRST_MOVEMENT_WORK < high < 0.7
    low, high = work_range_of("6")
    assert 0.97 < low < 1.0
    assert math.isinf(high)


def test_a_tip_that_has_just_touched_says_more_than_one_that_lies() -> None:
    low, high = work_range_of("just touching")
    assert low == work_range_of("touching")[0]
    assert high == JUST_TOUCHED_WORK
    assert work_range_of("5:45")[1] == JUST_TOUCHED_WORK


def test_later_on_the_clock_is_never_less_work() -> None:
    said = [f"{hour}:{minute:02}" for hour in (12, 1, 2, 3, 4, 5) for minute in range(0, 60, 5)]
    ranges = [work_range_of(text) for text in [*said, "6"]]
    for before, after in pairwise(ranges):
        assert before[0] <= after[0]
        assert before[1] <= after[1]
