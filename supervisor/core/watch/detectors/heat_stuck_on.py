"""The kiln climbs when it should hold at the end, cool, or be off: the heat does not let go.

The danger is a welded relay or a gas valve that is open: nothing but the kiln's own limits stops
it then. So this is critical; and it must not be said of a probe that reads a few degrees more
than the kiln's own, of a controller that settles, or of a door that is shut again.

Half a welded relay need not make the kiln climb: one that was let go and stands, hot, is heated.
"""

from __future__ import annotations

from itertools import pairwise

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.advice import STUCK_ON
from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import Activity
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c
from supervisor.core.watch.step_end import MOST_APART_C, NATURAL_LEAST_C_PER_H

_SLOWEST_PER_H, _STANDS_HOT_C = 1.0 / 40.0, 400.0
"""Above the last temperature every kiln without heat loses so much of its excess over the shed in
an hour. The best lined takes 24 h at its slowest (common practice, no source); who fires down
seldom goes slower."""
_OWN_PART, _OWN_S, _LEAST_OWN_PER_H = 0.5, 3.0 * 3600.0, 1.0 / 100.0
"""A big kiln with thick walls may cool more slowly yet. Where its own cooling of the last hours is
known, it stands when it loses less than this part of that: what a shut kiln loses of its excess
changes slowly (Newton's law of cooling; the walls' later time constants are the longer ones)."""
_STANDS_S: dict[str | None, float] = {"electric": 300.0, None: 330.0, "gas": 900.0, "wood": 3600.0}
"""For so long must a kiln that was let go stand: a damper that is shut makes one stand for a while,
and so do embers, neither of which an electric kiln has; nor, as a rule, one of a kind that nobody
told and that is kept closely."""
_STANDS_AT_TOP_S = 3600.0
"""Nobody has seen a kiln let go that stands where its plan ended: perhaps somebody holds it there
until the cones are down."""
_BY_HAND = 0.95
"""A kiln that wanders as widely as that is worked by a person, who may have turned it down too far
and up again, or stokes on: what heats it is a hand, until it is above the top (common practice, no
source). No controller keeps its plan so badly that does not swing about it all the time."""
_STOOD_PART = 0.8
"""And for this part of it without a fall: what comes back by a few degrees in minutes does not."""
_SURELY_LET_GO_C, _ABOVE_FOOT_C = 15.0, 40.0
"""So far has a kiln fallen that was let go, and so far above the foot of a cooling no controller
holds it."""
_CREEP_C_PER_H = 6.0
"""Walls that are soaked let a kiln creep upwards by less (common practice, no source)."""
_CLOSE_C, _LOOSE_C = 3.0, 8.0
"""A climb out of a hold that is too much: of a kiln that keeps its plan closely, and of one that
a person works (common practice, no source)."""
_COOLING_C, _COOLING_WOOD_C = 4.0, 20.0
"""A climb out of a fall that is too much: a gas kiln whose damper is shut comes back by a few
degrees, embers may flare up (common practice, no source)."""
_SWING_MARGIN, _MOST_SWING_C = 1.5, 8.0
_SETTLED_S = 300.0
"""A hold that has been slow for so long shows where this kiln holds."""
_UNSLOWED = 0.6
"""Past the top at more than this part of the plan's pace, nothing has been turned down."""
_PAST_TOP = 2.0
"""And so many times the tolerance above it: our probe may read that much more than the kiln's."""
_RUNS_AWAY, _STILL_RUNS, _KEPT_CLOSELY, _RAN_C = 2.0, 1.5, 0.5, 18.0
"""No controller leaves a hold on the way before its time, and so many times as fast as the plan
climbs before and after it; a person may (common practice, no source)."""
_COASTS_S = 150.0
"""A kiln that is turned down goes on for so long at its pace: fast plans coast far."""
_CLIMBS_C_PER_H = 12.0
"""At less the kiln may still be settling."""
_LET_GO_C = 6.0
"""A kiln that has fallen by so much was let go: before, the plan's end is only a guess."""
_RISEN_C, _DIP_C, _RISEN_FROM_DIP_C = 1.0, 3.0, 5.0
_WARM_C = 120.0
"""Below this, the sun, or the next firing."""
_OPENED_S = 3600.0
"""After a door was opened hot and shut again, the kiln comes back by itself for so long."""
_STEADY_S = 300.0
_MINUTES = 6
"""A kiln that has only come back from a dip (a plug was out, a door) is not above what it was so
many minutes before, or by little; one that is heated soon is."""
_FELL_MINUTES, _LAST_MINUTES, _STEADILY = 6, 4, 1.15
"""A plug is out for no longer than two minutes, and then the kiln falls faster than before: one
that fell for so many minutes, and in the last of them no faster than at first, has not dipped. What
turns it back is heat (common practice, no source)."""
_WORKED = 0.3
"""A kiln of a kind that nobody told, and that wanders more, may have a damper."""
_ELSEWHERE_C, _ELSEWHERE_MINUTES = 12.0, 10
"""A zone that does not lead has come up by so much in so many minutes: heat from its neighbours,
or a probe that settles, does less (common practice, no source)."""


