"""Temperature and rate from one noisy, irregular channel. Knows nothing of faults or plans.

A Kalman filter with the state (temperature, rate) and white acceleration (Kalata 1984 calls
its steady state the alpha-beta filter). Both of its figures have a meaning:

* the process noise says how fast a kiln's rate may change: by about 20 °C/h (one standard
  deviation) within five minutes of ordinary firing;
* the measurement noise is learned from the channel itself, from how far each value lies off
  the straight line between its neighbours, which no steady climb disturbs. Noise that hangs
  together from value to value counts as white noise that does the same over minutes.
"""

from __future__ import annotations

import math

RATE_WANDER_C_PER_H = 20.0
RATE_WANDER_S = 300.0
WANDER_C2_S3 = (RATE_WANDER_C_PER_H / 3600.0) ** 2 / RATE_WANDER_S
"""Spectral density of the acceleration, °C²/s³."""
LEANS, _TURNED = 0.8, 7.5
_TURN_C_PER_S, _LONGEST_TURN_S = 100.0 / 3600.0, 60.0
_TURN_VARIANCE = _TURN_C_PER_S**2
"""A kiln that is shut off turns in a moment. Surprises that all lean one way show it: their sum, in
standard deviations, with a memory of five values has one of 1.7, and 4.5 times as much is passed
by noise once in some hundred thousand values. Then the rate may have changed by about 100 °C/h, at
the time from which such a change makes what the surprises lean, and once more since (the adaptive
filters for targets that turn: Bar-Shalom and Birmiwal, IEEE Trans. AES 18, 1982, from memory). If
it were the rate alone that is in doubt, and not the temperature with it, the estimate would make up
for its lag by falling twice as fast as the kiln."""
_FIRST_RATE_VARIANCE = (300.0 / 3600.0) ** 2
"""Before anything is known the rate may be anything a kiln does, about ±300 °C/h."""
FIRST_NOISE_C = 0.5
LEAST_NOISE_C = 0.05
_LEAST_VARIANCE = LEAST_NOISE_C**2
_LEAST_STEP_C = 1e-3
"""Less is rounding of the arithmetic, and no step of a converter."""
_NOISE_MEMORY = 60.0
"""Values over which the noise is remembered."""
_FIRST_WEIGHT = 8.0
"""What is assumed at first weighs as much as seven values."""
_DOUBTED = 3.0
"""The last three values say how hot it is, each with the noise that is now known."""
_LONGEST_RUN = 120.0
LEAST_KNOWN = 30
"""So many values tell what is noise."""


