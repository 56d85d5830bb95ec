"""Temperature and rate from one noisy, irregular channel. Knows nothing of faults or plans.

A Kalman filter with the state (temperature, rate) and white acceleration (Kalata 1984 calls
its steady state the alpha-beta filter). Both of its figures have a meaning:

* the process noise says how fast a kiln's rate may change: by about 20 °C/h (one standard
  deviation) within five minutes of ordinary firing;
* the measurement noise is learned from the channel itself, from how far each value lies off
  the straight line between its neighbours, which no steady climb disturbs.
"""

from __future__ import annotations

import math

RATE_WANDER_C_PER_H = 20.0
RATE_WANDER_S = 300.0
_Q = (RATE_WANDER_C_PER_H / 3600.0) ** 2 / RATE_WANDER_S
"""Spectral density of the acceleration, °C²/s³."""
_FIRST_RATE_VARIANCE = (300.0 / 3600.0) ** 2
"""Before anything is known the rate may be anything a kiln does, about ±300 °C/h."""
FIRST_NOISE_C = 0.5
LEAST_NOISE_C = 0.05
_NOISE_MEMORY = 60.0
"""Values over which the noise is remembered."""
_LONGEST_RUN = 120.0
_LEAST_KNOWN = 30


class TemperatureFilter:
    """Estimates ``temp_c`` and ``rate_c_per_s`` with their variances.

    Feed it with ``predict(dt_s)`` and then, where there is a value, ``correct(value_c)``.
    """

    __slots__ = ("noise_variance", "p_rate", "p_temp", "p_temp_rate", "rate_c_per_s", "temp_c")

    def __init__(self, temp_c: float, noise_variance: float = FIRST_NOISE_C**2) -> None:
        self.noise_variance = noise_variance
        self.temp_c = temp_c
        self.rate_c_per_s = 0.0
        self.p_temp = noise_variance
        self.p_temp_rate = 0.0
        self.p_rate = _FIRST_RATE_VARIANCE

    def restart(self, temp_c: float, rate_c_per_s: float) -> None:
        """Begin anew at a level that several values agree on."""
        self.temp_c = temp_c
        self.rate_c_per_s = rate_c_per_s
        self.p_temp = self.noise_variance
        self.p_temp_rate = 0.0
        self.p_rate = _FIRST_RATE_VARIANCE

    def predict(self, dt_s: float) -> None:
        """Carry the estimate ``dt_s`` seconds on (positive)."""
        self.temp_c += self.rate_c_per_s * dt_s
        p_rate = self.p_rate
        self.p_temp += dt_s * (2.0 * self.p_temp_rate + dt_s * p_rate) + _Q * dt_s**3 / 3.0
        self.p_temp_rate += dt_s * p_rate + _Q * dt_s * dt_s / 2.0
        self.p_rate = p_rate + _Q * dt_s

    def surprise_limit_c(self, sigmas: float) -> float:
        """How far a value may lie off the prediction at so many standard deviations."""
        return sigmas * math.sqrt(self.p_temp + self.noise_variance)

    def correct(self, value_c: float) -> None:
        """Take in a value at the time predicted to."""
        p_temp, p_temp_rate = self.p_temp, self.p_temp_rate
        spread = p_temp + self.noise_variance
        gain_temp = p_temp / spread
        gain_rate = p_temp_rate / spread
        surprise = value_c - self.temp_c
        self.temp_c += gain_temp * surprise
        self.rate_c_per_s += gain_rate * surprise
        self.p_temp = p_temp * (1.0 - gain_temp)
        self.p_temp_rate = p_temp_rate * (1.0 - gain_temp)
        self.p_rate -= gain_rate * p_temp_rate


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
        "_older_c",
        "_older_s",
        "_recent_c",
        "_recent_s",
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
        self._older_s: float | None = None
        self._older_c = 0.0
        self._recent_s: float | None = None
        self._recent_c = 0.0

    def learn(self, elapsed_s: float, value_c: float) -> float:
        """Take in a trusted value; the variance to filter with, in °C²."""
        recent_s, recent_c = self._recent_s, self._recent_c
        older_s = self._older_s
        if recent_s is not None:
            change_c = value_c - recent_c
            if change_c == 0.0:
                self.run += 1
                if self.run > self.typical_run:
                    # A run still going on counts as far as it has come.
                    self.typical_run += (min(self.run, _LONGEST_RUN) - self.typical_run) * 0.02
            else:
                ended = min(self.run, _LONGEST_RUN)
                self.typical_run += (ended - self.typical_run) * 0.1
                self.run = 1
                self.variance_before_run = self.variance
                step_c = change_c if change_c > 0.0 else -change_c
                if step_c > 1e-3 and (self.resolution_c is None or step_c < self.resolution_c):
                    self.resolution_c = step_c
            if older_s is not None:
                w = (recent_s - older_s) / (elapsed_s - older_s)
                off = recent_c - (self._older_c + w * (value_c - self._older_c))
                seen = off * off / (1.0 + w * w + (1.0 - w) * (1.0 - w))
                most = 9.0 * self.variance
                if seen > most:
                    seen = most
                self.variance += (seen - self.variance) / _NOISE_MEMORY
                self.count += 1
        self._older_s, self._older_c = recent_s, recent_c
        self._recent_s, self._recent_c = elapsed_s, value_c
        variance = self.variance
        if variance < LEAST_NOISE_C**2:
            variance = self.variance = LEAST_NOISE_C**2
        if self.resolution_c is not None and self.typical_run > 2.0:
            rounding = self.resolution_c * self.resolution_c / 12.0 * self.typical_run
            if rounding > variance:
                return rounding
        return variance

    def log_chance_of_run(self) -> float:
        """The natural logarithm of the chance that noise alone repeats the value so often.

        Noise of standard deviation s, in the middle of a rounding step u, stays within the step
        with the chance erf(u / (2·√2·s)): the likeliest place for it. Two neighbouring values
        in turns, which an edge gives to any noise, have the variance u²/4: only what is beyond
        that speaks of noise. Nor does what was assumed before any was seen, of which a running
        mean keeps (1 − 1/memory)^n after n values. 0 where nothing is known.
        """
        step_c, count = self.resolution_c, self.count - self.run
        if step_c is None or count < _LEAST_KNOWN:
            return 0.0
        assumed = (1.0 - 1.0 / _NOISE_MEMORY) ** count
        seen = (self.variance_before_run - assumed * FIRST_NOISE_C**2) / (1.0 - assumed)
        variance = seen - step_c * step_c / 4.0
        if variance <= 0.0:
            return 0.0
        stays = math.erf(step_c / math.sqrt(8.0 * variance))
        return (self.run - 1) * math.log(stays) if stays < 1.0 else 0.0