class _Elsewhere:
    """Looks each minute whether one zone climbs by itself in a kiln that cools.

    One relay of several may weld: its zone climbs while the one that leads still falls.
    """

    __slots__ = ("_before_c", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._before_c: list[list[float]] = [[] for _ in tracks]

    def forget(self) -> None:
        """What the channels did before says nothing any more."""
        for before_c in self._before_c:
            before_c.clear()

    def climbing(self, least_c: float) -> ChannelTrack | None:
        """Take in one more minute; a channel that has come up by ``least_c``, or None."""
        found = None
        for track, before_c in zip(self._tracks, self._before_c, strict=True):
            temp_c, rate_c_per_s = track.temp_c, track.rate_c_per_s
            if temp_c is None or not track.is_healthy or track.is_suspected or track.is_stranger:
                before_c.clear()
                continue
            before_c[:] = [*before_c[1 - _ELSEWHERE_MINUTES :], temp_c]
            climbs = rate_c_per_s is not None and rate_c_per_s * 3600.0 > _CLIMBS_C_PER_H
            # What has dipped and come back is no higher than it was.
            if climbs and temp_c - before_c[0] > least_c and temp_c > _WARM_C:
                found = track
        return found


class HeatStuckOn:
    """Adds up how far the kiln climbs beyond a creep, in °C: a one-sided CUSUM (Page 1954)."""

    __slots__ = (
        "_activity",
        "_base_c",
        "_climb_c",
        "_climbing_c",
        "_elsewhere",
        "_fell_c",
        "_has_fallen",
        "_high_c",
        "_minute_s",
        "_minutes_c",
        "_opened_at_s",
        "_own_per_h",
        "_scale",
        "_sigmas",
        "_since_s",
        "_slow_since_s",
        "_stands",
        "_stands_c",
        "_stands_since_s",
        "_steady_since_s",
        "_step_index",
        "_swing",
        "_tolerance_c",
        "_track",
        "is_raised",
    )

    def __init__(
        self,
        tolerance_c: float,
        sensitivity: Sensitivity,
        tracks: tuple[ChannelTrack, ...] = (),
    ) -> None:
        """``tolerance_c``: so far above a step's top our probe may read in a healthy hold.

        ``tracks`` are all channels of the kiln, of which any may have a zone that climbs.
        """
        self._elsewhere = _Elsewhere(tracks) if len(tracks) > 1 else None
        self._track: ChannelTrack | None = None
        """The channel that climbs, None where it is the kiln as a whole."""
        self._tolerance_c = tolerance_c
        self._sigmas = sensitivity.sigmas(Kind.HEAT_STUCK_ON)
        self._scale = sensitivity.scale(Kind.HEAT_STUCK_ON)
        self._climb_c = 0.0
        self._climbing_c = 0.0
        self._swing = Swing(0.0)
        self._base_c: float | None = None
        """In a hold: where this kiln holds. None while that is not known."""
        self._activity = Activity.WAITING
        self._step_index = -1
        self._since_s = 0.0
        self._slow_since_s: float | None = None
        self._steady_since_s: float | None = None
        self._opened_at_s: float | None = None
        self._high_c = self._fell_c = 0.0
        self._stands_since_s = 0.0
        self._stands_c = 0.0
        """How far the kiln is behind the slowest cooling there is, in °C."""
        self._has_fallen = False
        self._own_per_h: float | None = None
        """What the kiln, since it was let go, loses of its excess over the shed in an hour."""
        self._stands = False
        self._minutes_c: list[float] = []
        self._minute_s = float("-inf")
        self.is_raised = False

    def feed(self, moment: Moment, *, is_opened: bool = False) -> list[Event]:
        """Events of this moment; ``is_opened`` says that the kiln falls as an opened one does."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        activity, step = plan.activity, plan.step
        if self.is_raised:
            return self._look_for_its_end(moment, temp_c)
        if activity is Activity.WAITING or activity is Activity.CLIMBING or step is None:
            self.climbs_by_its_plan()
            return []
        if activity is not self._activity or step.index != self._step_index:
            self._activity, self._step_index = activity, step.index
            self._since_s = moment.elapsed_s
            self._climb_c = self._climbing_c = 0.0
            self._base_c = self._slow_since_s = None
            self._high_c, self._fell_c, self._stands_c = temp_c, 0.0, 0.0
            self._has_fallen = False
            self._own_per_h = None
        elif temp_c > self._high_c:
            self._high_c = temp_c
        if is_opened:
            self._opened_at_s = moment.elapsed_s
        if moment.is_new_lead:
            self._climb_c = self._climbing_c = 0.0
            self._minutes_c = []
        climb_c = self._climb_c + moment.moved_c - _CREEP_C_PER_H / 3600.0 * moment.moved_s
        self._swing.fade(moment.moved_s)
        if climb_c <= 0.0:
            if self._climbing_c > 0.5:
                self._swing.learn(self._climbing_c, _MOST_SWING_C)
            climb_c = self._climbing_c = 0.0
        elif climb_c > self._climbing_c:
            self._climbing_c = climb_c
        if climb_c == 0.0:
            self._fell_c = self._high_c - temp_c
        self._climb_c = climb_c
        track = None
        if moment.elapsed_s >= self._minute_s:
            if self._elsewhere is not None:
                track = self._elsewhere.climbing(self._limit_c(moment, self._elsewhere_c(moment)))
            self._minute_s = moment.elapsed_s + 60.0
            self._minutes_c = [*self._minutes_c[1 - 2 * _MINUTES :], temp_c]
        if activity is Activity.HOLDING:
            if plan.turns_next:
                return self._look_at_hold(moment, temp_c, step.to_c)
            ran_c = temp_c - max(plan.top_c or step.to_c, step.to_c)
            runs = ran_c > _RAN_C + self._sigmas * moment.sigma_c
            return [self._raise(moment, temp_c)] if runs and _runs_away(moment, _RUNS_AWAY) else []
        let_go = self._has_let_go() and not self._was_opened(moment) and not _is_by_hand(moment)
        if track is not None and let_go:
            return [self._raise(moment, track.temp_c or temp_c, track)]
        if self._stands_hot(moment, temp_c):
            return [self._raise(moment, temp_c, stands=True)]
        if climb_c < _CLOSE_C * self._scale or temp_c < _WARM_C:
            return []
        return self._look_at_fall(moment, temp_c)

    def climbs_by_its_plan(self) -> None:
        """The kiln climbs as it should: what it does so says nothing of what comes after."""
        self._activity = Activity.CLIMBING
        if self._minutes_c:
            self._minutes_c = []
            if self._elsewhere is not None:
                self._elsewhere.forget()

    def _look_at_hold(self, moment: Moment, temp_c: float, to_c: float) -> list[Event]:
        rate_c_per_h = moment.rate_c_per_h
        if self._base_c is None:
            if moment.elapsed_s - self._since_s > _SETTLED_S and self._is_settled(moment):
                self._base_c = temp_c
                self._climb_c = self._climbing_c = 0.0
                return []
            step = moment.plan.step
            planned_c_per_h = (step.rate_c_per_h if step else None) or NATURAL_LEAST_C_PER_H
            above_c = temp_c - to_c
            coasts_c = planned_c_per_h * _COASTS_S / 3600.0
            above_c -= max(moment.plan.apart_c, 0.0)
            believed_c = max(_PAST_TOP * self._tolerance_c, MOST_APART_C)
            if above_c < believed_c + coasts_c + self._sigmas * moment.sigma_c:
                return []
            if rate_c_per_h < max(_UNSLOWED * planned_c_per_h, 2.0 * _CLIMBS_C_PER_H):
                return []
            return [self._raise(moment, temp_c)]
        # What is slow is where the kiln holds; a person may hold a few degrees off.
        if abs(rate_c_per_h) < _CREEP_C_PER_H and temp_c < to_c + self._tolerance_c:
            self._base_c += min(moment.moved_s / 900.0, 1.0) * (temp_c - self._base_c)
        base_c = max(self._base_c, to_c)
        limit_c = _CLOSE_C + moment.habits.looseness * (_LOOSE_C - _CLOSE_C)
        limit_c = self._limit_c(moment, limit_c)
        if temp_c - base_c < limit_c or self._climb_c < limit_c:
            return []
        if rate_c_per_h < _CLIMBS_C_PER_H:
            return []
        return [self._raise(moment, temp_c)]

    def _look_at_fall(self, moment: Moment, temp_c: float) -> list[Event]:
        least_c = _COOLING_WOOD_C if moment.kiln_kind == "wood" else _COOLING_C
        if self._climb_c < self._noise_limit_c(moment, least_c):
            return []
        if not self._is_turned_back(moment, temp_c):
            if self._climb_c < self._limit_c(moment, least_c):
                return []
            before_c = self._minutes_c[-_MINUTES:-1] or [temp_c]
            has_dipped = before_c[0] - min(before_c) > _DIP_C
            if temp_c <= max(before_c) + (_RISEN_FROM_DIP_C if has_dipped else _RISEN_C):
                return []
        if moment.rate_c_per_h < _CLIMBS_C_PER_H:
            return []
        if self._was_opened(moment):
            return []
        plan = moment.plan
        is_new = moment.elapsed_s - self._since_s < _SETTLED_S
        if is_new or not self._has_let_go() or _is_by_hand(moment):
            # The plan's end was told from outside: our probe may read more than the kiln's own.
            peak_c = max(step.to_c for step in plan.timeline.steps)
            believed_c = max(self._tolerance_c, MOST_APART_C)
            if temp_c < peak_c + believed_c + self._sigmas * moment.sigma_c:
                return []
        return [self._raise(moment, temp_c)]

    def _is_turned_back(self, moment: Moment, temp_c: float) -> bool:
        """Whether a kiln that nothing but heat can turn back, without damper, embers or controller,
        was falling by itself till it turned."""
        kind, step = moment.kiln_kind, moment.plan.step
        if kind != "electric" and (kind is not None or moment.habits.looseness > _WORKED):
            return False
        if moment.plan.activity is Activity.COOLING and step and step.rate_c_per_h is not None:
            return False
        let_go = self._fell_c >= _SURELY_LET_GO_C and self._should_fall(moment, temp_c)
        return let_go and _fell_steadily(self._minutes_c)

    def _stands_hot(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln has clearly not cooled as one does that has no heat."""
        if temp_c < _STANDS_HOT_C or self._was_opened(moment) or _is_by_hand(moment):
            self._stands_c = 0.0
            return False
        least_c_per_s = self._slowest_per_h * (temp_c - moment.ambient_c) / 3600.0
        if self._has_fallen:
            self._learn(moment, temp_c - moment.ambient_c)
        if self._stands_c <= 0.0:
            self._stands_since_s = moment.elapsed_s - moment.moved_s
        stands_c = max(self._stands_c + moment.moved_c + least_c_per_s * moment.moved_s, 0.0)
        stands_s = _STANDS_S[moment.kiln_kind]
        if moment.kiln_kind is None:
            # Whoever works it by hand may have worked it with wood.
            stands_s += moment.habits.looseness * (_STANDS_AT_TOP_S - stands_s)
        stands_s *= self._scale
        if self._high_c - temp_c < _SURELY_LET_GO_C:
            stands_s = max(stands_s, _STANDS_AT_TOP_S)
            if moment.elapsed_s - self._since_s < stands_s:
                # It may come up to its top only now.
                stands_c = min(stands_c, least_c_per_s * (moment.elapsed_s - self._since_s))
        elif not self._has_fallen:
            # What it stood at its top says nothing any more.
            self._has_fallen, stands_c = True, 0.0
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, least_c_per_s)
        limit_c = max(least_c_per_s * stands_s, noise_c)
        self._stands_c = min(stands_c, least_c_per_s * _STANDS_AT_TOP_S + noise_c)
        has_stood = moment.elapsed_s - self._stands_since_s >= _STOOD_PART * stands_s
        return has_stood and stands_c >= limit_c and self._should_fall(moment, temp_c)

    def _learn(self, moment: Moment, excess_c: float) -> None:
        """What the kiln loses by itself, over the last hours or since it was let go."""
        moved_h = moment.moved_s / 3600.0
        if moved_h <= 0.0:
            return
        seen_per_h = -moment.moved_c / excess_c / moved_h
        if self._own_per_h is None:
            self._own_per_h = max(seen_per_h, _SLOWEST_PER_H / _OWN_PART)
        else:
            own_per_h = self._own_per_h
            own_per_h += min(moment.moved_s / _OWN_S, 1.0) * (seen_per_h - own_per_h)
            self._own_per_h = max(own_per_h, _LEAST_OWN_PER_H)

    @property
    def _slowest_per_h(self) -> float:
        """What the kiln loses at least of its excess over the shed in an hour, without heat."""
        own_per_h = self._own_per_h
        return _SLOWEST_PER_H if own_per_h is None else min(_SLOWEST_PER_H, _OWN_PART * own_per_h)

    @staticmethod
    def _should_fall(moment: Moment, temp_c: float) -> bool:
        plan = moment.plan
        if plan.activity is Activity.FINISHED:
            return True
        step = plan.step
        if step is None or temp_c < step.to_c + _ABOVE_FOOT_C:
            return False
        rate_c_per_h = step.rate_c_per_h
        slowest_c_per_h = _SLOWEST_PER_H * (temp_c - moment.ambient_c)
        return rate_c_per_h is None or rate_c_per_h > 2.0 * slowest_c_per_h

    def _was_opened(self, moment: Moment) -> bool:
        """Whether a door that was open not long ago may be what it comes back from."""
        opened_at_s = self._opened_at_s
        return opened_at_s is not None and moment.elapsed_s - opened_at_s < _OPENED_S

    @staticmethod
    def _elsewhere_c(moment: Moment) -> float:
        return _COOLING_WOOD_C if moment.kiln_kind == "wood" else _ELSEWHERE_C

    def _has_let_go(self) -> bool:
        """Whether the kiln had begun to fall before it climbed."""
        return self._fell_c > _LET_GO_C

    def _limit_c(self, moment: Moment, least_c: float) -> float:
        return max(self._noise_limit_c(moment, least_c), _SWING_MARGIN * self._swing.size)

    def _noise_limit_c(self, moment: Moment, least_c: float) -> float:
        """What is too much of a kiln that has no controller to swing by."""
        noise_c = noise_limit_c(
            self._sigmas, moment.sigma_c, moment.memory_s, _CREEP_C_PER_H / 3600.0
        )
        return max(least_c * self._scale, noise_c)

    def _is_settled(self, moment: Moment) -> bool:
        if abs(moment.rate_c_per_h) > 2.0 * _CREEP_C_PER_H + moment.rate_sigma_c_per_h:
            self._slow_since_s = None
            return False
        if self._slow_since_s is None:
            self._slow_since_s = moment.elapsed_s
        return moment.elapsed_s - self._slow_since_s >= _SETTLED_S

    def _raise(
        self,
        moment: Moment,
        temp_c: float,
        track: ChannelTrack | None = None,
        *,
        stands: bool = False,
    ) -> Event:
        self.is_raised, self._track, self._stands = True, track, stands
        self._steady_since_s = None
        words, plan = moment.words, moment.plan
        should = "should hold" if plan.activity is Activity.HOLDING else "should cool"
        if plan.activity is Activity.FINISHED:
            should = "should be off"
        where = "" if track is None else f" at “{track.name}”"
        rate_c_per_h = self._rate_c_per_h(moment)
        does = f"climbs {words.rate(rate_c_per_h)}{where}, now {words.temp(temp_c)}"
        if stands:
            does = f"stands at {words.temp(temp_c)} and does not cool"
        return moment.event(
            Kind.HEAT_STUCK_ON,
            Severity.CRITICAL,
            f"The kiln {should} by its plan but {does}: the heat may be stuck on. "
            f"{STUCK_ON[moment.kiln_kind]}",
            {
                "temp_c": round(temp_c, 1),
                "rate_c_per_h": round(rate_c_per_h, 1),
                "climbed_c": round(self._climb_c, 1),
            },
        )

    def _rate_c_per_h(self, moment: Moment) -> float:
        """The rate of what climbs: a channel, while it can be believed, or the kiln."""
        track = self._track
        if track is None or not track.is_healthy or track.rate_c_per_s is None:
            return moment.rate_c_per_h
        return track.rate_c_per_s * 3600.0

    def _look_for_its_end(self, moment: Moment, temp_c: float) -> list[Event]:
        if _runs_away(moment, _STILL_RUNS):
            return []
        if moment.plan.activity is not Activity.CLIMBING:
            most_c_per_h = _CREEP_C_PER_H
            if self._stands:
                most_c_per_h = -self._slowest_per_h * (temp_c - moment.ambient_c)
            if self._rate_c_per_h(moment) > most_c_per_h:
                self._steady_since_s = None
                return []
            if self._steady_since_s is None:
                self._steady_since_s = moment.elapsed_s
            if moment.elapsed_s - self._steady_since_s < _STEADY_S:
                return []
        self.is_raised = False
        self._track = None
        self._climb_c = self._climbing_c = self._stands_c = 0.0
        self._base_c = self._slow_since_s = None
        return [
            moment.event(
                Kind.HEAT_STUCK_ON,
                Severity.CRITICAL,
                f"The kiln no longer {'stands' if self._stands else 'climbs'} where it should not: "
                f"{moment.words.temp(temp_c)}.",
                {"temp_c": round(temp_c, 1), "rate_c_per_h": round(moment.rate_c_per_h, 1)},
                state=State.CLEARED,
            )
        ]


