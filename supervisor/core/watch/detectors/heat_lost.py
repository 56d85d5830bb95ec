"""The kiln falls while the plan climbs or holds: power cut, burner out, early shut-off, door."""

from __future__ import annotations

import math

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.advice import HEAT_LOST, SLIPPED
from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.reduction import Reduction
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import Activity
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H, SHORT_OF_C

_CLOSE_C, _LOOSE_C, _COLD_C, _COLD_LOOSE_C = 1.5, 8.0, 10.0, 25.0
_COLD_CLIMB_C, _COLD_CLIMB_LOOSE_C, _FAR_C = 5.0, 12.0, 25.0
_HOT_C = 350.0
"""How far a fall must go to be called: in a kiln that keeps its plan closely, in one that a
person works, and in such kilns when they are cold: there heat comes in swings, and a kiln that
has none falls slowly in any case (common practice, no source). A kiln with a time constant of
3 h falls by the first of them in half a minute at 1,000 °C. Heat comes in swings where a cold kiln
comes to the top of its step, or has just left one: well on its way, so far below the top, it climbs
as steadily as a warm one, if it is not stoked, and of a fall that goes on half as much is asked."""
_FIRST_SWING_C, _SWING_MARGIN, _MOST_SWING_C = 2.5, 1.5, 12.0
"""Falls that the kiln has been seen to make and to make good are no loss of heat. The first of
them is only supposed, and so less and less while none is seen."""
_TOLD_SWING_C, _MOST_TOLD_C, _SWINGS_S, _AGAIN_S = 20.0, 14.0, 600.0, 3600.0
"""A deeper one that was told, was over so soon and comes again within the hour is how a controller
that is set badly works this kiln: twice it is told, and not with each swing. What counts of it is
capped, so that a real loss is told soon (common practice, no source)."""
_TURNS_S = 60.0
"""A kiln whose climb ends falls back by what it climbed in so long, however well it is."""
_OWN_MARGIN = 1.2
"""A kiln that swings about a steep climb falls where the climb gets flatter."""
_STOKED_C, _STOKED_MARGIN, _MORE_STOKED_C = 11.0, 2.0, 5.0
"""A fire burns down by so much between two stokes before anything is learned. No charge is like
another: what was seen counts twice, but with no more than the last added."""
_REDUCED_C = 8.0
"""Turned down for reduction, a kiln dips by as much before it creeps on."""
_LOOK_S, _LOOK_C, _STILL_FALLS, _LOOKS_LOOSENESS = 120.0, 60.0, 0.85, 0.3
"""A plug is out of its spyhole, or a firebox open, for no longer, and cold air takes no more than
so much off the thermocouple; then it comes back (common practice, no source). A kiln that a
controller keeps closely is not looked into so."""
_CHILLS_S, _PLUG_OUT_S, _BENDS = 90.0, 150.0, 0.9
"""A plug that is out beside the only thermocouple of such a kiln chills it at once, by its own lag
of a minute or so, and no further: its fall is steepest at first and dies away while one looks. A
kiln without heat falls on as steeply, or more so, while elements and chamber come down to walls
and ware. So until a chill would bend nothing is said, and then a fall that has lost a tenth of its
rate is waited for (common practice, no source)."""
_DRAUGHT_PER_H, _DRAUGHT_C_PER_H, _BACK_PART, _WALLS_PER_H = 0.55, 400.0, 1.2, 0.3
"""No kiln that has merely lost its heat loses so much of its excess over the shed in an hour, or
falls so fast when it is cold; a thermocouple in a draught does. One that climbs in a great hurry,
as for raku, falls back as fast as it climbed, and by what its walls lose besides (common practice,
no source)."""
_LEFT_ALONE = ("electric", None)
_MAY_BE_STOKED = ("wood", None)
_CORNER_S, _CORNER_C = 900.0, 4.0
"""Where the plan has just changed its pace, a controller may sag by so much in so long."""
_AT_TOP_C = 8.0
"""Where a controller stops at a top that it sees sooner than we, it may settle by so much."""
_SUSPECT = 0.5
"""This part of the fall that is called makes a stall wait for a while (common practice, no
source)."""
_HOLD_SAG_C, _SETTLED_S, _SETTLED_SAG_C, _LOOSE_HOLD_SAG_C = 5.0, 1500.0, 2.0, 9.0
"""A controller that settles may sag so far below the top of a hold; one that has settled, less;
a person, more."""
_COOLING_S = 8 * 3600.0
"""A kiln without heat cools at first as if it lost its excess over the shed in this time, or
faster (common practice, no source: a well-lined studio kiln)."""
_LEAST_C_PER_H, _SAG_PART, _LOOSE_SAG_PART = 4.0, 0.2, 0.6
"""A fifth of that cooling is a sag and no loss; more than half of it where a person has turned down
a bit too far."""
_COOLING_PER_H = 3600.0 / _COOLING_S
_MOST_C_PER_H = 300.0
"""What a kiln without heat falls at is not asked to be more than this on account of its climb."""
_UNHEATED_PART, _PACE_PART, _LEAST_PACE_PART, _GOES_ON, _DEEP_C = 1.05, 0.7, 0.5, 0.75, 8.0
_STEEP_S, _LOOSE_STEEP_S, _WOULD_BEND_S = 45.0, 120.0, 150.0
"""A kiln without any heat falls like this or faster, and goes on falling; one that is only turned
down, for a hold, a pause or reduction, dips by some degrees and soon more slowly. A slow fall
must be deeper by so much (common practice, no source).

While it climbs, the chamber is hotter than walls and ware by what drives the climb into them. When
the heat goes, that is lost within minutes and the chamber falls about as fast as it climbed, and
then with the walls. Where some heat is left, to hold the kiln, it falls less and bends: so where
ware and walls are heavy, half that pace will do in a fall that keeps most of its mean rate, after
so long that a pause would have bent it."""
_CLOSE_BENT, _LOOSE_BENT, _YOUNG_BENT, _YOUNG_S = 0.5, 1.15, 1.5, 210.0
"""Where a switch or a burner is turned down, some heat is left, and the fall bends. One that does
not is faster than its mean since the kiln was highest, since it began with none: by more for the
first time, in which nobody can tell, and by less later. That is asked where a person works the
kiln; of one that is kept closely only that it has not all but ended its fall (common practice, no
source)."""
_FALLS_BACK_S, _TO_WALLS_S, _WITH_WALLS_PART = 120.0, 240.0, 0.5
"""For the first time the chamber falls back to walls and ware; from the second on it falls with
them, and of a hot kiln the pace of its climb is asked for by half only (common practice, no
source)."""
_STEADY_S, _REGAINED_C, _GAINING_C_PER_H = 180.0, 3.0, 5.0
"""Heat is back when the kiln has won as much as a hot fall is called at and gains, beyond the
rate's uncertainty, for as long as the filter needs to turn (common practice, no source)."""


