"""The simulated kiln under the real driver: what runs on a Pi reads the simulated probes.

Wires the simulator's kiln to its register-level chips, and the chips' bus to the rig.
"""

from __future__ import annotations

from hardware.channel import ThermocoupleChannel
from hardware.max31856_rig import Max31856Rig
from simulator.chip import SimulatedBench
from simulator.firing import SimulatedFiring
from simulator.scenario import Scenario
from supervisor.core.readings import Reading


class SimulatedRig:
    """A source: a simulated firing seen through MAX31856 chips, their driver and the rig."""

    def __init__(self, scenario: Scenario, interval_s: float) -> None:
        self._firing = SimulatedFiring(scenario)
        self._interval_s = interval_s
        self._longest_s = scenario.duration_s or scenario.max_s
        names = scenario.channels
        self._bench = SimulatedBench(names)
        self._rig = Max31856Rig(
            self._bench.spi,
            [ThermocoupleChannel(name, chip_select=name) for name in names],
            self._bench.pins,
        )

    @property
    def channels(self) -> tuple[str, ...]:
        return self._rig.channels

    def due_s(self, after_s: float | None) -> float | None:
        """None once the scenario is over."""
        if self._firing.finished:
            return None
        return 0.0 if after_s is None else after_s + self._interval_s

    def read(self, elapsed_s: float) -> Reading:
        """Let the kiln live on until ``elapsed_s``, complete a conversion, read the chips."""
        if not self._firing.finished:
            self._firing.advance_to(min(elapsed_s, self._longest_s))
        self._bench.show(self._firing.measured_c, cold_junction_c=self._firing.cold_junction_c)
        self._bench.convert()
        return self._rig.read(elapsed_s)

    def close(self) -> None:
        self._rig.close()
