"""How far a kiln must fall to be spoken of, here and now: what healthy ones do by themselves.

Knows where in its plan the kiln is, how it is worked and what it has been seen to make good; not
how it falls.
"""

from __future__ import annotations

import math

from supervisor.core.events import Kind
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.between_zones import may_be_at_a_corner
from supervisor.core.watch.detectors.by_whom import may_dry_by_hand
from supervisor.core.watch.detectors.charges import Charges
from supervisor.core.watch.detectors.falling import HOT_C, LEFT_ALONE, MAY_BE_STOKED, Fall
from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import fired_with
from supervisor.core.watch.detectors.reduction import Reduction
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import CLIMBING, HOLDING, WAITING
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c
from supervisor.core.watch.step_end import SHORT_OF_C

_CLOSE_C, _LOOSE_C, _COLD_C, _COLD_LOOSE_C = 1.5, 8.0, 10.0, 25.0
_COLD_CLIMB_C, _COLD_CLIMB_LOOSE_C, _FAR_C = 5.0, 12.0, 25.0
"""How far a fall must go to be called: in a kiln that keeps its plan closely, in one that a
person works, and in such kilns when they are cold: there heat comes in swings, and a kiln that
has none falls slowly in any case (common practice, no source). A kiln with a time constant of
3 h falls by the first of them in half a minute at 1,000 °C. Heat comes in swings where a cold kiln
comes to the top of its step, or has just left one: well on its way, so far below the top, it climbs
as steadily as a warm one, if it is not stoked, and of a fall that goes on half as much is asked."""
_STRAIGHT_PART = 0.5
"""So much of it is asked of a fall that is steep and straight, well on its way (common practice, no
source)."""
_FIRST_SWING_C, _SWING_MARGIN, _MOST_SWING_C = 2.5, 1.5, 12.0
"""Falls that the kiln has been seen to make and to make good are no loss of heat. The first of
them is only supposed, and so less and less while none is seen."""
_SWING_LONGER, _STRAIGHT_SWING = 1.2, 0.4
"""A fall that is steep and straight, and has lasted longer than those did, is none of them, however
deep they were (common practice, no source)."""
_TOLD_SWING_C, _MOST_TOLD_C, _SWINGS_S, _AGAIN_S = 20.0, 14.0, 900.0, 3600.0
"""A deeper one that was told, was over so soon and comes again within the hour is how a controller
that is set badly works this kiln: twice it is told, and not with each swing. What counts of it is
capped, so that a real loss is told soon (common practice, no source)."""
_TURNS_S = 60.0
"""A kiln whose climb ends falls back by what it climbed in so long, however well it is."""
_KEPT, _KEPT_C, _PLAIN_C, _PLAIN_NOISE = 0.3, 200.0, 1.0, 0.6
"""A kiln that wanders no more has been kept to its climb; colder than that, heat comes in swings. A
fall that is plain for its pace need be no deeper, nor pass as much noise, which a rate so steep
passes as well (common practice, no source)."""
_OWN_MARGIN = 1.2
"""A kiln that swings about a steep climb falls where the climb gets flatter."""
_STOKED_C, _STOKED_COLD_C, _SWINGS_C = (16.0, 25.0), (14.0, 20.0), 1.0
"""A fire burns down by the first between two stokes before anything is learned; in a cold kiln it
is small and falls slowly. One that has been seen to swing, by the last more than is only supposed,
falls by the second where a stoke is late, though none has been yet (common practice, no source)."""
_PLUG_OUT_S = 60.0
"""A plug that is out deepens a fall for no longer (common practice, no source)."""
_STOKED_MARGIN, _MORE_STOKED_C, _MOST_STOKED_C = 2.0, 5.0, 60.0
"""No charge is like another: what was seen counts twice, but with no more than the second added. A
probe near the flame swings by the last and more: what a fire has made good it makes again, told or
not (common practice, no source)."""
_REDUCED_C = 8.0
"""Turned down for reduction, a kiln dips by as much before it creeps on."""
_CORNER_S, _CORNER_C = 900.0, 4.0
"""Where the plan has just changed its pace, a controller may sag by so much in so long."""
_TURNED_DOWN_S, _MOST_TURNED_DOWN_C, _BY_HAND = 450.0, 25.0, 0.3
"""Who comes to a corner of the plan turns down: the flame, or a switch, that drove the climb goes,
and the chamber falls back to walls and ware by about what it climbed in so long, until it is turned
up again or has come down to them. So does any gas kiln, however closely its plan is kept, and any
that a person works. A cold one is given as much in any case, and a fire of wood has its charges
(common practice, no source)."""
_SETTLES = 0.55
"""A controller that has summed up what the climb was behind takes all heat away at its end, and
lets an electric kiln fall back by this part of it (common practice, no source)."""
_AT_TOP_C = 8.0
"""Where a controller stops at a top that it sees sooner than we, it may settle by so much."""
HOLD_SAG_C, _SETTLED_S, _SETTLED_SAG_C, _LOOSE_HOLD_SAG_C, _FOOT_SAG_C = 5.0, 1500.0, 2.0, 9.0, 8.0
"""A controller that settles may sag so far below the top of a hold; one that has settled, less;
a person, more; and one that catches the kiln on its way down, by the last at first."""

