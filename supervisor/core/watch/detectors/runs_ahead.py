"""A kiln that its controller has kept to the plan, and that runs ahead of it in a climb.

A controller gives a climb no more heat than its pace takes; a relay that welds gives all that there
is. Knows one climb. The figures are common practice, no source.
"""

from __future__ import annotations

from math import inf

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.detectors.advice import STUCK_ON
from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.eased import Eased
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import CLIMBING
from supervisor.core.watch.sensitivity import Sensitivity

_FASTER = 1.5
"""So many times as fast as planned no controller's kiln climbs but to come back to its line."""
_AHEAD_C = 25.0
"""It is told when it is so far ahead of its line, and has come there as fast."""
_CORNER_C = 60.0
"""So near a corner the kiln may climb as on the other side of it: its own thermocouple may read so
much more or less than ours."""
_SKIPPED = 1.15
"""Whoever has left out the rest of this climb, by hand, is in the next one, at its pace."""
_STRAYS, _STRAYS_S = 1.25, 600.0
"""A switch is turned up, and the kiln climbs faster than its plan until it comes to what that
switch can do: what has climbed so fast, above its line, for so long in all and slowed again by
itself, no controller leads, however near to the plan it is at the corners (common practice, no
source)."""
_EASES = "The kiln no longer climbs faster than its plan"
_IS_OVER = "The climb is over by the plan, and a kiln that heats on is told anew"


class RunsAhead:
    """Adds up how much faster the kiln climbs than any controller would let it, in °C (Page
    1954)."""

    __slots__ = (
        "_ahead_c",
        "_eased",
        "_high_c",
        "_is_kept",
        "_limit_c",
        "_line_c",
        "_step_index",
        "_strayed_s",
        "_strays_s",
        "is_raised",
    )

    def __init__(self, sensitivity: Sensitivity) -> None:
        self._limit_c = _AHEAD_C * sensitivity.scale(Kind.HEAT_STUCK_ON)
        self._ahead_c = self._line_c = 0.0
        self._high_c = float("-inf")
        """How hot the kiln has been: up to there it may come back as fast as it can."""
        self._is_kept = False
        """Whether the kiln was kept to its plan when the step began."""
        self._step_index = -1
        self._strays_s = self._strayed_s = 0.0
        """For how long it climbs too fast by now, and has in all that was over by itself."""
        self._eased = Eased()
        self.is_raised = False

    def feed(self, moment: Moment, temp_c: float, *, is_told: bool) -> list[Event]:
        """Events of this moment; ``is_told``: it stands already that heat is stuck on."""
        plan, step, high_c = moment.plan, moment.plan.step, self._high_c
        if temp_c > high_c:
            self._high_c = temp_c
        if plan.activity is not CLIMBING or step is None or step.rate_c_per_h is None:
            self._step_index = -1
            return self._clear(moment, temp_c, _IS_OVER) if self.is_raised else []
        if step.index != self._step_index:
            self._step_index = step.index
            self._is_kept = is_kept(moment) and self._strayed_s < _STRAYS_S
            self._line_c, self._ahead_c = max(temp_c, high_c), 0.0
        planned_c_per_h = step.rate_c_per_h
        if self.is_raised:
            has_eased = self._eased.look(moment.elapsed_s, moment.rate_c_per_h, planned_c_per_h)
            return self._clear(moment, temp_c, _EASES) if has_eased else []
        planned_c = planned_c_per_h * moment.moved_s / 3600.0
        self._line_c += planned_c + moment.jumped_c
        self._see_whether_it_strays(moment, temp_c, planned_c_per_h)
        if is_told or not self._is_kept:
            return []
        gains_c = moment.moved_c - _FASTER * planned_c
        if gains_c <= 0.0:
            self._ahead_c = max(self._ahead_c + gains_c, 0.0)
            return []
        fastest_c_per_h = _FASTER * _fastest_c_per_h(moment, temp_c, step.index, planned_c_per_h)
        gains_c = moment.moved_c - fastest_c_per_h * moment.moved_s / 3600.0
        self._ahead_c = ahead_c = max(self._ahead_c + gains_c, 0.0)
        if min(ahead_c, temp_c - self._line_c) < self._limit_c:
            return []
        others_c_per_h = moment.others_rate_c_per_h
        if others_c_per_h is not None and others_c_per_h < fastest_c_per_h:
            return []
        self.is_raised = True
        self._eased.forget()
        words = moment.words
        return [
            moment.event(
                Kind.HEAT_STUCK_ON,
                Severity.CRITICAL,
                f"The kiln climbs {words.rate(moment.rate_c_per_h)}, now {words.temp(temp_c)}, "
                f"where its plan climbs {words.rate(step.rate_c_per_h)} and it had been kept to "
                f"that: the heat may be stuck on. {STUCK_ON[moment.kiln_kind]}",
                {
                    "temp_c": round(temp_c, 1),
                    "rate_c_per_h": round(moment.rate_c_per_h, 1),
                    "planned_rate_c_per_h": round(step.rate_c_per_h, 1),
                    "ahead_c": round(temp_c - self._line_c, 1),
                },
            )
        ]

    def _see_whether_it_strays(self, moment: Moment, temp_c: float, planned_c_per_h: float) -> None:
        if moment.rate_c_per_h > _STRAYS * planned_c_per_h and temp_c > self._line_c:
            self._strays_s += moment.moved_s
        elif self._strays_s > 0.0:
            self._strayed_s += self._strays_s
            self._strays_s = 0.0

    def _clear(self, moment: Moment, temp_c: float, why: str) -> list[Event]:
        self.is_raised = self._is_kept = False
        return [
            moment.event(
                Kind.HEAT_STUCK_ON,
                Severity.CRITICAL,
                f"{why}: {moment.words.temp(temp_c)}.",
                {"temp_c": round(temp_c, 1), "rate_c_per_h": round(moment.rate_c_per_h, 1)},
                state=State.CLEARED,
            )
        ]


def _fastest_c_per_h(moment: Moment, temp_c: float, index: int, planned_c_per_h: float) -> float:
    """The fastest that the plan climbs on either side of a corner that is near."""
    steps = moment.plan.timeline.steps
    coldest_c = (moment.zones_c or (temp_c, temp_c))[0]
    following = moment.plan.timeline.after(steps[index])
    near: list[PlannedStep | None] = []
    if temp_c > steps[index].to_c - _CORNER_C:
        near.append(following)
    if index > 0 and coldest_c < steps[index - 1].to_c + _CORNER_C:
        near.append(steps[index - 1])
    for step in near:
        if step is not None and step.climbs:
            planned_c_per_h = max(planned_c_per_h, step.rate_c_per_h or inf)
    if following is not None and following.climbs:
        skipped_c_per_h = _SKIPPED / _FASTER * (following.rate_c_per_h or inf)
        planned_c_per_h = max(planned_c_per_h, skipped_c_per_h)
    return planned_c_per_h
