"""The plan climbs and the kiln has (all but) stopped climbing."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.schedule import PlannedStep
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.detectors.advice import CLIMB_STOPPED
from supervisor.core.watch.detectors.at_top import (
    AT_HOLD_C,
    AT_PEAK_S,
    AT_TOP_C,
    SLOWER,
    may_be_at_its_top,
)
from supervisor.core.watch.detectors.between_zones import may_hold_for_s
from supervisor.core.watch.detectors.corner import Corner
from supervisor.core.watch.detectors.creep import Creep
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.patience import CLOSE_S, LOOSE_S, still_for_s
from supervisor.core.watch.detectors.pauses import (
    FIRES,
    LONGEST_CHARGE_S,
    WARM_C,
    Pauses,
    fired_with,
)
from supervisor.core.watch.detectors.reduction import Reduction
from supervisor.core.watch.detectors.slipped import Slipped
from supervisor.core.watch.sensitivity import Sensitivity, noise_limit_c
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H
from supervisor.core.watch.wording import show_duration

_STOPPED = 0.28
"""Half-way between a kiln that stands still and one that manages a little more than half its
pace: the reference value of a one-sided CUSUM (Page 1954) between the two."""
_LEAST_OWN = 0.7
"""A pace that has died down to less than this part of the plan's excuses nothing any more: a climb
at an eighth of the plan is none (common practice, no source)."""
_TOLD_OFTEN, _LEAST_TOLD = 2, 0.2
"""But a kiln that was told so often in this step, and has climbed on at such a part, is known to be
slow: from then on it is measured by what it makes (common practice, no source)."""
_HEALTHY = 0.75
"""A kiln that is well keeps on average this part of its pace, and takes so much off the sum."""
_MOST_C_PER_H, _ABLE_C_PER_H = 150.0, 300.0
"""Plans may ask for more than a hot kiln can do: being slower than that is late, not stalled. But
what this kiln has made, once it was hot, it can do: a quarter of that is no climb, unless it is
still one that anybody would call a climb (common practice, no source)."""
_CLOSE_PATIENCE_S = 185.0
"""One that has fallen back as well is told sooner than one that stands quite still, but not before
its controller has turned a corner."""
_SOON_S, _RISES = 390.0, 0.12
"""Within the first time only what stands on is told: what falls, and after the kept kiln's patience
what makes less than this part of its pace. A kiln whose mains were gone for two minutes makes more
by then (common practice, no source)."""
_CREEPS_S, _LOOSE_CREEPS_S, _RESUMES_S = (600.0, 660.0), (690.0, 840.0), 600.0
"""A climb that dies away is called one that has all but stopped when it was less than a quarter of
its plan over either time, of which the longer bears more noise: of a kiln that keeps its plan
closely, and of one that a person works. Of a fire that is stoked it would take more than one
charge, longer than anybody may wait. It climbs again when it makes more over the last time."""
_KNOWN_SLOW_S = 1800.0
"""What climbs on at a slower pace for so long is slow, and has not stopped."""
_FALLS_C_PER_H = 20.0
"""A big kiln that was let go falls no faster (common practice, no source)."""
_LEAST_C, _LEAST_PAUSE_C = 0.9, 0.3
"""Less than this adds up from rounding alone."""
_PAUSE_PART = 0.3
"""What fell short by less than this part of the threshold was no pause."""
_SUSPECT = 0.4
"""With this part of the threshold nothing is learned of the kiln's pace."""
_AHEAD_S = 660.0
"""A kiln that is ahead of its plan in this step may stand for so long until the plan has caught
up: after a steep climb, at the corner to a slow one (common practice, no source)."""
_MADE_GOOD, _MADE_GOOD_S = 0.8, 720.0
"""What is missing and gets less, from its most to this part, is being made good: the kiln climbs
again. For so long that is waited for."""
_SUSPENSE_S = 600.0
"""For so long a mere suspicion of lost heat keeps the stall back, to speak of one thing."""
_CAP = 1.5
"""However long a stall has lasted, it is to clear soon after its end."""
_SLOW_PART = 0.75
"""A kiln that climbs by this part of its pace at the thermocouple that leads is well there,
whatever its other zones do."""
_OWN_NATURAL = 0.6
"""A climb that goes as fast as it can has no pace planned; less than this part of what it lately
made asks too little of it: near the end of its power a kiln slows down over hours, and not within
minutes (common practice, no source)."""
_CANDLED_LOOSENESS = 0.7
"""A kiln that has not kept its plan from the start is perhaps only candled: ``beginning`` tells."""
_BY_HAND, _BY_HAND_COLD = 0.5, 0.25
"""Who works a kiln so turns it down by and by as well; the second of one that is cold yet, which is
heated in fits and starts (common practice, no source)."""
_CHARGE_C = 0.5
"""A fire that is stoked has lately fallen behind by more between two charges and made it good
(common practice, no source)."""


