"""A scenario as data: which kiln is fired by which schedule, who works it, what watches it.

Knows no files; ``scenario`` reads them, ``draw`` makes scenarios up.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from simulator.faults import FaultSpec
from simulator.kiln_spec import KilnSpec
from simulator.operation import Operation
from simulator.thermocouple import SensorSpec
from supervisor.core.schedule import Schedule

PLAIN_CONTROLLER = Operation()


@dataclass(frozen=True, slots=True)
class Scenario:
    """One simulated firing, complete: the same scenario gives the same readings.

    The operator begins after ``start_delay_s``, and with the plan after candling as well. The
    kiln is at ``start_c`` at first (the shed's ``ambient_c`` if None). The firing is over after
    ``duration_s``, or when the kiln is cold again (``None``), but in any case after ``max_s``.
    ``interval_s`` is the rig's usual time between readings. ``began`` is the wall clock's label
    for second 0 (ISO 8601 with offset); without it readings have none.
    """

    name: str
    title: str
    kiln: KilnSpec
    schedule: Schedule
    sensors: tuple[SensorSpec, ...]
    faults: tuple[FaultSpec, ...] = ()
    ambient_c: float = 18.0
    start_delay_s: float = 0.0
    duration_s: float | None = None
    max_s: float = 48 * 3600.0
    seed: int = 1
    operation: Operation = PLAIN_CONTROLLER
    start_c: float | None = None
    interval_s: float = 1.0
    began: str | None = None

    @property
    def channels(self) -> tuple[str, ...]:
        """The rig's channels, in order."""
        return tuple(sensor.channel for sensor in self.sensors)

    def with_seed(self, seed: int) -> Scenario:
        """The same scenario with other noise and other offsets."""
        return replace(self, seed=seed)
