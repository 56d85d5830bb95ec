"""Series over a kiln's firings, and which of them are more than chance.

A trend is told from five firings on, where the whole 90 % interval of its slope lies on one side
of nothing (``theil_sen``); else the interval is told, for "no trend can be told" is not "there is
none". Firings are counted, not days: elements, burners and thermocouples age in the kiln.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from supervisor.core.trends.heating import Cooling, Heating
from supervisor.core.trends.point import FiringPoint
from supervisor.core.trends.theil_sen import LEAST_POINTS, Line, theil_sen

SOON = 10.0
"""A limit that is expected within so many firings is worth a warning (common practice)."""
_DRIFT_C, _APART_C, _LATE_S, _ENERGY_PART = 3.0, 10.0, 15 * 60.0, 0.05
"""What has changed by less over all the firings is worth no walk to the kiln, however sure."""
_LOSSES_LAST, _LOSSES_WORTH = 5, 2
_SHORT_PART = 0.1
"""A last climb that is a tenth slower than planned is not kept; less nobody feels."""


class TrendKind(StrEnum):
    """What is followed from firing to firing."""

    CLIMB = "climb"
    """What the kiln still climbs at full power, in °C an hour at ``at_c``, with a usual load."""
    DRIFT = "drift"
    """What would have to be added to a bare thermocouple for the real cones, in °C."""
    EVENNESS = "evenness"
    """How far the channels are apart at the peak, in °C."""
    LATE = "late"
    """How much longer than planned a plan takes, in s."""
    ENERGY = "energy"
    """Energy as noted, in kWh, of firings by the same plan."""
    LOSSES = "losses"
    """Stalls and losses of heat in a firing."""


class Verdict(StrEnum):
    """Whether there is a trend."""

    RISES = "rises"
    FALLS = "falls"
    NONE_TOLD = "no trend can be told"
    TOO_FEW = "too few firings"


@dataclass(frozen=True, slots=True)
class Value:
    """One firing's figure; ``number`` counts the kiln's firings from 1 (the oldest looked at).

    ``is_at_least`` where the firing shows no more than that it was not less.
    """

    number: int
    firing: str
    value: float
    is_at_least: bool = False


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a limit is come to, as numbers of firings: 90 % lies between the outer two.

    ``expected`` and ``latest`` are None where the line, or the end of its interval, never comes
    there. Figures below the present number are past.
    """

    limit: float
    now: int
    earliest: float
    expected: float | None
    latest: float | None


@dataclass(frozen=True, slots=True)
class Trend:
    """One series: ``of`` is its channel or its plan, None for the whole kiln.

    ``at_c`` is the temperature that a climb is told for, ``limit`` what it must not come to, so
    that the newest plan's last climb of ``limit_c_per_h`` is kept; ``is_short`` says that in the
    newest firing it was not. ``is_worth_a_warning`` is set where something should be done before
    the next firings.
    """

    kind: TrendKind
    of: str | None
    values: tuple[Value, ...]
    line: Line | None
    verdict: Verdict
    is_worth_a_warning: bool
    at_c: float | None = None
    limit: float | None = None
    limit_c_per_h: float | None = None
    is_short: bool = False
    forecast: Forecast | None = None

    @property
    def measured(self) -> tuple[Value, ...]:
        """The values that are more than a bound."""
        return tuple(one for one in self.values if not one.is_at_least)


def trends_of(points: Sequence[FiringPoint]) -> tuple[Trend, ...]:
    """Every series of which the firings, oldest first, show anything."""
    numbered = list(enumerate(points, start=1))
    channels = dict.fromkeys(name for point in points for name in point.apart)
    plans = dict.fromkeys(point.plan for point in points if point.plan is not None)
    found: list[Trend | None] = [_climb(numbered)]
    found += [_drift(numbered, channel) for channel in channels]
    found.append(_evenness(numbered))
    for plan in plans:
        found += [_late(numbered, plan), _energy(numbered, plan)]
    found.append(_losses(numbered))
    return tuple(trend for trend in found if trend is not None)


_Numbered = Sequence[tuple[int, FiringPoint]]


def _series(
    numbered: _Numbered, value_of: Callable[[FiringPoint], float | None]
) -> tuple[Value, ...]:
    return tuple(
        Value(number, point.firing, value)
        for number, point in numbered
        if (value := value_of(point)) is not None
    )


def _judged(values: Sequence[Value]) -> tuple[Line | None, Verdict]:
    line = theil_sen([one.number for one in values], [one.value for one in values])
    if line is None or line.points < LEAST_POINTS:
        return line, Verdict.TOO_FEW
    if line.goes_up:
        return line, Verdict.RISES
    return line, Verdict.FALLS if line.goes_down else Verdict.NONE_TOLD


def _change(line: Line | None, values: Sequence[Value]) -> float:
    """By how much the line has changed over all the firings that it goes through."""
    return 0.0 if line is None else line.slope * (values[-1].number - values[0].number)


# The climb that is left


