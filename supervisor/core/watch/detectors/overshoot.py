"""The kiln is above the top of its step, or above the limit of the kiln itself."""

from __future__ import annotations

from math import inf

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import LONGEST_CHARGE_S, fired_with
from supervisor.core.watch.moves import COOLING
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.core.watch.sentence import STILL_C_PER_H
from supervisor.core.watch.step_end import least_pace_c_per_h

_BELOW_LIMIT_C = 5.0
"""The limit is done with this far below it, so that a swing is told once (common practice, no
source)."""
_AT_ONCE_C = 5.0
"""So far beyond the tolerance no noise of a working rig reaches for long."""
_ON_THE_WAY, _CLIMBS_ON = 1.5, 4.0
"""At a top from which the plan climbs on, so much more of the tolerance does no harm to a kiln that
stands there, and to one that climbs as it is to do next: whoever fires it has left the hold, sooner
than ours saw it done (common practice, no source)."""
_BY_HAND = 0.5
"""Who strays so far from a plan works the kiln by hand (common practice, no source)."""
_NO_FASTER, _NOBODYS, _RUSHES_C_PER_H = 1.4, 3.0, 300.0
"""A controller that has kept its plan, and goes on past a hold, does so by the next step's pace;
and nobody who has left a hold climbs on at so many times that pace, and faster than any flicker
(common practice, no source)."""
_DRIVEN_THROUGH, _AT_ITS_PACE, _HELD, _LONG_S = 1.2, 0.2, 0.5, 600.0
"""A kept kiln that climbs on through a hold of so long, of which less than this part was held, has
had it skipped where it does so by the next step's pace, give or take a fifth; else nobody has told
it to, and it is told sooner than one that stands, for it goes on (common practice, no source)."""
_AREA_C_S = 240.0
"""So many °C times seconds beyond the tolerance are too much: 5 °C for 48 s, or 1 °C for four
minutes (common practice, no source). A cold draught on a spyhole's plug is not told."""


class Overshoot:
    """Adds up how long and how far the kiln is above the step's top plus the tolerance.

    Cooling steps have no top but the peak that was left behind.
    """

    __slots__ = (
        "_area_c_s",
        "_most_c_s",
        "_passed_s",
        "_sigmas",
        "_tolerance_c",
        "_within_since_s",
        "is_raised",
    )

    def __init__(self, tolerance_c: float, sensitivity: Sensitivity) -> None:
        self._tolerance_c = tolerance_c
        self._sigmas = sensitivity.sigmas(Kind.OVERSHOOT)
        self._most_c_s = _AREA_C_S * sensitivity.scale(Kind.OVERSHOOT)
        self._area_c_s = 0.0
        self._passed_s = 0.0
        """When the kiln was last at or below the top of its step."""
        self._within_since_s: float | None = None
        """Since when the kiln is back within its plan, while it was told to be above it."""
        self.is_raised = False

    def feed(self, moment: Moment) -> list[Event]:
        plan, temp_c, step = moment.plan, moment.temp_c, moment.plan.step
        if temp_c is None or step is None:
            return []
        least_c = step.from_c if step.cools else step.to_c
        if temp_c <= least_c:
            self._passed_s = moment.elapsed_s
        if temp_c - least_c <= self._tolerance_c and not self.is_raised:
            self._area_c_s = 0.0
            return []
        if plan.activity is COOLING or step.cools:
            # On the way down only the peak that was left behind is still a limit.
            top_c = max(planned.to_c for planned in plan.timeline.steps[: step.index + 1])
            top_c = max(top_c, step.from_c)
        else:
            top_c = step.to_c
        above_c = temp_c - top_c
        if self.is_raised:
            return self._look_for_its_end(moment, temp_c, above_c)
        tolerance_c = self._tolerance_c
        if not plan.turns_next and not step.cools:
            passed_s = moment.elapsed_s - self._passed_s
            tolerance_c *= _on_the_way(moment, step, above_c, passed_s)
            # Where ours is known to read more, that much is no step passed.
            above_c -= max((plan.top_c or top_c) - top_c, 0.0)
        over_c = above_c - tolerance_c
        if over_c <= 0.0:
            self._area_c_s = 0.0
            return []
        self._area_c_s += over_c * moment.moved_s
        # A level that noise passes but once in the time accepted between two false alarms (Rice).
        if over_c <= self._sigmas * moment.sigma_c and over_c < _AT_ONCE_C:
            return []
        if self._area_c_s < self._most_c_s:
            return []
        self._area_c_s = 0.0
        self.is_raised = True
        words = moment.words
        goes_on = not plan.turns_next and not step.cools
        heat = "turned down" if goes_on else "really off"
        return [
            moment.event(
                Kind.OVERSHOOT,
                Severity.WARNING,
                f"The kiln is at {words.temp(temp_c)}, {words.difference(above_c)} above the "
                f"{words.temp(top_c)} of its plan, {self._moving(moment)}: go and look whether "
                f"the heat is {heat}, or the plan is the wrong one, and at the witness cones.",
                {
                    "temp_c": round(temp_c, 1),
                    "top_c": round(top_c, 1),
                    "above_c": round(above_c, 1),
                    "rate_c_per_h": round(moment.rate_c_per_h, 1),
                },
            )
        ]

    def _look_for_its_end(self, moment: Moment, temp_c: float, above_c: float) -> list[Event]:
        if above_c >= self._tolerance_c / 2.0:
            self._within_since_s = None
            return []
        if self._within_since_s is None:
            self._within_since_s = moment.elapsed_s
        # A fire swings: it is told once, and not with each charge.
        least_s = LONGEST_CHARGE_S if fired_with(moment) == "wood" else 0.0
        if moment.elapsed_s - self._within_since_s < least_s:
            return []
        return self._clear(moment, temp_c)

    def _moving(self, moment: Moment) -> str:
        if moment.rate_c_per_h > STILL_C_PER_H:
            return f"still climbing {moment.words.rate(moment.rate_c_per_h)}"
        return "no longer climbing"

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = False
        self._within_since_s = None
        why = "The kiln is back within its plan at"
        if moment.plan.passed_by_s > 0.0:
            why = "The kiln has left that hold behind, and climbs on by its plan at"
        return [
            moment.event(
                Kind.OVERSHOOT,
                Severity.WARNING,
                f"{why} {moment.words.temp(temp_c)}.",
                {"temp_c": round(temp_c, 1)},
                state=State.CLEARED,
            )
        ]


