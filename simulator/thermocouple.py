"""The watching rig's probes: what reaches the terminals of each thermocouple.

Knows lag, noise and offset of a probe, and how warm its terminals are. Knows nothing of chips:
rounding to the converter's steps is done by who reads.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random

OFFSET_IS_THERE = 0.3
"""The part of probes with an offset worth the name, where a scenario gives none."""
OFFSET_SPREAD_C = 2.0
"""Standard deviation of such an offset, cut at twice itself. New type K wire of the standard
class may be off by 0.75 % (ASTM E230), some 9 °C at 1,200 °C; most is far better."""

TERMINALS_ABOVE_SHED_C = 2.0
"""How much the terminals' box is warmer than the shed with a cold kiln (a guess)."""
SHED_RISE_C_PER_KW = 1.2
"""How much the terminals warm up for each kW that the kiln's skin gives off (a guess)."""
DAILY_SWING_C = 1.5
"""Half the swing of the shed's temperature over a day (a guess)."""
DAY_S = 86_400.0
TERMINALS_LAG_S = 1800.0
"""How slowly the terminals follow the shed."""


@dataclass(frozen=True, slots=True)
class SensorSpec:
    """One channel of the rig.

    ``lag_s`` is the time constant of the sheathed probe, ``noise_c`` the standard deviation of
    its readings. ``offset_c`` is a fixed error; ``None`` lets the seed decide.
    """

    channel: str
    zone: str
    lag_s: float = 30.0
    noise_c: float = 0.3
    offset_c: float | None = None


class Thermocouple:
    """One probe. ``junction_c`` is the temperature of its hot junction.

    A first-order lag: on a ramp the junction runs late by rate times ``lag_s``.
    """

    __slots__ = ("_noise_c", "_part", "_random", "junction_c", "offset_c", "spec")

    def __init__(self, spec: SensorSpec, *, seed: int, start_c: float, dt_s: float) -> None:
        # A generator of its own for each channel: one more channel changes no other's noise.
        self._random = Random(f"{seed} {spec.channel}")  # noqa: S311
        self.spec = spec
        self.junction_c = start_c
        # The exact answer over one step to a chamber that stands still for it.
        self._part = -math.expm1(-dt_s / spec.lag_s)
        self._noise_c = spec.noise_c
        self.offset_c = self._drawn_offset_c() if spec.offset_c is None else spec.offset_c

    def _drawn_offset_c(self) -> float:
        if self._random.random() >= OFFSET_IS_THERE:
            return 0.0
        limit_c = 2.0 * OFFSET_SPREAD_C
        return min(limit_c, max(-limit_c, self._random.gauss(0.0, OFFSET_SPREAD_C)))

    def follow(self, chamber_c: float) -> None:
        """Live through one time step at ``chamber_c``."""
        self.junction_c += (chamber_c - self.junction_c) * self._part

    def measured_c(self) -> float:
        """A measurement with offset and fresh noise. Call it once each time step, always."""
        return self.junction_c + self.offset_c + self._random.gauss(0.0, self._noise_c)


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
            + SHED_RISE_C_PER_KW * skin_loss_w / 1000.0
            + DAILY_SWING_C * math.sin(math.tau * elapsed_s / DAY_S + self._phase)
        )

    def follow(self, elapsed_s: float, skin_loss_w: float, dt_s: float) -> None:
        """Live through ``dt_s`` seconds beside a kiln that gives off ``skin_loss_w``."""
        target_c = self._shed_c(elapsed_s, skin_loss_w)
        self.temp_c += (target_c - self.temp_c) * dt_s / TERMINALS_LAG_S
