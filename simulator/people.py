"""People who fire a kiln by hand: they look in now and then and set the heat for the next while.

Knows how a person follows a schedule without a controller: by the rate since the last look, by
the clock, and by knowing the kiln to within a tenth or so. Knows nothing of who watches. All
figures of how people work are common practice, no source.
"""

from __future__ import annotations

from random import Random

from simulator.controller import Phase
from simulator.kiln import Kiln
from simulator.operation import Operation, Order
from supervisor.core.schedule import Schedule, Step

REACHED_C = 3.0
"""A person calls a temperature reached when it is this near."""
HOLD_VISIT_S = (360.0, 720.0)
"""In a hold the kiln is seen to so often."""
REDUCTION_VISIT_S = (480.0, 900.0)
"""While reducing, so often."""
LEAST_VISIT_S = 240.0
KNOWS_KILN = 0.08
"""Standard deviation of what a person thinks that the kiln takes, as a part of it."""
SETTING_ERROR = 0.03
"""Standard deviation of how far a setting falls from what was meant, as a part of it."""
LEARNS = 0.6
"""The part of an error in the rate that is put right at the next look."""
CATCH_UP = 0.35
"""A kiln that is late is hurried, one that is early is slowed, by at most this part of the
rate."""
CATCH_UP_H = 1.5
"""Time in which a person means to be back on the plan."""
NATURAL_CLIMB_C_PER_H = 250.0
LEAST_SHARE = 0.03
"""A burner turned lower than this goes out."""


