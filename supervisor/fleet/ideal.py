"""The detector to measure the others by: none that knows no more is sooner.

It is told what nobody can know beside a real kiln: how noisy each channel is, and how the firing
goes with the fault and without it, each of the two to within 3 °C. It adds up the logarithm of
the likelihood ratio of the two, reading by reading, never below 0 (E. S. Page, Continuous
inspection schemes, Biometrika 41, 1954). Of all detectors with as few false alarms, this sum
comes soonest to its threshold in the worst case (G. Lorden, Ann. Math. Statist. 42, 1897-1908,
1971; G. Moustakides, Ann. Statist. 14, 1379-1387, 1986, from memory).

A course that is known to within 3 °C may be anywhere in a band of that width about the told one,
and wander in it. The test that does best whatever it does there is the one for the two courses
that are hardest to tell apart: of each band the edge that is nearer to the other (P. J. Huber,
A robust version of the probability ratio test, Ann. Math. Statist. 36, 1753-1758, 1965, from
memory). While the bands meet, a reading says nothing.
"""

from __future__ import annotations

import math

OFFSET_C = 3.0
"""How far off each of the told courses may be."""
_WILD = 6.0
"""A reading so many standard deviations outside both bands is a spike, and says nothing."""


class IdealDetector:
    """Page's sum for the likelihood ratio of two courses, of so many channels.

    Each course is known to within ``within_c``. ``threshold`` is in nats; on noise alone the sum
    comes up to it no more often than once in exp(threshold) readings.
    """

    __slots__ = ("_noises_c", "_threshold", "_within_c", "sum")

    def __init__(
        self, noises_c: tuple[float, ...], threshold: float, within_c: float = OFFSET_C
    ) -> None:
        self._noises_c = noises_c
        self._threshold = threshold
        self._within_c = within_c
        self.sum = 0.0

    @property
    def is_raised(self) -> bool:
        return self.sum >= self._threshold

    def add(self, offs_c: tuple[tuple[int, float, float], ...]) -> bool:
        """One reading: (channel, its distance from the healthy course, from the faulty one).

        Whether the threshold has been reached.
        """
        within_c = self._within_c
        total = self.sum
        for channel, from_healthy_c, from_faulty_c in offs_c:
            apart_c = from_healthy_c - from_faulty_c
            if abs(apart_c) <= 2.0 * within_c:
                continue
            noise_c = self._noises_c[channel]
            if min(abs(from_healthy_c), abs(from_faulty_c)) - within_c > _WILD * noise_c:
                continue
            edge_c = math.copysign(within_c, apart_c)
            healthy = (from_healthy_c - edge_c) / noise_c
            faulty = (from_faulty_c + edge_c) / noise_c
            total += (healthy * healthy - faulty * faulty) / 2.0
        self.sum = max(total, 0.0)
        return self.is_raised


def threshold_for(between_s: float, interval_s: float) -> float:
    """The threshold in nats for a mean time of ``between_s`` between two false alarms, where a
    reading comes each ``interval_s``."""
    return math.log(max(between_s / interval_s, math.e))
