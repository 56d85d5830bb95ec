"""A source that never ends: when one simulated firing is cold, the next begins.

Each is drawn with another seed and begins at the temperature at which the one before ended.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from simulator.firing import SimulatedFiring
from simulator.scenario import Scenario
from supervisor.core.readings import Reading
from supervisor.service.simulated_rig import SimulatedRig


class OneAfterTheOther:
    """A source of firing after firing on one clock."""

    def __init__(self, scenario: Scenario, interval_s: float, tally: Path) -> None:
        self._interval_s = interval_s
        self._zero_s = 0.0
        self._scenario = scenario
        self._rig = SimulatedRig(scenario, interval_s)

    @property
    def channels(self) -> tuple[str, ...]:
        return self._rig.channels

    def due_s(self, after_s: float | None) -> float | None:
        return 0.0 if after_s is None else after_s + self._interval_s

    def read(self, elapsed_s: float) -> Reading:
        """The firing of now; the next one where that is over."""
        if self._rig.due_s(0.0) is None:
            self._begin_next(elapsed_s)
        reading = self._rig.read(elapsed_s - self._zero_s)
        return replace(reading, elapsed_s=elapsed_s)

    def _begin_next(self, elapsed_s: float) -> None:
        ended: SimulatedFiring = self._rig._firing
        self._rig.close()
        self._scenario = replace(
            self._scenario, seed=self._scenario.seed + 1, start_c=ended.chamber_c
        )
        self._rig = SimulatedRig(self._scenario, self._interval_s)
        self._zero_s = elapsed_s

    def close(self) -> None:
        self._rig.close()