class Person:
    """Follows a schedule by looking in. Subclasses say how heat is set.

    ``phase`` and ``step_index`` are where the person is in the plan.
    """

    def __init__(
        self, schedule: Schedule, operation: Operation, kiln: Kiln, measured_c: float, seed: int
    ) -> None:
        self._schedule = schedule
        self._operation = operation
        self._kiln = kiln
        self._dice = Random(f"{seed} operator")  # noqa: S311
        self._believed = 1.0 + self._dice.gauss(0.0, KNOWS_KILN)
        self._last_s: float | None = None
        self._last_c = measured_c
        self._aim_c_per_h = 0.0
        self._hold_since_s = 0.0
        self._paused_until_s: float | None = None
        self._reducing_until_s: float | None = None
        self._has_reduced = operation.reduction is None
        self._step_began_s: float | None = None
        self._step_from_c = measured_c
        self.step_index = 1 if operation.skipped_step == 0 else 0
        self.phase = Phase.MOVING

    @property
    def setpoint_c(self) -> float | None:
        """A person has none."""
        return None

    def power_returns(self, measured_c: float) -> None:
        """Begin the step's clock again from where the kiln now is."""
        if self.phase is not Phase.FINISHED:
            self._last_s = None
            self._step_began_s = None
            self._step_from_c = measured_c

    def stop(self) -> None:
        """Switch off for good."""
        self.phase = Phase.FINISHED

    def order(self, elapsed_s: float, measured_c: float) -> Order:
        """Look at the kiln, learn from it, set the heat, and say when to come back."""
        if self.phase is Phase.FINISHED:
            return Order(0.0, 0.0, 0.0, elapsed_s + 3600.0)
        self._learn(elapsed_s, measured_c)
        self._last_s, self._last_c = elapsed_s, measured_c
        step = self._step_now(elapsed_s, measured_c)
        if step is None:
            return Order(0.0, 0.0, 0.0, elapsed_s + 3600.0)
        if self._step_began_s is None:
            self._step_began_s = elapsed_s
        aim = self._aim(step, elapsed_s, measured_c)
        visit_s = self._visit_s(step, aim, elapsed_s, measured_c)
        if aim is None:
            self._last_s = None
            return Order(0.0, 0.0, 0.0, elapsed_s + visit_s)
        self._aim_c_per_h = aim
        needed = (
            self._kiln.needed_w(aim) * self._believed * (1.0 + self._dice.gauss(0.0, SETTING_ERROR))
        )
        return self._set(min(needed / self._kiln.available_w, 1.0), elapsed_s, visit_s)

    def _set(self, share: float, elapsed_s: float, visit_s: float) -> Order:
        raise NotImplementedError

    def _learn(self, elapsed_s: float, measured_c: float) -> None:
        """Correct what the kiln is believed to take by how it has moved."""
        if self._last_s is None or elapsed_s - self._last_s < LEAST_VISIT_S:
            return
        seen = (measured_c - self._last_c) * 3600.0 / (elapsed_s - self._last_s)
        missed_w = self._kiln.needed_w(self._aim_c_per_h) - self._kiln.needed_w(seen)
        whole_w = max(self._kiln.needed_w(self._aim_c_per_h), 0.05 * self._kiln.available_w)
        self._believed += LEARNS * max(-0.25, min(0.25, missed_w / whole_w))
        self._believed = max(0.5, min(1.6, self._believed))

    def _step_now(self, elapsed_s: float, measured_c: float) -> Step | None:
        """The step to work at, after going on as far as the plan now allows; None at its end."""
        steps = self._schedule.steps
        while True:
            step = steps[self.step_index]
            if self.phase is Phase.MOVING:
                upwards = step.to_c >= self._step_from_c
                sign = 1.0 if upwards else -1.0
                if (step.to_c - measured_c) * sign > REACHED_C:
                    return step
                self.phase = Phase.HOLDING
                self._hold_since_s = elapsed_s
            if elapsed_s - self._hold_since_s < step.hold_s - 1.0:
                return step
            self.step_index += 2 if self.step_index + 1 == self._operation.skipped_step else 1
            if self.step_index >= len(steps):
                self.step_index = len(steps) - 1
                self.phase = Phase.FINISHED
                return None
            self.phase = Phase.MOVING
            self._step_began_s = elapsed_s
            self._step_from_c = measured_c

    def _aim(self, step: Step, elapsed_s: float, measured_c: float) -> float | None:
        """The rate wanted from now on, in °C/h, negative down; None for no heat at all."""
        if self._stands(elapsed_s, measured_c):
            return 0.0
        if self.phase is Phase.HOLDING:
            # Back to the hold's own temperature within half an hour.
            return max(-30.0, min(30.0, (step.to_c - measured_c) * 2.0))
        reduced = self._reduced_rate(elapsed_s, measured_c)
        if reduced is not None:
            return reduced
        sign = 1.0 if step.to_c >= self._step_from_c else -1.0
        if step.rate_c_per_h is None:
            return NATURAL_CLIMB_C_PER_H if sign > 0.0 else None
        began_s = elapsed_s if self._step_began_s is None else self._step_began_s
        planned_c = self._step_from_c + sign * step.rate_c_per_h * (elapsed_s - began_s) / 3600.0
        late = (planned_c - measured_c) * sign / CATCH_UP_H
        most = CATCH_UP * step.rate_c_per_h
        return sign * (step.rate_c_per_h + max(-most, min(most, late)))

    def _stands(self, elapsed_s: float, measured_c: float) -> bool:
        """Whether the person lets the kiln stand for a while, as told by the operation."""
        at_c = self._operation.pause_at_c
        if at_c is not None and self._paused_until_s is None and measured_c >= at_c:
            self._paused_until_s = elapsed_s + self._operation.pause_s
        return self._paused_until_s is not None and elapsed_s < self._paused_until_s

    def _reduced_rate(self, elapsed_s: float, measured_c: float) -> float | None:
        reduction = self._operation.reduction
        if reduction is None:
            return None
        if not self._has_reduced and measured_c >= reduction.from_c:
            self._has_reduced = True
            self._reducing_until_s = elapsed_s + reduction.lasts_s
        if self._reducing_until_s is None:
            return None
        if elapsed_s < self._reducing_until_s:
            return reduction.rate_c_per_h
        # The plan's clock goes on from here: nobody makes up for the time of reduction.
        self._reducing_until_s = None
        self._step_began_s = elapsed_s
        self._step_from_c = measured_c
        return None

    def _visit_s(self, step: Step, aim: float | None, elapsed_s: float, measured_c: float) -> float:
        """How long until the next look: the usual time, sooner where something is due."""
        dice = self._dice
        usual = self._operation.visit_s
        visit_s = dice.uniform(*usual)
        if self.phase is Phase.HOLDING:
            left_s = step.hold_s - (elapsed_s - self._hold_since_s)
            return float(round(max(20.0, min(visit_s, dice.uniform(*HOLD_VISIT_S), left_s))))
        for until_s in (self._reducing_until_s, self._paused_until_s):
            if until_s is not None and elapsed_s < until_s:
                visit_s = min(visit_s, dice.uniform(*REDUCTION_VISIT_S), until_s - elapsed_s)
        reduction = self._operation.reduction
        rate = aim or (-200.0 if aim is None else 0.0)
        marks_c = [step.to_c]
        if not self._has_reduced and reduction is not None:
            marks_c.append(reduction.from_c)
        for mark_c in marks_c:
            due_s = (mark_c - measured_c) / rate * 3600.0 if rate else 0.0
            if due_s > 0.0:
                visit_s = min(visit_s, due_s * dice.uniform(0.85, 1.0) + 30.0)
        return float(round(max(min(LEAST_VISIT_S, usual[0]), visit_s)))