def _climb(numbered: _Numbered) -> Trend | None:
    told = [(number, point, point.heating) for number, point in numbered if point.heating]
    if not told:
        return None
    heatings = [heating for _, _, heating in told]
    at_c = _reference_c(heatings)
    usual_c_per_h = statistics.median(heating.cooling.at(at_c) for heating in heatings)
    values = tuple(
        Value(
            number,
            point.firing,
            (heating.heat_c_per_h / heating.cooling.at(at_c) - 1.0) * usual_c_per_h,
            is_at_least=not heating.is_full_power,
        )
        for number, point, heating in told
    )
    measured = [one for one in values if not one.is_at_least]
    line, verdict = _judged(measured)
    limit, planned = _limit(heatings, at_c, usual_c_per_h)
    now = numbered[-1][0]
    forecast = None
    if limit is not None and line is not None and verdict is Verdict.FALLS:
        forecast = _forecast(line, limit, now)
    newest = values[-1]
    is_short = (
        limit is not None
        and planned is not None
        and not newest.is_at_least
        and newest.value < limit - _SHORT_PART * planned
    )
    is_soon = (
        forecast is not None and forecast.expected is not None and forecast.expected - now <= SOON
    )
    return Trend(
        TrendKind.CLIMB,
        None,
        values,
        line,
        verdict,
        is_short or is_soon,
        at_c=at_c,
        limit=limit,
        limit_c_per_h=planned,
        is_short=is_short,
        forecast=forecast,
    )


def _reference_c(heatings: Sequence[Heating]) -> float:
    """A hot temperature that all these firings can be told at: 1,000 °C for a stoneware kiln."""
    peak_c = statistics.median(heating.peak_c for heating in heatings)
    return max(math.floor((peak_c - 200.0) / 50.0) * 50.0, 600.0)


def _limit(
    heatings: Sequence[Heating], at_c: float, usual_c_per_h: float
) -> tuple[float | None, float | None]:
    """The climb at ``at_c`` with which the newest plan's last climb is just kept; and that climb.

    At its top the kiln loses more: what it climbs there is less by the difference of the
    losses, which is that of the coolings.
    """
    newest = next(
        (
            heating
            for heating in reversed(heatings)
            if heating.last_planned_c_per_h is not None and heating.last_at_c is not None
        ),
        None,
    )
    if newest is None or newest.last_at_c is None or newest.last_planned_c_per_h is None:
        return None, None
    ratio = statistics.median(
        heating.cooling.at(newest.last_at_c) / heating.cooling.at(at_c) for heating in heatings
    )
    return (
        newest.last_planned_c_per_h + (ratio - 1.0) * usual_c_per_h,
        newest.last_planned_c_per_h,
    )


def _forecast(line: Line, limit: float, now: int) -> Forecast:
    earliest, expected, latest = line.crossing(limit)
    if line.at(now) <= limit:
        earliest = expected = min(now, earliest)
        latest = now if math.isinf(latest) else latest
    return Forecast(
        limit,
        now,
        earliest,
        expected if math.isfinite(expected) else None,
        latest if math.isfinite(latest) else None,
    )


# Everything else


def _drift(numbered: _Numbered, channel: str) -> Trend | None:
    values = _series(numbered, lambda p: p.apart[channel].middle_c if channel in p.apart else None)
    if not values:
        return None
    line, verdict = _judged(values)
    is_worth = verdict in (Verdict.RISES, Verdict.FALLS) and (
        abs(_change(line, values)) >= _DRIFT_C
    )
    return Trend(TrendKind.DRIFT, channel, values, line, verdict, is_worth)


def _evenness(numbered: _Numbered) -> Trend | None:
    values = _series(numbered, lambda point: point.peak_apart_c)
    if not values:
        return None
    line, verdict = _judged(values)
    is_worth = (
        verdict is Verdict.RISES and line is not None and (line.at(values[-1].number) >= _APART_C)
    )
    return Trend(TrendKind.EVENNESS, None, values, line, verdict, is_worth)


def _late(numbered: _Numbered, plan: str) -> Trend | None:
    values = _series(numbered, lambda p: p.late_s if p.plan == plan else None)
    if not values:
        return None
    line, verdict = _judged(values)
    is_worth = verdict is Verdict.RISES and _change(line, values) >= _LATE_S
    return Trend(TrendKind.LATE, plan, values, line, verdict, is_worth)


def _energy(numbered: _Numbered, plan: str) -> Trend | None:
    values = _series(numbered, lambda p: p.kwh if p.plan == plan else None)
    if not values:
        return None
    line, verdict = _judged(values)
    usual = statistics.median(one.value for one in values)
    is_worth = verdict is Verdict.RISES and _change(line, values) >= _ENERGY_PART * usual
    return Trend(TrendKind.ENERGY, plan, values, line, verdict, is_worth)


def _losses(numbered: _Numbered) -> Trend | None:
    values = _series(numbered, lambda point: float(point.losses))
    if not any(one.value for one in values):
        return None
    line, verdict = _judged(values)
    # Counts are mostly nought, and so is the median of their slopes: the order alone tells.
    if line is not None and verdict is Verdict.NONE_TOLD and line.chance < 0.1:
        half = len(values) // 2
        first, last = values[:half], values[-half:]
        grows = sum(o.value for o in last) > sum(o.value for o in first)
        verdict = Verdict.RISES if grows else Verdict.FALLS
    lately = [one for one in values[-_LOSSES_LAST:] if one.value]
    is_worth = verdict is Verdict.RISES and len(lately) >= _LOSSES_WORTH
    return Trend(TrendKind.LOSSES, None, values, line, verdict, is_worth)


def usual_cooling(points: Sequence[FiringPoint]) -> Cooling | None:
    """The cooling of the newest of these firings that shows one."""
    return next((p.heating.cooling for p in reversed(points) if p.heating is not None), None)
