"""The plan climbs and the kiln has (nearly) stopped climbing."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H
from supervisor.core.watch.wording import show_duration

_STOPPED = 0.25
"""Half-way between a kiln that stands still and one that manages half the planned rate, the
reference value of a one-sided CUSUM (Page 1954)."""
_FULL_STOP_S = 420.0
"""A kiln that stands quite still is called stalled after this time."""
_MOST_C_PER_H = 150.0
"""Plans may ask for more than a hot kiln can do: being slower than that is late, not stalled."""
_SUSPENSE_S = 600.0
"""For so long a mere suspicion of lost heat keeps the stall back, to speak of one thing."""
_LEAST_DEFICIT_C, _SIGMAS = 0.8, 1.5
"""In a slow climb the filter's own wander, a part of a degree and more where the probe is noisy,
must not add up to a stall (chosen on made-up healthy logs, no source)."""
_CAP = 1.5
"""However long a stall has lasted, it is to clear soon after its end."""
_PAUSE_MARGIN, _LONGEST_PAUSE_S = 1.25, 540.0
"""A kiln that swings has been seen to pause for so long and climb on; the cap keeps a real
stall within a quarter of an hour."""


class Stall:
    """Adds up how much the kiln falls short of a quarter of the planned climb, in °C."""

    __slots__ = ("_deficit_c", "_pause_s", "_since_s", "is_raised")

    def __init__(self) -> None:
        self._deficit_c = 0.0
        self._since_s = 0.0
        self._pause_s = 0.0
        self.is_raised = False

    def feed(self, moment: Moment, *, heat_is_lost: bool, heat_may_be_lost: bool) -> list[Event]:
        """Events of this moment; a kiln that loses heat is spoken of as that instead."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        due_s = plan.climb_due_s
        if due_s is None or moment.elapsed_s < due_s or plan.step is None:
            self._deficit_c = 0.0
            return self._clear(moment, temp_c) if self.is_raised else []
        planned_c_per_h = plan.step.rate_c_per_h or NATURAL_LEAST_C_PER_H
        wanted_c_per_h = _STOPPED * min(planned_c_per_h, _MOST_C_PER_H)
        limit_c = max(
            wanted_c_per_h * _FULL_STOP_S / 3600.0,
            _LEAST_DEFICIT_C + _SIGMAS * moment.sigma_c,
        )
        if self._deficit_c == 0.0:
            self._since_s = moment.elapsed_s
        lasted_s = moment.elapsed_s - self._since_s
        deficit_c = self._deficit_c + (wanted_c_per_h - moment.rate_c_per_h) * moment.dt_s / 3600.0
        self._deficit_c = min(max(deficit_c, 0.0), _CAP * limit_c)
        if self._deficit_c == 0.0 and lasted_s > self._pause_s:
            self._pause_s = min(lasted_s, _LONGEST_PAUSE_S)
        if self.is_raised:
            return self._clear(moment, temp_c) if self._deficit_c == 0.0 else []
        if heat_is_lost:
            self._deficit_c = 0.0
        if self._deficit_c < limit_c or (heat_may_be_lost and lasted_s < _SUSPENSE_S):
            return []
        if lasted_s < max(_FULL_STOP_S, _PAUSE_MARGIN * self._pause_s):
            return []
        self.is_raised = True
        words = moment.words
        return [
            moment.event(
                Kind.STALL,
                Severity.WARNING,
                f"The kiln has all but stopped climbing at {words.temp(temp_c)}, "
                f"{show_duration(lasted_s)} now, where the plan climbs "
                f"{words.rate(planned_c_per_h)} to {words.temp(plan.step.to_c)}: go and look "
                f"whether every element or burner still heats, at breaker, gas bottle and "
                f"regulator, damper and door.",
                {
                    "temp_c": round(temp_c, 1),
                    "rate_c_per_h": round(moment.rate_c_per_h, 1),
                    "planned_rate_c_per_h": round(planned_c_per_h, 1),
                    "to_c": round(plan.step.to_c, 1),
                    "since_s": round(self._since_s, 1),
                },
            )
        ]

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = False
        self._deficit_c = 0.0
        words = moment.words
        what = "climbs again" if moment.plan.climbs else "is no longer meant to climb"
        return [
            moment.event(
                Kind.STALL,
                Severity.WARNING,
                f"The kiln {what}: {words.temp(temp_c)}, {words.rate(moment.rate_c_per_h)}.",
                {"temp_c": round(temp_c, 1), "rate_c_per_h": round(moment.rate_c_per_h, 1)},
                state=State.CLEARED,
            )
        ]
