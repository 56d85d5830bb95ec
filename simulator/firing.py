"""One simulated firing, lived through second by second.

Knows the truth: the kiln, its controller, the faults and the probes, all joined. The watch must
never look in here; it gets readings from ``source``.
"""

from __future__ import annotations

import math

from simulator.controller import Controller, Phase, Relay
from simulator.faults import Fault, FaultKind
from simulator.kiln import ZONES, Kiln
from simulator.scenario import Scenario
from simulator.thermocouple import Terminals, Thermocouple

STEP_S = 1.0
"""The fixed time step. Noise belongs to a step, so the same second has the same reading however
the firing is looked at."""
CONTROL_ZONE = ZONES.index("middle")
"""Where the controller's own thermocouple sits."""
CONTROL_LAG_S = 30.0
COLD_C = 60.0
"""A kiln that has been fired counts as cold below this."""
FIRED_C = 100.0
"""A kiln counts as fired once it has been above this."""
TERMINALS_STEP_S = 10.0


class SimulatedFiring:
    """The firing of a scenario, from second 0 on.

    ``advance_to`` moves it; everything else tells how things stand at ``elapsed_s``.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        self.kiln = Kiln(scenario.kiln, ambient_c=scenario.ambient_c, dt_s=STEP_S)
        self.source_power_w = 0.0
        self._steps = 0
        self._hottest_c = scenario.ambient_c
        self._control_c = scenario.ambient_c
        self._control_part = -math.expm1(-STEP_S / CONTROL_LAG_S)
        self._controller = Controller(
            scenario.schedule,
            scenario.kiln.tuning,
            full_w=scenario.kiln.power_w,
            start_c=scenario.ambient_c,
            dt_s=STEP_S,
        )
        self._relay = Relay(STEP_S) if scenario.kiln.kind == "electric" else None
        self._faults = [Fault(spec) for spec in scenario.faults]
        self._stalls = [f for f in self._faults if f.spec.kind is FaultKind.STALL]
        self._cuts = [f for f in self._faults if f.spec.kind is FaultKind.POWER_CUT]
        self._breaks = [f for f in self._faults if f.spec.kind is FaultKind.OPEN_THERMOCOUPLE]
        self._power_is_cut = False
        self._terminals = Terminals(seed=scenario.seed, ambient_c=scenario.ambient_c)
        self._probes = [
            (
                Thermocouple(spec, seed=scenario.seed, start_c=scenario.ambient_c, dt_s=STEP_S),
                ZONES.index(spec.zone),
            )
            for spec in scenario.sensors
        ]
        self._measured_c = [probe.measured_c() for probe, _ in self._probes]

    @property
    def elapsed_s(self) -> float:
        """How far the firing has come, a whole number of steps."""
        return self._steps * STEP_S

    @property
    def finished(self) -> bool:
        """Whether the scenario is over: its time is up, or the kiln is cold again."""
        scenario = self.scenario
        elapsed_s = self.elapsed_s
        if elapsed_s >= scenario.max_s:
            return True
        if scenario.duration_s is not None:
            return elapsed_s >= scenario.duration_s
        return self._hottest_c >= FIRED_C and self.kiln.chamber_c < COLD_C

    @property
    def chamber_c(self) -> float:
        """Mean of the three chambers, in °C."""
        return self.kiln.chamber_c

    @property
    def setpoint_c(self) -> float | None:
        """What the controller is steering for; None before its start, at the end and with no
        power."""
        started = self.elapsed_s >= self.scenario.start_delay_s
        if not started or self._power_is_cut or self._controller.phase is Phase.FINISHED:
            return None
        return self._controller.setpoint_c

    @property
    def step_index(self) -> int:
        """Which step of the schedule the controller is at."""
        return self._controller.step_index

    @property
    def controller_phase(self) -> Phase:
        """What the controller is doing."""
        return self._controller.phase

    @property
    def faults_on(self) -> tuple[FaultKind, ...]:
        """The faults that act at the moment."""
        return tuple(fault.spec.kind for fault in self._faults if fault.is_on)

    @property
    def probe_c(self) -> dict[str, float]:
        """Temperature of each hot junction, after its lag and before offset and noise."""
        return {probe.spec.channel: probe.junction_c for probe, _ in self._probes}

    @property
    def measured_c(self) -> dict[str, float | None]:
        """What each channel measures; None where its circuit is open."""
        open_channels = self.open_channels
        return {
            probe.spec.channel: None if probe.spec.channel in open_channels else measured_c
            for (probe, _), measured_c in zip(self._probes, self._measured_c, strict=True)
        }

    @property
    def open_channels(self) -> set[str]:
        """The channels whose circuit is broken."""
        return {
            fault.spec.channel
            for fault in self._breaks
            if fault.is_on and fault.spec.channel is not None
        }

    @property
    def cold_junction_c(self) -> float:
        """Temperature of the terminals."""
        return self._terminals.temp_c

    def advance_to(self, elapsed_s: float) -> None:
        """Live on until ``elapsed_s``; a time that has passed already changes nothing.

        Raises ValueError when ``elapsed_s`` is not a finite number.
        """
        if not math.isfinite(elapsed_s):
            raise ValueError("a firing can only advance to a finite time")
        wanted = math.floor(elapsed_s / STEP_S)
        while self._steps < wanted:
            self._advance()

    def _advance(self) -> None:
        kiln = self.kiln
        elapsed_s = self._steps * STEP_S
        if self._faults:
            chamber_c = kiln.chamber_c
            for fault in self._faults:
                fault.advance(elapsed_s, chamber_c)
        power_w = self._power_w(elapsed_s)
        self.source_power_w = power_w
        kiln.advance(power_w)
        chambers_c = kiln.chambers_c
        control_c = chambers_c[CONTROL_ZONE]
        self._control_c += (control_c - self._control_c) * self._control_part
        if control_c > self._hottest_c:
            self._hottest_c = control_c
        measured_c = self._measured_c
        for index, (probe, zone) in enumerate(self._probes):
            probe.follow(chambers_c[zone])
            measured_c[index] = probe.measured_c()
        self._steps += 1
        if self._steps * STEP_S % TERMINALS_STEP_S == 0.0:
            self._terminals.follow(elapsed_s, kiln.skin_loss_w(), TERMINALS_STEP_S)

    def _power_w(self, elapsed_s: float) -> float:
        """What the source gives for the coming step, after controller, switch and faults."""
        if any(cut.is_on for cut in self._cuts):
            self._power_is_cut = True
            return 0.0
        if elapsed_s < self.scenario.start_delay_s:
            return 0.0
        controller = self._controller
        if self._power_is_cut:
            self._power_is_cut = False
            controller.power_returns(self._control_c)
        share = controller.ask(self._control_c)
        available_w = self.kiln.available_w
        for stall in self._stalls:
            if stall.is_on:
                # The switch stands behind the limit: what is left is used to the full.
                share = min(share, stall.limit_w(self.kiln) / available_w)
        if self._relay is not None:
            share = self._relay.switch(share)
        return share * available_w