class Stall:
    """Adds up how much the kiln falls short of a part of its pace, in °C.

    Its pace is the planned one, or its own of late where that is less: a kiln whose power does
    not suffice slows down over hours and is late, not stalled.
    """

    __slots__ = (
        "_corner",
        "_creep",
        "_deepest_c",
        "_deficit_c",
        "_lost_since_s",
        "_pauses",
        "_reduction",
        "_scale",
        "_sigmas",
        "_since_s",
        "_slipped",
        "_step_index",
        "_told",
        "_told_c_per_h",
        "_told_s",
        "_whole_c",
        "_whole_deepest_c",
        "_whole_since_s",
        "is_raised",
    )

    def __init__(self, sensitivity: Sensitivity, schedule: Schedule | None = None) -> None:
        self._sigmas = sensitivity.sigmas(Kind.STALL)
        self._scale = sensitivity.scale(Kind.STALL)
        self._reduction = Reduction(schedule)
        self._creep = Creep()
        self._slipped = Slipped()
        self._deficit_c = 0.0
        self._deepest_c = 0.0
        self._since_s = 0.0
        self._whole_c = self._whole_deepest_c = self._whole_since_s = 0.0
        """The same for the mean of all zones, while the one that leads is slow, and since when."""
        self._lost_since_s: float | None = None
        """Since when the kiln fell short before its heat was told as lost, while that stands."""
        self._step_index = -1
        self._told = 0
        """How often it was told in this step."""
        self._told_c_per_h = self._told_s = 0.0
        """Of which pace, and when."""
        self._corner = Corner()
        self._pauses = Pauses()
        self.is_raised = False

    def feed(self, moment: Moment, *, heat_is_lost: bool, heat_may_be_lost: bool) -> list[Event]:
        """Events of this moment; a kiln that loses heat is spoken of as that instead."""
        plan, temp_c = moment.plan, moment.temp_c
        if temp_c is None:
            return []
        self._reduction.follow(moment, temp_c)
        has_slipped = moment.is_alone and self._slipped.look(
            moment.elapsed_s, temp_c, moment.ambient_c
        )
        due_s = plan.climb_due_s
        if due_s is None or moment.elapsed_s < due_s or plan.step is None:
            self._begin(moment)
            self._creep.forget()
            self._lost_since_s = None
            moment.habits.is_suspect = False
            if self.is_raised and not plan.is_candling:
                return self._clear(moment, temp_c)
            return []
        if plan.step.index != self._step_index and self._meets_another_pace(moment, plan.step):
            self._creep.forget()
            if not self.is_raised:
                # What was missing to a steep step, at its corner, is not missing to a slow one.
                self._begin(moment)
        if moment.unseen_s > 0.0:
            self._was_blind(moment)
        habits = moment.habits
        own_c_per_h = habits.own_c_per_h
        planned_c_per_h = plan.step.rate_c_per_h
        if planned_c_per_h is None or temp_c > plan.step.to_c - AT_TOP_C:
            planned_c_per_h = self._planned_c_per_h(moment, plan.step)
        pace_c_per_h = least_c_per_h = min(_MOST_C_PER_H, planned_c_per_h)
        able_c_per_h = max(_MOST_C_PER_H, min(habits.fastest_c_per_h or 0.0, _ABLE_C_PER_H))
        able_c_per_h = min(able_c_per_h, planned_c_per_h)
        if moment.is_new_lead and moment.rate_c_per_h > _SLOW_PART * pace_c_per_h:
            # What was wrong with another thermocouple is not wrong with the kiln.
            self._begin(moment)
        if own_c_per_h is not None and own_c_per_h < pace_c_per_h:
            is_known = self._told >= _TOLD_OFTEN
            least_own = _LEAST_TOLD if is_known else _LEAST_OWN
            pace_c_per_h = max(own_c_per_h, least_own * pace_c_per_h)
            if is_known:
                able_c_per_h = min(able_c_per_h, pace_c_per_h)
        pace_c_per_s = pace_c_per_h / 3600.0
        self._pauses.fade(moment)
        if moment.moved_s == 0.0 or heat_is_lost:
            self._creep.forget()
        is_minute = self._creep.look(moment.elapsed_s, temp_c)
        if heat_is_lost:
            if self._lost_since_s is None:
                self._lost_since_s = self._since_s
            self._begin(moment)
            habits.is_suspect = True
            return []
        if self._lost_since_s is not None:
            # What was told as lost heat and is soon made good was a pause too.
            lost_s = moment.elapsed_s - self._lost_since_s
            if lost_s < LONGEST_CHARGE_S:
                self._pauses.remember(moment, lost_s, was_told=self.is_raised)
            self._lost_since_s = None
        deficit_c = self._deficit_c + _STOPPED * pace_c_per_s * moment.moved_s - moment.moved_c
        if deficit_c <= 0.0:
            if self._deepest_c > _LEAST_PAUSE_C:
                self._pauses.fell_short(
                    moment.elapsed_s, moment.elapsed_s - self._since_s, self._deepest_c
                )
                self._learn_pause(moment, pace_c_per_s)
            deficit_c = self._deficit_c = self._deepest_c = self._whole_deepest_c = 0.0
            self._since_s = moment.elapsed_s
        elif deficit_c > self._deepest_c:
            self._deepest_c = deficit_c
        whole_c = 0.0
        if moment.following is not None:
            whole_c = self._miss_as_a_whole(moment, pace_c_per_s)
            self._whole_deepest_c = max(whole_c, self._whole_deepest_c)
        if self.is_raised and deficit_c == 0.0 and whole_c == 0.0:
            habits.is_suspect = True
            if moment.elapsed_s - self._told_s < _KNOWN_SLOW_S:
                least_c_per_h = max(least_c_per_h, min(self._told_c_per_h, planned_c_per_h))
            if self._creep.goes_on(moment.elapsed_s, temp_c, _RESUMES_S, least_c_per_h):
                return []
            return self._clear(moment, temp_c)
        if deficit_c == 0.0 and whole_c == 0.0 and not is_minute:
            habits.is_suspect = False
            return []
        reducing_s = self._reduction.stands_for_s(temp_c, moment.kiln_kind)
        still_s = reducing_s or still_for_s(moment, self._pauses)
        limit_c = self._limit_c(moment, pace_c_per_s, still_s)
        self._deficit_c = min(deficit_c, _CAP * limit_c)
        self._whole_c = min(whole_c, _CAP * limit_c)
        habits.is_suspect = self.is_raised or max(deficit_c, whole_c) > _SUSPECT * limit_c
        if self.is_raised:
            return []
        patience_s = reducing_s or self._patience_s(moment, still_s)
        lasted_s = moment.elapsed_s - self._since_s
        is_short = deficit_c >= limit_c and lasted_s >= patience_s
        if is_short and lasted_s < _MADE_GOOD_S:
            is_short = not self._is_made_good(moment, deficit_c, limit_c, pace_c_per_s)
        if not is_short and whole_c >= limit_c:
            lasted_s = moment.elapsed_s - self._whole_since_s
            is_short = lasted_s >= patience_s
        if is_short and lasted_s < _SOON_S * self._scale:
            is_short = self._is_going_on(moment, lasted_s, pace_c_per_h)
        if not is_short:
            if not is_minute:
                return []
            creeps_s = self._creeps_for_s(moment, temp_c, max(patience_s, still_s), able_c_per_h)
            if creeps_s is None:
                return []
            lasted_s, least_c_per_h = creeps_s, able_c_per_h
        if plan.is_beginning and habits.looseness > _CANDLED_LOOSENESS:
            return []
        if plan.may_have_ended_unseen or lasted_s < may_hold_for_s(moment):
            return []
        if may_be_at_its_top(moment, lasted_s):
            return []
        falls = moment.rate_c_per_h < -_FALLS_C_PER_H
        if falls and lasted_s < AT_PEAK_S and plan.may_be_over():
            # It has ended, or has lost its heat, and is told as that.
            return []
        if lasted_s < _AHEAD_S and plan.is_ahead(moment.elapsed_s, temp_c):
            return []
        if self._corner.may_settle(moment, lasted_s):
            return []
        if heat_may_be_lost and lasted_s < _SUSPENSE_S:
            return []
        if has_slipped or moment.falls_alone:
            # A plug is out beside it, or it slips: what the others see is a kiln that climbs.
            return []
        self._told_c_per_h, self._told_s = least_c_per_h, moment.elapsed_s
        return [self._raise(moment, temp_c, plan.step.rate_c_per_h, lasted_s)]

    def _begin(self, moment: Moment) -> None:
        """Nothing is missing so far."""
        self._deficit_c = self._deepest_c = self._whole_c = self._whole_deepest_c = 0.0
        self._since_s = self._whole_since_s = moment.elapsed_s

    def _was_blind(self, moment: Moment) -> None:
        """Nobody saw the kiln stand meanwhile; and it may have made good what was missing."""
        if moment.is_after_a_gap and not self.is_raised:
            self._begin(moment)
        else:
            self._since_s += moment.unseen_s
            self._whole_since_s += moment.unseen_s

    def _is_made_good(
        self, moment: Moment, deficit_c: float, limit_c: float, pace_c_per_s: float
    ) -> bool:
        """Whether the kiln climbs again: what is missing gets less, or all zones had stopped and
        most of them are on their way."""
        if deficit_c < _MADE_GOOD * self._deepest_c:
            return True
        most_climb = moment.mean_rate_c_per_h > _SLOW_PART * 3600.0 * pace_c_per_s
        return most_climb and self._whole_deepest_c > _SUSPECT * limit_c

    def _is_going_on(self, moment: Moment, lasted_s: float, pace_c_per_h: float) -> bool:
        """Whether a kiln that has stood for so short a time stands on: what rises a little by now
        was a short cut of the mains, or one zone, and is on its way again."""
        falls = lasted_s < CLOSE_S * self._scale
        most_c_per_h = 0.0 if falls else _RISES * pace_c_per_h
        if max(moment.rate_c_per_h, moment.mean_rate_c_per_h) >= most_c_per_h:
            return False
        others_c_per_h = moment.others_rate_c_per_h
        return others_c_per_h is None or others_c_per_h < _SLOW_PART * pace_c_per_h

    def _meets_another_pace(self, moment: Moment, step: PlannedStep) -> bool:
        """Another step begins that climbs: whether by less, or by much more, than the last one."""
        last_index, self._step_index = self._step_index, step.index
        self._told = 0
        self._corner.forget()
        if not step.index or step.rate_c_per_h is None:
            return True
        before = moment.plan.timeline.steps[step.index - 1]
        before_c_per_h = before.rate_c_per_h or NATURAL_LEAST_C_PER_H
        if before.climbs:
            self._corner.turn(moment.elapsed_s, before_c_per_h, step.rate_c_per_h)
        follows = before.climbs and before.rate_c_per_h is not None and last_index == before.index
        return not follows or not SLOWER <= before_c_per_h / step.rate_c_per_h <= 1.0

    def _planned_c_per_h(self, moment: Moment, step: PlannedStep) -> float:
        """How fast the plan climbs where it names no rate, or where the kiln may be at the corner
        to the next step."""
        planned_c_per_h = step.rate_c_per_h
        if planned_c_per_h is None:
            own_c_per_h = moment.habits.own_c_per_h or 0.0
            return max(NATURAL_LEAST_C_PER_H, _OWN_NATURAL * own_c_per_h)
        plan = moment.plan
        if not plan.stops_next:
            following = plan.timeline.after(step)
            if following is not None:
                return min(planned_c_per_h, following.rate_c_per_h or NATURAL_LEAST_C_PER_H)
        return planned_c_per_h

    def _miss_as_a_whole(self, moment: Moment, pace_c_per_s: float) -> float:
        """How much all zones together fall short, in °C: without heat the hot ones give to the cold
        ones, so that the one that leads may go on climbing for a while."""
        is_slow = moment.rate_c_per_h < _SLOW_PART * 3600.0 * pace_c_per_s
        if not is_slow or moment.is_new_lead:
            self._whole_c, self._whole_since_s = 0.0, moment.elapsed_s
            return 0.0
        rate_c_per_s = moment.mean_rate_c_per_h / 3600.0
        whole_c = self._whole_c + (_STOPPED * pace_c_per_s - rate_c_per_s) * moment.moved_s
        if whole_c <= 0.0:
            self._whole_since_s = moment.elapsed_s
        self._whole_c = max(whole_c, 0.0)
        return self._whole_c

    def _creeps_for_s(
        self, moment: Moment, temp_c: float, least_s: float, planned_c_per_h: float
    ) -> float | None:
        """For how long the climb has been all but none, however it came to that."""
        plan, step, habits = moment.plan, moment.plan.step, moment.habits
        # A climb that dies away strays from its plan as a fire does, but it doesn't swing.
        has_swung = habits.swing_c > _CHARGE_C
        is_fire = moment.kiln_kind == "wood" or (has_swung and fired_with(moment) == "wood")
        if step is None or (is_fire and not self._pauses.are_known_short(moment)):
            return None
        if plan.stops_next and temp_c > step.to_c - AT_HOLD_C:
            # It may be at its top, which is for the sum to tell.
            return None
        noise_c = self._sigmas * moment.sigma_c
        elapsed_s, creep = moment.elapsed_s, self._creep
        for close_s, loose_s in zip(_CREEPS_S, _LOOSE_CREEPS_S, strict=True):
            over_s = close_s + habits.looseness * (loose_s - close_s)
            over_s = max(over_s * self._scale, least_s)
            if creep.creeps(elapsed_s, temp_c, over_s, planned_c_per_h, noise_c):
                return over_s
        by_hand = _BY_HAND if temp_c > WARM_C else _BY_HAND_COLD
        is_reducing = self._reduction.explains(temp_c, moment.kiln_kind)
        if is_reducing or habits.looseness > by_hand:
            return None
        return creep.dies_for_s(elapsed_s, temp_c, planned_c_per_h, noise_c, habits.swing_c)

    def _limit_c(self, moment: Moment, pace_c_per_s: float, still_s: float) -> float:
        limit_c = _STOPPED * pace_c_per_s * still_s * self._scale
        drift_c_per_s = (_HEALTHY - _STOPPED) * pace_c_per_s
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, drift_c_per_s)
        # A kiln that swings about its climb stands still in each trough.
        swing_c = min(moment.habits.swing_c, _STOPPED * pace_c_per_s * LOOSE_S)
        return max(limit_c, noise_c, swing_c, _LEAST_C * self._scale)

    def _patience_s(self, moment: Moment, still_s: float) -> float:
        """How long a shortfall must have lasted, however deep it is."""
        least_s = still_s if fired_with(moment) in FIRES else min(still_s, LOOSE_S)
        least_s -= (1.0 - moment.habits.looseness) * (CLOSE_S - _CLOSE_PATIENCE_S)
        return max(least_s * self._scale, self._pauses.patience_s(moment))

    def _learn_pause(self, moment: Moment, pace_c_per_s: float) -> None:
        is_pause = self._deepest_c >= _PAUSE_PART * _STOPPED * pace_c_per_s * LOOSE_S
        if is_pause:
            lasted_s = moment.elapsed_s - self._since_s
            self._pauses.remember(moment, lasted_s, was_told=self.is_raised)

    def _raise(
        self, moment: Moment, temp_c: float, planned_c_per_h: float | None, lasted_s: float
    ) -> Event:
        step = moment.plan.step
        assert step is not None  # noqa: S101 - a plan that climbs has one
        self.is_raised = True
        self._told += 1
        words = moment.words
        how = "by itself" if planned_c_per_h is None else words.rate(planned_c_per_h)
        return moment.event(
            Kind.STALL,
            Severity.WARNING,
            f"The kiln has all but stopped climbing at {words.temp(temp_c)}, "
            f"{show_duration(lasted_s)} now, where the plan climbs "
            f"{how} to {words.temp(step.to_c)}: "
            f"{CLIMB_STOPPED[moment.kiln_kind]}",
            {
                "temp_c": round(temp_c, 1),
                "rate_c_per_h": round(moment.rate_c_per_h, 1),
                "planned_rate_c_per_h": None
                if planned_c_per_h is None
                else round(planned_c_per_h, 1),
                "to_c": round(step.to_c, 1),
                "since_s": round(moment.elapsed_s - lasted_s, 1),
            },
        )

    def _clear(self, moment: Moment, temp_c: float) -> list[Event]:
        self.is_raised = False
        self._begin(moment)
        moment.habits.is_suspect = False
        words = moment.words
        what = "climbs again" if moment.plan.climbs else "is no longer meant to climb"
        return [
            moment.event(
                Kind.STALL,
                Severity.WARNING,
                f"The kiln {what}: {words.temp(temp_c)}, {words.rate(moment.rate_c_per_h)}.",
                {"temp_c": round(temp_c, 1), "rate_c_per_h": round(moment.rate_c_per_h, 1)},
                state=State.CLEARED,
            )
        ]