def _is_by_hand(moment: Moment) -> bool:
    return moment.habits.looseness > _BY_HAND


def _runs_away(moment: Moment, times: float) -> bool:
    """Whether a kiln that keeps its plan closely, at a hold on the way or just out of it, climbs so
    many times as fast as the plan does before the hold and after it."""
    plan, step = moment.plan, moment.plan.step
    if step is None or step.cools or moment.habits.looseness > _KEPT_CLOSELY:
        return False
    steps = plan.timeline.steps
    if plan.activity is Activity.HOLDING:
        if plan.hold_complete_s is not None or step.index + 1 == len(steps):
            return False
        beside = (step, steps[step.index + 1])
    else:
        beside = (steps[max(step.index - 1, 0)], step)
    rates_c_per_h = [near.rate_c_per_h for near in beside]
    fastest_c_per_h = max((rate for rate in rates_c_per_h if rate is not None), default=0.0)
    if None in rates_c_per_h or not all(near.climbs for near in beside):
        return False
    return moment.rate_c_per_h > times * fastest_c_per_h


def _fell_steadily(minutes_c: list[float]) -> bool:
    """Whether the fall to the lowest of these was a long one, and got no faster in the end."""
    lowest = len(minutes_c) - 1 - minutes_c[::-1].index(min(minutes_c))
    if lowest < _FELL_MINUTES:
        return False
    fall_c = minutes_c[lowest - _FELL_MINUTES : lowest + 1]
    if any(later_c >= earlier_c for earlier_c, later_c in pairwise(fall_c)):
        return False
    at_first = _FELL_MINUTES - _LAST_MINUTES
    first_c, last_c = fall_c[0] - fall_c[at_first], fall_c[at_first] - fall_c[-1]
    return last_c < _STEADILY * first_c / at_first * _LAST_MINUTES + _DIP_C
