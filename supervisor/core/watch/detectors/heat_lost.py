"""The kiln falls while the plan climbs or holds: power cut, burner out, early shut-off, door."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.advice import HEAT_LOST, SLIPPED
from supervisor.core.watch.detectors.caught import Caught
from supervisor.core.watch.detectors.fall_limits import HOLD_SAG_C, FallLimits
from supervisor.core.watch.detectors.falling import (
    HOT_C,
    MAY_BE_STOKED,
    Fall,
    pace_c_per_h,
    sag_c_per_s,
)
from supervisor.core.watch.detectors.kept_hold import KeptHold
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import CLIMBING, HOLDING
from supervisor.core.watch.sensitivity import Sensitivity

_SAGS_S, _SAGS_PART = 1200.0, 0.6
"""Whoever lets a hold sag turns up again within so long; what falls on is told from this part of
the limit (common practice, no source)."""
_SUSPECT = 0.5
"""This part of the fall that is called makes a stall wait for a while (common practice, no
source)."""
_DEEP_C = 8.0
"""A fall that is slower than that of a kiln without any heat, or that slows, must be deeper by so
much (common practice, no source)."""
_STEADY_S, _REGAINED_C, _GAINING_C_PER_H = 180.0, 3.0, 5.0
"""Heat is back when the kiln has won as much as a hot fall is called at and gains, beyond the
rate's uncertainty, for as long as the filter needs to turn (common practice, no source)."""
_COOLS_S, _COOLS_C = 2700.0, 150.0
"""What was lost so long ago, and has fallen so far, is a kiln that cools, and is watched as one
(common practice, no source)."""


