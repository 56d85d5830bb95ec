"""The temperature filter against a matrix Kalman filter, and against Kalata's steady gains.

Sources: R. E. Kalman, J. Basic Eng. 82, 35-45, 1960, in its textbook matrix form; P. R. Kalata,
IEEE Trans. Aerosp. Electron. Syst. 20, 174-182, 1984, for the steady alpha-beta gains.
"""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import solve_discrete_are
from scipy.stats import norm

from supervisor.core.watch.filter import (
    FIRST_NOISE_C,
    RATE_WANDER_C_PER_H,
    RATE_WANDER_S,
    NoiseEstimate,
    TemperatureFilter,
)

Matrix = NDArray[np.float64]
DENSITY = (RATE_WANDER_C_PER_H / 3600.0) ** 2 / RATE_WANDER_S
"""Spectral density of the acceleration in °C²/s³, from the two stated figures."""
LOOK = np.array([[1.0, 0.0]])


def moves(dt_s: float) -> Matrix:
    return np.array([[1.0, dt_s], [0.0, 1.0]])


def process_noise(dt_s: float) -> Matrix:
    """White acceleration integrated over ``dt_s``."""
    return DENSITY * np.array([[dt_s**3 / 3.0, dt_s**2 / 2.0], [dt_s**2 / 2.0, dt_s]])


def steady_gains(dt_s: float, noise_c: float, process: Matrix) -> tuple[float, float]:
    """Gains (temperature, rate in 1/s) from the Riccati equation, by scipy."""
    step = moves(dt_s)
    noise = np.array([[noise_c**2]])
    prior = solve_discrete_are(step.T, LOOK.T, process, noise)
    gain = prior @ LOOK.T / (prior[0, 0] + noise_c**2)
    return float(gain[0, 0]), float(gain[1, 0])


def settled_gains(dt_s: float, noise_c: float) -> tuple[float, float]:
    """The filter's own gains, seen from what one surprise of a degree does to it."""
    tracked = TemperatureFilter(500.0, noise_c**2)
    for _ in range(int(8 * 3600.0 / dt_s)):
        tracked.predict(dt_s)
        tracked.correct(tracked.temp_c)
    tracked.predict(dt_s)
    temp_c, rate_c_per_s = tracked.temp_c, tracked.rate_c_per_s
    tracked.correct(temp_c + 1.0)
    return tracked.temp_c - temp_c, tracked.rate_c_per_s - rate_c_per_s


def test_the_filter_is_the_matrix_kalman_filter() -> None:
    dice = random.Random(4)
    noise_c = 0.6
    tracked = TemperatureFilter(20.0, noise_c**2)
    state = np.array([20.0, 0.0])
    spread = np.array([[tracked.p_temp, 0.0], [0.0, tracked.p_rate]])
    elapsed_s = 0.0
    for n in range(2000):
        dt_s = dice.choice([0.5, 1.0, 7.3, 30.0, 120.0])
        elapsed_s += dt_s
        step = moves(dt_s)
        state = step @ state
        spread = step @ spread @ step.T + process_noise(dt_s)
        tracked.predict(dt_s)
        assert tracked.surprise_limit_c(3.0) == pytest.approx(
            3.0 * math.sqrt(spread[0, 0] + noise_c**2), rel=1e-9
        )
        if n % 5:
            value_c = 20.0 + 0.03 * elapsed_s + dice.gauss(0.0, noise_c)
            gain = spread @ LOOK.T / (spread[0, 0] + noise_c**2)
            state = state + (gain * (value_c - state[0])).ravel()
            spread = (np.eye(2) - gain @ LOOK) @ spread
            tracked.correct(value_c)
        assert tracked.temp_c == pytest.approx(state[0], rel=1e-9)
        assert tracked.rate_c_per_s == pytest.approx(state[1], abs=1e-9)
        assert tracked.p_temp == pytest.approx(spread[0, 0], rel=1e-6)
        assert tracked.p_temp_rate == pytest.approx(spread[0, 1], rel=1e-6, abs=1e-12)
        assert tracked.p_rate == pytest.approx(spread[1, 1], rel=1e-6)


