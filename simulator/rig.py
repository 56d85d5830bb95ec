"""The watching rig beside the kiln: its probes and terminals, with what befalls them.

Knows what the probes see of the kiln from one block to the next, the cold draughts of open
spyholes, and the faults of sensors. Knows nothing of heat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from random import Random

from simulator.faults import OF_A_CHANNEL, Fault, FaultKind
from simulator.kiln import ZONES, Kiln
from simulator.operation import Operation
from simulator.scenario_model import Scenario
from simulator.thermocouple import LOWEST_READING_C, Terminals, Thermocouple

TERMINALS_STEP_S = 10.0
WRONG_C = 1.0
"""A value that is off by more than this is a wrong one."""
LOOK_S = (15.0, 60.0)
"""A plug is out of its spyhole for so long (common practice, no source)."""
LOOK_PART = (0.01, 0.05)
"""And the probe beside it then sees so much of the shed (a guess)."""


class _Looks:
    """When plugs are taken out, and how much of the shed a zone's probes then see."""

    __slots__ = ("_dice", "_ends_s", "_per_h", "_starts_s", "part", "zone")

    def __init__(self, operation: Operation, seed: int) -> None:
        self._dice = Random(f"{seed} looks")  # noqa: S311
        self._per_h = operation.looks_per_h
        self._ends_s = 0.0
        self._starts_s = self._drawn_s(0.0) if self._per_h else math.inf
        self.part = 0.0
        self.zone = 0

    def _drawn_s(self, after_s: float) -> float:
        return float(math.ceil(after_s + self._dice.expovariate(self._per_h / 3600.0) + 1.0))

    def next_s(self, now_s: float) -> float:
        """Begin or end a look that is due; when the next change is due."""
        if self.part and now_s >= self._ends_s:
            self.part = 0.0
            self._starts_s = self._drawn_s(now_s)
        elif not self.part and now_s >= self._starts_s:
            self._ends_s = now_s + round(self._dice.uniform(*LOOK_S))
            self.part = self._dice.uniform(*LOOK_PART)
            self.zone = self._dice.randrange(len(ZONES))
        return self._ends_s if self.part else self._starts_s


class _Probe:
    """A thermocouple in its zone, with the faults that concern it."""

    __slots__ = ("faults", "frozen_at_c", "frozen_c", "tc", "zone")

    def __init__(self, tc: Thermocouple, faults: Sequence[Fault]) -> None:
        self.tc = tc
        self.zone = ZONES.index(tc.spec.zone)
        self.faults = [
            f for f in faults if f.spec.kind in OF_A_CHANNEL and f.spec.channel == tc.spec.channel
        ]
        self.frozen_c: float | None = None
        self.frozen_at_c = 0.0

    def has(self, kind: FaultKind) -> bool:
        return any(fault.is_on and fault.spec.kind is kind for fault in self.faults)


