"""The watching rig's probes: what each thermocouple makes of the kiln's temperature.

Knows lag, place, noise and errors of a probe, and how warm its terminals are. Knows nothing of
chips: the steps of a converter are for who reads, but for a coarser display of its own.

Everything is a function of the instant: between two corners of the chamber's temperature, which
the firing gives it, a probe's junction follows in closed form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

from simulator.noise import InstantNoise

OFFSET_IS_THERE = 0.3
"""The part of probes with an offset worth the name, where a scenario gives none."""
OFFSET_SPREAD_C = 2.0
"""Standard deviation of such an offset, cut at twice itself. New type K wire of the standard
class may be off by 0.75 % (ASTM E230), some 9 °C at 1,200 °C; most is far better."""

TERMINALS_ABOVE_SHED_C = 2.0
"""How much the terminals' box is warmer than the shed with a cold kiln (a guess)."""
SHED_RISE_C_PER_KW = 1.2
"""How much the terminals warm up for each kW that the kiln's skin gives off (a guess)."""
MOST_SHED_RISE_C = 18.0
"""A larger kiln stands in a larger shed (a guess)."""
DAILY_SWING_C = 1.5
"""Half the swing of the shed's temperature over a day (a guess)."""
DAY_S = 86_400.0
TERMINALS_LAG_S = 1800.0
"""How slowly the terminals follow the shed."""

HUM_BEAT_S = 7.3
"""Mains hum looked at once a second shows as a slow beat (a guess)."""
SPIKE_SHARE = 0.5
"""A spike is between this part of its size and all of it."""
LOWEST_READING_C = -200.0
"""What a converter gives at least for a type K input (IEC 60584 gives -200 °C as its range)."""


@dataclass(frozen=True, slots=True)
class SensorSpec:
    """One channel of the rig.

    ``lag_s`` is the time constant of the sheathed probe, ``noise_c`` the standard deviation of
    its readings. ``offset_c`` is a fixed error; ``None`` lets the seed decide. ``gain_error`` is
    the wire's, as a part of the temperature, ``drift_c_per_h`` how fast it goes astray.
    ``toward_wall`` is how much of the wall's face it sees in place of the chamber (0 to 1).
    ``cold_junction_c`` is the error in the terminals' temperature, which a reading takes over
    as it is (type K is nearly straight). ``spikes_per_h`` of about ``spike_c`` either way are a
    loose contact's, ``hum_c`` is the height of mains hum. ``resolution_c`` is a coarser step
    than the converter's own, if any.
    """

    channel: str
    zone: str
    lag_s: float = 30.0
    noise_c: float = 0.3
    offset_c: float | None = None
    gain_error: float = 0.0
    drift_c_per_h: float = 0.0
    toward_wall: float = 0.0
    cold_junction_c: float = 0.0
    spikes_per_h: float = 0.0
    spike_c: float = 20.0
    hum_c: float = 0.0
    resolution_c: float | None = None


