"""The one sensitivity keeps its promise: theory, published tables and simulated noise agree."""

from __future__ import annotations

import math
import random

import pytest

from supervisor.core.events import Kind
from supervisor.core.watch.filter import TemperatureFilter
from supervisor.core.watch.sensitivity import (
    CORRELATION_S,
    LEAST_PER_1000_H,
    MOST_PER_1000_H,
    SHARES,
    Sensitivity,
    noise_limit_c,
)

ARL_ONE_SIDED = {4.0: 335.4, 5.0: 930.9}
"""Mean looks between false alarms of a one-sided CUSUM of unit normal values with reference value
1/2, where a shift by 1 is looked for: the sum is then the sum of log-likelihood ratios itself, so
h is in nats (recomputed from the integral equation of Goel and Wu, Technometrics 13, 1971; two
such charts give the printed 168 and 465 of Montgomery's table)."""


def test_the_kinds_share_one_budget() -> None:
    assert sum(SHARES.values()) == pytest.approx(1.0)
    for per_1000_h in (0.01, 1.0, 100.0):
        sensitivity = Sensitivity(per_1000_h)
        rate_per_s = sum(1.0 / sensitivity.between_s(kind) for kind in SHARES)
        assert rate_per_s * 1000.0 * 3600.0 == pytest.approx(per_1000_h)


def test_what_a_person_may_ask_for_has_limits() -> None:
    assert Sensitivity(0.0).false_alarms_per_1000_h == LEAST_PER_1000_H
    assert Sensitivity(1e9).false_alarms_per_1000_h == MOST_PER_1000_H


@pytest.mark.parametrize("kind", SHARES)
def test_ten_times_fewer_false_alarms_cost_ln_10(kind: Kind) -> None:
    apart = Sensitivity(0.1).nats(kind) - Sensitivity(1.0).nats(kind)
    assert apart == pytest.approx(math.log(10.0))
    assert Sensitivity(1.0).scale(kind) == 1.0
    assert Sensitivity(0.1).scale(kind) > 1.0 > Sensitivity(10.0).scale(kind)


@pytest.mark.parametrize("limit", ARL_ONE_SIDED)
def test_lordens_bound_is_on_the_safe_side_of_the_published_tables(limit: float) -> None:
    # At least exp(h) looks between false alarms (Lorden 1971): the tables have six times more.
    assert math.exp(limit) < ARL_ONE_SIDED[limit]


@pytest.mark.parametrize("limit", ARL_ONE_SIDED)
def test_a_simulated_cusum_has_the_published_run_length(limit: float) -> None:
    dice = random.Random(4)
    runs, looks, total = 1500, 0, 0.0
    for _ in range(runs):
        total = 0.0
        while total <= limit:
            total = max(0.0, total + dice.gauss(0.0, 1.0) - 0.5)
            looks += 1
    # One standard error of the mean of 1,500 nearly exponential runs is 2.6 %.
    assert looks / runs == pytest.approx(ARL_ONE_SIDED[limit], rel=0.09)


def false_alarms(sigmas: float, hours: float, noise_c: float, every_s: float) -> tuple[int, float]:
    """(crossings, memory) of the sum of filtered increments of a kiln that keeps its plan.

    The kiln climbs so fast that a quarter of its pace is what the test asks for, as a stall's.
    """
    dice = random.Random(11)
    known = TemperatureFilter(0.0, noise_c**2)
    for _ in range(400):
        known.predict(every_s)
        known.correct(dice.gauss(0.0, noise_c))
    sigma_c, memory_s = math.sqrt(known.p_temp), math.sqrt(known.p_temp / known.p_rate)
    drift_c_per_s = 20.0 / 3600.0
    limit_c = noise_limit_c(sigmas, sigma_c, memory_s, drift_c_per_s)
    count, total_c, last_c = 0, 0.0, known.temp_c
    for _ in range(int(hours * 3600.0 / every_s)):
        known.predict(every_s)
        known.correct(dice.gauss(0.0, noise_c))
        total_c = max(0.0, total_c - (known.temp_c - last_c) - drift_c_per_s * every_s)
        last_c = known.temp_c
        if total_c > limit_c:
            count, total_c = count + 1, 0.0
    return count, memory_s


@pytest.mark.parametrize(("noise_c", "every_s"), [(0.4, 2.0), (1.0, 10.0), (1.5, 30.0)])
def test_noise_alone_alarms_no_more_often_than_promised(noise_c: float, every_s: float) -> None:
    # So lively a setting that a false alarm every few hours is accepted: z = √(2 ln(looks)).
    hours, between_h = 400.0, 4.0
    z = math.sqrt(2.0 * math.log(between_h * 3600.0 / CORRELATION_S))
    count, memory_s = false_alarms(z, hours, noise_c, every_s)
    assert memory_s > 20.0
    assert count <= hours / between_h


def test_false_alarms_on_noise_fall_as_the_budget_does() -> None:
    counts = [
        false_alarms(
            math.sqrt(2.0 * math.log(between_h * 3600.0 / CORRELATION_S)), 600.0, 0.4, 4.0
        )[0]
        for between_h in (0.1, 1.0, 10.0)
    ]
    assert counts[0] > counts[1] >= counts[2]
    assert counts[2] <= 600.0 / 10.0


def test_what_a_healthy_kiln_gains_leaves_less_room_for_noise() -> None:
    still = noise_limit_c(5.0, 0.5, 100.0, 0.0)
    climbing = noise_limit_c(5.0, 0.5, 100.0, 60.0 / 3600.0)
    assert 0.0 < climbing < still < 5.0 * math.sqrt(2.0) * 0.5