_FIRE_SAG_C = 25.0
"""A fire of wood that only dries ware is kept small, and is held there to give or take so much; the
hotter the hold, the less (common practice, no source)."""


class FallLimits:
    """What one kiln is allowed, in °C."""

    __slots__ = (
        "_activity",
        "_charges",
        "_past_since_s",
        "_reduction",
        "_scale",
        "_sigmas",
        "_since_s",
        "_step_index",
        "_swing",
        "_swung_at_s",
        "is_past_its_charge",
        "least_c",
    )

    def __init__(self, sensitivity: Sensitivity, schedule: Schedule | None = None) -> None:
        self._reduction = Reduction(schedule)
        self._sigmas = sensitivity.sigmas(Kind.HEAT_LOST)
        self._scale = sensitivity.scale(Kind.HEAT_LOST)
        self.least_c = _CLOSE_C * self._scale
        """The least that is ever asked."""
        self._swing = Swing(_FIRST_SWING_C)
        self._charges = Charges()
        self._swung_at_s = -math.inf
        self._past_since_s: float | None = None
        self.is_past_its_charge = False
        """Whether the fall at which was looked last is longer and deeper than any charge lately,
        and not by a plug that was out just then."""
        self._activity = WAITING
        self._step_index = -1
        self._since_s = 0.0

    def see_plan(self, moment: Moment) -> None:
        """Take in where in its plan the kiln is."""
        plan, step = moment.plan, moment.plan.step
        if step is None:
            return
        if plan.activity is not self._activity or step.index != self._step_index:
            if not self._climbs_on(plan):
                self._since_s = moment.elapsed_s
            self._activity, self._step_index = plan.activity, step.index

    def _climbs_on(self, plan: PlanFollower) -> bool:
        """Whether another step has begun that climbs as fast as the one before or faster: there
        nobody takes any heat away."""
        step = plan.step
        if step is None or step.index != self._step_index + 1 or not step.rate_c_per_h:
            return False
        if plan.activity is not CLIMBING or self._activity is not CLIMBING:
            return False
        before = plan.timeline.steps[self._step_index]
        return 0.0 < (before.rate_c_per_h or 0.0) <= step.rate_c_per_h

    def fade(self, over_s: float) -> None:
        """``over_s`` seconds have been watched since the last call."""
        self._swing.fade(over_s)

    def made_good(self, moment: Moment, fall: Fall) -> None:
        """A fall is over by itself."""
        falling_s = fall.deepest_s - fall.high_s
        self._swing.learn(fall.deepest_c, _most_swing_c(moment))
        self._charges.made_good(moment.elapsed_s, fall.deepest_c, falling_s)

    def told_is_over(self, moment: Moment, raised_at_s: float | None, swung_c: float) -> None:
        """What was told as lost heat at ``raised_at_s`` is over."""
        elapsed_s = moment.elapsed_s
        deepest_c = most_c = _most_swing_c(moment)
        if raised_at_s is not None and elapsed_s - raised_at_s < _SWINGS_S:
            if elapsed_s - self._swung_at_s < _AGAIN_S:
                deepest_c = max(deepest_c, _TOLD_SWING_C)
                most_c = max(most_c, _MOST_TOLD_C)
            self._swung_at_s = elapsed_s
        if swung_c < deepest_c:
            self._swing.learn(swung_c, most_c)

    def limit_c(
        self,
        moment: Moment,
        temp_c: float,
        fall: Fall,
        *,
        sag_c_per_s: float,
        pace_c_per_h: float,
        is_straight: bool,
    ) -> float:
        """How far the kiln must fall to be spoken of, now and here."""
        loose = moment.habits.looseness
        may_dry = may_dry_by_hand(moment)
        is_straight = is_straight and not may_dry
        limit_c = _CLOSE_C + loose * (_LOOSE_C - _CLOSE_C)
        cold = (HOT_C - temp_c) / HOT_C
        if cold > 0.0:
            cold_c, cold_loose_c = _COLD_C, _COLD_LOOSE_C
            if not may_dry and fall.goes_on(moment) and self.is_on_its_way(moment, temp_c):
                cold_c, cold_loose_c = _COLD_CLIMB_C, _COLD_CLIMB_LOOSE_C
            limit_c += cold * (cold_c + loose * (cold_loose_c - cold_c) - limit_c)
        stoked_c, late_c = _STOKED_COLD_C if cold > 0.0 else _STOKED_C
        if moment.kiln_kind == "wood":
            swings = min(max(self._swing.size - _FIRST_SWING_C, 0.0) / _SWINGS_C, 1.0)
            limit_c = max(limit_c, stoked_c + swings * (late_c - stoked_c))
        elif moment.kiln_kind is None:
            limit_c = max(limit_c, loose * stoked_c)
        may_be_reduced = self._reduction.may_be_at(temp_c, moment.kiln_kind)
        if limit_c < _REDUCED_C and may_be_reduced:
            limit_c = _REDUCED_C
        if moment.elapsed_s - self._since_s < _CORNER_S and limit_c < _CORNER_C:
            limit_c = _CORNER_C
        plan = moment.plan
        climbs = plan.activity is CLIMBING
        if climbs and limit_c < _AT_TOP_C and self._is_at_top(plan, temp_c):
            limit_c = _AT_TOP_C
        if self._is_turned_down(moment, fall):
            limit_c = max(limit_c, self._turned_down_c(moment))
        elif may_be_at_a_corner(moment):
            # It may hold there, by a cooler zone, and be turned down once more.
            limit_c = max(limit_c, self._turned_down_c(moment)) + fall.stood_c
        if is_straight and not may_be_reduced:
            limit_c *= _STRAIGHT_PART
        limit_c *= self._scale
        limit_c = max(limit_c, pace_c_per_h / 3600.0 * _TURNS_S)
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, sag_c_per_s)
        if is_straight:
            noise_c *= _PLAIN_NOISE
        # What a kiln does and what noise does come together, each with its own small chance.
        limit_c = math.hypot(limit_c, noise_c)
        swing_c = self._swing.size
        if moment.kiln_kind == "wood":
            swing_c = min(_STOKED_MARGIN * swing_c, swing_c + _MORE_STOKED_C)
        else:
            swing_c *= _SWING_MARGIN
        swing_c = max(swing_c, _OWN_MARGIN * moment.habits.swing_c)
        if is_straight and self._outlasts(moment.elapsed_s, fall):
            swing_c *= _STRAIGHT_SWING
        limit_c = max(limit_c, swing_c)
        if moment.kiln_kind == "wood":
            limit_c = min(limit_c, self._missed_c(moment, fall, noise_c))
        return limit_c

    def _outlasts(self, elapsed_s: float, fall: Fall) -> bool:
        """Whether it has gone on for longer than any dip which this kiln has made good."""
        longest_s = self._charges.longest_s(elapsed_s, _FIRST_SWING_C)
        return elapsed_s - fall.high_s > _SWING_LONGER * longest_s

    def _missed_c(self, moment: Moment, fall: Fall, noise_c: float) -> float:
        """How deep a fall must be that has gone on for too long for a charge."""
        elapsed_s = moment.elapsed_s
        missed_c = self._charges.missed_c(elapsed_s, elapsed_s - fall.high_s)
        missed_c = math.inf if missed_c is None else max(missed_c * self._scale, noise_c)
        if fall.fall_c < missed_c:
            self._past_since_s = None
        elif self._past_since_s is None:
            self._past_since_s = elapsed_s
        past_s = 0.0 if self._past_since_s is None else elapsed_s - self._past_since_s
        self.is_past_its_charge = past_s >= _PLUG_OUT_S
        return missed_c

    def is_kept(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln, in the midst of a climb, has been kept to it."""
        return (
            moment.habits.looseness <= _KEPT
            and temp_c > _KEPT_C
            and self.is_on_its_way(moment, temp_c)
            and not self._reduction.may_be_at(temp_c, moment.kiln_kind)
        )

    def may_come_down(self, moment: Moment, temp_c: float) -> bool:
        """Whether a person may let the kiln, which has gone far past a hold too soon, come down to
        it yet."""
        plan = moment.plan
        if plan.step is None or moment.elapsed_s - self._since_s > plan.passed_by_s:
            return False
        is_worked = moment.kiln_kind == "wood" or moment.habits.looseness > _BY_HAND
        return is_worked and temp_c > plan.timeline.steps[plan.step.index - 1].to_c

    def is_kept_cold(self, moment: Moment, temp_c: float) -> bool:
        """Whether a controller keeps the kiln, which is cold yet, to its plan."""
        is_left_alone = moment.kiln_kind in LEFT_ALONE
        return is_left_alone and moment.habits.looseness <= _KEPT and temp_c < HOT_C

    def plain_c(self, moment: Moment, sag_c_per_s: float) -> float:
        """How far such a kiln must fall where its fall is plain."""
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, sag_c_per_s)
        limit_c = math.hypot(_PLAIN_C * self._scale, _PLAIN_NOISE * noise_c)
        swing_c = max(_SWING_MARGIN * self._swing.size, _OWN_MARGIN * moment.habits.swing_c)
        return max(limit_c, swing_c)

    def held_c(self, moment: Moment, to_c: float, limit_c: float) -> float:
        """Above this a kiln still holds, however it came there."""
        settled = min((moment.elapsed_s - self._since_s) / _SETTLED_S, 1.0)
        step = moment.plan.step
        sag_c = _FOOT_SAG_C if step is not None and step.cools else HOLD_SAG_C
        sag_c += settled * (_SETTLED_SAG_C - sag_c)
        sag_c += moment.habits.looseness * (_LOOSE_HOLD_SAG_C - sag_c)
        if moment.kiln_kind == "wood":
            cold = (HOT_C - to_c) / HOT_C
            sag_c = max(sag_c, min(2.0 * cold, 1.0) * _FIRE_SAG_C)
        sag_c = max(sag_c, limit_c)
        return min(to_c, moment.plan.hold_from_c) - sag_c

    def is_on_its_way(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln is in the midst of a climb: neither its beginning nor its top near."""
        step, activity = moment.plan.step, moment.plan.activity
        if step is None or activity is not CLIMBING or moment.kiln_kind in MAY_BE_STOKED:
            return False
        has_settled = moment.elapsed_s - self._since_s >= _CORNER_S
        return has_settled and temp_c < step.to_c - _FAR_C

    def _is_turned_down(self, moment: Moment, fall: Fall) -> bool:
        """Whether the fall began where the plan wants less heat than the kiln had climbed with."""
        plan, own_c_per_h = moment.plan, moment.habits.own_c_per_h
        step = plan.step
        if step is None or step.cools or own_c_per_h is None or fall.high_c < HOT_C:
            return False
        if fall.high_s - self._since_s < _CORNER_S:
            holds = plan.activity is HOLDING
            if holds or (step.rate_c_per_h or own_c_per_h) < own_c_per_h:
                return True
        if plan.activity is not CLIMBING:
            return False
        if fall.high_c < step.to_c - SHORT_OF_C:
            return False
        if plan.stops_next:
            return True
        following = plan.timeline.steps[step.index + 1]
        return (following.rate_c_per_h or own_c_per_h) < own_c_per_h

    @staticmethod
    def _turned_down_c(moment: Moment) -> float:
        if moment.kiln_kind == "wood":
            return 0.0
        habits = moment.habits
        part, step = 1.0, moment.plan.step
        if moment.kiln_kind != "gas":
            least = _SETTLES if step is not None and step.climbs else 0.0
            part = max(least, min(habits.looseness / _BY_HAND, 1.0))
        turned_down_c = part * (habits.own_c_per_h or 0.0) / 3600.0 * _TURNED_DOWN_S
        return min(turned_down_c, _MOST_TURNED_DOWN_C)

    @staticmethod
    def _is_at_top(plan: PlanFollower, temp_c: float) -> bool:
        """Whether the kiln's own thermocouple may call this the top of the step."""
        step = plan.step
        return step is not None and plan.stops_next and temp_c > step.to_c - SHORT_OF_C


def _most_swing_c(moment: Moment) -> float:
    """How much of a fall that was made good counts."""
    return _MOST_STOKED_C if fired_with(moment) == "wood" else _MOST_SWING_C
