"""When a cone will be down, as a time and as an interval. Knows one instant, keeps nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from supervisor.core.heatwork import (
    CONES,
    HeatWork,
    Leg,
    Wire,
    seconds_of_hold,
    seconds_until_down,
    work_along,
)
from supervisor.core.heatwork.uncertainty import (
    FIRING_C,
    QUANTILE,
    cone_sigma_c,
    wire_sigma_c,
)
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.course import (
    COOLING_C_PER_H,
    cooling,
    likely_climb,
    plan_course,
    rate_course,
    temp_after,
)
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import CLIMBING, COOLING, FINISHED, WAITING

CONTROLLER = Wire()
"""The kiln's own thermocouple, which nobody tells us of: of the commonest kind, K."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a forecast starts from: the kiln at one instant.

    ``lead`` is the channel that leads; ``temp_c`` the kiln's temperature, from which the lead's
    own may differ while it stands in for another.
    """

    plan: PlanFollower
    lead: ChannelWork
    temp_c: float
    sigma_c: float
    rate_c_per_h: float
    rate_sigma_c_per_h: float

    @property
    def work(self) -> HeatWork:
        return self.lead.work

    @property
    def offset_c(self) -> float:
        """What is to be added to the kiln's temperature for the cones beside the lead."""
        own_c = self.lead.track.temp_c
        return self.work.offset_c + (0.0 if own_c is None else own_c - self.temp_c)


@dataclass(frozen=True, slots=True)
class ConeForecast:
    """Seconds from now until a cone is down; None where it will not be.

    ``expected_s`` goes on as the kiln goes to the end of its step and then by the plan;
    between ``earliest_s`` and ``latest_s`` (None: perhaps not at all) lie four of five.
    ``if_plan_s`` keeps every planned rate, ``at_rate_s`` the present rate without an end,
    ``hold_s`` the present temperature.
    """

    expected_s: float | None
    earliest_s: float | None
    latest_s: float | None
    if_plan_s: float | None
    at_rate_s: float | None
    hold_s: float | None


def expected_s(outlook: Outlook, cone: str, longest_s: float) -> float | None:
    """Seconds until ``cone`` is down, by the likeliest course; None where it will not be within
    ``longest_s``."""
    done, legs = outlook.work.work_of(cone), likely_course(outlook)
    return seconds_until_down(CONES[cone], done, legs, outlook.offset_c, longest_s)


def forecast_of(outlook: Outlook, cone: str) -> ConeForecast:
    """Everything that can be said of when ``cone`` will be down."""
    work, temp_c = outlook.work, outlook.temp_c
    offset_c, done, kind = outlook.offset_c, work.work_of(cone), CONES[cone]

    def along(legs: Iterator[Leg]) -> float | None:
        return seconds_until_down(kind, done, legs, offset_c)

    expected = along(likely_course(outlook))
    earliest, latest = _interval(outlook, cone, expected)
    return ConeForecast(
        expected_s=expected,
        earliest_s=earliest,
        latest_s=latest,
        if_plan_s=along(plan_course(outlook.plan, temp_c)),
        at_rate_s=along(rate_course(temp_c, outlook.rate_c_per_h, outlook.plan.timeline.shed_c)),
        hold_s=seconds_of_hold(kind, done, temp_c + offset_c),
    )


def likely_course(
    outlook: Outlook, *, sigmas: float = 0.0, more_c: float = 0.0, tops_c: float = 0.0
) -> Iterator[Leg]:
    """The likeliest course; or with the present climb so many sigmas faster, the kiln hotter by
    ``more_c`` than it reads, or the steps to come ending ``tops_c`` hotter than planned."""
    plan, temp_c, rate = outlook.plan, outlook.temp_c + more_c, outlook.rate_c_per_h
    shed_c = plan.timeline.shed_c
    falls = rate < COOLING_C_PER_H and plan.activity is not COOLING
    if plan.activity is FINISHED and not falls and rate < -COOLING_C_PER_H:
        # The plan is over and the kiln has only not begun to fall.
        return cooling(temp_c, shed_c)
    if falls or plan.activity in (WAITING, FINISHED):
        return rate_course(temp_c, rate, shed_c)
    # A corrected kiln: see _errors for the other half.
    tops_c -= outlook.work.offset_c / 2.0
    if plan.activity is not CLIMBING:
        return plan_course(plan, temp_c, tops_c=tops_c)
    climb, sigma = likely_climb(plan, rate, outlook.rate_sigma_c_per_h)
    climb = max(climb + sigmas * sigma, 0.3 * climb)
    return plan_course(plan, temp_c, climb, tops_c)


