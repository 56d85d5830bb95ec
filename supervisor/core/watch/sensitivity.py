"""The one sensitivity: how many false alarms are accepted, and what each test must then ask for.

A person says how many false alarms in 1,000 firing hours are bearable. The kinds share that
budget, and from a kind's share follows the mean time between its false alarms. Divided by the
time in which its statistic forgets itself, the correlation time, that is a number of
independent looks, and the natural logarithm of it is what every test needs (``nats``):

* A sequential test that adds up log-likelihood ratios and never lets the sum fall below 0
  (E. S. Page, Continuous inspection schemes, Biometrika 41, 1954) comes up to h on noise alone
  no more often than once in exp(h) looks (G. Lorden, Ann. Math. Statist. 42, 1897-1908, 1971).
* A steady Gaussian signal passes a level of z standard deviations upwards once in exp(z²/2)
  correlation times (S. O. Rice, Bell Syst. Tech. J. 23 and 24, 1944-45, from memory), so that
  z = √(2h).

What else a threshold allows for (a controller's swing, a person who looks away) has no theory;
such figures are chosen at the default sensitivity and move in proportion to h (``scale``).

Knows nothing of kilns, channels or messages.
"""

from __future__ import annotations

import math

from supervisor.core.events import Kind

DEFAULT_PER_1000_H = 1.0
LEAST_PER_1000_H, MOST_PER_1000_H = 0.01, 100.0
"""What a person may ask for."""
CORRELATION_S = 20.0
"""The filter forgets in half a minute to a few minutes: 35 s with 0.4 °C of noise and a look each
second, 150 s on a noisy rig that looks each half minute (its steady state, Kalata 1984). A sum
looks back over all spans at once, which makes for more looks than that; a third of a minute is
on the safe side of both, as simulated noise shows (``tests/core/watch/test_sensitivity.py``)."""

SHARES = {
    Kind.STALL: 0.30,
    Kind.HEAT_LOST: 0.25,
    Kind.FAST_COOLING: 0.20,
    Kind.HEAT_STUCK_ON: 0.10,
    Kind.OVERSHOOT: 0.10,
    Kind.LAGGING: 0.05,
}
"""How the budget is shared. The kinds that are hardest to tell from ordinary firing have most;
a share half as large costs no more than ln 2 of some 12, so little hangs on it. Uneven channels and
sensor faults go by tolerances and rules of their own and have none; a hurry through a guarded band
is measured over so many degrees that noise has no part in it."""


class Sensitivity:
    """What the accepted number of false alarms asks of each kind of test.

    ``false_alarms_per_1000_h`` is the mean number over all kinds, from ``LEAST_PER_1000_H`` to
    ``MOST_PER_1000_H``; more is a livelier watch.

    >>> usual = Sensitivity()
    >>> round(usual.between_s(Kind.STALL) / 3600.0), round(usual.nats(Kind.STALL), 1)
    (3333, 13.3)
    >>> round(Sensitivity(10.0).nats(Kind.STALL) - usual.nats(Kind.STALL), 3)
    -2.303
    """

    __slots__ = ("false_alarms_per_1000_h",)

    def __init__(self, false_alarms_per_1000_h: float = DEFAULT_PER_1000_H) -> None:
        self.false_alarms_per_1000_h = min(
            max(false_alarms_per_1000_h, LEAST_PER_1000_H), MOST_PER_1000_H
        )

    def between_s(self, kind: Kind) -> float:
        """The mean time in seconds that is to lie between two false alarms of this kind."""
        return 1000.0 * 3600.0 / (self.false_alarms_per_1000_h * SHARES[kind])

    def nats(self, kind: Kind, correlation_s: float = CORRELATION_S) -> float:
        """The threshold h of a sum of log-likelihood ratios, for a statistic that forgets itself
        in ``correlation_s`` seconds."""
        return math.log(max(self.between_s(kind) / correlation_s, math.e))

    def sigmas(self, kind: Kind, correlation_s: float = CORRELATION_S) -> float:
        """The level z, in standard deviations, that a steady signal may pass so seldom."""
        return math.sqrt(2.0 * self.nats(kind, correlation_s))

    def scale(self, kind: Kind) -> float:
        """The factor by which figures chosen at the default sensitivity are to move."""
        return self.nats(kind) / Sensitivity().nats(kind)


def noise_limit_c(sigmas: float, sigma_c: float, memory_s: float, drift_c_per_s: float) -> float:
    """How far noise alone carries a sum of increments of the filtered temperature, in °C.

    The sum holds the difference of two estimates with standard deviation ``sigma_c`` whose
    errors part with exp(-t / ``memory_s``), while a healthy kiln takes ``drift_c_per_s`` off it.
    At the time t apart that is z·σ·√(2(1 − exp(−t/m))) − drift·t; what matters is its largest
    value over t, which is looked for at three places.
    """
    drift_c = drift_c_per_s * memory_s
    reach_c = sigmas * sigma_c
    most_c = 0.887 * reach_c - 0.5 * drift_c
    other_c = 1.124 * reach_c - drift_c
    if other_c > most_c:
        most_c = other_c
    other_c = 1.315 * reach_c - 2.0 * drift_c
    return max(most_c, other_c)
