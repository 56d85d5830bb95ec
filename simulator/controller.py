"""A kiln's own controller: it follows a schedule with a thermocouple of its own.

Knows the schedule and what its one thermocouple says. Knows nothing of zones, faults or of
anybody who watches. It works as kiln controllers in general do:

- the setpoint climbs or falls at the step's rate, and waits while the kiln is behind by more
  than ``HOLD_BACK_C``;
- a hold is timed from the moment the kiln has come within ``HOLD_BAND_C`` of it;
- a step without a rate is full power up, or heat off down;
- after the last step the heat is off for good;
- a person may pause it (the setpoint and the clock of a hold stand) or have it skip a step.

Between the two stands a PID in its textbook form (derivative of the reading and not of the
error, conditional integration against wind-up: Åström and Hägglund, *PID Controllers: Theory,
Design and Tuning*, 2nd ed., 1995, chapter 3) and, ahead of any error, the power that the
ramp itself takes.
"""

from __future__ import annotations

import math
from enum import StrEnum

from simulator.kiln_spec import Tuning
from supervisor.core.schedule import Schedule

HOLD_BACK_C = 10.0
"""The setpoint waits while the kiln is further behind than this (common practice, no source)."""
HOLD_BAND_C = 2.0
"""A hold begins when the kiln is this near to it."""
RATE_FILTER_S = 20.0
"""Time constant of the smoothing of the reading's rate of change."""
RELAY_WINDOW_S = 20.0
"""A relay is switched on and off once in this time, and the controller looks as often (common
practice, no source)."""


class Phase(StrEnum):
    """What the controller is doing."""

    MOVING = "moving"
    HOLDING = "holding"
    FINISHED = "finished"


class Controller:
    """Follows ``schedule`` from ``start_c``; asks for a share of full power each ``dt_s`` seconds.

    ``step_index`` is the step being worked at. ``setpoint_c`` is the temperature wanted at the
    moment; it means nothing once ``phase`` is finished. While ``is_paused`` it stands.
    ``skipped_step`` is the index of a step that somebody leaves out, if any.
    """

    __slots__ = (
        "_dt_s",
        "_full_w",
        "_held_s",
        "_integral",
        "_last_c",
        "_rate_c_per_s",
        "_rate_part",
        "_schedule",
        "_skipped_step",
        "_tuning",
        "_upwards",
        "is_paused",
        "phase",
        "setpoint_c",
        "step_index",
    )

    def __init__(
        self,
        schedule: Schedule,
        tuning: Tuning,
        *,
        full_w: float,
        start_c: float,
        dt_s: float,
        skipped_step: int | None = None,
    ) -> None:
        self._schedule = schedule
        self._tuning = tuning
        self._full_w = full_w
        self._dt_s = dt_s
        self._integral = 0.0
        self._last_c = start_c
        self._rate_c_per_s = 0.0
        self._rate_part = -math.expm1(-dt_s / RATE_FILTER_S)
        self._held_s = 0.0
        self._skipped_step = skipped_step
        self.is_paused = False
        self.setpoint_c = start_c
        self.step_index = 1 if skipped_step == 0 else 0
        self.phase = Phase.MOVING
        self._upwards = schedule.steps[self.step_index].to_c >= start_c

    def power_returns(self, measured_c: float) -> None:
        """Take up the step again from where the kiln now is, after a power cut."""
        if self.phase is Phase.FINISHED:
            return
        step = self._schedule.steps[self.step_index]
        # A kiln that fell below its hold climbs back at the step's rate; the minutes already
        # held are kept.
        self.phase = Phase.MOVING
        self._upwards = step.to_c >= measured_c
        self.setpoint_c = measured_c
        self._last_c = measured_c
        self._rate_c_per_s = 0.0
        self._integral = 0.0

    def ask(self, measured_c: float) -> float:
        """The share of full power wanted for the coming time step, 0 to 1."""
        if self.phase is Phase.FINISHED:
            return 0.0
        dt_s = self._dt_s
        self._rate_c_per_s += (
            (measured_c - self._last_c) / dt_s - self._rate_c_per_s
        ) * self._rate_part
        self._last_c = measured_c
        if self.is_paused:
            return self._pid(measured_c, 0.0)
        step = self._schedule.steps[self.step_index]
        ramp_c_per_s = 0.0
        if self.phase is Phase.MOVING:
            sign = 1.0 if self._upwards else -1.0
            if step.rate_c_per_h is None:
                self.setpoint_c = step.to_c
            elif self.setpoint_c != step.to_c:
                ramp_c_per_s = sign * step.rate_c_per_h / 3600.0
                if (self.setpoint_c - measured_c) * sign <= HOLD_BACK_C:
                    wanted_c = self.setpoint_c + ramp_c_per_s * dt_s
                    past = (wanted_c - step.to_c) * sign >= 0.0
                    self.setpoint_c = step.to_c if past else wanted_c
            if self.setpoint_c == step.to_c and (step.to_c - measured_c) * sign <= HOLD_BAND_C:
                self.phase = Phase.HOLDING
        if self.phase is Phase.HOLDING:
            self._held_s += dt_s
            if self._held_s >= step.hold_s and not self._begin_next(step.to_c):
                return 0.0
        return self._pid(measured_c, ramp_c_per_s)

    def _begin_next(self, from_c: float) -> bool:
        """Go on to the next step; False when there is none."""
        self._held_s = 0.0
        self.step_index += 2 if self.step_index + 1 == self._skipped_step else 1
        if self.step_index >= len(self._schedule.steps):
            self.step_index = len(self._schedule.steps) - 1
            self.phase = Phase.FINISHED
            return False
        self.phase = Phase.MOVING
        self._upwards = self._schedule.steps[self.step_index].to_c >= from_c
        return True

    def _pid(self, measured_c: float, ramp_c_per_s: float) -> float:
        tuning = self._tuning
        error_c = self.setpoint_c - measured_c
        wanted = (
            tuning.thermal_mass_j_per_k * ramp_c_per_s / self._full_w
            + tuning.gain_per_k
            * (error_c - tuning.derivative_s * (self._rate_c_per_s - ramp_c_per_s))
            + self._integral
        )
        given = min(1.0, max(0.0, wanted))
        # At a limit the integral may only move away from it.
        if given == wanted or (wanted - given) * error_c < 0.0:
            self._integral += tuning.gain_per_k * error_c * self._dt_s / tuning.integral_s
        return given


class Relay:
    """Turns a share of power into on and off: on for that share of each window.

    Whole seconds are switched; what is left over is carried into the next window, so the
    average is exact.
    """

    __slots__ = ("_carried_s",)

    def __init__(self) -> None:
        self._carried_s = 0.0

    def on_s(self, share: float) -> float:
        """How many seconds of the coming window the relay is on, for a share of 0 to 1."""
        wanted_s = share * RELAY_WINDOW_S + self._carried_s
        on_s = min(RELAY_WINDOW_S, float(int(wanted_s)))
        self._carried_s = min(1.0, wanted_s - on_s)
        return on_s
