"""Probes: lag, noise, offset, and the warmth of their terminals."""

from __future__ import annotations

import random
import statistics

import pytest

from simulator.thermocouple import SensorSpec, Terminals, Thermocouple


@pytest.mark.parametrize(("rate_c_per_h", "lag_c"), [(60.0, 1.0), (150.0, 2.5)])
def test_on_a_ramp_a_probe_is_late_by_rate_times_time_constant(
    rate_c_per_h: float, lag_c: float
) -> None:
    # First-order sensor, closed form: 60 s at 60 and 150 °C/h lags by 1.0 and 2.5 K.
    probe = Thermocouple(SensorSpec("top", "top", lag_s=60.0), seed=1, start_c=20.0, dt_s=1.0)
    for second in range(1800):
        chamber_c = 20.0 + rate_c_per_h * (second + 0.5) / 3600.0
        probe.follow(chamber_c)
    end_c = 20.0 + rate_c_per_h * 1800 / 3600.0
    assert end_c - probe.junction_c == pytest.approx(lag_c, abs=0.001)


def test_a_probe_covers_63_percent_of_a_step_in_its_time_constant() -> None:
    probe = Thermocouple(SensorSpec("top", "top", lag_s=30.0), seed=1, start_c=0.0, dt_s=1.0)
    for _ in range(30):
        probe.follow(100.0)
    assert probe.junction_c == pytest.approx(63.212, abs=0.001)


def test_noise_has_the_spread_it_is_given() -> None:
    spec = SensorSpec("top", "top", noise_c=0.3, offset_c=1.5)
    probe = Thermocouple(spec, seed=7, start_c=500.0, dt_s=1.0)
    values = [probe.measured_c() for _ in range(20_000)]
    assert statistics.fmean(values) == pytest.approx(501.5, abs=0.01)
    assert statistics.stdev(values) == pytest.approx(0.3, rel=0.03)


def test_offsets_are_occasional_and_small() -> None:
    offsets = [
        Thermocouple(SensorSpec("top", "top"), seed=seed, start_c=20.0, dt_s=1.0).offset_c
        for seed in range(400)
    ]
    some = [offset for offset in offsets if offset != 0.0]
    assert 80 < len(some) < 160
    assert max(abs(offset) for offset in some) <= 4.0


def test_noise_is_nobody_elses() -> None:
    random.seed(5)
    before = random.getstate()
    probe = Thermocouple(SensorSpec("top", "top"), seed=1, start_c=20.0, dt_s=1.0)
    first = [probe.measured_c() for _ in range(10)]
    assert random.getstate() == before
    random.seed(99)
    again = Thermocouple(SensorSpec("top", "top"), seed=1, start_c=20.0, dt_s=1.0)
    assert [again.measured_c() for _ in range(10)] == first


def test_the_terminals_warm_up_beside_a_hot_kiln() -> None:
    terminals = Terminals(seed=1, ambient_c=18.0)
    assert 16.0 < terminals.temp_c < 24.0
    cold_c = terminals.temp_c
    for step in range(2160):
        terminals.follow(step * 10.0, 6000.0, 10.0)
    assert cold_c + 3.0 < terminals.temp_c < 40.0
