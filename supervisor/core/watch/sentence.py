"""The one plain sentence that says how the firing goes. Knows the status, not the clock."""

from __future__ import annotations

import math
from collections.abc import Callable

from supervisor.core.watch.moves import CLIMBING, FINISHED, HOLDING, WAITING
from supervisor.core.watch.status import ConeStatus, PlanStatus, WatchStatus
from supervisor.core.watch.wording import Words, show_duration

ON_TIME_S = 180.0
"""A kiln early or late by less is on plan, in every sentence and panel (common practice, no
source: a plan is kept to the minute by nobody)."""
STILL_C_PER_H = 5.0
"""A kiln that moves by less stands still, in every sentence and panel: no plan climbs so slowly,
and a steady kiln's rate is seldom known better (common practice, no source)."""

LOOK_WITHIN_S = 30 * 60.0
"""A cone this near is worth a walk: it moves 15 to 25 minutes before it is down (Orton, text of
the chart of temperature equivalents)."""

FAR_OFF_S = 12 * 3600.0
"""So far ahead a time of day alone may be taken for one that has passed: how long it is still is
told with it, to the hour."""

ClockTime = Callable[[float], str | None]
"""Turns an elapsed time into the hour and minute that a person's clock shows then."""


def sentence(status: WatchStatus, words: Words, clock_time: ClockTime) -> str:
    """How the firing goes, for someone with one eye open."""
    if status.temp_c is None:
        return (
            "spyhole can't see the kiln: no thermocouple gives a usable reading. "
            "Go and look at the kiln itself."
        )
    plan = status.plan
    late = _late(plan)
    text = f"{_doing(status, words)}{', ' + late if late else ''}."
    cone = None if _ends_nowhere(plan) else _next_cone(status.cones)
    if cone is not None and cone.expected_in_s is not None:
        return f"{text} {_of_cone(cone, cone.expected_in_s, status, words, clock_time)}"
    if plan.activity is FINISHED and status.temp_c > 100.0:
        text += " Keep it shut until it is cool."
    return text


def _of_cone(
    cone: ConeStatus, in_s: float, status: WatchStatus, words: Words, clock_time: ClockTime
) -> str:
    """When the next cone is expected; at the last hold as the rest of the hold that it needs."""
    temp_c = status.temp_c
    assert temp_c is not None  # noqa: S101 - the caller has looked
    hold_s = None if cone.forecast is None else cone.forecast.hold_s
    look = ": go and look at the cones" if in_s <= LOOK_WITHIN_S else ""
    by = "by calculation" if status.correction is None else "by corrected calculation"
    if status.plan.activity is HOLDING and hold_s is not None and hold_s <= in_s + 60.0:
        return (
            f"Cone {cone.cone} needs another {show_duration(hold_s)} at {words.temp(temp_c)}, "
            f"{by}{look}."
        )
    at = clock_time(status.elapsed_s + in_s)
    if at and round(in_s) >= FAR_OFF_S:
        hours = math.floor((round(in_s) + 1800) / 3600)
        return f"Cone {cone.cone} about {at}, in {show_duration(hours * 3600.0)}, {by}{look}."
    when = f"about {at}" if at else f"in {show_duration(in_s)}"
    return f"Cone {cone.cone} {when}{_between(cone, status, clock_time)}, {by}{look}."


def _between(cone: ConeStatus, status: WatchStatus, clock_time: ClockTime) -> str:
    """The times between which four of five go down; nothing where the latest is not known."""
    forecast = cone.forecast
    if forecast is None or forecast.earliest_s is None or forecast.latest_s is None:
        return ""
    earliest = clock_time(status.elapsed_s + forecast.earliest_s)
    latest = clock_time(status.elapsed_s + forecast.latest_s)
    if earliest is None or latest is None or earliest == latest:
        return ""
    return f", between {earliest} and {latest}"


def _doing(status: WatchStatus, words: Words) -> str:
    plan, temp_c = status.plan, status.temp_c
    assert temp_c is not None  # noqa: S101 - the caller has looked
    rate = status.rate_c_per_h or 0.0
    here = words.temp(temp_c)
    if plan.activity is WAITING:
        if rate < -STILL_C_PER_H:
            return f"Waiting for the kiln to climb; {here} and cooling"
        return f"Waiting for the kiln to climb; {here}"
    if plan.activity is FINISHED:
        falling = f", cooling {words.rate(-rate)}" if rate < -STILL_C_PER_H else ""
        return f"The plan is complete; {here}{falling}"
    if plan.activity is HOLDING:
        target = "" if plan.target_c is None else f" for {words.temp(plan.target_c)}"
        left_s = max(plan.hold_s - plan.held_s, 0.0)
        left = f", {show_duration(left_s)} to go" if left_s else ", the planned hold is over"
        return f"Holding at {here}{target}{left}"
    target = "" if plan.target_c is None else f" towards {words.temp(plan.target_c)}"
    if abs(rate) < STILL_C_PER_H:
        verb = "Standing"
        return f"{verb} at {here}{target}"
    verb = "Climbing" if rate > 0.0 else "Cooling"
    if (rate > 0.0) is not (plan.activity is CLIMBING) and plan.target_c is not None:
        # Away from where the plan wants it: nothing moves "towards" the step's end.
        target = f" where the plan goes to {words.temp(plan.target_c)}"
    return f"{verb} {words.rate(abs(rate))}, {here}{target}"


def _late(plan: PlanStatus) -> str:
    late_s = plan.late_s
    if late_s is None or plan.activity is WAITING:
        return ""
    if abs(late_s) < ON_TIME_S:
        return "on plan"
    side = "behind" if late_s > 0.0 else "ahead of"
    return f"{show_duration(abs(late_s))} {side} plan"


def _ends_nowhere(plan: PlanStatus) -> bool:
    """Whether the climb has stalled or heat is being lost: when a cone would go down if the kiln
    stayed so is nothing to wait for."""
    return plan.ends_in_s is None and plan.activity is not FINISHED


def _next_cone(cones: tuple[ConeStatus, ...]) -> ConeStatus | None:
    return next((c for c in cones if c.down_at_s is None and c.expected_in_s is not None), None)