class BurnerHand(Person):
    """Sets the gas; it then stays as it is set."""

    def _set(self, share: float, elapsed_s: float, visit_s: float) -> Order:
        share = max(share, LEAST_SHARE)
        return Order(share, share, share, elapsed_s + visit_s)


_POSITIONS = (0.0, 0.25, 0.5, 1.0)
"""Off, low, medium, high: two elements in series, one alone, both side by side."""
_PATTERNS = tuple(
    (_POSITIONS[max(0, min(3, n // 3))], _POSITIONS[(n + 1) // 3], _POSITIONS[min(3, (n + 2) // 3)])
    for n in range(10)
)
"""Settings of the three switches from all off to all high: the bottom is turned up first."""


class SwitchHand(Person):
    """Turns three-position switches; takes the setting that comes nearest."""

    def _set(self, share: float, elapsed_s: float, visit_s: float) -> Order:
        pattern = min(_PATTERNS, key=lambda one: abs(sum(one) / 3.0 - share))
        return Order(*pattern, elapsed_s + visit_s)


STOKE_OPEN_S = 30.0
"""The door of the firebox is open for so long at each stoke."""
STOKE_DRAUGHT = 0.15
"""And lets in this part of what all vents let in."""
_BURN = (0.72, 1.25, 1.38, 1.22, 1.0, 0.81, 0.62)
"""How a charge burns over the time to the next, in sevenths; its mean is 1 (a guess)."""
_BURN_S = 20.0


class Stoker(Person):
    """Stokes wood: each charge flares up and burns down."""

    def __init__(
        self, schedule: Schedule, operation: Operation, kiln: Kiln, measured_c: float, seed: int
    ) -> None:
        super().__init__(schedule, operation, kiln, measured_c, seed)
        self._open_w_per_k = STOKE_DRAUGHT * kiln.spec.vent_w_per_k
        self._share = 0.0
        self._stoked_s = 0.0
        self._burns_s = 0.0

    def order(self, elapsed_s: float, measured_c: float) -> Order:
        if elapsed_s < self._stoked_s + self._burns_s:
            return self._burning(elapsed_s)
        return super().order(elapsed_s, measured_c)

    def power_returns(self, measured_c: float) -> None:
        super().power_returns(measured_c)
        self._burns_s = 0.0

    def stop(self) -> None:
        super().stop()
        self._burns_s = 0.0

    def _set(self, share: float, elapsed_s: float, visit_s: float) -> Order:
        self._share = max(share, LEAST_SHARE)
        self._stoked_s = elapsed_s
        self._burns_s = max(visit_s, _BURN_S)
        return self._burning(elapsed_s)

    def _burning(self, elapsed_s: float) -> Order:
        since_s = elapsed_s - self._stoked_s
        part = min(int(since_s / self._burns_s * len(_BURN)), len(_BURN) - 1)
        share = min(self._share * _BURN[part], 1.0)
        until_s = min(elapsed_s + _BURN_S, self._stoked_s + self._burns_s)
        draught = self._open_w_per_k if since_s < STOKE_OPEN_S else 0.0
        return Order(share, share, share, until_s, draught)
