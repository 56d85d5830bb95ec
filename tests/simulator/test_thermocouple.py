"""Probes: lag, noise, offset, and the warmth of their terminals."""

from __future__ import annotations

import random
import statistics

import pytest

from simulator.noise import InstantNoise
from simulator.thermocouple import SensorSpec, Terminals, Thermocouple


@pytest.mark.parametrize(("rate_c_per_h", "lag_c"), [(60.0, 1.0), (150.0, 2.5)])
def test_on_a_ramp_a_probe_is_late_by_rate_times_time_constant(
    rate_c_per_h: float, lag_c: float
) -> None:
    # First-order sensor, closed form: 60 s at 60 and 150 °C/h lags by 1.0 and 2.5 K.
    probe = Thermocouple(SensorSpec("top", "top", lag_s=60.0), seed=1, start_c=20.0)
    for second in range(0, 1800, 20):
        from_c = 20.0 + rate_c_per_h * second / 3600.0
        probe.begin(from_c, from_c + rate_c_per_h * 20.0 / 3600.0, 20.0)
        probe.end(20.0)
    end_c = 20.0 + rate_c_per_h * 1800 / 3600.0
    assert end_c - probe.junction_c == pytest.approx(lag_c, abs=0.001)


def test_a_probe_covers_63_percent_of_a_step_in_its_time_constant() -> None:
    probe = Thermocouple(SensorSpec("top", "top", lag_s=30.0), seed=1, start_c=0.0)
    probe.begin(100.0, 100.0, 40.0)
    assert probe.junction_at_c(30.0) == pytest.approx(63.212, abs=0.001)
    for _ in range(3):
        probe.begin(100.0, 100.0, 10.0)
        probe.end(10.0)
    assert probe.junction_c == pytest.approx(63.212, abs=0.001)


def test_noise_has_the_spread_it_is_given() -> None:
    spec = SensorSpec("top", "top", noise_c=0.3, offset_c=1.5)
    probe = Thermocouple(spec, seed=7, start_c=500.0)
    values = [probe.measured_c(500.0, float(second)) for second in range(20_000)]
    assert statistics.fmean(values) == pytest.approx(501.5, abs=0.01)
    assert statistics.stdev(values) == pytest.approx(0.3, rel=0.03)


def test_offsets_are_occasional_and_small() -> None:
    offsets = [
        Thermocouple(SensorSpec("top", "top"), seed=seed, start_c=20.0).offset_c
        for seed in range(400)
    ]
    some = [offset for offset in offsets if offset != 0.0]
    assert 80 < len(some) < 160
    assert max(abs(offset) for offset in some) <= 4.0


def test_noise_is_nobody_elses() -> None:
    random.seed(5)
    before = random.getstate()
    probe = Thermocouple(SensorSpec("top", "top"), seed=1, start_c=20.0)
    first = [probe.measured_c(20.0, float(second)) for second in range(10)]
    assert random.getstate() == before
    random.seed(99)
    again = Thermocouple(SensorSpec("top", "top"), seed=1, start_c=20.0)
    assert [again.measured_c(20.0, float(second)) for second in range(10)] == first


def test_the_terminals_warm_up_beside_a_hot_kiln() -> None:
    terminals = Terminals(seed=1, ambient_c=18.0)
    assert 16.0 < terminals.temp_c < 24.0
    cold_c = terminals.temp_c
    for step in range(2160):
        terminals.follow(step * 10.0, 6000.0, 10.0)
    assert cold_c + 3.0 < terminals.temp_c < 40.0


def reading(value_c: float, second: float, **changes: float) -> float:
    spec = SensorSpec("top", "top", noise_c=0.0, offset_c=0.0, **changes)
    return Thermocouple(spec, seed=4, start_c=20.0).measured_c(value_c, second)


def test_each_error_adds_what_it_says() -> None:
    assert reading(1000.0, 0.0, gain_error=0.004) == pytest.approx(1004.0)
    assert reading(1000.0, 7200.0, drift_c_per_h=0.5) == pytest.approx(1001.0)
    assert reading(1000.0, 0.0, cold_junction_c=-1.5) == pytest.approx(998.5)
    assert reading(1000.1, 0.0, resolution_c=0.25) == pytest.approx(1000.0)


def test_hum_swings_by_its_height() -> None:
    values = [reading(500.0, float(second), hum_c=2.0) for second in range(500)]
    assert max(values) == pytest.approx(502.0, abs=0.05)
    assert min(values) == pytest.approx(498.0, abs=0.05)


def test_spikes_come_as_often_as_told_and_both_ways() -> None:
    values = [
        reading(0.0, float(second), spikes_per_h=40.0, spike_c=30.0) for second in range(36_000)
    ]
    spikes = [value for value in values if value]
    assert len(spikes) == pytest.approx(400, rel=0.15)
    assert all(15.0 <= abs(value) <= 30.0 for value in spikes)
    assert 0.3 < sum(value > 0.0 for value in spikes) / len(spikes) < 0.7


def test_the_noise_of_neighbouring_seconds_and_channels_is_independent() -> None:
    one, other = InstantNoise(1, "one"), InstantNoise(1, "other")
    a = [one.normal(second) for second in range(20_000)]
    b = [other.normal(second) for second in range(20_000)]
    assert abs(statistics.correlation(a[1:], a[:-1])) < 0.03
    assert abs(statistics.correlation(a[10:], a[:-10])) < 0.03
    assert abs(statistics.correlation(a, b)) < 0.03
    assert statistics.fmean(one.uniform(second) for second in range(20_000)) == pytest.approx(
        0.5, abs=0.01
    )