def _on_the_way(moment: Moment, step: PlannedStep, above_c: float, for_s: float) -> float:
    """How many times the tolerance a kiln may be above a top from which the plan climbs on."""
    plan, following = moment.plan, moment.plan.timeline.after(step)
    if following is None or not _climbs_on(moment, following, above_c, for_s):
        return _ON_THE_WAY
    is_held = plan.held_s >= _HELD * step.hold_s or plan.hold_complete_s is not None
    if step.hold_s < _LONG_S or is_held or not is_kept(moment):
        return _CLIMBS_ON
    next_c_per_h = following.rate_c_per_h
    if next_c_per_h is None or abs(moment.rate_c_per_h / next_c_per_h - 1.0) <= _AT_ITS_PACE:
        return _CLIMBS_ON
    return _DRIVEN_THROUGH


def _climbs_on(moment: Moment, following: PlannedStep, above_c: float, for_s: float) -> bool:
    """Whether the kiln climbs at the pace of ``following``, if that is one up: now, or, where a
    person works it in fits and starts, by ``above_c`` in ``for_s``; or may by the plan's clock."""
    if not following.climbs:
        return False
    if moment.plan.hold_complete_s is not None:
        return True
    rate_c_per_h = moment.rate_c_per_h
    next_c_per_h = following.rate_c_per_h
    if is_kept(moment) and next_c_per_h and rate_c_per_h > _NO_FASTER * next_c_per_h:
        return False
    rushes_c_per_h = max(_NOBODYS * (next_c_per_h or inf), _RUSHES_C_PER_H)
    if rate_c_per_h > rushes_c_per_h and moment.kiln_kind != "wood":
        return False
    if moment.habits.looseness > _BY_HAND:
        rate_c_per_h = max(rate_c_per_h, above_c / max(for_s, 1.0) * 3600.0)
    return rate_c_per_h > least_pace_c_per_h(following)


class OverLimit:
    """Compares with the kiln maker's limit, where one is told."""

    __slots__ = ("_limit_c", "is_raised")

    def __init__(self, limit_c: float | None) -> None:
        self._limit_c = limit_c
        self.is_raised = False

    def feed(self, moment: Moment) -> list[Event]:
        temp_c, limit_c = moment.temp_c, self._limit_c
        if temp_c is None or limit_c is None:
            return []
        words = moment.words
        data = {"temp_c": round(temp_c, 1), "limit_c": round(limit_c, 1)}
        if self.is_raised and temp_c < limit_c - _BELOW_LIMIT_C:
            self.is_raised = False
            message = f"The kiln is below its limit again at {words.temp(temp_c)}."
            return [
                moment.event(Kind.OVER_LIMIT, Severity.CRITICAL, message, data, state=State.CLEARED)
            ]
        if self.is_raised or temp_c <= limit_c + moment.sigma_c:
            return []
        self.is_raised = True
        message = (
            f"The kiln is at {words.temp(temp_c)}, above the {words.temp(limit_c)} that it is "
            f"made for: switch it off at its isolator or shut off the gas, if that can be done "
            f"safely, and follow the kiln maker's instructions."
        )
        return [moment.event(Kind.OVER_LIMIT, Severity.CRITICAL, message, data)]