@pytest.mark.parametrize("noise_c", [0.1, 0.4, 1.0, 3.0])
@pytest.mark.parametrize("dt_s", [1.0, 5.0, 30.0, 120.0])
def test_the_settled_gains_solve_the_riccati_equation(dt_s: float, noise_c: float) -> None:
    expected = steady_gains(dt_s, noise_c, process_noise(dt_s))
    assert settled_gains(dt_s, noise_c) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize(
    ("index", "alpha", "beta"),
    [(0.1, 0.36, 0.08), (0.5, 0.628373, 0.304806), (1.0, 0.75, 0.5), (5.0, 0.94504, 1.172178)],
)
def test_kalatas_formulas_solve_the_riccati_equation(
    index: float, alpha: float, beta: float
) -> None:
    # Kalata's noise is an acceleration that stays constant over each step (discrete white
    # acceleration); the check of the formulas that the next test leans on.
    dt_s, noise_c = 10.0, 0.5
    push = np.array([[dt_s**2 / 2.0], [dt_s]]) * (index * noise_c / dt_s**2)
    gains = steady_gains(dt_s, noise_c, push @ push.T)
    assert kalata(index) == pytest.approx((alpha, beta), abs=2e-6)
    assert (gains[0], gains[1] * dt_s) == pytest.approx((alpha, beta), abs=2e-6)


def kalata(index: float) -> tuple[float, float]:
    """(alpha, beta) for a tracking index."""
    root = (4.0 + index - math.sqrt(8.0 * index + index**2)) / 4.0
    alpha = 1.0 - root**2
    return alpha, 2.0 * (2.0 - alpha) - 4.0 * math.sqrt(1.0 - alpha)


@pytest.mark.parametrize("noise_c", [0.3, 1.0])
@pytest.mark.parametrize("dt_s", [1.0, 5.0, 30.0])
def test_the_settled_gains_are_kalatas(dt_s: float, noise_c: float) -> None:
    # Continuous white acceleration of density q acts like Kalata's of variance q/T; the two
    # differ in the third-order terms of T, hence the tolerance.
    index = math.sqrt(DENSITY / dt_s) * dt_s**2 / noise_c
    alpha, beta = kalata(index)
    gain_temp, gain_rate = settled_gains(dt_s, noise_c)
    assert gain_temp == pytest.approx(alpha, rel=0.02)
    assert gain_rate * dt_s == pytest.approx(beta, rel=0.02)


@pytest.mark.parametrize("rate_c_per_h", [0.0, 60.0, -150.0, 400.0])
@pytest.mark.parametrize("dt_s", [1.0, 30.0])
def test_a_steady_climb_is_known_without_lag(dt_s: float, rate_c_per_h: float) -> None:
    dice = random.Random(8)
    tracked = TemperatureFilter(500.0, 0.5**2)
    off_c, off_rates = [], []
    for n in range(1, int(4 * 3600 / dt_s)):
        true_c = 500.0 + rate_c_per_h * n * dt_s / 3600.0
        tracked.predict(dt_s)
        tracked.correct(true_c + dice.gauss(0.0, 0.5))
        if n * dt_s > 3600.0:
            off_c.append(tracked.temp_c - true_c)
            off_rates.append(tracked.rate_c_per_s * 3600.0 - rate_c_per_h)
    assert abs(sum(off_c) / len(off_c)) < 0.1
    assert abs(sum(off_rates) / len(off_rates)) < 2.0
    # What the filter says of its own spread is true (to a third: the values hang together).
    spread_c = math.sqrt(sum(o * o for o in off_c) / len(off_c))
    assert spread_c < 1.33 * math.sqrt(tracked.p_temp)