class TemperatureFilter:
    """Estimates ``temp_c`` and ``rate_c_per_s`` with their variances.

    Feed it with ``predict(dt_s)`` and then, where there is a value, ``correct(value_c)``.
    """

    __slots__ = (
        "_hanging_c2",
        "_lean",
        "_swaying_c2",
        "noise_variance",
        "p_rate",
        "p_temp",
        "p_temp_rate",
        "rate_c_per_s",
        "temp_c",
        "turned",
    )

    def __init__(self, temp_c: float, noise_variance: float = FIRST_NOISE_C**2) -> None:
        self.noise_variance = noise_variance
        self.turned = math.inf
        """How far surprises must lean; see ``watch_for_turns``."""
        self._lean = 0.0
        self._hanging_c2 = self._swaying_c2 = 0.0
        """What noise that hangs together adds to ``noise_variance``, and to one value."""
        self.temp_c = temp_c
        self.rate_c_per_s = 0.0
        self.p_temp = noise_variance
        self.p_temp_rate = 0.0
        self.p_rate = _FIRST_RATE_VARIANCE

    @property
    def temp_sigma_c(self) -> float:
        """One standard deviation of ``temp_c``."""
        return math.sqrt(self.p_temp) if self.p_temp > 0.0 else 0.0

    @property
    def rate_sigma_c_per_s(self) -> float:
        """One standard deviation of ``rate_c_per_s``."""
        return math.sqrt(self.p_rate) if self.p_rate > 0.0 else 0.0

    def watch_for_turns(self) -> None:
        """Follow a turn quickly from now on: what is noise is known, and would be taken for one."""
        self.turned = _TURNED

    def sways(self, hanging_c2: float, swaying_c2: float, alike: float) -> None:
        """The noise of single values that is set from now on holds ``hanging_c2`` for what hangs
        together. A single value sways by ``swaying_c2`` of it, and so much more than of independent
        ones, ``alike``, does what surprises lean."""
        self._hanging_c2, self._swaying_c2 = hanging_c2, swaying_c2
        if self.turned < math.inf:
            single_c2 = self.noise_variance - hanging_c2
            part = (single_c2 + alike * swaying_c2) / (single_c2 + hanging_c2)
            self.turned = _TURNED * math.sqrt(min(part, 1.0))

    @property
    def _value_variance(self) -> float:
        """Of one value, in °C²."""
        return self.noise_variance - self._hanging_c2 + self._swaying_c2

    def restart(self, temp_c: float, rate_c_per_s: float) -> None:
        """Begin anew at a level that several values agree on."""
        self.temp_c = temp_c
        self.rate_c_per_s = rate_c_per_s
        self.p_temp = self._value_variance
        self.p_temp_rate = 0.0
        self.p_rate = _FIRST_RATE_VARIANCE

    def doubt(self, noise_variance: float) -> None:
        """Let the noise have ``noise_variance``, in °C², as in the last values already."""
        self.noise_variance = noise_variance
        self.p_temp = max(self.p_temp, noise_variance / _DOUBTED)
        self.p_rate = max(self.p_rate, _TURN_VARIANCE)

    def predict(self, dt_s: float) -> None:
        """Carry the estimate ``dt_s`` seconds on (positive)."""
        p_rate, p_temp_rate = self.p_rate, self.p_temp_rate
        wander = WANDER_C2_S3 * dt_s
        self.temp_c += self.rate_c_per_s * dt_s
        self.p_temp += dt_s * (2.0 * p_temp_rate + dt_s * (p_rate + wander / 3.0))
        self.p_temp_rate = p_temp_rate + dt_s * (p_rate + wander / 2.0)
        self.p_rate = p_rate + wander

    def surprise_limit_c(self, sigmas: float) -> float:
        """How far a value may lie off the prediction at so many standard deviations."""
        return sigmas * math.sqrt(self.p_temp + self._value_variance)

    def correct(self, value_c: float) -> None:
        """Take in a value at the time predicted to."""
        p_temp, p_temp_rate = self.p_temp, self.p_temp_rate
        spread = p_temp + self.noise_variance
        gain_temp = p_temp / spread
        gain_rate = p_temp_rate / spread
        temp_c = self.temp_c
        surprise = value_c - temp_c
        self.temp_c = temp_c + gain_temp * surprise
        self.rate_c_per_s += gain_rate * surprise
        kept = 1.0 - gain_temp
        self.p_temp = p_temp * kept
        self.p_temp_rate = p_temp_rate * kept
        self.p_rate -= gain_rate * p_temp_rate
        lean = self._lean * LEANS + surprise / spread**0.5
        turned = self.turned
        if lean > turned or lean < -turned:
            self._turn(abs(lean) * spread**0.5)
            lean = 0.0
        self._lean = lean

    def _turn(self, lean_c: float) -> None:
        """The rate has changed some time ago, and the temperature lags behind by what it leans."""
        since_s = min((1.0 - LEANS) * lean_c / _TURN_C_PER_S, _LONGEST_TURN_S)
        self.p_temp += since_s * since_s * _TURN_VARIANCE
        self.p_temp_rate += since_s * _TURN_VARIANCE
        self.p_rate += 2.0 * _TURN_VARIANCE


