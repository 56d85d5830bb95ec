"""The kiln climbs when it should hold at the end, cool, or be off: the heat does not let go.

The danger is a welded relay or a gas valve that is open: nothing but the kiln's own limits stops
it then. So this is critical; and it must not be said of a probe that reads a few degrees more
than the kiln's own, of a controller that settles, or of a door that is shut again.

Half a welded relay need not make the kiln climb: one that was let go and stands, hot, is heated.
"""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.advice import STUCK_ON
from supervisor.core.watch.detectors.by_whom import (
    BY_HAND,
    WORKED,
    is_kept,
    may_be_by_hand,
    turns_up,
)
from supervisor.core.watch.detectors.caught import RunsUp, comes_up_c
from supervisor.core.watch.detectors.ceiling import Ceiling, left_c
from supervisor.core.watch.detectors.chill import Chill
from supervisor.core.watch.detectors.elsewhere import (
    CLIMBS_C_PER_H,
    ELSEWHERE_C,
    WARM_C,
    Elsewhere,
)
from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.hurry import AHEAD_C, Hurry, surges
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import FIRES
from supervisor.core.watch.detectors.runaway import RAN_C, RUNS_AWAY, STILL_RUNS, runs_away
from supervisor.core.watch.detectors.settled import CREEP_C_PER_H, SETTLED_S, Settled
from supervisor.core.watch.detectors.shut_again import ShutAgain
from supervisor.core.watch.detectors.standing import (
    MOST_SWING_C,
    SURELY_LET_GO_C,
    SWING_MARGIN,
    Standing,
    should_fall,
)
from supervisor.core.watch.detectors.steadily import DIP_C, fell_steadily
from supervisor.core.watch.moves import CLIMBING, COOLING, FINISHED, HOLDING, WAITING
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c
from supervisor.core.watch.step_end import MOST_APART_C, NATURAL_LEAST_C_PER_H

_CLOSE_C, _FLAME_CLOSE_C, _LOOSE_C = 3.0, 5.0, 8.0
"""A climb out of a hold that is too much: of a kiln that keeps its plan closely, the second where
flames flicker, and of one that a person works (common practice, no source)."""
_SETTLES_C, _SETTLES_C_PER_H = 5.0, 60.0
"""A controller that settles may drift by more, the slower the farther: up to the first, as it comes
to a stand (common practice, no source)."""
_COOLING_C, _COOLING_WOOD_C = 4.0, 20.0
"""A climb out of a fall that is too much: a gas kiln whose damper is shut comes back by a few
degrees, embers may flare up (common practice, no source)."""
_ZONE_C = 8.0
"""Zones grow even in a hold. One that is the hotter one and leaves the others by so much in ten
minutes has a heat of its own (common practice, no source)."""
_UNSLOWED = 0.6
"""Past the top at more than this part of the plan's pace, nothing has been turned down."""
_PAST_TOP = 2.0
"""And so many times the tolerance above it: our probe may read that much more than the kiln's."""
_COASTS_S = 150.0
"""A kiln that is turned down goes on for so long at its pace: fast plans coast far."""
_LET_GO_C, _LET_GO_FIRE_C = 6.0, 12.0
"""A kiln that has fallen by so much was let go: before, the plan's end is only a guess. Who fires
with gas or wood may hold on until the cones are down, and sags by more, and flames flicker (common
practice, no source)."""
_PAST_HOLD_C, _HOLD_MINUTES = 8.0, 4
"""A controller's kiln that has come down to a hold and kept it for so many minutes has shown where
it holds: what is so much hotter than it was then is heated, whatever its probe reads."""
_RISEN_C, _RISEN_FROM_DIP_C = 1.0, 5.0
_STEADY_S = 300.0
_MINUTES = 6
"""What comes back from a dip (a plug, a door) is no hotter than so many minutes before."""


