"""The kiln falls while the plan climbs or holds: power cut, burner out, early shut-off, door."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import Activity

_COLD_FALL_C, _HOT_FALL_C = 6.0, 3.0
_HOT_C = 500.0
"""A cold kiln swings far under its relay and loses little heat: a fall there proves less. The
figures are common practice, no source; the hot one is what a kiln of a time constant of 3 h
falls by in half a minute at 1,000 °C, seen within five minutes behind the sag and the filter."""
_SWING_MARGIN, _MOST_SWING_C = 1.5, 8.0
"""Falls that the kiln has been seen to make and to make good are no loss of heat."""
_SIGMAS = 7.0
"""Estimates a few minutes apart differ by √2 standard deviations: this is five of those."""
_SUSPECT = 0.3
"""This part of the fall that is called makes a stall wait for a while (common practice, no
source)."""
_HOLD_SAG_C = 5.0
"""A controller that settles may sag this far below the top of a hold."""
_SHED_C = 20.0
_COOLING_S = 8 * 3600.0
"""A kiln without heat cools at first as if it lost its excess over the shed in this time, or
faster (common practice, no source: a well-lined studio kiln)."""
_LEAST_C_PER_H, _PART_OF_COOLING = 4.0, 0.2
_SAG_PER_H = _PART_OF_COOLING / _COOLING_S * 3600.0
"""A fifth of that cooling, and the rate's own uncertainty at least, is a sag and no loss."""
_STEADY_S, _REGAINED_C, _GAINING_C_PER_H = 180.0, 3.0, 5.0
"""Heat is back when the kiln has won as much as a hot fall is called at and gains, beyond the
rate's uncertainty, for as long as the filter needs to turn (common practice, no source)."""


class HeatLost:
    """Adds up how far the kiln falls beyond a slow sag, in °C: a one-sided CUSUM (Page 1954)."""

    __slots__ = (
        "_fall_c",
        "_falling_c",
        "_high_c",
        "_high_s",
        "_low_c",
        "_steady_since_s",
        "_swing_c",
        "is_raised",
        "is_suspected",
        "raised_at_s",
    )

    def __init__(self) -> None:
        self.is_raised = False
        self.raised_at_s: float | None = None
        """Since when the loss stands, None while none does."""
        self.is_suspected = False
        """Whether enough of a fall is seen not to speak of a mere stall."""
        self._fall_c = 0.0
        self._falling_c = 0.0
        self._swing_c = 0.0
        self._high_c = 0.0
        self._high_s = 0.0
        self._low_c = 0.0
        self._steady_since_s: float | None = None

    def feed(self, moment: Moment) -> list[Event]:
        """Events of this moment."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        heats = plan.activity in (Activity.CLIMBING, Activity.HOLDING)
        if plan.step is None or not heats or plan.hold_complete_s is not None:
            self._fall_c = 0.0
            self.is_suspected = False
            return self._clear(moment, temp_c) if self.is_raised else []
        if self.is_raised:
            return self._look_for_recovery(moment, temp_c)
        sag_c_per_h = _SAG_PER_H * (temp_c - _SHED_C)
        if sag_c_per_h < _LEAST_C_PER_H:
            sag_c_per_h = _LEAST_C_PER_H
        if self._fall_c == 0.0:
            self._high_c, self._high_s = temp_c, moment.elapsed_s
        fall_c = self._fall_c - (moment.rate_c_per_h + sag_c_per_h) * moment.dt_s / 3600.0
        if fall_c <= 0.0:
            if self._falling_c > self._swing_c:
                self._swing_c = min(self._falling_c, _MOST_SWING_C)
            self._fall_c = self._falling_c = 0.0
            self.is_suspected = False
            return []
        self._fall_c = fall_c
        if fall_c > self._falling_c:
            self._falling_c = fall_c
        cold = min(max((_HOT_C - temp_c) / _HOT_C, 0.0), 1.0)
        limit_c = _HOT_FALL_C + cold * (_COLD_FALL_C - _HOT_FALL_C)
        limit_c = max(limit_c, _SWING_MARGIN * self._swing_c, _SIGMAS * moment.sigma_c)
        self.is_suspected = self._fall_c > _SUSPECT * limit_c
        if self._fall_c < limit_c:
            return []
        holds = plan.activity is Activity.HOLDING
        if holds and temp_c > min(plan.step.to_c, plan.hold_from_c) - _HOLD_SAG_C:
            return []
        if plan.may_be_over(moment.elapsed_s):
            return []
        return [self._raise(moment, temp_c, holds=holds)]

    def _raise(self, moment: Moment, temp_c: float, *, holds: bool) -> Event:
        self.is_raised = True
        self.raised_at_s = moment.elapsed_s
        self._low_c = temp_c
        self._steady_since_s = None
        words = moment.words
        fallen_c = max(self._high_c - temp_c, 0.0)
        return moment.event(
            Kind.HEAT_LOST,
            Severity.CRITICAL,
            f"The kiln is losing heat: {words.temp(temp_c)} and falling "
            f"{words.rate(-moment.rate_c_per_h)}, where the plan "
            f"{'holds' if holds else 'climbs'}. Go and look at power and breaker, door and lid; "
            f"where gas may have gone out, shut it off and air the room before anything is lit "
            f"again.",
            {
                "temp_c": round(temp_c, 1),
                "rate_c_per_h": round(moment.rate_c_per_h, 1),
                "fallen_c": round(fallen_c, 1),
                "since_s": round(self._high_s, 1),
            },
        )

    def _look_for_recovery(self, moment: Moment, temp_c: float) -> list[Event]:
        plan = moment.plan
        if temp_c < self._low_c:
            self._low_c = temp_c
        regained = temp_c - self._low_c > max(_REGAINED_C, _SIGMAS * moment.sigma_c)
        back_at_hold = (
            plan.activity is Activity.HOLDING and temp_c > plan.hold_from_c - 2 * _HOLD_SAG_C
        )
        least_c_per_h = -_GAINING_C_PER_H if back_at_hold else _GAINING_C_PER_H
        if moment.rate_c_per_h < least_c_per_h or not (regained or back_at_hold):
            self._steady_since_s = None
        elif self._steady_since_s is None:
            self._steady_since_s = moment.elapsed_s
        elif moment.elapsed_s - self._steady_since_s >= _STEADY_S:
            self._fall_c = 0.0
            return self._clear(moment, temp_c)
        return []

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = self.is_suspected = False
        self.raised_at_s = None
        words = moment.words
        heats = moment.plan.activity in (Activity.CLIMBING, Activity.HOLDING)
        what = "holds or gains heat again" if heats else "is meant to cool now"
        return [
            moment.event(
                Kind.HEAT_LOST,
                Severity.CRITICAL,
                f"The kiln {what}: {words.temp(temp_c)}.",
                {"temp_c": round(temp_c, 1), "rate_c_per_h": round(moment.rate_c_per_h, 1)},
                state=State.CLEARED,
            )
        ]