class NoiseEstimate:
    """Learns a channel's noise, its resolution and how often a value repeats itself.

    For three neighbours with independent noise of variance v, the middle one lies off the
    line through the others with variance ``v·(1 + w² + (1−w)²)``, w being where it stands
    between them. Coarse values that stand still between steps have errors that hang together;
    their weight is that of one value a run, with the uniform variance of rounding (u²/12).
    ``typical_run`` counts a run that still goes on; ``variance_before_run`` is what was known
    when the run began.
    """

    __slots__ = (
        "_change_c",
        "_recent_c",
        "_recent_s",
        "_since_s",
        "count",
        "resolution_c",
        "run",
        "typical_run",
        "variance",
        "variance_before_run",
    )

    def __init__(self) -> None:
        self.variance = FIRST_NOISE_C**2
        self.resolution_c: float | None = None
        self.run = 1
        self.count = 0
        self.typical_run = 1.0
        self.variance_before_run = self.variance
        self._recent_s: float | None = None
        self._recent_c = 0.0
        self._since_s = 0.0
        self._change_c = 0.0
        """From the value before the recent one to that; 0 s while there is none."""

    @property
    def recent_c(self) -> float:
        """The trusted value that was taken in last; 0 before any."""
        return self._recent_c

    def learn(self, elapsed_s: float, value_c: float) -> float:
        """Take in a trusted value; the variance to filter with, in °C²."""
        recent_s, variance = self._recent_s, self.variance
        if recent_s is not None:
            since_s, change_c = elapsed_s - recent_s, value_c - self._recent_c
            if change_c == 0.0:
                self.run += 1
                if self.run > self.typical_run:
                    # A run still going on counts as far as it has come.
                    self.typical_run += (min(self.run, _LONGEST_RUN) - self.typical_run) * 0.02
            else:
                ended: float = self.run
                if ended > _LONGEST_RUN:
                    ended = _LONGEST_RUN
                self.typical_run += (ended - self.typical_run) * 0.1
                self.run = 1
                self.variance_before_run = variance
                step_c, least_c = abs(change_c), self.resolution_c
                if step_c > _LEAST_STEP_C and (least_c is None or step_c < least_c):
                    self.resolution_c = step_c
            before_s, before_c = self._since_s, self._change_c
            if before_s > 0.0:
                w = before_s / (before_s + since_s)
                off = before_c - w * (before_c + change_c)
                # 1 + w² + (1 − w)², in fewer steps.
                seen = off * off / (2.0 - 2.0 * w * (1.0 - w))
                most = 9.0 * variance
                if seen > most:
                    seen = most
                count = self.count
                memory = count + _FIRST_WEIGHT if count < _NOISE_MEMORY else _NOISE_MEMORY
                variance += (seen - variance) / memory
                if variance < _LEAST_VARIANCE:
                    variance = _LEAST_VARIANCE
                self.variance = variance
                self.count = count + 1
            self._since_s, self._change_c = since_s, change_c
        self._recent_s, self._recent_c = elapsed_s, value_c
        if self.typical_run > 2.0 and self.resolution_c is not None:
            rounding = self.resolution_c * self.resolution_c / 12.0 * self.typical_run
            if rounding > variance:
                return rounding
        return variance

    def is_rougher(self, variance: float) -> float:
        """The noise has at least this variance from now on, in °C²; what it has."""
        self.variance = max(self.variance, variance)
        return self.variance

    def log_chance_of_run(self) -> float:
        """The natural logarithm of the chance that noise alone repeats the value so often.

        Noise of standard deviation s, in the middle of a rounding step u, stays within the step
        with the chance erf(u / (2·√2·s)): the likeliest place for it. Two neighbouring values
        in turns, which an edge gives to any noise, have the variance u²/4: only what is beyond
        that speaks of noise. Nor does what was assumed before any was seen, of which the running
        mean keeps a part. 0 where nothing is known.
        """
        step_c, count = self.resolution_c, self.count - self.run
        if step_c is None or count < LEAST_KNOWN:
            return 0.0
        assumed = (_FIRST_WEIGHT - 1.0) / (_FIRST_WEIGHT - 1.0 + min(count, _NOISE_MEMORY))
        assumed *= (1.0 - 1.0 / _NOISE_MEMORY) ** max(count - _NOISE_MEMORY, 0.0)
        seen = (self.variance_before_run - assumed * FIRST_NOISE_C**2) / (1.0 - assumed)
        variance = seen - step_c * step_c / 4.0
        if variance <= 0.0:
            return 0.0
        stays = math.erf(step_c / math.sqrt(8.0 * variance))
        return (self.run - 1) * math.log(stays) if stays < 1.0 else 0.0