class HeatStuckOn:
    """Adds up how far the kiln climbs beyond a creep: ``climb_c``, a CUSUM in °C (Page 1954)."""

    __slots__ = (
        "_activity",
        "_base_c",
        "_ceiling",
        "_chill",
        "_climbing_c",
        "_elsewhere",
        "_fell_c",
        "_held_c",
        "_high_c",
        "_hurry",
        "_minute_s",
        "_minutes_c",
        "_runs_up",
        "_scale",
        "_settled",
        "_shut_again",
        "_sigmas",
        "_since_s",
        "_standing",
        "_stands",
        "_steady_since_s",
        "_step_index",
        "_swing",
        "_tolerance_c",
        "_track",
        "climb_c",
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
        self._elsewhere = Elsewhere(tracks) if len(tracks) > 1 else None
        self._track: ChannelTrack | None = None
        """The channel that climbs, None where it is the kiln as a whole."""
        self._tolerance_c = tolerance_c
        self._sigmas = sensitivity.sigmas(Kind.HEAT_STUCK_ON)
        self._scale = sensitivity.scale(Kind.HEAT_STUCK_ON)
        self.climb_c = 0.0
        self._climbing_c = 0.0
        self._swing = Swing(0.0)
        self._base_c: float | None = None
        """In a hold: where this kiln holds. None while that is not known."""
        self._held_c: float | None = None
        """After a hold on the way down: how hot it was at most while it was kept."""
        self._activity = WAITING
        self._step_index = -1
        self._since_s = 0.0
        self._settled = Settled()
        self._runs_up = RunsUp()
        self._steady_since_s: float | None = None
        self._shut_again = ShutAgain()
        self._hurry = Hurry()
        self._ceiling = Ceiling()
        self._chill = Chill()
        self._high_c = self._fell_c = 0.0
        self._standing = Standing(self._sigmas, self._scale)
        self._stands = False
        """Whether what was raised was that the kiln stands."""
        self._minutes_c: list[float] = []
        self._minute_s = float("-inf")
        self.is_raised = False

    @property
    def heats(self) -> bool:
        """Whether it was told, and the kiln has not begun to fall."""
        return self.is_raised and self._steady_since_s is None

    def feed(self, moment: Moment, *, lost_c: float = 0.0, is_opened: bool = False) -> list[Event]:
        """Events of this moment; ``lost_c`` is how far the kiln has fallen beyond what a shut one
        would, while it falls as an opened one; ``is_opened``: it was told to be one."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        activity, step = plan.activity, plan.step
        if self.is_raised:
            self._ceiling.is_told(temp_c)
            return self._look_for_its_end(moment, temp_c)
        was_told = self._ceiling.was_told(temp_c)
        if activity is WAITING or activity is CLIMBING or step is None:
            self.climbs_by_its_plan()
            return []
        if activity is not self._activity or step.index != self._step_index:
            has_climbed = self._activity is CLIMBING
            held_c = self._kept_hold_c(moment)
            self._activity, self._step_index = activity, step.index
            self._since_s = moment.elapsed_s
            self.climb_c = self._climbing_c = 0.0
            self._base_c, self._held_c = None, held_c
            self._settled.forget()
            self._runs_up.forget()
            self._high_c, self._fell_c = temp_c, 0.0
            self._standing.begins(moment.elapsed_s, temp_c)
            if activity is not FINISHED:
                self._hurry.forget()
            if self._elsewhere is not None:
                # What a zone climbed as long as the plan heated was the plan's.
                if has_climbed:
                    self._elsewhere.climb_ends()
                elif activity is not HOLDING:
                    self._elsewhere.forget()
        elif temp_c > self._high_c:
            self._high_c = temp_c
        self._shut_again.look(moment.elapsed_s, lost_c, is_told=is_opened)
        if moment.is_new_lead:
            self.climb_c = self._climbing_c = 0.0
            self._minutes_c = []
        moved_c = moment.moved_c if activity is HOLDING else self._chill.moved_c(moment)
        climb_c = self.climb_c + moved_c - CREEP_C_PER_H / 3600.0 * moment.moved_s
        self._swing.fade(moment.moved_s)
        if climb_c <= 0.0:
            if self._climbing_c > 0.5:
                self._swing.learn(self._climbing_c, MOST_SWING_C)
            climb_c = self._climbing_c = 0.0
        elif climb_c > self._climbing_c:
            self._climbing_c = climb_c
        if climb_c == 0.0:
            self._fell_c = self._high_c - temp_c
        self.climb_c = climb_c
        track = apart = None
        if moment.elapsed_s >= self._minute_s:
            if self._elsewhere is not None:
                least_c = _COOLING_WOOD_C if moment.kiln_kind == "wood" else ELSEWHERE_C
                track = self._elsewhere.climbing(self._limit_c(moment, least_c))
                apart = self._elsewhere.leaving(self._limit_c(moment, _ZONE_C))
            self._minute_s = moment.elapsed_s + 60.0
            self._minutes_c = [*self._minutes_c[1 - 2 * _MINUTES :], temp_c]
        if activity is FINISHED or (activity is HOLDING and plan.turns_next):
            ahead_c = self._hurry.look(moment, temp_c)
            if ahead_c > 0.0 and ahead_c > self._limit_c(moment, AHEAD_C) and not was_told:
                return [self._raise(moment, temp_c)]
        if activity is HOLDING:
            if apart is not None and is_kept(moment):
                return [self._raise(moment, apart.temp_c or temp_c, apart)]
            if plan.turns_next:
                return self._look_at_hold(moment, temp_c, step.to_c)
            ran_c = temp_c - max(plan.top_c or step.to_c, step.to_c)
            runs = ran_c > RAN_C + self._sigmas * moment.sigma_c
            # One that merely reads so much more has stood there, and not climbed.
            runs = runs and temp_c > self._before(temp_c)[0] + self._noise_limit_c(moment, _RISEN_C)
            return [self._raise(moment, temp_c)] if runs and runs_away(moment, RUNS_AWAY) else []
        if climb_c > 0.0 and turns_up(moment, self._high_c - self._fell_c):
            return []
        is_explained = self._comes_back(moment) or may_be_by_hand(moment, self._fell_c)
        if apart is not None and self._held_c is not None and not is_explained:
            return [self._raise(moment, apart.temp_c or temp_c, apart)]
        if track is not None and self._has_let_go(moment) and not is_explained:
            return [self._raise(moment, track.temp_c or temp_c, track)]
        is_warmed = self._elsewhere is not None and self._elsewhere.warm(temp_c)
        if self._standing.look(moment, temp_c, moved_c, says_nothing=is_explained or is_warmed):
            return [self._raise(moment, temp_c, stands=True)]
        if climb_c < _COOLING_C * self._scale or temp_c < WARM_C or was_told:
            return []
        return self._look_at_fall(moment, temp_c)

    def _kept_hold_c(self, moment: Moment) -> float | None:
        """How hot the kiln was at most in the hold on the way down that is over, if a controller
        kept it there for some minutes."""
        if self._activity is not HOLDING or not moment.plan.timeline.steps[self._step_index].cools:
            return None
        held_min = min(int((moment.elapsed_s - self._since_s) / 60.0), len(self._minutes_c))
        is_long = held_min >= _HOLD_MINUTES and is_kept(moment)
        return max(self._minutes_c[-held_min:]) if is_long else None

    def climbs_by_its_plan(self) -> None:
        """The kiln climbs as it should: what it does so says nothing of what comes after."""
        if self._activity is CLIMBING:
            return
        self._activity = CLIMBING
        self._ceiling.forget()
        if self._minutes_c:
            self._minutes_c = []
            if self._elsewhere is not None:
                self._elsewhere.forget()

    def _look_at_hold(self, moment: Moment, temp_c: float, to_c: float) -> list[Event]:
        rate_c_per_h = moment.rate_c_per_h
        if self._base_c is None:
            is_old = moment.elapsed_s - self._since_s > SETTLED_S
            if is_old and self._settled.look(moment, self._minutes_c):
                self._base_c = temp_c
                self.climb_c = self._climbing_c = 0.0
                return []
            if self._runs_up.look(moment, temp_c, to_c, self.climb_c):
                return [self._raise(moment, temp_c)]
            step = moment.plan.step
            planned_c_per_h = (step.rate_c_per_h if step else None) or NATURAL_LEAST_C_PER_H
            above_c = temp_c - to_c - max(moment.plan.apart_c, 0.0)
            coasts_c = planned_c_per_h * _COASTS_S / 3600.0
            believed_c = max(_PAST_TOP * self._tolerance_c, MOST_APART_C)
            if above_c < believed_c + coasts_c + self._sigmas * moment.sigma_c:
                return []
            if rate_c_per_h < max(_UNSLOWED * planned_c_per_h, 2.0 * CLIMBS_C_PER_H):
                return []
            return [self._raise(moment, temp_c)]
        # What is slow is where the kiln holds; a person may hold a few degrees off.
        if abs(rate_c_per_h) < CREEP_C_PER_H and temp_c < to_c + self._tolerance_c:
            self._base_c += min(moment.moved_s / 900.0, 1.0) * (temp_c - self._base_c)
        base_c = max(self._base_c, to_c)
        slow = min(max(2.0 - 2.0 * rate_c_per_h / _SETTLES_C_PER_H, 0.0), 1.0)
        close_c = _FLAME_CLOSE_C if moment.kiln_kind in FIRES else _CLOSE_C
        close_c = max(close_c, comes_up_c(moment, moment.elapsed_s - self._since_s))
        close_c += slow * max(_SETTLES_C - close_c, 0.0)
        limit_c = close_c + moment.habits.looseness * (_LOOSE_C - close_c)
        # Whoever lets a hold sag may come out as far above it as it was below.
        limit_c = self._limit_c(moment, limit_c) + base_c - self._base_c
        was_c, has_dipped = self._before(temp_c)
        if has_dipped and temp_c <= max(was_c, base_c) + _RISEN_FROM_DIP_C:
            return []
        is_above = temp_c - base_c >= limit_c and self.climb_c >= limit_c
        return [self._raise(moment, temp_c)] if is_above and rate_c_per_h >= CLIMBS_C_PER_H else []

    def _look_at_fall(self, moment: Moment, temp_c: float) -> list[Event]:
        may_be_wood = moment.kiln_kind is None and moment.habits.looseness > BY_HAND
        is_wood = moment.kiln_kind == "wood" or may_be_wood
        least_c = _COOLING_WOOD_C if is_wood else _COOLING_C
        if self.climb_c < self._noise_limit_c(moment, least_c):
            return []
        if not self._is_turned_back(moment, temp_c):
            if self.climb_c < self._limit_c(moment, least_c):
                return []
            was_c, has_dipped = self._before(temp_c)
            if temp_c <= was_c + (_RISEN_FROM_DIP_C if has_dipped else _RISEN_C):
                return []
        if moment.rate_c_per_h < CLIMBS_C_PER_H:
            return []
        if self._comes_back(moment):
            return []
        plan = moment.plan
        is_new = moment.elapsed_s - self._since_s < SETTLED_S
        is_open = is_new or not self._has_let_go(moment) or may_be_by_hand(moment, self._fell_c)
        if is_open and not surges(moment, temp_c, self._minutes_c[:-_MINUTES]):
            # The plan's end was told from outside: our probe may read more than the kiln's own.
            peaks_c = [step.to_c for step in plan.timeline.steps]
            peak_c = max(peaks_c) if may_be_by_hand(moment, self._fell_c) else left_c(plan)
            most_c = peak_c + max(self._tolerance_c, MOST_APART_C)
            if self._held_c is not None:
                most_c = min(most_c, self._held_c + _PAST_HOLD_C)
            if temp_c < most_c + self._sigmas * moment.sigma_c:
                return []
        return [self._raise(moment, temp_c)]

    def _before(self, temp_c: float) -> tuple[float, bool]:
        """How hot the kiln was at most in the last minutes, and whether it has dipped in them."""
        before_c = self._minutes_c[-_MINUTES:-1] or [temp_c]
        return max(before_c), before_c[0] - min(before_c) > DIP_C

    def _is_turned_back(self, moment: Moment, temp_c: float) -> bool:
        """Whether a kiln that nothing but heat can turn back, without damper, embers or controller,
        was falling by itself till it turned."""
        kind, step = moment.kiln_kind, moment.plan.step
        if kind != "electric" and (kind is not None or moment.habits.looseness > WORKED):
            return False
        if moment.plan.activity is COOLING and step and step.rate_c_per_h is not None:
            return False
        let_go = self._fell_c >= SURELY_LET_GO_C and should_fall(moment, temp_c)
        return let_go and fell_steadily(self._minutes_c)

    def _comes_back(self, moment: Moment) -> bool:
        """Whether a door that was open not long ago may be what it comes back from."""
        return self._shut_again.explains(moment.elapsed_s, self.climb_c)

    def _has_let_go(self, moment: Moment) -> bool:
        """Whether the kiln had begun to fall before it climbed."""
        plan, step = moment.plan, moment.plan.step
        if plan.activity is FINISHED and step and step.cools and step.hold_s == 0.0:
            # It has been cooling long since.
            return True
        return self._fell_c > (_LET_GO_C if moment.kiln_kind == "electric" else _LET_GO_FIRE_C)

    def _limit_c(self, moment: Moment, least_c: float) -> float:
        return max(self._noise_limit_c(moment, least_c), SWING_MARGIN * self._swing.size)

    def _noise_limit_c(self, moment: Moment, least_c: float) -> float:
        """What is too much of a kiln that has no controller to swing by."""
        noise_c = noise_limit_c(
            self._sigmas, moment.sigma_c, moment.memory_s, CREEP_C_PER_H / 3600.0
        )
        return max(least_c * self._scale, noise_c)

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
        should = "should hold" if plan.activity is HOLDING else "should cool"
        if plan.activity is FINISHED:
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
                "climbed_c": round(self.climb_c, 1),
            },
        )

    def _rate_c_per_h(self, moment: Moment) -> float:
        """The rate of what climbs: a channel, while it can be believed, or the kiln."""
        track = self._track
        if track is None or not track.is_healthy or track.rate_c_per_s is None:
            return moment.rate_c_per_h
        return track.rate_c_per_s * 3600.0

    def _look_for_its_end(self, moment: Moment, temp_c: float) -> list[Event]:
        if runs_away(moment, STILL_RUNS):
            return []
        if moment.plan.activity is not CLIMBING:
            most_c_per_h = CREEP_C_PER_H
            if self._stands:
                most_c_per_h = -self._standing.slowest_per_h * (temp_c - moment.ambient_c)
            if self._rate_c_per_h(moment) > most_c_per_h:
                self._steady_since_s = None
                return []
            if self._steady_since_s is None:
                self._steady_since_s = moment.elapsed_s
            if moment.elapsed_s - self._steady_since_s < _STEADY_S:
                return []
        self.is_raised = False
        self._track = None
        self.climb_c = self._climbing_c = 0.0
        self._standing.forget()
        self._base_c = None
        self._settled.forget()
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
