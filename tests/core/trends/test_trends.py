"""Trends of kilns that age, of kilns that don't, and of figures that are made up."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from supervisor.core.trends import (
    Apart,
    FiringPoint,
    Trend,
    TrendKind,
    Verdict,
    say,
    trends_of,
)
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.trends.kilns import NEW, STEADY, WORN, fired

CELSIUS, FAHRENHEIT = Words(Unit.C), Words(Unit.F)
PLANNED_C_PER_H = 60.0
"""The last climb of the starter midfire-glaze."""


def the(trends: tuple[Trend, ...], kind: TrendKind, of: str | None = None) -> Trend:
    (found,) = [one for one in trends if one.kind is kind and of in (None, one.of)]
    return found


@pytest.fixture(scope="module")
def worn() -> tuple[FiringPoint, ...]:
    return fired(WORN, 11)


def first_short(points: tuple[FiringPoint, ...]) -> int:
    """The first firing whose last climb was a tenth slower than planned."""
    return next(
        n
        for n, point in enumerate(points, start=1)
        if point.heating is not None and (point.heating.last_c_per_h or 0.0) < 0.9 * PLANNED_C_PER_H
    )


# The climb that is left


def test_heating_is_in_proportion_to_the_elements_and_free_of_the_load() -> None:
    less = fired((0.84, 0.78), 5)
    more = fired((0.84, 0.78), 6)
    ratios = []
    for points in (less, more):
        for point in points:
            assert point.heating is not None
            assert point.heating.is_full_power
            ratios.append(point.heating.heat_c_per_h / point.heating.cooling.at(800.0))
    light, worn_light, heavy, worn_heavy = ratios
    for part, whole in ((worn_light, light), (worn_heavy, heavy)):
        assert part / whole == pytest.approx(0.78 / 0.84, rel=0.035)
    assert light == pytest.approx(heavy, rel=0.035)


def test_a_kiln_that_keeps_its_plan_shows_that_it_has_at_least_so_much() -> None:
    climb = the(trends_of(fired(NEW, 2)), TrendKind.CLIMB)
    assert all(one.is_at_least for one in climb.values)
    assert (climb.measured, climb.line, climb.is_worth_a_warning) == ((), None, False)
    assert climb.limit is not None
    assert climb.values[-1].value > climb.limit
    assert "at least" in say(climb, CELSIUS)[0]


def test_wear_is_told_and_forecast_before_the_plan_is_lost(worn: tuple[FiringPoint, ...]) -> None:
    lost = first_short(worn)
    assert 8 <= lost <= 11, "the scenario is meant to lose its last climb late"
    seen = [
        n for n in range(5, lost) if the(trends_of(worn[:n]), TrendKind.CLIMB).is_worth_a_warning
    ]
    assert seen, "no warning before the climb was lost"
    climb = the(trends_of(worn[: seen[0]]), TrendKind.CLIMB)
    assert climb.verdict is Verdict.FALLS
    assert climb.forecast is not None
    assert climb.forecast.expected is not None
    assert climb.forecast.earliest <= climb.forecast.expected
    assert climb.forecast.earliest - 1.0 <= lost <= (climb.forecast.latest or 99.0) + 1.0
    text = " ".join(say(climb, CELSIUS))
    assert "more than chance" in text
    assert "elements" in text


def test_the_slope_is_that_of_the_wear(worn: tuple[FiringPoint, ...]) -> None:
    climb = the(trends_of(worn), TrendKind.CLIMB)
    assert climb.line is not None
    assert climb.at_c == 1000.0
    # 0.9 % of the full power a firing, of a heating that is at 0.84 of it in the middle.
    power = [p.heating.heat_c_per_h for p in worn if p.heating and p.heating.is_full_power]
    expected = -0.009 / 0.84 * sum(power) / len(power)
    assert climb.line.low <= expected <= climb.line.high
    assert climb.is_short
    assert "no longer be kept" in " ".join(say(climb, CELSIUS))


def test_a_kiln_that_is_slow_and_no_worse_is_not_said_to_wear() -> None:
    climb = the(trends_of(fired(STEADY, 3)), TrendKind.CLIMB)
    assert len(climb.measured) >= 5
    assert climb.line is not None
    assert climb.verdict is Verdict.NONE_TOLD
    assert climb.line.low < 0.0 < climb.line.high
    assert not climb.is_worth_a_warning
    assert "No trend can be told" in " ".join(say(climb, CELSIUS))


def test_four_firings_are_too_few(worn: tuple[FiringPoint, ...]) -> None:
    climb = the(trends_of(worn[-4:]), TrendKind.CLIMB)
    assert climb.verdict is Verdict.TOO_FEW
    assert climb.forecast is None
    assert "5 firings on" in " ".join(say(climb, CELSIUS))


def test_the_figures_say_how_well_the_top_was_foreseen(worn: tuple[FiringPoint, ...]) -> None:
    # Where the last climb was short its rate was measured; the same follows from the rest.
    apart = [
        point.heating.climb_at(point.heating.last_at_c) - (point.heating.last_c_per_h or 0.0)
        for point in worn
        if point.heating is not None
        and point.heating.is_full_power
        and point.heating.last_is_full
        and point.heating.last_at_c is not None
    ]
    assert len(apart) >= 2
    assert max(map(abs, apart)) < 15.0


# Everything else

PLAIN = FiringPoint("x", None, "glaze", True, 40_000.0, 0.0, 1205.0, 5.0, 0.2, 0, None, None, {})


def made(count: int, change: Callable[[int], dict[str, Any]]) -> tuple[FiringPoint, ...]:
    return tuple(replace(PLAIN, firing=f"f{n}", **change(n)) for n in range(1, count + 1))


def noisy(seed: int, step: float, noise: float) -> Callable[[int], float]:
    dice = random.Random(seed)
    drawn = [dice.gauss(0.0, noise) for _ in range(100)]
    return lambda n: step * n + drawn[n]


def test_a_thermocouple_that_drifts_from_the_real_cones_is_told() -> None:
    drift = noisy(1, 1.0, 1.5)
    points = made(12, lambda n: {"apart": {"top": Apart(drift(n) - 2.0, drift(n) + 2.0)}})
    top = the(trends_of(points), TrendKind.DRIFT, "top")
    assert top.verdict is Verdict.RISES
    assert top.is_worth_a_warning
    assert top.line is not None
    assert top.line.low <= 1.0 <= top.line.high
    assert "less and less" in " ".join(say(top, CELSIUS))
    in_f = " ".join(say(top, FAHRENHEIT))
    assert "°F" in in_f
    assert "°C" not in in_f


def test_one_that_only_scatters_is_not() -> None:
    drift = noisy(2, 0.0, 2.5)
    points = made(12, lambda n: {"apart": {"top": Apart(drift(n) - 2.0, drift(n) + 2.0)}})
    top = the(trends_of(points), TrendKind.DRIFT, "top")
    assert top.verdict is Verdict.NONE_TOLD
    assert not top.is_worth_a_warning


def test_a_drift_that_is_sure_and_tiny_is_no_reason_for_a_walk() -> None:
    points = made(10, lambda n: {"apart": {"top": Apart(0.1 * n - 2.0, 0.1 * n + 2.0)}})
    top = the(trends_of(points), TrendKind.DRIFT, "top")
    assert top.verdict is Verdict.RISES
    assert not top.is_worth_a_warning


def test_a_kiln_that_grows_uneven_is_told() -> None:
    apart = noisy(3, 1.8, 1.0)
    even = the(trends_of(made(9, lambda n: {"peak_apart_c": 4.0 + apart(n)})), TrendKind.EVENNESS)
    assert even.verdict is Verdict.RISES
    assert even.is_worth_a_warning
    assert "uneven" in " ".join(say(even, CELSIUS))


def test_lateness_and_energy_are_held_against_firings_by_the_same_plan() -> None:
    late, kwh = noisy(4, 240.0, 60.0), noisy(5, 1.5, 0.5)
    glaze = made(8, lambda n: {"late_s": late(n), "kwh": 80.0 + kwh(n)})
    bisque = made(3, lambda n: {"plan": "bisque", "late_s": 0.0, "kwh": 40.0})
    trends = trends_of((*glaze, *bisque))
    assert the(trends, TrendKind.LATE, "glaze").is_worth_a_warning
    energy = the(trends, TrendKind.ENERGY, "glaze")
    assert energy.is_worth_a_warning
    assert "kWh" in say(energy, CELSIUS)[0]
    assert the(trends, TrendKind.ENERGY, "bisque").verdict is Verdict.TOO_FEW


def test_a_firing_that_was_not_completed_has_no_lateness() -> None:
    points = made(6, lambda n: {"late_s": None, "lasted_s": None, "is_complete": False})
    assert [t.kind for t in trends_of(points)] == [TrendKind.EVENNESS]


def test_stalls_that_come_more_often_are_told_and_rare_ones_are_not() -> None:
    more = made(12, lambda n: {"losses": int(n > 7)})
    assert the(trends_of(more), TrendKind.LOSSES).is_worth_a_warning
    once = made(12, lambda n: {"losses": int(n == 7)})
    losses = the(trends_of(once), TrendKind.LOSSES)
    assert not losses.is_worth_a_warning
    assert say(losses, CELSIUS)[0].startswith("In 1 of 12 firings")
    assert not [t for t in trends_of(made(6, lambda n: {})) if t.kind is TrendKind.LOSSES]


def test_no_firings_have_no_trends() -> None:
    assert trends_of(()) == ()
