"""When a cone will be down, as a time and as an interval. Knows one instant, keeps nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from supervisor.core.heatwork import (
    CONES,
    HeatWork,
    Leg,
    offset_sigma_c,
    seconds_of_hold,
    seconds_until_down,
    work_along,
)
from supervisor.core.heatwork.uncertainty import QUANTILE
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.course import (
    COOLING_C_PER_H,
    likely_climb,
    plan_course,
    rate_course,
    temp_after,
)
from supervisor.core.watch.follower import Activity, PlanFollower


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


def expected_s(outlook: Outlook, cone: str) -> float | None:
    """Seconds until ``cone`` is down, by the likeliest course; None where it will not be."""
    done = outlook.work.work_of(cone)
    return seconds_until_down(CONES[cone], done, _likely(outlook), outlook.offset_c)


def forecast_of(outlook: Outlook, cone: str) -> ConeForecast:
    """Everything that can be said of when ``cone`` will be down."""
    work, temp_c = outlook.work, outlook.temp_c
    offset_c, done, kind = outlook.offset_c, work.work_of(cone), CONES[cone]

    def along(legs: Iterator[Leg] | tuple[Leg, ...]) -> float | None:
        return seconds_until_down(kind, done, legs, offset_c)

    expected = along(_likely(outlook))
    earliest, latest = _interval(outlook, cone, expected)
    return ConeForecast(
        expected_s=expected,
        earliest_s=earliest,
        latest_s=latest,
        if_plan_s=along(plan_course(outlook.plan, temp_c)),
        at_rate_s=along(rate_course(temp_c, outlook.rate_c_per_h)),
        hold_s=seconds_of_hold(kind, done, temp_c + offset_c),
    )


def _likely(outlook: Outlook, sigmas: float = 0.0) -> Iterator[Leg] | tuple[Leg, ...]:
    """The likeliest course; or with the present climb so many sigmas faster."""
    plan, temp_c, rate = outlook.plan, outlook.temp_c, outlook.rate_c_per_h
    falls = rate < COOLING_C_PER_H and plan.activity is not Activity.COOLING
    if falls or plan.activity in (Activity.WAITING, Activity.FINISHED):
        return rate_course(temp_c, rate)
    if plan.activity is not Activity.CLIMBING:
        return plan_course(plan, temp_c)
    climb, sigma = likely_climb(plan, rate, outlook.rate_sigma_c_per_h)
    return plan_course(plan, temp_c, max(climb + sigmas * sigma, 0.3 * climb))


def _interval(
    outlook: Outlook, cone: str, expected: float | None
) -> tuple[float | None, float | None]:
    """The earliest and the latest: the offset that may be, and the rate that may be, squared up.

    Where the cone is not expected at all, it may still fall if the kiln is hotter than it reads.
    """
    fall_c = None if expected is None else temp_after(_likely(outlook), expected)
    if fall_c is None:
        fall_c = max((max(leg[0], leg[1]) for leg in _likely(outlook)), default=outlook.temp_c)
    lead, offset_c = outlook.lead, outlook.offset_c
    sigma_c = math.hypot(
        offset_sigma_c(CONES[cone], fall_c + offset_c, lead.wire, lead.correction),
        outlook.sigma_c,
    )
    earliest = _if_hotter(outlook, cone, QUANTILE * sigma_c)
    if expected is None:
        return earliest, None
    latest = _if_hotter(outlook, cone, -QUANTILE * sigma_c)

    def with_rate(sigmas: float) -> float | None:
        legs = _likely(outlook, sigmas)
        return seconds_until_down(CONES[cone], outlook.work.work_of(cone), legs, offset_c)

    return (
        _squared(expected, earliest, with_rate(QUANTILE), min),
        _squared(expected, latest, with_rate(-QUANTILE), max),
    )


def _if_hotter(outlook: Outlook, cone: str, more_c: float) -> float | None:
    """Seconds until the cone is down if all was, and will be, hotter by ``more_c``."""
    done = work_along(outlook.work.path, CONES[cone], outlook.work.offset_c + more_c)
    return seconds_until_down(CONES[cone], done, _likely(outlook), outlook.offset_c + more_c)


def _squared(
    expected: float, one: float | None, other: float | None, side: Callable[[float, float], float]
) -> float | None:
    """Two departures from ``expected`` to the same side, added as independent errors."""
    if one is None or other is None:
        return None
    away = math.hypot(side(one - expected, 0.0), side(other - expected, 0.0))
    return max(side(expected - away, expected + away), 0.0)