class Thermocouple:
    """One probe. ``junction_c`` is the temperature of its hot junction at the last corner.

    A first-order lag: on a ramp the junction runs late by rate times ``lag_s``.
    """

    __slots__ = (
        "_from_c",
        "_hum_phase",
        "_is_plain",
        "_noise",
        "_slope_c_per_s",
        "_spikes",
        "junction_c",
        "offset_c",
        "spec",
    )

    def __init__(self, spec: SensorSpec, *, seed: int, start_c: float) -> None:
        # Dice of its own for each channel: one more channel changes no other's noise.
        dice = Random(f"{seed} {spec.channel}")  # noqa: S311
        self.spec = spec
        self.junction_c = start_c
        self.offset_c = _drawn_offset_c(dice) if spec.offset_c is None else spec.offset_c
        self._hum_phase = dice.uniform(0.0, math.tau)
        self._noise = InstantNoise(seed, f"{spec.channel} noise")
        self._spikes = InstantNoise(seed, f"{spec.channel} spikes")
        self._is_plain = not (
            spec.gain_error
            or spec.drift_c_per_h
            or spec.cold_junction_c
            or spec.spikes_per_h
            or spec.hum_c
            or spec.resolution_c
        )
        self._from_c = start_c
        self._slope_c_per_s = 0.0

    def begin(self, from_c: float, to_c: float, dt_s: float) -> None:
        """Say that what the probe sees will go from one temperature to the other in ``dt_s``."""
        self._from_c = from_c
        self._slope_c_per_s = (to_c - from_c) / dt_s

    def junction_at_c(self, since_s: float) -> float:
        """The junction's temperature so long after ``begin``."""
        lag_s = self.spec.lag_s
        late_c = self._slope_c_per_s * lag_s
        settled_c = self._from_c - late_c
        return (
            settled_c
            + self._slope_c_per_s * since_s
            + (self.junction_c - settled_c) * math.exp(-since_s / lag_s)
        )

    def end(self, dt_s: float) -> None:
        """Live through what was begun, for ``dt_s``."""
        self.junction_c = self.junction_at_c(dt_s)

    def measured_c(self, junction_c: float, elapsed_s: float) -> float:
        """What is measured at that second with the junction there: all errors and noise."""
        spec = self.spec
        second = int(elapsed_s)
        value_c = junction_c + self.offset_c + spec.noise_c * self._noise.normal(second)
        if self._is_plain:
            return value_c
        value_c += spec.gain_error * junction_c + spec.drift_c_per_h * elapsed_s / 3600.0
        value_c += spec.cold_junction_c
        if spec.hum_c:
            value_c += spec.hum_c * math.sin(math.tau * elapsed_s / HUM_BEAT_S + self._hum_phase)
        if spec.spikes_per_h:
            chance = spec.spikes_per_h / 3600.0
            drawn = self._spikes.uniform(second)
            if drawn < chance:
                # Which half it fell into says which way, and where in it how high.
                part = drawn / chance * 2.0
                size = SPIKE_SHARE + (1.0 - SPIKE_SHARE) * (part % 1.0)
                value_c += spec.spike_c * (size if part < 1.0 else -size)
        if spec.resolution_c:
            value_c = round(value_c / spec.resolution_c) * spec.resolution_c
        return value_c


def _drawn_offset_c(dice: Random) -> float:
    if dice.random() >= OFFSET_IS_THERE:
        return 0.0
    limit_c = 2.0 * OFFSET_SPREAD_C
    return min(limit_c, max(-limit_c, dice.gauss(0.0, OFFSET_SPREAD_C)))


class Terminals:
    """The cold junction: ``temp_c`` drifts with the day and with the heat of the kiln."""

    __slots__ = ("_ambient_c", "_phase", "temp_c")

    def __init__(self, *, seed: int, ambient_c: float) -> None:
        self._ambient_c = ambient_c
        self._phase = Random(f"{seed} terminals").uniform(0.0, math.tau)  # noqa: S311
        self.temp_c = self._shed_c(0.0, 0.0)

    def _shed_c(self, elapsed_s: float, skin_loss_w: float) -> float:
        return (
            self._ambient_c
            + TERMINALS_ABOVE_SHED_C
            + min(MOST_SHED_RISE_C, SHED_RISE_C_PER_KW * skin_loss_w / 1000.0)
            + DAILY_SWING_C * math.sin(math.tau * elapsed_s / DAY_S + self._phase)
        )

    def follow(self, elapsed_s: float, skin_loss_w: float, dt_s: float) -> None:
        """Live through ``dt_s`` seconds beside a kiln that gives off ``skin_loss_w``."""
        target_c = self._shed_c(elapsed_s, skin_loss_w)
        self.temp_c += (target_c - self.temp_c) * -math.expm1(-dt_s / TERMINALS_LAG_S)
