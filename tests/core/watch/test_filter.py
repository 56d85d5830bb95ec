"""The filter follows a kiln that turns within seconds, and noise does not make it restless."""

from __future__ import annotations

import random

import pytest

from supervisor.core.watch.channel import ChannelTrack

STEADY_C_PER_H = 10.3
"""Standard deviation of the rate with noise of 1 °C each second, when it has settled (measured)."""


class Probe:
    """A channel looked at each second, with noise of 1 °C."""

    def __init__(self, seed: int) -> None:
        self._track = ChannelTrack("kiln")
        self._dice = random.Random(seed)
        self._kiln_c, self._elapsed_s = 20.0, 0.0

    def look(self, rate_c_per_h: float) -> None:
        self._elapsed_s += 1.0
        self._kiln_c += rate_c_per_h / 3600.0
        self._track.look(self._elapsed_s, self._kiln_c + self._dice.gauss(0.0, 1.0), None)

    @property
    def rate_c_per_h(self) -> float:
        return (self._track.rate_c_per_s or 0.0) * 3600.0

    @property
    def rate_sigma_c_per_h(self) -> float:
        return self._track.rate_sigma_c_per_s * 3600.0


@pytest.mark.parametrize("seed", range(5))
def test_a_climb_that_turns_into_a_fall_is_followed_within_a_minute(seed: int) -> None:
    probe = Probe(seed)
    for _ in range(3600):
        probe.look(150.0)
    assert probe.rate_c_per_h == pytest.approx(150.0, abs=60.0)
    for _ in range(60):
        probe.look(-300.0)
        if probe.rate_c_per_h < -100.0:
            return
    raise AssertionError(f"still {probe.rate_c_per_h:.0f} °C/h after a minute")


@pytest.mark.parametrize("hours", [1, 10])
def test_noise_alone_does_not_keep_the_rate_uncertain(hours: int) -> None:
    probe = Probe(seed=1)
    for _ in range(600):
        probe.look(0.0)
    restless = 0
    looks = hours * 3600
    for _ in range(looks):
        probe.look(0.0)
        restless += probe.rate_sigma_c_per_h > 1.5 * STEADY_C_PER_H
    assert probe.rate_sigma_c_per_h == pytest.approx(STEADY_C_PER_H, rel=0.1)
    assert restless <= 0.005 * looks


@pytest.mark.parametrize("noise_c", [0.2, 1.0, 1.5])
def test_a_fall_is_not_run_past_when_the_kiln_has_turned(noise_c: float) -> None:
    off_c, rates_c_per_h = [], []
    for seed in range(20):
        track, dice = ChannelTrack("kiln"), random.Random(seed)
        kiln_c = 500.0
        for second in range(1, 3600 + 120):
            kiln_c += (150.0 if second <= 3600 else -200.0) / 3600.0
            track.look(float(second), kiln_c + dice.gauss(0.0, noise_c), None)
        off_c.append((track.temp_c or 0.0) - kiln_c)
        rates_c_per_h.append((track.rate_c_per_s or 0.0) * 3600.0)
    assert sum(rates_c_per_h) / 20 == pytest.approx(-200.0, abs=20.0)
    assert sum(off_c) / 20 == pytest.approx(0.0, abs=0.25)