class Rig:
    """The probes of a scenario.

    For each block: ``begin_block`` with the corners of the chambers' temperatures, then any
    look at it, then ``end_block``.
    """

    def __init__(
        self, scenario: Scenario, kiln: Kiln, start_c: float, faults: Sequence[Fault]
    ) -> None:
        self._kiln = kiln
        self._ambient_c = scenario.ambient_c
        self._terminals = Terminals(seed=scenario.seed, ambient_c=scenario.ambient_c)
        self._terminals_age_s = 0.0
        self._looks = _Looks(scenario.operation, scenario.seed)
        self._silences = [f for f in faults if f.spec.kind is FaultKind.SILENT_RIG]
        self._probes = [
            _Probe(Thermocouple(spec, seed=scenario.seed, start_c=start_c), faults)
            for spec in scenario.sensors
        ]

    @property
    def is_silent(self) -> bool:
        """Whether the rig gives nothing at all."""
        return any(fault.is_on for fault in self._silences)

    @property
    def open_channels(self) -> set[str]:
        """The channels whose circuit is broken."""
        return {
            probe.tc.spec.channel
            for probe in self._probes
            if probe.faults and probe.has(FaultKind.OPEN_THERMOCOUPLE)
        }

    @property
    def cold_junction_c(self) -> float:
        """Temperature of the terminals."""
        return self._terminals.temp_c

    def next_look_s(self, now_s: float) -> float:
        """When a plug is next put in or out."""
        return self._looks.next_s(now_s)

    def begin_block(
        self,
        now_s: float,
        dt_s: float,
        from_c: Sequence[float],
        to_c: Sequence[float],
        faces_from_c: Sequence[float],
        faces_to_c: Sequence[float],
    ) -> None:
        """Say what chambers and faces do in the coming ``dt_s`` from ``now_s`` on."""
        self._terminals_age_s += dt_s
        if self._terminals_age_s >= TERMINALS_STEP_S:
            self._terminals.follow(now_s, self._kiln.skin_loss_w(), self._terminals_age_s)
            self._terminals_age_s = 0.0
        for silence in self._silences:
            if silence.is_on:
                silence.tell(now_s)
        looks = self._looks
        shed_c = self._ambient_c
        for probe in self._probes:
            zone = probe.zone
            begin_c, end_c = from_c[zone], to_c[zone]
            wall = probe.tc.spec.toward_wall
            if wall:
                begin_c += wall * (faces_from_c[zone] - begin_c)
                end_c += wall * (faces_to_c[zone] - end_c)
            shed = looks.part if looks.part and looks.zone == zone else 0.0
            if probe.faults:
                shed = max(shed, self._befall(probe, now_s))
            if shed:
                begin_c += shed * (shed_c - begin_c)
                end_c += shed * (shed_c - end_c)
            probe.tc.begin(begin_c, end_c, dt_s)

    def _befall(self, probe: _Probe, now_s: float) -> float:
        """Begin or end what befalls a probe; how much of the shed it sees."""
        junction_c = probe.tc.junction_c
        shed = 0.0
        frozen = False
        for fault in probe.faults:
            if not fault.is_on:
                continue
            kind = fault.spec.kind
            if kind is FaultKind.OPEN_THERMOCOUPLE:
                fault.tell(now_s)
            elif kind is FaultKind.SHORTED_THERMOCOUPLE:
                if abs(junction_c - self._terminals.temp_c) > WRONG_C:
                    fault.tell(now_s)
            elif kind is FaultKind.REVERSED_THERMOCOUPLE:
                if 2.0 * abs(junction_c - self._terminals.temp_c) > WRONG_C:
                    fault.tell(now_s)
            elif kind is FaultKind.FROZEN_THERMOCOUPLE:
                frozen = True
                if probe.frozen_c is None:
                    probe.frozen_c = probe.tc.measured_c(junction_c, now_s)
                    probe.frozen_at_c = junction_c
                elif abs(junction_c - probe.frozen_at_c) > WRONG_C:
                    fault.tell(now_s)
            else:
                shed = fault.spec.strength
                if shed * abs(junction_c - self._ambient_c) > WRONG_C:
                    fault.tell(now_s)
        if not frozen:
            probe.frozen_c = None
        return shed

    def end_block(self, dt_s: float) -> None:
        """Live through the block that was begun."""
        for probe in self._probes:
            probe.tc.end(dt_s)

    def junctions_c(self, since_s: float) -> dict[str, float]:
        """The junctions so long after the block began."""
        return {probe.tc.spec.channel: probe.tc.junction_at_c(since_s) for probe in self._probes}

    def measured_c(self, elapsed_s: float, since_s: float) -> dict[str, float | None]:
        """What each channel measures, so long after the block began."""
        if self._silences and self.is_silent:
            return {probe.tc.spec.channel: None for probe in self._probes}
        values: dict[str, float | None] = {}
        for probe in self._probes:
            tc = probe.tc
            junction_c = tc.junction_at_c(since_s)
            values[tc.spec.channel] = (
                self._spoilt_c(probe, junction_c, elapsed_s)
                if probe.faults
                else tc.measured_c(junction_c, elapsed_s)
            )
        return values

    def _spoilt_c(self, probe: _Probe, junction_c: float, elapsed_s: float) -> float | None:
        """What a probe with a fault in its life measures."""
        if probe.has(FaultKind.OPEN_THERMOCOUPLE):
            return None
        if probe.frozen_c is not None:
            return probe.frozen_c
        terminals_c = self._terminals.temp_c
        if probe.has(FaultKind.SHORTED_THERMOCOUPLE):
            junction_c = terminals_c
        value_c = probe.tc.measured_c(junction_c, elapsed_s)
        if probe.has(FaultKind.REVERSED_THERMOCOUPLE):
            return max(LOWEST_READING_C, 2.0 * terminals_c - value_c)
        return value_c