@pytest.mark.parametrize("sigma_c", [0.15, 0.5, 1.0, 3.0])
@pytest.mark.parametrize("rate_c_per_h", [0.0, 150.0, 600.0, -400.0])
@pytest.mark.parametrize("dt_s", [1.0, 30.0])
def test_the_noise_is_learned_within_15_percent(
    dt_s: float, rate_c_per_h: float, sigma_c: float
) -> None:
    dice = random.Random(2)
    noise = NoiseEstimate()
    learned = []
    for n in range(6000):
        value_c = 300.0 + rate_c_per_h * n * dt_s / 3600.0 + dice.gauss(0.0, sigma_c)
        variance = noise.learn(n * dt_s, value_c)
        if n > 600:
            learned.append(variance)
    assert math.sqrt(sum(learned) / len(learned)) == pytest.approx(sigma_c, rel=0.15)


def test_the_noise_is_learned_with_readings_at_odd_times() -> None:
    dice = random.Random(5)
    noise = NoiseEstimate()
    elapsed_s, learned = 0.0, []
    for n in range(6000):
        elapsed_s += dice.choice([0.5, 1.0, 10.0, 60.0])
        variance = noise.learn(elapsed_s, 0.04 * elapsed_s + dice.gauss(0.0, 0.7))
        if n > 600:
            learned.append(variance)
    assert math.sqrt(sum(learned) / len(learned)) == pytest.approx(0.7, rel=0.15)


def test_a_spike_hardly_moves_the_noise() -> None:
    dice = random.Random(6)
    noise = NoiseEstimate()
    for n in range(1000):
        noise.learn(float(n), 500.0 + dice.gauss(0.0, 0.4))
    before_c = math.sqrt(noise.variance)
    noise.learn(1000.0, 900.0)
    noise.learn(1001.0, 500.0)
    assert math.sqrt(noise.variance) < 1.3 * before_c


@pytest.mark.parametrize("resolution_c", [1.0, 1.0 / 1.8, 5.0])
def test_a_coarse_log_has_at_least_the_noise_of_rounding(resolution_c: float) -> None:
    # A quantity rounded to steps of u has the uniform variance u²/12.
    noise = NoiseEstimate()
    variance = FIRST_NOISE_C**2
    for n in range(4000):
        true_c = 300.0 + 100.0 * n / 3600.0
        variance = noise.learn(float(n), round(true_c / resolution_c) * resolution_c)
    assert noise.resolution_c == pytest.approx(resolution_c)
    assert variance >= resolution_c**2 / 12.0


@pytest.mark.parametrize("step_c", [0.1, 0.25, 0.5])
@pytest.mark.parametrize("sigma_c", [0.4, 0.6])
def test_the_chance_of_a_run_is_that_of_the_normal_distribution(
    step_c: float, sigma_c: float
) -> None:
    """P(stays) = Φ(u/2s) − Φ(−u/2s) at the likeliest place; understated it must hardly be."""
    dice = random.Random(11)
    noise = NoiseEstimate()
    for n in range(4000):
        noise.learn(10.0 * n, round(dice.gauss(300.0, sigma_c) / step_c) * step_c)
    noise.learn(40000.0, 300.0 + 7.0 * step_c)
    for n in range(1, 20):
        noise.learn(40000.0 + 10.0 * n, 300.0 + 7.0 * step_c)
    stays = float(norm.cdf(step_c / 2.0 / sigma_c) - norm.cdf(-step_c / 2.0 / sigma_c))
    assert 1.3 * 19.0 * math.log(stays) < noise.log_chance_of_run() < 0.0


def test_two_neighbouring_values_in_turns_say_nothing_of_a_run() -> None:
    dice = random.Random(12)
    noise = NoiseEstimate()
    for n in range(600):
        noise.learn(10.0 * n, 20.0 + 0.25 * (dice.random() < 0.5))
    for n in range(600, 700):
        noise.learn(10.0 * n, 20.25)
    assert noise.log_chance_of_run() > math.log(1e-7)
