"""Readings of a simulated firing, with no chip between.

Knows the step of a MAX31856's result, 1/128 °C (19 bits: Maxim, MAX31856 datasheet, thermocouple
temperature registers), and rounds to it. The firing's truth stays behind. A silent rig is a
look with no value on any channel and no reason, as the service sees one.
"""

from __future__ import annotations

from datetime import datetime, timedelta

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
        began = firing.scenario.began
        self._began = None if began is None else datetime.fromisoformat(began)

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
        label = None if self._began is None else self._label(self._began, elapsed_s)
        open_channels = set() if firing.is_silent else firing.open_channels
        if not open_channels:
            return Reading(elapsed_s, temps_c, time=label)
        faults = {
            channel: FaultCause.OPEN for channel in self._channels if channel in open_channels
        }
        return Reading(elapsed_s, temps_c, faults, label)

    def _label(self, began: datetime, elapsed_s: float) -> str:
        """What the wall clock says; it may have been put forward or back."""
        clock = began + timedelta(seconds=elapsed_s + self._firing.label_shift_s)
        return clock.isoformat(timespec="seconds")

    def close(self) -> None:
        """Nothing is held open."""