def _interval(
    outlook: Outlook, cone: str, expected: float | None
) -> tuple[float | None, float | None]:
    """The earliest and the latest: what may be off, each by itself, squared up."""
    fall_c = None if expected is None else temp_after(likely_course(outlook), expected)
    if fall_c is None:
        fall_c = max(
            (max(leg[0], leg[1]) for leg in likely_course(outlook)), default=outlook.temp_c
        )
    errors = _errors(outlook, cone, fall_c)
    early = [_if_off(outlook, cone, error, QUANTILE) for error in errors]
    if expected is None:
        return min((at_s for at_s in early if at_s is not None), default=None), None
    late = [_if_off(outlook, cone, error, -QUANTILE) for error in errors]
    return _squared(expected, early, min), _squared(expected, late, max)


@dataclass(frozen=True, slots=True)
class _Error:
    """One thing that may be off, as one sigma of it.

    ``cone_c`` is of the cone and the law, and goes with all temperatures, past and to come.
    ``reading_c`` is of our thermocouple: what is past was hotter than it reads, but the tops to
    come are reached by the kiln's own. ``tops_c`` is of that one, ``climb`` of the present rate,
    in sigmas.
    """

    cone_c: float = 0.0
    reading_c: float = 0.0
    tops_c: float = 0.0
    climb: float = 0.0


def _errors(outlook: Outlook, cone: str, fall_c: float) -> tuple[_Error, ...]:
    lead = outlook.lead
    at_c = fall_c + outlook.offset_c
    cone_c, tops_c = cone_sigma_c(CONES[cone], at_c), wire_sigma_c(CONTROLLER, fall_c)
    if lead.correction is None:
        reading_c = math.hypot(wire_sigma_c(lead.wire, at_c), outlook.sigma_c)
    else:
        # Nobody knows whether the offset is of our wire or of the place, which the tops share.
        cone_c = math.hypot(cone_c, lead.correction.sigma_c, FIRING_C)
        tops_c = math.hypot(tops_c, lead.correction.offset_c / 2.0)
        reading_c = outlook.sigma_c
    return (
        _Error(cone_c=cone_c),
        _Error(reading_c=reading_c),
        _Error(tops_c=tops_c),
        _Error(climb=1.0),
    )


def _if_off(outlook: Outlook, cone: str, error: _Error, sigmas: float) -> float | None:
    """Seconds until the cone is down if ``error`` is so many times what it is."""
    cone_c, reading_c = error.cone_c * sigmas, error.reading_c * sigmas
    work, more_c = outlook.work, cone_c + reading_c
    done = work_along(work.path, CONES[cone], work.offset_c + more_c)
    legs = likely_course(
        outlook, sigmas=error.climb * sigmas, more_c=reading_c, tops_c=error.tops_c * sigmas
    )
    return seconds_until_down(CONES[cone], done, legs, outlook.offset_c + cone_c)


def _squared(
    expected: float, found: list[float | None], side: Callable[[float, float], float]
) -> float | None:
    """The departures from ``expected`` to one side, added as independent errors."""
    away = [None if at_s is None else side(at_s - expected, 0.0) for at_s in found]
    known = [one for one in away if one is not None]
    if len(known) < len(away):
        return None
    return max(expected + side(math.hypot(*known), -math.hypot(*known)), 0.0)
