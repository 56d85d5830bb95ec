"""The one rule for too fast: a stretch that matters, not a sample, a swing or a corner."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.phases.bands import Band
from supervisor.core.phases.pace import GROSS, GROSS_COOLING, TOLERANCE, BandPace, Paces
from supervisor.core.schedule.model import Way
from tests.core.firings import HOUR_S, Points, at, swinging

UP = Band("up", 450.0, 600.0, Way.HEATING, "", "", "", fastest_c_per_h=100.0)
DOWN = Band("down", 600.0, 450.0, Way.COOLING, "", "", "", fastest_c_per_h=100.0)


def legs(start_c: float, *moves: tuple[float, float]) -> Points:
    """Corners from (rate, to) moves; a rate of 0 holds for ``to`` hours."""
    points = [(0.0, start_c)]
    for rate_c_per_h, to_c in moves:
        at_s, at_c = points[-1]
        if rate_c_per_h == 0.0:
            points.append((at_s + to_c * HOUR_S, at_c))
        else:
            points.append((at_s + abs(to_c - at_c) / rate_c_per_h * HOUR_S, to_c))
    return points


def fed(points: Points, *bands: Band) -> tuple[BandPace, ...]:
    paces = Paces(bands or (UP,))
    for at_s, temp_c in points:
        paces.feed(at_s, temp_c)
    return paces.of


def is_too_fast(points: Points, band: Band = UP) -> bool:
    (pace,) = fed(points, band)
    return pace.worst > 1.0


@pytest.mark.parametrize("band", [UP, DOWN])
@pytest.mark.parametrize(("rate", "verdict"), [(100.0, False), (104.9, False), (105.1, True)])
def test_the_tolerance_is_what_it_says(band: Band, rate: float, verdict: bool) -> None:
    start_c, end_c = (20.0, 1000.0) if band is UP else (1000.0, 20.0)
    assert is_too_fast(legs(start_c, (rate, end_c)), band) is verdict
    assert pytest.approx(0.05) == TOLERANCE


def test_the_other_direction_is_not_meant() -> None:
    assert not is_too_fast(legs(1000.0, (900.0, 20.0)), UP)
    assert not is_too_fast(legs(20.0, (900.0, 1000.0)), DOWN)


def test_a_rush_up_to_the_band_or_after_it_is_none_in_it() -> None:
    assert not is_too_fast(legs(20.0, (900.0, 450.0), (90.0, 600.0), (900.0, 1000.0)))


def test_a_rush_of_a_few_degrees_is_none() -> None:
    assert not is_too_fast(legs(20.0, (60.0, 500.0), (400.0, 515.0), (60.0, 1000.0)))


def test_a_moderate_hurry_counts_over_fifty_degrees_only() -> None:
    assert not is_too_fast(legs(20.0, (50.0, 500.0), (150.0, 530.0), (50.0, 1000.0)))
    assert is_too_fast(legs(20.0, (50.0, 500.0), (150.0, 560.0), (50.0, 1000.0)))


def test_a_gross_hurry_counts_over_twenty_five() -> None:
    gross = 100.0 * GROSS * 1.01
    assert is_too_fast(legs(20.0, (40.0, 500.0), (gross, 525.0), (40.0, 1000.0)))
    assert not is_too_fast(legs(20.0, (40.0, 500.0), (gross, 520.0), (40.0, 1000.0)))


@pytest.mark.parametrize(("part", "verdict"), [(1.01, True), (0.99, False)])
def test_on_the_way_down_a_third_too_fast_counts_over_twenty_five(
    part: float, verdict: bool
) -> None:
    gross = 100.0 * GROSS_COOLING * part
    points = legs(1000.0, (60.0, 600.0), (gross, 575.0), (60.0, 20.0))
    assert is_too_fast(points, DOWN) is verdict


def test_a_hold_within_does_not_make_good_for_the_rush_after_it() -> None:
    assert is_too_fast(legs(20.0, (60.0, 500.0), (0.0, 5.0), (150.0, 560.0), (60.0, 1000.0)))
    assert is_too_fast(legs(20.0, (60.0, 502.0), (0.0, 5.0), (150.0, 560.0), (60.0, 1000.0)))


def test_a_hold_between_two_rushes_makes_neither_slower() -> None:
    assert is_too_fast(legs(20.0, (300.0, 475.0), (0.0, 5.0), (40.0, 1000.0)))


@pytest.mark.parametrize("period_s", [60.0, 300.0, 600.0, 1200.0])
def test_a_controller_that_swings_by_5_degrees_is_not_too_fast(period_s: float) -> None:
    points = swinging(legs(20.0, (80.0, 1000.0)), 5.0, period_s, every_s=min(20.0, period_s / 12))
    assert not is_too_fast(points)


@pytest.mark.parametrize("band", [UP, DOWN])
def test_ground_that_is_lost_and_made_good_within_minutes_is_not_gained_anew(band: Band) -> None:
    """An on and off controller with a lag of a minute swings so about a plan that is kept; common
    practice, no source."""
    ends_c = (20.0, 1000.0) if band is UP else (1000.0, 20.0)
    points = swinging(legs(ends_c[0], (80.0, ends_c[1])), 15.0, 330.0, every_s=20.0)
    assert not is_too_fast(points, band)


def test_a_rush_after_a_rest_lower_down_is_one() -> None:
    assert is_too_fast(legs(20.0, (60.0, 560.0), (60.0, 500.0), (250.0, 560.0), (60.0, 1000.0)))
    assert is_too_fast(legs(20.0, (60.0, 510.0), (300.0, 500.0), (250.0, 560.0), (60.0, 1000.0)))


def test_a_narrow_band_is_judged_as_a_whole() -> None:
    narrow = Band("narrow", 500.0, 520.0, Way.HEATING, "", "", "", fastest_c_per_h=100.0)
    assert is_too_fast(legs(20.0, (106.0, 1000.0)), narrow)
    assert not is_too_fast(legs(20.0, (104.0, 1000.0)), narrow)
    assert not is_too_fast(legs(20.0, (40.0, 510.0), (150.0, 1000.0)), narrow)


def test_a_start_within_the_band_is_judged_from_there() -> None:
    assert is_too_fast(legs(500.0, (150.0, 1000.0)))
    assert not is_too_fast(legs(580.0, (150.0, 1000.0)))


def test_nothing_is_made_up_for_a_silence() -> None:
    paces = Paces((UP,))
    paces.feed(0.0, 440.0)
    paces.feed(60.0, 455.0)
    paces.begin(120.0, 590.0)
    paces.feed(180.0, 595.0)
    (pace,) = paces.of
    assert pace.worst == 0.0


def test_a_draught_that_looks_like_a_jump_is_no_new_climb() -> None:
    paces = Paces((UP,))
    for at_s, temp_c in legs(440.0, (60.0, 520.0)):
        paces.feed(at_s, temp_c)
    end_s = 80.0 / 60.0 * HOUR_S
    paces.begin(end_s + 15.0, 500.0)
    for n, temp_c in enumerate((510.0, 518.0, 523.0, 525.0)):
        paces.feed(end_s + 75.0 + 60.0 * n, temp_c)
    (pace,) = paces.of
    assert pace.worst < 1.0


@pytest.mark.parametrize("temp_c", [439.0, 611.0])
def test_a_hurry_is_over_when_the_band_is_left(temp_c: float) -> None:
    points = legs(440.0, (300.0, 500.0))
    (pace,) = fed(points)
    pace.ease(points[-1][0] + 36.0, temp_c)
    assert not pace.is_too_fast


@pytest.mark.parametrize("temp_c", [445.0, 502.0])
def test_a_hurry_is_over_when_the_pace_has_been_eased_for_ten_minutes(temp_c: float) -> None:
    points = legs(440.0, (300.0, 500.0))
    (pace,) = fed(points)
    end_s = points[-1][0]
    pace.ease(end_s + 180.0, 502.0)
    assert pace.is_too_fast, "it is not eased"
    for minute in range(10):
        pace.ease(end_s + 1.3 * HOUR_S + minute * 60.0, temp_c)
        assert pace.is_too_fast, "it may be the trough of a swing"
    pace.ease(end_s + 1.3 * HOUR_S + 600.0, temp_c)
    assert not pace.is_too_fast


def test_a_controller_that_swings_about_a_pace_too_fast_makes_one_hurry() -> None:
    """Common practice, no source: swings of some minutes, of a few degrees to either side."""
    (pace,) = (paces := Paces((UP,))).of
    begun = 0
    for second in range(0, 5400, 10):
        swing_c = 8.0 * math.sin(2.0 * math.pi * second / 300.0)
        temp_c = 440.0 + 110.0 * second / HOUR_S + swing_c
        was_too_fast = pace.is_too_fast
        paces.feed(float(second), temp_c)
        if pace.is_too_fast:
            pace.ease(float(second), temp_c)
        begun += pace.is_too_fast and not was_too_fast
    assert begun == 1


def test_a_stretch_that_was_too_fast_stands_until_it_is_asked_again() -> None:
    (pace,) = fed(legs(440.0, (300.0, 500.0)))
    assert pace.is_too_fast
    assert pace.rate_c_per_h == pytest.approx(300.0)


def test_a_hurry_that_was_slow_before_is_not_over_at_once() -> None:
    (pace,) = fed(legs(440.0, (40.0, 500.0), (260.0, 525.0)))
    assert pace.is_too_fast
    end_s = legs(440.0, (40.0, 500.0), (260.0, 525.0))[-1][0]
    pace.ease(end_s + 30.0, 527.0)
    assert pace.is_too_fast


MOVES = st.lists(st.tuples(st.floats(20.0, 400.0), st.floats(300.0, 800.0)), min_size=1, max_size=8)


@given(MOVES, st.floats(7.0, 90.0))
def test_how_often_one_looks_does_not_change_the_verdict(
    moves: list[tuple[float, float]], every_s: float
) -> None:
    points = legs(20.0, *moves)
    finer = dict(points)
    for n in range(int(points[-1][0] // every_s) + 1):
        finer.setdefault(n * every_s, at(points, n * every_s))
    for one, other in zip(fed(points, UP, DOWN), fed(sorted(finer.items()), UP, DOWN), strict=True):
        assert other.worst == pytest.approx(one.worst, rel=1e-6)
        assert other.worst_c_per_h == pytest.approx(one.worst_c_per_h, rel=1e-6) or (
            math.isclose(one.worst, 1.0, rel_tol=1e-6)
        )


@given(MOVES, st.floats(1.01, 3.0))
def test_a_faster_kiln_is_never_less_too_fast(
    moves: list[tuple[float, float]], factor: float
) -> None:
    climbs = sorted(moves, key=lambda move: move[1])
    points = legs(20.0, *climbs, (400.0, 900.0), (100.0, 20.0))
    faster = [(s / factor, c) for s, c in points]
    for one, other in zip(fed(points, UP, DOWN), fed(faster, UP, DOWN), strict=True):
        assert (1.0 - 1e-6) * one.worst <= other.worst <= (1.0 + 1e-6) * factor * one.worst


@pytest.mark.parametrize(("is_stoked", "is_hurry"), [(True, False), (False, True)])
def test_what_a_fire_swings_by_from_charge_to_charge_is_no_hurry(
    *, is_stoked: bool, is_hurry: bool
) -> None:
    """Each twenty minutes it climbs by 45 °C and burns down by 30: 45 °C an hour."""
    (pace,) = (paces := Paces((UP,), is_stoked=is_stoked)).of
    for charge in range(40):
        at_s, temp_c = 1200.0 * charge, UP.from_c - 60.0 + 15.0 * charge
        paces.feed(at_s, temp_c)
        paces.feed(at_s + 120.0, temp_c + 45.0)
    assert (pace.worst > 1.0) is is_hurry


@pytest.mark.parametrize(("minutes", "is_hurry"), [(1.0, False), (14.0, True)])
def test_a_charge_of_wood_goes_up_faster_than_the_kiln(minutes: float, is_hurry: bool) -> None:
    """Up by 25 °C within a minute and then as the plan says; or by 50 °C in a quarter of an hour,
    which no charge takes."""
    climbed_c = 25.0 if minutes == 1.0 else 50.0
    (pace,) = (paces := Paces((UP,), is_stoked=True)).of
    at_s = HOUR_S
    paces.feed(0.0, UP.from_c - 60.0)
    paces.feed(at_s, UP.from_c)
    paces.feed(at_s + 60.0 * minutes, UP.from_c + climbed_c)
    paces.feed(at_s + 60.0 * minutes + HOUR_S, UP.from_c + climbed_c + 30.0)
    assert (pace.worst > 1.0) is is_hurry


def test_what_is_lost_and_made_good_after_another_probe_has_come_to_lead_is_no_hurry() -> None:
    """How the kiln came to that of the new one is not known, but that it was there is."""
    (pace,) = (paces := Paces((UP,))).of
    paces.feed(0.0, UP.from_c + 10.0)
    paces.begin(60.0, UP.from_c + 70.0)
    for swing in range(5):
        paces.feed(240.0 + 360.0 * swing, UP.from_c + 15.0)
        paces.feed(420.0 + 360.0 * swing, UP.from_c + 70.0)
    assert pace.worst == 0.0
