"""What a kiln climbs over a stretch of time, against its plan; nothing is said of less."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from supervisor.core.watch.detectors.creep import Creep

QUARTER_S, PACE_C_PER_H = 900.0, 60.0


def after(hours: float, temp_c: Callable[[float], float]) -> tuple[Creep, float, float]:
    """A creep that has seen ``temp_c`` of the hours each 5 s, its last time and temperature."""
    creep = Creep()
    times_s = [5.0 * n for n in range(int(hours * 720) + 1)]
    for elapsed_s in times_s:
        creep.look(elapsed_s, temp_c(elapsed_s / 3600.0))
    return creep, times_s[-1], temp_c(times_s[-1] / 3600.0)


@pytest.mark.parametrize(("rate_c_per_h", "is_creep"), [(0.0, True), (12.0, True), (18.0, False)])
def test_less_than_a_quarter_of_the_pace_is_none(rate_c_per_h: float, is_creep: bool) -> None:
    creep, now_s, now_c = after(1.0, lambda h: 600.0 + rate_c_per_h * h)
    assert creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0) is is_creep


def test_it_takes_all_of_the_time() -> None:
    creep, now_s, now_c = after(0.24, lambda _h: 600.0)
    assert not creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0)
    creep, now_s, now_c = after(1.0, lambda _h: 600.0)
    assert creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0)
    creep.forget()
    assert not creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0)


def test_a_kiln_that_stood_and_climbs_on_does_not_creep() -> None:
    creep, now_s, now_c = after(1.05, lambda h: 600.0 + PACE_C_PER_H * max(h - 1.0, 0.0))
    assert now_c < 600.0 + 0.25 * PACE_C_PER_H * QUARTER_S / 3600.0
    assert not creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0)


def test_a_swing_in_its_trough_does_not_creep() -> None:
    def swings(hours: float) -> float:
        return 600.0 + PACE_C_PER_H * hours + 10.0 * math.sin(2.0 * math.pi * 6.0 * hours)

    for minute in range(60):
        creep, now_s, now_c = after(1.0 + minute / 60.0, swings)
        assert not creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 0.0)


def test_nothing_is_said_where_noise_alone_could_look_so() -> None:
    creep, now_s, now_c = after(1.0, lambda _h: 600.0)
    # Half the pace over a quarter of an hour is 7.5 °C; two temperatures err by √2 of one.
    assert creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 5.0)
    assert not creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, 5.5)


@pytest.mark.parametrize(("noise_c", "is_creep"), [(0.5, True), (2.0, False)])
def test_noise_is_held_against_a_climb_that_is_all_but_a_quarter(
    noise_c: float, is_creep: bool
) -> None:
    creep, now_s, now_c = after(1.0, lambda h: 600.0 + 0.22 * PACE_C_PER_H * h)
    assert creep.creeps(now_s, now_c, QUARTER_S, PACE_C_PER_H, noise_c) is is_creep


@pytest.mark.parametrize(("rate_c_per_h", "goes_on"), [(16.0, True), (30.0, False)])
def test_it_is_over_when_the_climb_is_clearly_back(rate_c_per_h: float, goes_on: bool) -> None:
    creep, now_s, now_c = after(1.0, lambda h: 600.0 + rate_c_per_h * h)
    assert creep.goes_on(now_s, now_c, 600.0, PACE_C_PER_H) is goes_on


def dies_over(hours: float) -> Callable[[float], float]:
    """A climb at the planned pace for an hour, which then dies away to nothing, evenly."""

    def temp_c(h: float) -> float:
        gone_h = min(max(h - 1.0, 0.0), hours)
        return 600.0 + PACE_C_PER_H * (min(h, 1.0) + gone_h - gone_h**2 / (2.0 * hours))

    return temp_c


def died_after_s(temp_c: Callable[[float], float], swing_c: float = 0.0) -> float | None:
    """When it is first called a climb that has died, from the end of the first hour."""
    for minute in range(60, 100):
        creep, now_s, now_c = after(minute / 60.0, temp_c)
        if creep.dies_for_s(now_s, now_c, PACE_C_PER_H, 0.05, swing_c) is not None:
            return 60.0 * minute - 3600.0
    return None


def test_a_climb_that_dies_is_known_within_minutes_of_being_down_to_a_quarter() -> None:
    # Evenly over 20 minutes it is down to a quarter after 15.
    seen_s = died_after_s(dies_over(1.0 / 3.0))
    assert seen_s is not None
    assert 900.0 < seen_s <= 900.0 + 420.0


def test_a_climb_that_is_stopped_at_once_has_not_died() -> None:
    # Whoever holds or pauses takes the heat away in a minute.
    assert died_after_s(dies_over(1.0 / 60.0)) is None


def test_a_climb_that_merely_slows_down_has_not_died() -> None:
    def slows(h: float) -> float:
        return 600.0 + PACE_C_PER_H * (min(h, 1.0) + 0.4 * max(h - 1.0, 0.0))

    assert died_after_s(slows) is None


def test_a_kiln_that_swings_by_as_much_has_not_died() -> None:
    # What is missing when it is told, some 5 °C, it has lately made good again.
    assert died_after_s(dies_over(1.0 / 3.0), swing_c=9.0) is None


def test_where_noise_could_look_so_a_climb_has_not_died() -> None:
    creep, now_s, now_c = after(1.4, dies_over(1.0 / 3.0))
    # Half the pace over a third of what is remembered is 4.2 °C.
    assert creep.dies_for_s(now_s, now_c, PACE_C_PER_H, 3.1, 0.0) is None


@pytest.mark.parametrize("slow", [0.55, 0.62])
def test_a_kiln_that_was_slow_all_the_time_and_pauses_does_not_die(slow: float) -> None:
    """However the minutes fall that are remembered."""
    for late_s in range(0, 60, 10):

        def slows(hours: float, stands_s: float = 260.0 + late_s) -> float:
            return 600.0 + slow * PACE_C_PER_H * min(hours, 1.5 - stands_s / 3600.0)

        creep, now_s, now_c = after(1.5, slows)
        assert creep.dies_for_s(now_s, now_c, PACE_C_PER_H, 0.0, 0.0) is None