class HeatLost:
    """Adds up how far the kiln falls beyond a slow sag, in °C: a one-sided CUSUM (Page 1954)."""

    __slots__ = (
        "_activity",
        "_draught_s",
        "_fall_c",
        "_falling_c",
        "_falls_back_since_s",
        "_high_c",
        "_high_s",
        "_low_c",
        "_reduction",
        "_scale",
        "_sigmas",
        "_since_s",
        "_steady_since_s",
        "_steep_since_s",
        "_steepest_c_per_h",
        "_step_index",
        "_swing",
        "_swung_at_s",
        "is_raised",
        "is_suspected",
        "raised_at_s",
    )

    def __init__(self, sensitivity: Sensitivity, schedule: Schedule | None = None) -> None:
        self._reduction = Reduction(schedule)
        self._sigmas = sensitivity.sigmas(Kind.HEAT_LOST)
        self._scale = sensitivity.scale(Kind.HEAT_LOST)
        self.is_raised = False
        self.raised_at_s: float | None = None
        """Since when the loss stands, None while none does."""
        self.is_suspected = False
        """Whether enough of a fall is seen, and goes on, not to speak of a mere stall."""
        self._draught_s: float | None = None
        """Since when a fall is faster than a kiln's."""
        self._fall_c = 0.0
        self._falling_c = 0.0
        self._swing = Swing(_FIRST_SWING_C)
        self._swung_at_s = -math.inf
        self._high_c = 0.0
        self._high_s = 0.0
        self._low_c = 0.0
        self._steady_since_s: float | None = None
        self._steep_since_s: float | None = None
        """Since when the kiln has fallen as steeply as most do without heat."""
        self._falls_back_since_s: float | None = None
        """Since when it has fallen as steeply as the heaviest do."""
        self._steepest_c_per_h = 0.0
        """The steepest rate of the present fall, negative."""
        self._activity = Activity.WAITING
        self._step_index = -1
        self._since_s = 0.0

    def feed(self, moment: Moment) -> list[Event]:
        """Events of this moment."""
        plan, temp_c, step = moment.plan, moment.temp_c, moment.plan.step
        if temp_c is None:
            return []
        activity = plan.activity
        heats = activity is Activity.CLIMBING or activity is Activity.HOLDING
        if step is None or not heats:
            self._forget()
            return self._clear(moment, temp_c) if self.is_raised else []
        if self.is_raised:
            return self._look_for_recovery(moment, temp_c)
        if plan.hold_complete_s is not None or plan.is_candling or self._is_turning(moment):
            self._forget()
            return []
        if moment.is_new_lead:
            self._forget()
        if activity is not self._activity or step.index != self._step_index:
            self._activity, self._step_index = activity, step.index
            self._since_s = moment.elapsed_s
        part = _SAG_PART + moment.habits.looseness * (_LOOSE_SAG_PART - _SAG_PART)
        sag_c_per_h = part * _COOLING_PER_H * (temp_c - moment.ambient_c)
        if sag_c_per_h < _LEAST_C_PER_H:
            sag_c_per_h = _LEAST_C_PER_H
        sag_c_per_s = sag_c_per_h / 3600.0
        if self._fall_c == 0.0:
            self._high_c = temp_c - moment.moved_c
            self._high_s = moment.elapsed_s - moment.moved_s
        fall_c = self._fall_c - moment.moved_c - sag_c_per_s * moment.moved_s
        self._swing.fade(moment.moved_s)
        if fall_c <= 0.0:
            if self._falling_c > 0.5:
                self._swing.learn(self._falling_c, _MOST_SWING_C)
            self._forget()
            return []
        self._fall_c = fall_c
        if fall_c > self._falling_c:
            self._falling_c = fall_c
        if moment.rate_c_per_h < self._steepest_c_per_h:
            self._steepest_c_per_h = moment.rate_c_per_h
        pace_c_per_h = self._pace_c_per_h(moment)
        is_steep = self._is_steep(moment, temp_c, pace_c_per_h)
        if self._draught_s is None and moment.rate_c_per_h < -self._fastest_c_per_h(moment, temp_c):
            self._draught_s = moment.elapsed_s
        if fall_c < _SUSPECT * _CLOSE_C * self._scale:
            self.is_suspected = False
            return []
        limit_c = self._limit_c(moment, temp_c, sag_c_per_s, pace_c_per_h)
        self.is_suspected = fall_c > _SUSPECT * limit_c and self._steep_since_s is not None
        if fall_c < limit_c or self._is_a_look(moment, limit_c):
            return []
        if fall_c < limit_c + _DEEP_C and (not is_steep or self._has_bent(moment)):
            return []
        holds = activity is Activity.HOLDING
        if holds and temp_c > self._held_c(moment, step.to_c, limit_c):
            return []
        if plan.may_be_over() or moment.falls_alone or moment.rate_c_per_h >= 0.0:
            return []
        return [self._raise(moment, temp_c, holds=holds)]

    @staticmethod
    def _is_turning(moment: Moment) -> bool:
        """Whether the kiln may still be cooling by its plan, the foot of which it sees later."""
        plan = moment.plan
        step, due_s = plan.step, plan.climb_due_s
        if step is None or due_s is None or moment.elapsed_s >= due_s or step.index == 0:
            return False
        return plan.timeline.steps[step.index - 1].cools

    def _was_ahead(self, moment: Moment) -> bool:
        """Whether a person may have turned down a kiln that had run ahead of its plan."""
        loose = moment.habits.looseness > _LOOKS_LOOSENESS
        return loose and moment.plan.is_ahead(self._high_s, self._high_c)

    def _pace_c_per_h(self, moment: Moment) -> float:
        """How fast the kiln has climbed, as far as it was meant to; 0 in a hold."""
        step, habits = moment.plan.step, moment.habits
        if step is None or moment.plan.activity is not Activity.CLIMBING:
            return 0.0
        own_c_per_h, planned_c_per_h = habits.own_c_per_h, step.rate_c_per_h
        if planned_c_per_h is None or own_c_per_h is None:
            return min(own_c_per_h or NATURAL_LEAST_C_PER_H, _MOST_C_PER_H)
        least_c_per_h = min(own_c_per_h, planned_c_per_h)
        # One that keeps its plan closely has climbed as planned, whatever it did before.
        pace_c_per_h = planned_c_per_h + habits.looseness * (least_c_per_h - planned_c_per_h)
        return min(pace_c_per_h, _MOST_C_PER_H)

    @staticmethod
    def _fastest_c_per_h(moment: Moment, temp_c: float) -> float:
        """How fast a kiln that has merely lost its heat can fall."""
        excess_c = temp_c - moment.ambient_c
        back_c_per_h = _BACK_PART * (moment.habits.own_c_per_h or 0.0) + _WALLS_PER_H * excess_c
        return max(_DRAUGHT_PER_H * excess_c, _DRAUGHT_C_PER_H, back_c_per_h)

    def _is_steep(self, moment: Moment, temp_c: float, pace_c_per_h: float) -> bool:
        """Whether the kiln has for a while fallen as one that has lost all its heat does."""
        back_part = 1.0
        if temp_c > _HOT_C:
            with_walls = (moment.elapsed_s - self._high_s - _FALLS_BACK_S) / _TO_WALLS_S
            back_part -= _WITH_WALLS_PART * min(max(with_walls, 0.0), 1.0)
        unheated_c_per_h = max(
            _UNHEATED_PART * _COOLING_PER_H * (temp_c - moment.ambient_c), _LEAST_C_PER_H
        )
        falls_c_per_h, pace_c_per_h = -moment.mean_rate_c_per_h, back_part * pace_c_per_h
        elapsed_s = moment.elapsed_s
        if falls_c_per_h < max(unheated_c_per_h, _LEAST_PACE_PART * pace_c_per_h):
            self._falls_back_since_s = None
        elif self._falls_back_since_s is None:
            self._falls_back_since_s = elapsed_s
        if falls_c_per_h < max(unheated_c_per_h, _PACE_PART * pace_c_per_h):
            self._steep_since_s = None
        elif self._steep_since_s is None:
            self._steep_since_s = elapsed_s
        since_s = self._falls_back_since_s if self._goes_on(moment) else self._steep_since_s
        if since_s is None:
            return False
        least_s = _STEEP_S + moment.habits.looseness * (_LOOSE_STEEP_S - _STEEP_S)
        cold = (_HOT_C - temp_c) / _HOT_C
        if cold > 0.0 and not self._is_on_its_way(moment, temp_c):
            least_s += cold * (_LOOSE_STEEP_S - least_s)
        if self._was_ahead(moment):
            least_s = _LOOSE_STEEP_S
        return elapsed_s - since_s >= least_s

    def _kept(self, moment: Moment) -> float:
        """The present rate of the fall, as a part of its mean since the kiln was highest."""
        fallen_s = moment.elapsed_s - self._high_s
        return -moment.mean_rate_c_per_h * fallen_s / 3600.0 / self._fall_c

    def _goes_on(self, moment: Moment) -> bool:
        """Whether the fall, no young one, has kept its rate. A charge that burns down does, too."""
        if moment.kiln_kind in _MAY_BE_STOKED or moment.elapsed_s - self._high_s < _WOULD_BEND_S:
            return False
        return self._kept(moment) >= _GOES_ON

    def _has_bent(self, moment: Moment) -> bool:
        """Whether the fall slows already, or may do so yet in a kiln that a person works."""
        is_young = moment.elapsed_s - self._high_s < _YOUNG_S
        loose_part = _YOUNG_BENT if is_young else _LOOSE_BENT
        return self._kept(moment) < max(_CLOSE_BENT, moment.habits.looseness * loose_part)

    def _forget(self) -> None:
        self._fall_c = self._falling_c = self._steepest_c_per_h = 0.0
        self._steep_since_s = self._falls_back_since_s = self._draught_s = None
        self.is_suspected = False

    def _limit_c(
        self, moment: Moment, temp_c: float, sag_c_per_s: float, pace_c_per_h: float
    ) -> float:
        """How far the kiln must fall to be spoken of, now and here."""
        loose = moment.habits.looseness
        limit_c = _CLOSE_C + loose * (_LOOSE_C - _CLOSE_C)
        cold = (_HOT_C - temp_c) / _HOT_C
        if cold > 0.0:
            cold_c, cold_loose_c = _COLD_C, _COLD_LOOSE_C
            if self._goes_on(moment) and self._is_on_its_way(moment, temp_c):
                cold_c, cold_loose_c = _COLD_CLIMB_C, _COLD_CLIMB_LOOSE_C
            limit_c += cold * (cold_c + loose * (cold_loose_c - cold_c) - limit_c)
        if moment.kiln_kind == "wood" and limit_c < _STOKED_C:
            limit_c = _STOKED_C
        if moment.kiln_kind is None and limit_c < loose * _STOKED_C:
            limit_c = loose * _STOKED_C
        if limit_c < _REDUCED_C and self._reduction.may_be_at(temp_c, moment.kiln_kind):
            limit_c = _REDUCED_C
        if moment.elapsed_s - self._since_s < _CORNER_S and limit_c < _CORNER_C:
            limit_c = _CORNER_C
        plan = moment.plan
        climbs = plan.activity is Activity.CLIMBING
        if climbs and limit_c < _AT_TOP_C and self._is_at_top(plan, temp_c):
            limit_c = _AT_TOP_C
        limit_c *= self._scale
        limit_c = max(limit_c, pace_c_per_h / 3600.0 * _TURNS_S)
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, sag_c_per_s)
        # What a kiln does and what noise does come together, each with its own small chance.
        limit_c = math.hypot(limit_c, noise_c)
        swing_c = self._swing.size
        if moment.kiln_kind == "wood":
            swing_c = min(_STOKED_MARGIN * swing_c, swing_c + _MORE_STOKED_C)
        else:
            swing_c *= _SWING_MARGIN
        return max(limit_c, swing_c, _OWN_MARGIN * moment.habits.swing_c)

    def _is_on_its_way(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln is in the midst of a climb: neither its beginning nor its top near."""
        step, activity = moment.plan.step, moment.plan.activity
        if step is None or activity is not Activity.CLIMBING or moment.kiln_kind in _MAY_BE_STOKED:
            return False
        has_settled = moment.elapsed_s - self._since_s >= _CORNER_S
        return has_settled and temp_c < step.to_c - _FAR_C

    @staticmethod
    def _is_at_top(plan: PlanFollower, temp_c: float) -> bool:
        """Whether the kiln's own thermocouple may call this the top of the step."""
        step = plan.step
        return step is not None and plan.stops_next and temp_c > step.to_c - SHORT_OF_C

    def _is_a_look(self, moment: Moment, limit_c: float) -> bool:
        """Whether the dip may be that of a plug taken out, or of a door opened for a stoke."""
        if self._fall_c < _STILL_FALLS * self._falling_c:
            return True
        elapsed_s, draught_s = moment.elapsed_s, self._draught_s
        if draught_s is not None:
            return elapsed_s - draught_s < _LOOK_S
        if moment.habits.looseness < _LOOKS_LOOSENESS and moment.kiln_kind in _LEFT_ALONE:
            return moment.is_alone and self._dies_away(moment)
        return self._fall_c < limit_c + _LOOK_C and elapsed_s - self._high_s < _LOOK_S

    def _dies_away(self, moment: Moment) -> bool:
        """Whether a fall was steeper before, or is too young to tell."""
        fallen_s = moment.elapsed_s - self._high_s
        bends = moment.rate_c_per_h > _BENDS * self._steepest_c_per_h
        return fallen_s < _CHILLS_S or (bends and fallen_s < _PLUG_OUT_S)

    def _held_c(self, moment: Moment, to_c: float, limit_c: float) -> float:
        """Above this a kiln still holds, however it came there."""
        settled = min((moment.elapsed_s - self._since_s) / _SETTLED_S, 1.0)
        sag_c = _HOLD_SAG_C + settled * (_SETTLED_SAG_C - _HOLD_SAG_C)
        sag_c += moment.habits.looseness * (_LOOSE_HOLD_SAG_C - sag_c)
        sag_c = max(sag_c, limit_c)
        return min(to_c, moment.plan.hold_from_c) - sag_c

    def _raise(self, moment: Moment, temp_c: float, *, holds: bool) -> Event:
        self.is_raised = True
        self.raised_at_s = moment.elapsed_s
        self._low_c = temp_c
        self._steady_since_s = None
        words = moment.words
        fallen_c = max(self._high_c - temp_c, 0.0)
        falling_c_per_h = max(-moment.rate_c_per_h, 0.0)
        return moment.event(
            Kind.HEAT_LOST,
            Severity.CRITICAL,
            f"The kiln is losing heat: {words.temp(temp_c)} and falling "
            f"{words.rate(falling_c_per_h)}, where the plan "
            f"{'holds' if holds else 'climbs'}. {HEAT_LOST[moment.kiln_kind]}"
            f"{SLIPPED if moment.is_alone else ''}",
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
        regained = temp_c - self._low_c > max(_REGAINED_C, self._sigmas * 1.4 * moment.sigma_c)
        back_at_hold = (
            plan.activity is Activity.HOLDING and temp_c > plan.hold_from_c - 2 * _HOLD_SAG_C
        )
        least_c_per_h = -_GAINING_C_PER_H if back_at_hold else _GAINING_C_PER_H
        if moment.rate_c_per_h < least_c_per_h or not (regained or back_at_hold):
            self._steady_since_s = None
        elif self._steady_since_s is None:
            self._steady_since_s = moment.elapsed_s
        elif moment.elapsed_s - self._steady_since_s >= _STEADY_S:
            self._learn_swing(moment.elapsed_s, self._high_c - self._low_c)
            self._forget()
            return self._clear(moment, temp_c)
        return []

    def _learn_swing(self, elapsed_s: float, swung_c: float) -> None:
        """What was told as lost heat is over."""
        deepest_c = most_c = _MOST_SWING_C
        if self.raised_at_s is not None and elapsed_s - self.raised_at_s < _SWINGS_S:
            if elapsed_s - self._swung_at_s < _AGAIN_S:
                deepest_c, most_c = _TOLD_SWING_C, _MOST_TOLD_C
            self._swung_at_s = elapsed_s
        if swung_c < deepest_c:
            self._swing.learn(swung_c, most_c)

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = False
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