class HeatLost:
    """Says that the heat is gone, and that it is back."""

    __slots__ = (
        "_caught",
        "_fall",
        "_kept_hold",
        "_limits",
        "_low_c",
        "_sigmas",
        "_steady_since_s",
        "has_long_cooled",
        "is_raised",
        "is_suspected",
        "raised_at_s",
    )

    def __init__(self, sensitivity: Sensitivity, schedule: Schedule | None = None) -> None:
        self._sigmas = sensitivity.sigmas(Kind.HEAT_LOST)
        self._limits = FallLimits(sensitivity, schedule)
        self._fall = Fall()
        self._caught = Caught()
        self._kept_hold = KeptHold()
        self.is_raised = False
        self.raised_at_s: float | None = None
        """Since when the loss stands, None while none does."""
        self.has_long_cooled = False
        """Whether the loss has stood for so long that the kiln cools as after a firing."""
        self.is_suspected = False
        """Whether enough of a fall is seen, and goes on, not to speak of a mere stall."""
        self._low_c = 0.0
        self._steady_since_s: float | None = None

    @property
    def falls(self) -> bool:
        """Whether the kiln has fallen at all, where it should not."""
        return self._fall.fall_c > 0.0

    def feed(self, moment: Moment) -> list[Event]:
        """Events of this moment."""
        plan, temp_c, step = moment.plan, moment.temp_c, moment.plan.step
        if temp_c is None:
            return []
        activity = plan.activity
        heats = activity is CLIMBING or activity is HOLDING
        is_caught = False
        if step is not None and step.cools:
            is_caught = self._caught.look(moment, temp_c, step.to_c)
        else:
            self._caught.forget()
        if step is None or not heats:
            self._forget()
            # What has fallen through one hold and is below the next is not meant to cool.
            is_below = step is not None and step.cools and temp_c < step.to_c
            return self._clear(moment, temp_c) if self.is_raised and not is_below else []
        if self.is_raised:
            return self._look_for_recovery(moment, temp_c)
        if temp_c < moment.ambient_c:
            # What is colder than the shed loses none; it is no kiln that shows so.
            self._forget()
            return []
        if _may_be_let_go(moment, temp_c) or plan.is_candling or _is_turning(moment):
            self._forget()
            return []
        if moment.is_new_lead:
            self._forget()
            self._kept_hold.forget()
        fall, limits = self._fall, self._limits
        limits.see_plan(moment)
        holds = activity is HOLDING
        has_left = holds and limits.is_kept_cold(moment, temp_c)
        if has_left:
            has_left = self._kept_hold.look(moment, temp_c)
        else:
            self._kept_hold.forget()
        limits.fade(moment.moved_s)
        fall.see_climb(moment)
        if fall.fall_c == 0.0 and moment.moved_c >= 0.0:
            return []
        sag = sag_c_per_s(moment, temp_c)
        if not fall.add(moment, temp_c, sag):
            if fall.deepest_c > 0.5:
                limits.made_good(moment, fall)
            self._forget()
            return []
        pace = pace_c_per_h(moment)
        is_on_its_way = limits.is_on_its_way(moment, temp_c)
        is_steep = fall.look(moment, temp_c, pace, is_on_its_way=is_on_its_way)
        if fall.fall_c < _SUSPECT * limits.least_c:
            self.is_suspected = False
            return []
        is_straight = is_on_its_way and fall.is_straight(moment, is_steep=is_steep)
        limit_c = limits.limit_c(
            moment,
            temp_c,
            fall,
            sag_c_per_s=sag,
            pace_c_per_h=pace,
            is_straight=is_straight,
        )
        sags = holds and moment.elapsed_s - fall.high_s > _SAGS_S and moment.kiln_kind != "wood"
        if sags:
            limit_c *= _SAGS_PART
        self.is_suspected = fall.fall_c > _SUSPECT * limit_c and fall.is_steep_now
        stays = fall.fall_c >= limit_c and fall.stays(moment)
        is_plain = (
            has_left
            or stays
            or (
                limits.is_kept(moment, temp_c)
                and fall.fall_c >= limits.plain_c(moment, sag)
                and fall.is_plain(moment, temp_c)
            )
        )
        if not is_plain:
            if fall.fall_c < limit_c or fall.is_a_look(moment, limit_c):
                return []
            goes_on = is_straight or limits.is_past_its_charge or sags
            goes_on = goes_on or (is_steep and not fall.has_bent(moment))
            if fall.fall_c < limit_c + _DEEP_C and not goes_on:
                return []
        if holds and not has_left and temp_c > limits.held_c(moment, step.to_c, limit_c):
            return []
        if is_caught or limits.may_come_down(moment, temp_c):
            return []
        if plan.may_be_over() or moment.falls_alone:
            return []
        if moment.rate_c_per_h >= 0.0 and not stays:
            return []
        return [self._raise(moment, temp_c, holds=holds)]

    def _forget(self) -> None:
        self._fall.forget()
        self.is_suspected = False

    def _raise(self, moment: Moment, temp_c: float, *, holds: bool) -> Event:
        self.is_raised = True
        self.raised_at_s = moment.elapsed_s
        self._low_c = temp_c
        self._steady_since_s = None
        words = moment.words
        fallen_c = max(self._fall.high_c - temp_c, 0.0)
        falling_c_per_h = max(-moment.rate_c_per_h, 0.0)
        how = f"falling {words.rate(falling_c_per_h)}"
        if falling_c_per_h == 0.0:
            how = f"{words.difference(fallen_c)} below where it was"
        return moment.event(
            Kind.HEAT_LOST,
            Severity.CRITICAL,
            f"The kiln is losing heat: {words.temp(temp_c)} and {how}, where the plan "
            f"{'holds' if holds else 'climbs'}. {HEAT_LOST[moment.kiln_kind]}"
            f"{SLIPPED if moment.is_alone else ''}",
            {
                "temp_c": round(temp_c, 1),
                "rate_c_per_h": round(moment.rate_c_per_h, 1),
                "fallen_c": round(fallen_c, 1),
                "since_s": round(self._fall.high_s, 1),
            },
        )

    def _look_for_recovery(self, moment: Moment, temp_c: float) -> list[Event]:
        plan = moment.plan
        if temp_c < self._low_c:
            self._low_c = temp_c
        raised_at_s = self.raised_at_s or moment.elapsed_s
        if moment.elapsed_s - raised_at_s >= _COOLS_S and self._fell_c >= _COOLS_C:
            self.has_long_cooled = True
        regained = temp_c - self._low_c > max(_REGAINED_C, self._sigmas * 1.4 * moment.sigma_c)
        back_at_hold = plan.activity is HOLDING and temp_c > plan.hold_from_c - 2 * HOLD_SAG_C
        least_c_per_h = -_GAINING_C_PER_H if back_at_hold else _GAINING_C_PER_H
        # A fire that is stoked gains for two minutes at a time; but hotter than before is hotter.
        is_hotter = regained and temp_c > self._fall.high_c
        gains = moment.rate_c_per_h >= least_c_per_h and (regained or back_at_hold)
        if self._has_gained(moment.elapsed_s, gains=gains) or is_hotter:
            self._limits.told_is_over(moment, self.raised_at_s, self._fell_c)
            self._forget()
            return self._clear(moment, temp_c)
        return []

    @property
    def _fell_c(self) -> float:
        """How far the kiln had fallen at most since it lost its heat."""
        return self._fall.high_c - self._low_c

    def _has_gained(self, elapsed_s: float, *, gains: bool) -> bool:
        """Whether it gains, and has for long enough."""
        if not gains:
            self._steady_since_s = None
            return False
        if self._steady_since_s is None:
            self._steady_since_s = elapsed_s
        return elapsed_s - self._steady_since_s >= _STEADY_S

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = self.has_long_cooled = False
        self.raised_at_s = None
        words = moment.words
        heats = moment.plan.activity in (CLIMBING, HOLDING)
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


def _is_turning(moment: Moment) -> bool:
    """Whether the kiln may still be cooling by its plan, the foot of which it sees later."""
    plan = moment.plan
    step, due_s = plan.step, plan.climb_due_s
    if step is None or due_s is None or moment.elapsed_s >= due_s or step.index == 0:
        return False
    return plan.timeline.steps[step.index - 1].cools


def _may_be_let_go(moment: Moment, temp_c: float) -> bool:
    """Whether the hold is done, and the kiln may come down: before the next climb nobody lets it,
    but one that dries, or a fire of wood between two charges."""
    plan = moment.plan
    if plan.hold_complete_s is None:
        return False
    return plan.turns_next or temp_c < HOT_C or moment.kiln_kind in MAY_BE_STOKED
