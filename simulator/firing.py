"""One simulated firing, lived through block by block.

Knows the truth: the kiln, its operator, the faults and the probes, all joined. The watch must
never look in here; it gets readings from ``source``.

A block is a stretch of whole seconds in which nothing is switched: heat, air and probes' places
stay as they are. The physics takes a block in one implicit step; within it temperatures run
straight from corner to corner. So a second has the same readings however it is come to.
"""

from __future__ import annotations

import math
from random import Random

from simulator.controller import Phase, Relay
from simulator.faults import Fault, FaultKind
from simulator.kiln import ZONES, Kiln, KilnKind
from simulator.operation import Operator, OperatorKind, Order, stages_of
from simulator.operators import operator_of
from simulator.rig import Rig
from simulator.scenario_model import Scenario

BLOCK_S = 20.0
"""No block is longer. A probe's lag is of this order, a kiln's own changes are far slower."""
CONTROL_ZONE = ZONES.index("middle")
"""Where the operator's own thermocouple sits."""
CONTROL_LAG_S = 30.0
COLD_C = 60.0
"""A kiln that has been fired counts as cold below this."""
FIRED_C = 100.0
"""A kiln counts as fired once it has been above this."""
ELEMENTS_BURN_C = 1430.0
"""Iron-chromium-aluminium elements give out with the kiln at this (the wire melts near 1,500 °C;
common practice, no source). Nothing else ends a welded relay's firing."""
SHORT_OF_HEAT = 0.02
SHORT_OF_HEAT_S = 300.0
"""Heat is lost when so much of full power is missing for so long, from its beginning on."""

_LIMITS = (FaultKind.STALL, FaultKind.WORN_ELEMENTS, FaultKind.GAS_ICING)
_OFF = (FaultKind.POWER_CUT, FaultKind.EARLY_SHUT_OFF)
_NOTHING = Order(0.0, 0.0, 0.0, 0.0)


