"""The plan that repeats a firing, with one of the suggested changes made. Suggests nothing.

A change of the peak is another hold, top or last climb. A way that is to be gone more slowly is
cut out of the steps that cross it; below the last step, where the kiln was left to itself, it
becomes steps of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from supervisor.core.refit.changeable import Changeable
from supervisor.core.refit.figures import rounded_rate, rounded_temp
from supervisor.core.refit.plan import Refit, place_of
from supervisor.core.refit.suggestion import PlanChange
from supervisor.core.review import FiringFacts
from supervisor.core.review.cones import name_of_place
from supervisor.core.schedule.model import Schedule, Step
from supervisor.core.watch.wording import Words

_LEAST_C = 1.0
"""A piece of a step that is less is no step of its own."""


def changed(fitted: Refit, change: PlanChange, name: str) -> Schedule:
    """The plan of ``fitted`` under another name, with ``change`` made and figures that people set.

    Any other thing of it stays as it was fired.
    """
    plan = fitted.schedule
    steps = list(plan.steps)
    steps[fitted.peak] = _peak(steps[fitted.peak], change, plan)
    if change.slower is not None:
        steps = list(_slower(steps, fitted.start_c, change.slower, plan))
    return replace(
        plan, name=name, steps=tuple(steps), target_cone=change.target_cone or plan.target_cone
    )


def cone_by_real_cones(plan: Schedule, fitted: Refit, facts: FiringFacts) -> str | None:
    """The cone that a plan made from the firing comes to by its real cones, as "6.1"."""
    fired = Changeable(fitted, facts, Words(plan.units), None)
    place = place_of(plan, plan.peak_step, fitted.start_c, fired.offset_c)
    if not fired.by_real_cones or place is None:
        return None
    return name_of_place(place + fired.after_peak)


def by_real_cones(plan: Schedule, fitted: Refit, facts: FiringFacts) -> str | None:
    """What the firing's real cones say of a plan made from it; None where they say nothing.

    A plan is explained by calculation from a thermocouple, which knows nothing of them.
    """
    cone = cone_by_real_cones(plan, fitted, facts)
    if cone is None:
        return None
    return (
        f"By the real cones of this firing the plan comes to cone {cone}. What else is "
        f"said of its cones is by calculation from the thermocouple alone."
    )


def _peak(step: Step, change: PlanChange, plan: Schedule) -> Step:
    unit = plan.units
    return replace(
        step,
        hold_s=step.hold_s if change.hold_s is None else change.hold_s,
        to_c=step.to_c if change.top_c is None else rounded_temp(change.top_c, unit),
        rate_c_per_h=step.rate_c_per_h
        if change.rate_c_per_h is None
        else rounded_rate(change.rate_c_per_h, unit),
    )


def _slower(
    steps: Sequence[Step], start_c: float, slower: tuple[float, float, float], plan: Schedule
) -> Iterator[Step]:
    unit = plan.units
    from_c, to_c = (rounded_temp(c, unit) for c in slower[:2])
    rate_c_per_h = rounded_rate(slower[2], unit)
    climbs = to_c > from_c
    low_c, high_c = min(from_c, to_c), max(from_c, to_c)
    now_c = start_c
    for step in steps:
        if (step.to_c > now_c) is climbs:
            yield from _pieces(step, now_c, low_c, high_c, rate_c_per_h)
        else:
            yield step
        now_c = step.to_c
    if climbs or now_c - to_c < _LEAST_C:
        return
    if now_c - from_c >= _LEAST_C:
        yield Step(from_c, None)
    yield Step(to_c, rate_c_per_h)


def _pieces(
    step: Step, from_c: float, low_c: float, high_c: float, rate_c_per_h: float
) -> Iterator[Step]:
    """The step, cut where it enters and leaves the way; slower in between."""
    if step.rate_c_per_h is not None and step.rate_c_per_h <= rate_c_per_h:
        yield step
        return
    climbs = step.to_c > from_c
    here_c = from_c
    for corner_c in (low_c, high_c) if climbs else (high_c, low_c):
        between = min(here_c, step.to_c) + _LEAST_C <= corner_c <= max(here_c, step.to_c) - _LEAST_C
        if between:
            is_in = low_c <= (here_c + corner_c) / 2.0 <= high_c
            yield Step(corner_c, rate_c_per_h if is_in else step.rate_c_per_h)
            here_c = corner_c
    is_in = low_c <= (here_c + step.to_c) / 2.0 <= high_c
    yield replace(step, rate_c_per_h=rate_c_per_h if is_in else step.rate_c_per_h)
