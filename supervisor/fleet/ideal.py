"""The detector that can't be beaten, to measure the others by.

It is told what nobody can know beside a real kiln: how noisy each channel is, and how the firing
goes with the fault and without it, both but for one offset of up to 3 °C that they share. It
adds up the logarithm of the likelihood ratio of the two, reading by reading, never below 0
(E. S. Page, Continuous inspection schemes, Biometrika 41, 1954). Of all detectors with as few
false alarms, this sum comes soonest to its threshold in the worst case (G. Lorden, Ann. Math.
Statist. 42, 1897-1908, 1971; G. Moustakides, Ann. Statist. 14, 1379-1387, 1986, from memory).

The unknown offset is integrated out: under each of the two courses it is estimated from all the
readings so far, from a prior of mean 0 with the spread of ±3 °C, and the likelihood is that of
the next reading given the ones before. Where the sum falls back to 0, both begin again from the
offset of the healthy course.
"""

from __future__ import annotations

import math

OFFSET_C = 3.0
"""How far off the told courses may be."""
_PRIOR_C2 = OFFSET_C**2 / 3.0
"""Variance of an even spread over ±3 °C."""
_WILD = 6.0
"""A reading so many standard deviations from both courses is a spike, and says nothing."""


class _Channel:
    __slots__ = ("faulty_c", "healthy_c", "spread_c2")

    def __init__(self) -> None:
        self.healthy_c = self.faulty_c = 0.0
        self.spread_c2 = _PRIOR_C2


class IdealDetector:
    """Page's sum for the likelihood ratio of two known courses, of so many channels.

    ``threshold`` is in nats; on noise alone the sum comes up to it no more often than once in
    exp(threshold) readings.
    """

    __slots__ = ("_channels", "_threshold", "_variances_c2", "sum")

    def __init__(self, noises_c: tuple[float, ...], threshold: float) -> None:
        self._variances_c2 = tuple(noise_c * noise_c for noise_c in noises_c)
        self._channels = tuple(_Channel() for _ in noises_c)
        self._threshold = threshold
        self.sum = 0.0

    @property
    def is_raised(self) -> bool:
        return self.sum >= self._threshold

    def learn(self, channel: int, off_c: float, count: int) -> None:
        """The mean of ``count`` readings is ``off_c`` from both courses, which are one so far."""
        known = self._channels[channel]
        variance_c2 = self._variances_c2[channel] / count
        gain = known.spread_c2 / (known.spread_c2 + variance_c2)
        known.healthy_c += gain * (off_c - known.healthy_c)
        known.faulty_c = known.healthy_c
        known.spread_c2 *= 1.0 - gain

    def add(self, offs_c: tuple[tuple[int, float, float], ...]) -> bool:
        """One reading: (channel, its distance from the healthy course, from the faulty one).

        Whether the threshold has been reached.
        """
        total = self.sum
        for channel, from_healthy_c, from_faulty_c in offs_c:
            known = self._channels[channel]
            noise_c2 = self._variances_c2[channel]
            variance_c2 = known.spread_c2 + noise_c2
            healthy_c = from_healthy_c - known.healthy_c
            faulty_c = from_faulty_c - known.faulty_c
            wild_c2 = _WILD * _WILD * variance_c2
            if healthy_c * healthy_c > wild_c2 and faulty_c * faulty_c > wild_c2:
                continue
            total += (healthy_c * healthy_c - faulty_c * faulty_c) / (2.0 * variance_c2)
            gain = known.spread_c2 / variance_c2
            known.healthy_c += gain * healthy_c
            known.faulty_c += gain * faulty_c
            known.spread_c2 *= 1.0 - gain
        if total <= 0.0:
            total = 0.0
            for known in self._channels:
                known.faulty_c = known.healthy_c
        self.sum = total
        return total >= self._threshold


def threshold_for(between_s: float, interval_s: float) -> float:
    """The threshold in nats for a mean time of ``between_s`` between two false alarms, where a
    reading comes each ``interval_s``."""
    return math.log(max(between_s / interval_s, math.e))
