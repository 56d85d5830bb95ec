"""Running heat-work against numerical quadrature of the very integral that defines it.

The law is ``work = ∫ exp(a − B/(T − T0)) dt`` along a given temperature; ``scipy.integrate.quad``
(QUADPACK, Piessens and others 1983) is the reference.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from supervisor.core.heatwork import (
    CONE_NAMES,
    CONES,
    HeatWork,
    Leg,
    Progress,
    seconds_of_hold,
    seconds_until_down,
    work_along,
)
from supervisor.core.heatwork.integral import WORK_CAP

HOUR_S = 3600.0
Points = Sequence[tuple[float, float]]
FIRINGS: dict[str, Points] = {
    "a climb": [(0.0, 20.0), (12 * HOUR_S, 1232.0)],
    "a fast climb": [(0.0, 900.0), (1.0 * HOUR_S, 1240.0)],
    "a climb and a hold": [(0.0, 20.0), (9 * HOUR_S, 1200.0), (9.6 * HOUR_S, 1200.0)],
    "a hold below the peak": [
        (0.0, 20.0), (8 * HOUR_S, 1205.0), (8.2 * HOUR_S, 1205.0), (8.6 * HOUR_S, 1150.0),
        (11 * HOUR_S, 1150.0),
    ],
    "a cooling": [(0.0, 1000.0), (2 * HOUR_S, 1215.0), (3 * HOUR_S, 1100.0), (6 * HOUR_S, 500.0)],
    "ups and downs": [
        (0.0, 1100.0), (HOUR_S, 1190.0), (1.5 * HOUR_S, 1120.0), (2.5 * HOUR_S, 1195.0),
        (3 * HOUR_S, 1160.0), (4 * HOUR_S, 1198.0), (5 * HOUR_S, 700.0),
    ],
}  # fmt: skip
SAMPLINGS: dict[str, Callable[[random.Random], float]] = {
    "0.5 s": lambda dice: 0.5,
    "1 s": lambda dice: 1.0,
    "30 s": lambda dice: 30.0,
    "120 s": lambda dice: 120.0,
    "0.5 to 120 s": lambda dice: math.exp(dice.uniform(math.log(0.5), math.log(120.0))),
}


def at(points: Points, elapsed_s: float) -> float:
    for (from_s, from_c), (to_s, to_c) in pairwise(points):
        if elapsed_s <= to_s:
            return from_c + (to_c - from_c) * (elapsed_s - from_s) / (to_s - from_s)
    return points[-1][1]


def exact(cone: str, points: Points) -> float:
    """The integral, leg by leg."""
    softening = CONES[cone].rate_per_s
    total = 0.0
    for (from_s, from_c), (to_s, to_c) in pairwise(points):
        slope = (to_c - from_c) / (to_s - from_s)
        total += float(
            quad(
                lambda s, a=from_s, b=from_c, m=slope: softening(b + m * (s - a)),
                from_s, to_s, epsrel=1e-10, limit=400,
            )[0]
        )  # fmt: skip
    return total


def sampled(points: Points, next_s: Callable[[random.Random], float], seed: int = 1) -> Progress:
    """Work of all cones from samples, the corners among them."""
    dice = random.Random(seed)
    times = {corner_s for corner_s, _ in points}
    elapsed_s = 0.0
    while elapsed_s < points[-1][0]:
        times.add(elapsed_s)
        elapsed_s += next_s(dice)
    work = HeatWork()
    for elapsed_s in sorted(times):
        work.add(elapsed_s, at(points, elapsed_s))
    return work.progress()


@pytest.mark.parametrize("sampling", SAMPLINGS)
@pytest.mark.parametrize("firing", FIRINGS)
def test_work_equals_the_integral_however_it_is_sampled(firing: str, sampling: str) -> None:
    points = FIRINGS[firing]
    found = sampled(points, SAMPLINGS[sampling])
    for cone in ("022", "015", "010", "06", "04", "1", "5", "6", "7", "10"):
        expected = exact(cone, points)
        if expected < 1e-4:
            assert found.work[cone] < 2e-4
        elif expected < WORK_CAP:
            assert found.work[cone] == pytest.approx(expected, rel=3e-3, abs=1e-5), cone


def test_a_gap_is_bridged_by_a_straight_line() -> None:
    points = [(0.0, 1000.0), (2 * HOUR_S, 1200.0)]
    work = HeatWork()
    for elapsed_s in (*range(0, 1800, 10), *range(5400, 7201, 10)):
        work.add(float(elapsed_s), at(points, float(elapsed_s)))
    assert work.progress().work["6"] == pytest.approx(exact("6", points), rel=3e-3)
    alone = HeatWork()
    for elapsed_s, temp_c in points:
        alone.add(elapsed_s, temp_c)
    assert alone.progress().work["6"] == pytest.approx(exact("6", points), rel=3e-3)


@pytest.mark.parametrize("cone", ["06", "6", "10"])
def test_a_cone_is_called_down_when_the_integral_reaches_one(cone: str) -> None:
    rate_c_per_h = 90.0
    points = [(0.0, 600.0), (8 * HOUR_S, 600.0 + 8 * rate_c_per_h)]
    down_s = sampled(points, SAMPLINGS["0.5 to 120 s"]).down_at_s[cone]
    assert exact(cone, [points[0], (down_s, at(points, down_s))]) == pytest.approx(1.0, abs=4e-3)


def test_a_hold_is_worth_its_length_times_the_softening_rate() -> None:
    work = HeatWork()
    for elapsed_s in range(0, 1801, 15):
        work.add(float(elapsed_s), 1200.0)
    expected = 1800.0 * CONES["6"].rate_per_s(1200.0)
    assert work.progress().work["6"] == pytest.approx(expected, rel=1e-9)


def test_the_cone_after_the_hardest_one_down_is_the_next() -> None:
    progress = sampled(FIRINGS["a climb and a hold"], SAMPLINGS["30 s"])
    assert progress.cone is not None
    assert progress.next_cone == CONE_NAMES[CONE_NAMES.index(progress.cone) + 1]
    assert progress.toward_next == progress.work[progress.next_cone] < 1.0
    assert progress.work[progress.cone] >= 1.0


def test_a_cold_kiln_has_no_cone_down() -> None:
    progress = sampled([(0.0, 20.0), (HOUR_S, 60.0)], SAMPLINGS["30 s"])
    assert progress.cone is None
    assert progress.next_cone == "022"
    assert progress.toward_next == 0.0
    assert progress.down_at_s == {}
    assert HeatWork().progress().cone is None


def test_the_hardest_cone_has_none_after_it() -> None:
    progress = sampled([(0.0, 1300.0), (4 * HOUR_S, 1500.0)], SAMPLINGS["30 s"])
    assert progress.cone == "14"
    assert progress.next_cone is None
    assert progress.toward_next == 0.0


def climb(from_c: float, rate_c_per_h: float, to_c: float) -> Leg:
    return from_c, to_c, (to_c - from_c) / rate_c_per_h * HOUR_S


TEMPS_C = st.lists(st.floats(20.0, 1400.0), min_size=2, max_size=12)
STEPS_S = st.lists(st.floats(0.5, 1200.0), min_size=12, max_size=12)


def fed(
    steps_s: Sequence[float], temps_c: Sequence[float], work: HeatWork | None = None
) -> HeatWork:
    work = work or HeatWork()
    elapsed_s = 0.0
    for step_s, temp_c in zip(steps_s, temps_c, strict=False):
        elapsed_s += step_s
        work.add(elapsed_s, temp_c)
    return work


@given(STEPS_S, TEMPS_C, st.floats(0.0, 50.0))
def test_a_hotter_kiln_never_does_less_work(
    steps_s: list[float], temps_c: list[float], more_c: float
) -> None:
    cooler = fed(steps_s, temps_c).progress().work
    hotter = fed(steps_s, [temp_c + more_c for temp_c in temps_c]).progress().work
    for cone in CONE_NAMES:
        assert hotter[cone] >= cooler[cone] * (1.0 - 1e-9) - 1e-6


@given(STEPS_S, TEMPS_C)
def test_work_never_grows_less_as_time_goes_on(steps_s: list[float], temps_c: list[float]) -> None:
    work = HeatWork()
    before = dict.fromkeys(CONE_NAMES, 0.0)
    elapsed_s = 0.0
    for step_s, temp_c in zip(steps_s, temps_c, strict=False):
        elapsed_s += step_s
        work.add(elapsed_s, temp_c)
        now = work.progress().work
        for cone in CONE_NAMES:
            # An unfinished piece is counted by its mean so far.
            assert now[cone] >= before[cone] - 1e-9
        before = dict(now)


@given(STEPS_S, TEMPS_C)
def test_asking_changes_nothing(steps_s: list[float], temps_c: list[float]) -> None:
    asked = HeatWork()
    elapsed_s = 0.0
    for step_s, temp_c in zip(steps_s, temps_c, strict=False):
        elapsed_s += step_s
        asked.add(elapsed_s, temp_c)
        asked.progress()
        asked.work_of("6")
        asked.down_at("6")
    assert asked.progress() == fed(steps_s, temps_c).progress()


@settings(max_examples=50)
@given(st.floats(600.0, 1280.0), st.floats(600.0, 1280.0), st.floats(600.0, 14_400.0), st.data())
def test_a_leg_split_anywhere_is_worth_the_same(
    from_c: float, to_c: float, length_s: float, data: st.DataObject
) -> None:
    whole = [(0.0, from_c), (length_s, to_c)]
    splits = data.draw(st.lists(st.floats(0.0, length_s), max_size=30))
    together, apart = HeatWork(), HeatWork()
    for elapsed_s, temp_c in whole:
        together.add(elapsed_s, temp_c)
    for elapsed_s in sorted({0.0, length_s, *splits}):
        apart.add(elapsed_s, at(whole, elapsed_s))
    one, other = together.progress().work, apart.progress().work
    for cone in CONE_NAMES:
        # Or by a fifty-thousandth of a cone, where a leg does next to nothing.
        assert other[cone] == pytest.approx(one[cone], rel=4e-3, abs=2e-5), cone


@given(st.floats(-1e9, 1e9))
def test_any_finite_temperature_is_survived(temp_c: float) -> None:
    work = HeatWork()
    for n in range(5):
        work.add(60.0 * n, temp_c)
        work.add(60.0 * n + 30.0, 20.0)
    assert all(0.0 <= done <= WORK_CAP for done in work.progress().work.values())


@pytest.mark.parametrize("cone", ["06", "6", "10"])
@pytest.mark.parametrize("rate_c_per_h", [20.0, 60.0, 150.0, 400.0])
@pytest.mark.parametrize("done", [0.0, 0.3, 0.9])
def test_a_forecast_is_when_the_integral_gets_there(
    cone: str, rate_c_per_h: float, done: float
) -> None:
    from_c = CONES[cone].temp_at_rate(2e-5)
    wait_s = seconds_until_down(CONES[cone], done, [climb(from_c, rate_c_per_h, 1500.0)])
    assert wait_s is not None
    end_c = from_c + rate_c_per_h * wait_s / HOUR_S
    gained = exact(cone, [(0.0, from_c), (wait_s, end_c)])
    assert done + gained == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize("top_c", [1190.0, 1200.0, 1210.0])
def test_a_forecast_knows_of_the_hold_at_the_top(top_c: float) -> None:
    legs = [climb(1150.0, 60.0, top_c), (top_c, top_c, 48 * HOUR_S)]
    wait_s = seconds_until_down(CONES["6"], 0.0, legs)
    assert wait_s is not None
    reach_s = (top_c - 1150.0) / 60.0 * HOUR_S
    assert wait_s > reach_s
    gained = exact("6", [(0.0, 1150.0), (reach_s, top_c), (wait_s, top_c)])
    assert gained == pytest.approx(1.0, abs=2e-3)


def test_a_forecast_gives_up_where_it_would_take_days() -> None:
    for_ever: list[Leg] = [(700.0, 700.0, 1000 * HOUR_S)]
    assert seconds_until_down(CONES["6"], 0.5, for_ever) is None
    assert seconds_until_down(CONES["6"], 1.0, for_ever) == 0.0
    assert seconds_until_down(CONES["6"], 0.5, []) is None
    assert seconds_of_hold(CONES["6"], 0.5, 700.0) is None


def test_a_forecast_looks_no_farther_ahead_than_is_asked() -> None:
    legs = [climb(900.0, 100.0, 1300.0), (1300.0, 900.0, HOUR_S)]
    wait_s = seconds_until_down(CONES["6"], 0.0, legs)
    assert wait_s is not None
    assert seconds_until_down(CONES["6"], 0.0, legs, longest_s=wait_s) == wait_s
    assert seconds_until_down(CONES["6"], 0.0, legs, longest_s=wait_s - 1.0) is None


def test_a_hold_is_as_long_as_the_missing_work_takes() -> None:
    wait_s = seconds_of_hold(CONES["6"], 0.5, 1200.0)
    assert wait_s == pytest.approx(0.5 / CONES["6"].rate_per_s(1200.0))
    hold: list[Leg] = [(1200.0, 1200.0, 48 * HOUR_S)]
    assert seconds_until_down(CONES["6"], 0.5, hold) == pytest.approx(wait_s)
    assert seconds_of_hold(CONES["6"], 1.2, 1200.0) == 0.0


@pytest.mark.parametrize("offset_c", [-12.0, 5.0])
def test_an_offset_is_the_same_as_a_hotter_or_cooler_kiln(offset_c: float) -> None:
    points = FIRINGS["a climb and a hold"]
    moved = [(at_s, temp_c + offset_c) for at_s, temp_c in points]
    told = HeatWork(offset_c)
    late = HeatWork()
    for elapsed_s in range(0, int(points[-1][0]) + 1, 10):
        temp_c = at(points, float(elapsed_s))
        told.add(float(elapsed_s), temp_c)
        late.add(float(elapsed_s), temp_c)
    late.correct(offset_c)
    assert late.progress() == told.progress()
    assert told.progress().offset_c == offset_c
    for cone in ("06", "4", "5", "6"):
        expected = min(exact(cone, moved), WORK_CAP)
        assert told.progress().work[cone] == pytest.approx(expected, rel=3e-3), cone
    ahead: list[Leg] = [climb(1100.0, 60.0, 1300.0)]
    true: list[Leg] = [climb(1100.0 + offset_c, 60.0, 1300.0 + offset_c)]
    assert seconds_until_down(CONES["6"], 0.1, ahead, offset_c) == pytest.approx(
        seconds_until_down(CONES["6"], 0.1, true), rel=1e-3
    )


@pytest.mark.parametrize("until_s", [8 * HOUR_S, 9.3 * HOUR_S, 9.345 * HOUR_S, 20 * HOUR_S])
def test_the_work_along_a_path_can_be_asked_for_any_time_and_offset(until_s: float) -> None:
    points = FIRINGS["a climb and a hold"]
    work = HeatWork()
    for elapsed_s in range(0, int(points[-1][0]) + 1, 10):
        work.add(float(elapsed_s), at(points, float(elapsed_s)))
    end_s = min(until_s, points[-1][0])
    cut = [p for p in points if p[0] < end_s] + [(end_s, at(points, end_s))]
    for offset_c in (-10.0, 0.0, 10.0):
        moved = [(at_s, temp_c + offset_c) for at_s, temp_c in cut]
        found = work_along(work.path, CONES["6"], offset_c, until_s)
        assert found == pytest.approx(exact("6", moved), rel=3e-3, abs=1e-6)
