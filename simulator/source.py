"""Readings of a simulated firing, with no chip between.

Knows the step of a MAX31856's result, 1/128 °C (19 bits: Maxim, MAX31856 datasheet, thermocouple
temperature registers), and rounds to it. The firing's truth stays behind.
"""

from __future__ import annotations

from simulator.firing import SimulatedFiring
from supervisor.core.readings import FaultCause, Reading

CONVERTER_STEPS_PER_C = 128.0


class SimulatedSource:
    """A source (``supervisor.core.readings.Source``) over ``firing``, one reading each interval.

    It ends when the scenario is over. Raises ValueError for an interval that is not positive.
    """

    def __init__(self, firing: SimulatedFiring, interval_s: float = 1.0) -> None:
        if not interval_s > 0.0:
            raise ValueError("the interval between readings must be positive")
        self._firing = firing
        self._interval_s = interval_s
        self._channels = firing.scenario.channels

    @property
    def channels(self) -> tuple[str, ...]:
        """The scenario's channels, in order."""
        return self._channels

    def due_s(self, after_s: float | None) -> float | None:
        """When the next reading is due; None once the scenario is over."""
        if after_s is None:
            return 0.0
        return None if self._firing.finished else after_s + self._interval_s

    def read(self, elapsed_s: float) -> Reading:
        """Let the firing live on until ``elapsed_s`` and look at all channels."""
        firing = self._firing
        firing.advance_to(elapsed_s)
        temps_c = {
            channel: None
            if temp_c is None
            else round(temp_c * CONVERTER_STEPS_PER_C) / CONVERTER_STEPS_PER_C
            for channel, temp_c in firing.measured_c.items()
        }
        open_channels = firing.open_channels
        if not open_channels:
            return Reading(elapsed_s, temps_c)
        faults = {
            channel: FaultCause.OPEN for channel in self._channels if channel in open_channels
        }
        return Reading(elapsed_s, temps_c, faults)

    def close(self) -> None:
        """Nothing is held open."""
