"""A channel that shows one value and no other: stuck, or a steady kiln of a coarse logger."""

from __future__ import annotations

import random

from supervisor.core.watch.filter import NoiseEstimate
from supervisor.core.watch.frozen import is_frozen, was_always_frozen


def stood(noise_c: float, step_c: float, looks: int) -> NoiseEstimate:
    """A channel that was looked at each second and then showed one value for ``looks``."""
    dice, noise = random.Random(3), NoiseEstimate()
    for n in range(600):
        noise.learn(float(n), round((700.0 + dice.gauss(0.0, noise_c)) / step_c) * step_c)
    for n in range(600, 600 + looks):
        noise.learn(float(n), 650.0)
    return noise


def test_a_noisy_channel_that_stands_for_minutes_is_frozen() -> None:
    assert is_frozen(stood(0.5, 0.1, 240), 240.0, None)


def test_it_is_not_so_after_a_minute_or_two() -> None:
    assert not is_frozen(stood(0.5, 0.1, 120), 120.0, None)


def test_a_channel_that_steps_in_whole_degrees_may_stand_for_long() -> None:
    assert not is_frozen(stood(0.1, 5.0, 470), 470.0, None)


def test_a_climb_does_not_end_on_one_value() -> None:
    climbing_c_per_s = 200.0 / 3600.0
    coarse = stood(0.3, 0.5, 200)
    assert is_frozen(coarse, 200.0, climbing_c_per_s)
    assert not is_frozen(coarse, 200.0, None)
    assert not is_frozen(coarse, 200.0, climbing_c_per_s / 10.0)


def test_a_run_of_three_is_no_run() -> None:
    assert not is_frozen(stood(0.5, 0.1, 3), 900.0, 1.0)


def test_a_hot_channel_that_never_moved_is_frozen_and_a_cold_one_waits_for_the_kiln() -> None:
    assert was_always_frozen(1800.0, 700.0)
    assert not was_always_frozen(1700.0, 700.0)
    assert not was_always_frozen(36000.0, 20.0)