class SimulatedFiring:
    """The firing of a scenario, from second 0 on.

    ``advance_to`` moves it; everything else tells how things stand at ``elapsed_s``.
    """

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        spec = scenario.kiln
        start_c = scenario.ambient_c if scenario.start_c is None else scenario.start_c
        self.kiln = Kiln(spec, ambient_c=scenario.ambient_c, start_c=start_c)
        self.source_power_w = 0.0
        self._elapsed_s = 0.0
        self._block_from_s = 0.0
        self._block_to_s = 0.0
        self._before_c = self._after_c = self.kiln.chambers_c
        self._hottest_c = start_c
        self._control_c = start_c
        operation = scenario.operation
        self._begins_s = scenario.start_delay_s + operation.candle_s
        self._operator: Operator | None = None
        self._order = _NOTHING
        self._faults = [Fault(one) for one in scenario.faults]
        self._short_since_s: float | None = None
        self._power_is_cut = False
        self._burnt: set[int] = set()
        electric = spec.kind is KilnKind.ELECTRIC
        by_controller = operation.kind is OperatorKind.CONTROLLER
        self._relay = Relay() if electric and by_controller else None
        self._relay_off_s = 0.0
        self._relay_window_s = 0.0
        # A valve that a controller moves makes up for what fades before it; a hand doesn't.
        self._makes_up = by_controller
        self._flame = Random(f"{scenario.seed} flame")  # noqa: S311
        self._rig = Rig(scenario, self.kiln, start_c, self._faults)

    @property
    def elapsed_s(self) -> float:
        """How far the firing has come, in whole seconds."""
        return self._elapsed_s

    @property
    def finished(self) -> bool:
        """Whether the scenario is over: its time is up, or the kiln is cold again."""
        scenario = self.scenario
        if self._elapsed_s >= scenario.max_s:
            return True
        if scenario.duration_s is not None:
            return self._elapsed_s >= scenario.duration_s
        return self._hottest_c >= FIRED_C and self.chamber_c < COLD_C

    @property
    def chambers_c(self) -> tuple[float, float, float]:
        """The three chambers at ``elapsed_s``, in °C, in the order of ``ZONES``."""
        length_s = self._block_to_s - self._block_from_s
        part = (self._elapsed_s - self._block_from_s) / length_s if length_s else 1.0
        top, middle, bottom = (
            before + part * (after - before)
            for before, after in zip(self._before_c, self._after_c, strict=True)
        )
        return (top, middle, bottom)

    @property
    def chamber_c(self) -> float:
        """Mean of the three chambers, in °C."""
        return sum(self.chambers_c) / 3.0

    @property
    def setpoint_c(self) -> float | None:
        """What the operator is steering for; None for a person, before its start, at the end
        and with no power."""
        if self._operator is None or self._power_is_cut:
            return None
        return self._operator.setpoint_c

    @property
    def step_index(self) -> int:
        """Which step of the schedule the operator is at."""
        return 0 if self._operator is None else self._operator.step_index

    @property
    def controller_phase(self) -> Phase:
        """What the operator is doing."""
        return Phase.MOVING if self._operator is None else self._operator.phase

    @property
    def faults_on(self) -> tuple[FaultKind, ...]:
        """The faults that act at the moment."""
        return tuple(fault.spec.kind for fault in self._faults if fault.is_on)

    @property
    def onset_s(self) -> float | None:
        """When the first fault really began to do something, as far as has been lived through.

        Heat is lost when it is first missing, not when an element wears; a sensor's fault
        begins with its first wrong value. None while nothing has come to pass.
        """
        told = [fault.told_at_s for fault in self._faults if fault.told_at_s is not None]
        return min(told, default=None)

    @property
    def probe_c(self) -> dict[str, float]:
        """Temperature of each hot junction, after its lag and before all errors and noise."""
        return self._rig.junctions_c(self._elapsed_s - self._block_from_s)

    @property
    def measured_c(self) -> dict[str, float | None]:
        """What each channel measures; None where its circuit is open or the rig is silent."""
        return self._rig.measured_c(self._elapsed_s, self._elapsed_s - self._block_from_s)

    @property
    def is_silent(self) -> bool:
        """Whether the rig gives nothing at all."""
        return self._rig.is_silent

    @property
    def open_channels(self) -> set[str]:
        """The channels whose circuit is broken."""
        return self._rig.open_channels

    @property
    def label_shift_s(self) -> float:
        """How far the wall clock has been put forward, in seconds."""
        return sum(
            fault.spec.step_s
            for fault in self._faults
            if fault.spec.kind is FaultKind.CLOCK_STEP and fault.is_on
        )

    @property
    def cold_junction_c(self) -> float:
        """Temperature of the terminals."""
        return self._rig.cold_junction_c

    def advance_to(self, elapsed_s: float) -> None:
        """Live on until ``elapsed_s``; a time that has passed already changes nothing.

        Raises ValueError when ``elapsed_s`` is not a finite number.
        """
        if not math.isfinite(elapsed_s):
            raise ValueError("a firing can only advance to a finite time")
        wanted_s = float(math.floor(elapsed_s))
        if wanted_s <= self._elapsed_s:
            return
        # The block that holds the wanted second is lived through whole.
        while self._block_to_s < wanted_s:
            self._live_block()
        self._elapsed_s = wanted_s

    def _live_block(self) -> None:
        kiln = self.kiln
        now_s = self._block_to_s
        if now_s > self._block_from_s:
            self._rig.end_block(now_s - self._block_from_s)
        self._before_c = self._after_c
        faces_c = kiln.faces_c
        until_s = now_s + BLOCK_S
        if self._faults:
            until_s = self._advance_faults(now_s, until_s)
        until_s = min(until_s, self._rig.next_look_s(now_s))
        top, middle, bottom, until_s, draught = self._heat(now_s, until_s)
        dt_s = until_s - now_s
        available_w = kiln.available_w
        spec = kiln.spec
        kiln.draught_w_per_k = draught
        if self._faults:
            top, middle, bottom = self._spoil_zones(now_s, (top, middle, bottom))
        if spec.unsteady and (top or middle or bottom):
            swing = 1.0 + spec.unsteady * self._flame.gauss(0.0, 1.0)
            top, middle, bottom = top * swing, middle * swing, bottom * swing
        top *= spec.top.power_share * available_w
        middle *= spec.middle.power_share * available_w
        bottom *= spec.bottom.power_share * available_w
        self.source_power_w = top + middle + bottom
        kiln.advance_zones(top, middle, bottom, dt_s)
        after_c = self._after_c = kiln.chambers_c
        self._follow_control(after_c[CONTROL_ZONE], dt_s)
        if after_c[CONTROL_ZONE] > self._hottest_c:
            self._hottest_c = after_c[CONTROL_ZONE]
        self._block_from_s = now_s
        self._block_to_s = until_s
        self._rig.begin_block(now_s, dt_s, self._before_c, after_c, faces_c, kiln.faces_c)

    def _follow_control(self, chamber_c: float, dt_s: float) -> None:
        from_c = self._before_c[CONTROL_ZONE]
        slope = (chamber_c - from_c) / dt_s
        settled_c = from_c - slope * CONTROL_LAG_S
        decay = math.exp(-dt_s / CONTROL_LAG_S)
        self._control_c = settled_c + slope * dt_s + (self._control_c - settled_c) * decay

    @property
    def _operators_c(self) -> float:
        """What the operator's own thermocouple says."""
        operation = self.scenario.operation
        return self._control_c * (1.0 + operation.gain_error) + operation.offset_c

    def _advance_faults(self, now_s: float, until_s: float) -> float:
        """Let faults begin and end; when the next one by the clock is due, at most ``until_s``."""
        operator = self._operator
        schedule = self.scenario.schedule
        stages = frozenset() if operator is None else stages_of(operator, schedule)
        chamber_c = sum(self._after_c) / 3.0
        kiln = self.kiln
        gap_m2 = 0.0
        for fault in self._faults:
            fault.advance(now_s, chamber_c, stages)
            kind = fault.spec.kind
            if fault.is_on and kind is FaultKind.DOOR_AJAR:
                gap_m2 += fault.spec.strength * kiln.spec.door_m2
                fault.tell(now_s)
            if fault.is_on and kind in (FaultKind.CLOCK_STEP, FaultKind.FAST_COOLING):
                fault.tell(now_s)
            change_s = fault.next_change_s()
            if change_s is not None and now_s < change_s < until_s:
                until_s = float(math.ceil(change_s))
        kiln.gap_m2 = gap_m2
        return until_s

    def _heat(self, now_s: float, until_s: float) -> tuple[float, float, float, float, float]:
        """The shares of full power in the three zones, until when, and the air let in."""
        if self._is_off(now_s):
            return 0.0, 0.0, 0.0, until_s, 0.0
        if now_s < self._begins_s:
            return self._before_the_plan(now_s, until_s)
        operator = self._operator
        if operator is None:
            operator = self._operator = operator_of(
                self.scenario.schedule,
                self.scenario.operation,
                self.kiln,
                self._operators_c,
                self.scenario.seed,
            )
        elif self._power_is_cut:
            operator.power_returns(self._operators_c)
            self._order = _NOTHING
        self._power_is_cut = False
        if now_s >= self._order.until_s:
            self._order = operator.order(now_s, self._operators_c)
            self._relay_window_s = now_s
            self._relay_off_s = -1.0
        order = self._order
        until_s = min(until_s, order.until_s)
        top, middle, bottom = order.top, order.middle, order.bottom
        if self._faults:
            top, middle, bottom = self._limited(now_s, (top, middle, bottom))
        if self._relay is None:
            return top, middle, bottom, until_s, order.draught_w_per_k
        if self._relay_off_s < 0.0:
            self._relay_off_s = self._relay_window_s + self._relay.on_s(middle)
        if now_s < self._relay_off_s:
            return 1.0, 1.0, 1.0, min(until_s, self._relay_off_s), 0.0
        return 0.0, 0.0, 0.0, until_s, 0.0

    def _before_the_plan(
        self, now_s: float, until_s: float
    ) -> tuple[float, float, float, float, float]:
        operation = self.scenario.operation
        delay_s = self.scenario.start_delay_s
        share = 0.0 if now_s < delay_s else operation.candle_share
        next_s = delay_s if now_s < delay_s else self._begins_s
        return share, share, share, min(until_s, float(math.ceil(next_s))), 0.0

    def _is_off(self, now_s: float) -> bool:
        """Whether a fault keeps the heat off."""
        off = False
        for fault in self._faults:
            if not fault.is_on or fault.spec.kind not in _OFF:
                continue
            off = True
            if fault.spec.kind is FaultKind.EARLY_SHUT_OFF and self._operator is not None:
                if self._operator.phase is not Phase.FINISHED:
                    fault.tell(now_s)
                    self._operator.stop()
            elif self._works(now_s):
                fault.tell(now_s)
        if off:
            self._power_is_cut = True
        return off

    def _works(self, now_s: float) -> bool:
        """Whether the kiln would be given heat now if all were well."""
        if self._operator is None:
            return now_s >= self._begins_s or self.scenario.operation.candle_share > 0.0
        return self._operator.phase is not Phase.FINISHED

    def _limited(
        self, now_s: float, shares: tuple[float, float, float]
    ) -> tuple[float, float, float]:
        """What is left of the shares with all stalls, wear and icing."""
        for fault in self._faults:
            if not fault.is_on or fault.spec.kind not in _LIMITS:
                continue
            most = fault.most_share(now_s, self.kiln)
            asked = sum(shares)
            if self._makes_up or fault.spec.kind is FaultKind.STALL:
                top, middle, bottom = (min(share, most) for share in shares)
            else:
                top, middle, bottom = (share * most for share in shares)
            shares = (top, middle, bottom)
            if (asked - sum(shares)) / 3.0 <= SHORT_OF_HEAT:
                self._short_since_s = None
            elif self._short_since_s is None:
                self._short_since_s = now_s
            elif now_s - self._short_since_s >= SHORT_OF_HEAT_S:
                fault.tell(self._short_since_s)
        return shares

    def _spoil_zones(
        self, now_s: float, shares: tuple[float, float, float]
    ) -> tuple[float, float, float]:
        """What single zones get with a phase lost, a cold zone or a stuck relay; and the air."""
        zones = list(shares)
        for fault in self._faults:
            if not fault.is_on:
                continue
            spec = fault.spec
            if spec.kind is FaultKind.FAST_COOLING:
                self.kiln.draught_w_per_k += spec.strength * self.kiln.spec.vent_w_per_k
            if spec.kind in (FaultKind.PHASE_LOST, FaultKind.COLD_ZONE):
                zone = ZONES.index(spec.zone or "top")
                lost = 1.0 if spec.kind is FaultKind.PHASE_LOST else spec.strength
                if zones[zone] > 0.0:
                    fault.tell(now_s)
                zones[zone] *= 1.0 - lost
            if spec.kind is FaultKind.RELAY_STUCK and not self._power_is_cut:
                for zone, name in enumerate(ZONES):
                    if self._after_c[zone] > ELEMENTS_BURN_C:
                        self._burnt.add(zone)
                    if zone in self._burnt:
                        zones[zone] = 0.0
                    elif spec.zone in (None, name) and zones[zone] < spec.strength:
                        zones[zone] = spec.strength
                        fault.tell(now_s)
        top, middle, bottom = zones
        return (top, middle, bottom)
