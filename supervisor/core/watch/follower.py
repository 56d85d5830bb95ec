"""Where in its plan the kiln is, told from readings alone. Knows nothing of the controller.

The follower waits until the kiln climbs, finds the step whose range it climbs through (a warm
start skips what lies below), and then goes step by step: moving towards ``to_c``, holding
there, moving on. It believes the kiln before the clock: a kiln that is late is late, not lost.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep, Schedule, Timeline
from supervisor.core.schedule.timeline import DEFAULT_START_C
from supervisor.core.watch.apart import Apart
from supervisor.core.watch.arrival import Arrival
from supervisor.core.watch.beginning import Start, Waiting
from supervisor.core.watch.dip import Dip
from supervisor.core.watch.foot import Foot
from supervisor.core.watch.let_go import LetGo
from supervisor.core.watch.moves import (
    CLIMBING,
    COOLING,
    FINISHED,
    HOLDING,
    WAITING,
    HoldDone,
    Move,
    PlanFinished,
    StepBegun,
)
from supervisor.core.watch.place import Place
from supervisor.core.watch.step_end import (
    LEFT_C,
    NATURAL_LEAST_C_PER_H,
    NEAR_C,
    SHORT_OF_C,
    StepEnd,
    least_pace_c_per_h,
    lowest_held_c,
    short_of_c,
)
from supervisor.core.watch.taken_up import TakenUp
from supervisor.core.watch.unseen import BLIND_S, Dark, Unseen

_FALLEN_C = 8.0
"""Below its hold by more, a kiln does not hold; time counts only while it does. A controller
that settles sags by less (common practice, no source)."""
_MOST_WAIT_S = 1800.0
"""No controller keeps a kiln waiting for longer because it is ahead (common practice)."""
_PASSED_BY_C = 60.0
"""So far below a hold on the way down, nobody holds there any more."""
_MOST_OF_IT = 0.7
"""A kiln whose hold is complete and that has come up by this part of the next climb is in it, even
where that is over in a minute (common practice, no source)."""
_CLIMB_DUE_S = 600.0
"""A kiln needs this long to get going again after a hold before it is late (common practice,
no source)."""


class PlanFollower(Place):
    """Follows one kiln through one schedule.

    ``step`` is the planned step the kiln is in (``None`` while waiting), ``activity`` what it
    does there. Feed it with ``update`` in order of time.
    """

    __slots__ = (
        "_apart",
        "_arrival",
        "_dark",
        "_dip",
        "_end",
        "_foot",
        "_is_joined",
        "_last_c",
        "_last_s",
        "_let_go",
        "_schedule",
        "_shed_c",
        "_taken_up",
        "_unseen_s",
        "_waiting",
        "ends_short_c",
        "hold_complete_s",
        "hold_from_c",
    )

    def __init__(self, schedule: Schedule, shed_c: float = DEFAULT_START_C) -> None:
        """``shed_c`` is what the kiln cools down to, in °C."""
        self._schedule = schedule
        self._shed_c = shed_c
        super().__init__(self._timeline(shed_c), schedule.peak_step)
        self.hold_from_c = 0.0
        """The temperature at which the hold began: ours may read lower than the kiln's own."""
        self.hold_complete_s: float | None = None
        self.ends_short_c = 0.0
        """How far short of its top the kiln may end, as the watch knows by heat-work."""
        self._waiting = Waiting()
        self._last_s: float | None = None
        self._last_c = 0.0
        self._unseen_s = 0.0
        """How much of the step's hold, and of what follows, may have passed unseen."""
        self._dark = Dark()
        self._dip: Dip | None = None
        self._arrival: Arrival | None = None
        """While it is open when the present hold began."""
        self._is_joined = False
        self._let_go = LetGo()
        self._foot: Foot | None = None
        """Of the cooling after which the present step climbs."""
        self._end: StepEnd | None = None
        self._apart = Apart()
        self._taken_up = TakenUp()

    def _timeline(self, start_c: float) -> Timeline:
        return Timeline(self._schedule, start_c=start_c, shed_c=min(start_c, self._shed_c))

    @property
    def apart_c(self) -> float:
        """How much more our thermocouple reads than the kiln's own, told from where the kiln
        stopped at the plan's corners; 0 while none has told."""
        return self._apart.apart_c

    @property
    def top_c(self) -> float | None:
        """Where ours should be when the kiln's own is at the end of the present step, in °C."""
        return None if self._end is None else self._end.top_c

    @property
    def turns_next(self) -> bool:
        """Whether the kiln is to cool, or be off, when the present step is over."""
        return self._end is not None and self._end.turns_next

    @property
    def stops_next(self) -> bool:
        """Whether the present step ends in a hold, or the kiln is to cool after it."""
        return self.turns_next or (self.step is not None and self.step.hold_s > 0.0)

    @property
    def may_have_ended_unseen(self) -> bool:
        """Whether the heating may have ended while nobody looked, as long as that is open."""
        return self._dark.may_have_ended

    def may_be_over(self) -> bool:
        """Whether the kiln's own controller may be through with the step and let the kiln cool:
        the top and the hold are reached within what can be told from outside, or may have been
        while nobody looked.

        A kiln that falls adds nothing to what speaks for that: what has begun as a loss of heat
        remains one however long it goes on."""
        return self.may_have_ended_unseen or self._may_be_over(None)

    def _may_be_over(self, held_s: float | None) -> bool:
        end = self._end
        if end is None:
            return False
        held_s = self.held_s if held_s is None else held_s
        at_cone = end.is_at_its_cone(
            self.ends_short_c, held_s, is_kept=self.is_kept, is_led=self.is_led
        )
        if at_cone and end.step.index == self._peak_step:
            return True
        if self.activity is HOLDING:
            # Nobody knows how long a hold that was joined has gone on.
            joined = self._is_joined and end.turns_next
            # Nothing is lost where a plan only lingers on its way down and ends with that.
            if end.only_lingers and self.is_last_step:
                return True
            return joined or end.hold_may_be_over(held_s, is_kept=self.is_kept)
        return self.activity is CLIMBING and end.climb_may_be_over(is_kept=self.is_kept)

    def update(
        self, elapsed_s: float, temp_c: float, rate_c_per_h: float, sigma_c: float
    ) -> tuple[Move, ...]:
        """Take in the kiln's temperature and rate; what has changed in the plan, in order."""
        dt_s = 0.0 if self._last_s is None else elapsed_s - self._last_s
        step, activity = self.step, self.activity
        if dt_s > BLIND_S and step is not None and activity in (CLIMBING, COOLING):
            left_s = step.reach_s - step.time_at(self._last_c, self.timeline.shed_c)
            self._unseen_s = max(dt_s - left_s, 0.0)
        self._last_s, self._last_c = elapsed_s, temp_c
        held_s = self.held_s if activity is HOLDING else None
        heated = step if activity is CLIMBING or activity is HOLDING else None
        self._dark.look(self.timeline, heated, held_s, elapsed_s, temp_c, rate_c_per_h)
        if self._dark.over is not None:
            return self._end_unseen(self._dark.over, elapsed_s, temp_c)
        if activity is WAITING:
            return self._wait(elapsed_s, temp_c, rate_c_per_h, sigma_c)
        if activity is FINISHED:
            if self._dip is not None and self._dip.is_over(elapsed_s, temp_c, rate_c_per_h):
                self._go_on(self._dip.step, elapsed_s)
            return ()
        if self._drying.goes_on:
            creeps = heated is not None and rate_c_per_h < least_pace_c_per_h(heated)
            if self._drying.look(temp_c, creeps=creeps) and activity is CLIMBING:
                self.climb_due_s = elapsed_s
        if heated is not None:
            taken_up = self._taken_up.look(self.timeline, heated, elapsed_s, temp_c)
            if taken_up is not None:
                moves = self._enter(taken_up.index, elapsed_s, temp_c)
                self._unseen_s = self._taken_up.held_s
                return moves
        if activity is HOLDING:
            if self._end is not None:
                self._end.see(elapsed_s, temp_c, rate_c_per_h)
            return self._hold(elapsed_s, dt_s, temp_c, rate_c_per_h)
        return self._move(elapsed_s, temp_c, rate_c_per_h)

    def _end_unseen(self, unseen: Unseen, elapsed_s: float, temp_c: float) -> tuple[Move, ...]:
        """The kiln cools, and has come to the end of its heating while nobody looked."""
        assert unseen.turn is not None  # noqa: S101 - it is over
        last, following = self.timeline.steps[unseen.turn], unseen.turn + 1
        if following < len(self.timeline.steps):
            self._enter(following, elapsed_s, temp_c)
            step = self.timeline.steps[following]
            self._unseen_s = max(unseen.since_turn_s - (step.reach_s - step.start_s), 0.0)
            return (StepBegun(step, unseen.dark_s),)
        seen, end = self.step, self._end
        assert seen is not None and end is not None  # noqa: S101, PT018 - it was heating
        self._finish(Dip(seen, end.high_c, temp_c, is_unseen=True))
        self.step = last
        return (PlanFinished(last, unseen_s=unseen.dark_s),)

    def _finish(self, dip: Dip | None) -> None:
        self.activity = FINISHED
        self.climb_due_s, self._dip = None, dip

    def _wait(
        self, elapsed_s: float, temp_c: float, rate_c_per_h: float, sigma_c: float
    ) -> tuple[Move, ...]:
        start = self._waiting.look(self.timeline.steps, elapsed_s, temp_c, rate_c_per_h, sigma_c)
        if start is None:
            return ()
        if start.is_in_hold:
            return self._join_hold(start, elapsed_s)
        if start.place == 0:
            self.timeline = self._timeline(start.temp_c)
        step = self.timeline.steps[start.place]
        self._begun_s = start.since_s - step.time_at(start.temp_c, self.timeline.shed_c)
        moves = self._enter(start.place, start.since_s, None)
        # A kiln that is switched on hard below a hold's top may be at it, or through with it.
        self._is_joined = step.hold_s > 0.0 and start.temp_c > step.to_c - SHORT_OF_C
        return moves

    def _join_hold(self, start: Start, elapsed_s: float) -> tuple[Move, ...]:
        step = self.timeline.steps[start.place]
        self._begun_s = start.since_s - step.reach_s
        moves = self._enter(start.place, elapsed_s, None)
        self.held_s = elapsed_s - start.since_s
        self._start_hold(step, start.temp_c)
        self._is_joined = True
        return moves

    def _enter(self, place: int, since_s: float, temp_c: float | None) -> tuple[Move, ...]:
        """Begin a step at ``since_s``; ``temp_c`` is where the last one ended, None if none did."""
        before, step = self.step, self.timeline.steps[place]
        self.step = step
        self._entered_s, self._entered_c = since_s, step.from_c if temp_c is None else temp_c
        self.held_s = self.passed_by_s = 0.0
        done_s = step.reach_s - step.start_s + (before.hold_s if before else 0.0)
        self._unseen_s = max(self._unseen_s - done_s, 0.0)
        following = place + 1
        turns_next = following == len(self.timeline.steps) or self.timeline.steps[following].cools
        self._end = StepEnd(step, turns_next=turns_next, apart_c=self.apart_c)
        self._let_go.forget()
        if self.activity is not WAITING:
            self._candle.leave(climbs_on=self.activity is CLIMBING)
        self.hold_complete_s, self._is_joined = None, False
        if step.cools:
            self.activity = COOLING
            self.climb_due_s = None
        else:
            turns = self.activity is COOLING
            self._foot = Foot(step.from_c, since_s) if turns else None
            self.activity = CLIMBING
            self.climb_due_s = since_s + (_CLIMB_DUE_S if turns else 0.0)
            rate_c_per_h = step.rate_c_per_h
            if temp_c is not None and rate_c_per_h is not None and temp_c > step.from_c:
                # A kiln that is above its last top waits until the plan has come up to it.
                waits_s = (temp_c - step.from_c) / rate_c_per_h * 3600.0
                self.climb_due_s += min(waits_s, _MOST_WAIT_S)
            if self._drying.goes_on:
                self.climb_due_s = since_s + self._drying.due_after_s
        return (StepBegun(step),)

    def _start_hold(self, step: PlannedStep, temp_c: float) -> None:
        self.activity = HOLDING
        self._arrival = None
        self._candle.leave()
        foot_c = min(step.to_c, self.top_c or step.to_c)
        self.hold_from_c = max(temp_c, foot_c) if step.cools else min(temp_c, step.to_c)
        self.climb_due_s = None
        self._apart.hold_begins()

    def _move(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> tuple[Move, ...]:
        step, end = self.step, self._end
        assert step is not None and end is not None  # noqa: S101, PT018 - only waiting has none
        if step.climbs and not self._candle.is_over:
            if self._candle.look(step, elapsed_s, temp_c, rate_c_per_h):
                if self._candle.was_candled:
                    self._begun_s = elapsed_s - step.time_at(temp_c, self.timeline.shed_c)
                self.climb_due_s = elapsed_s
            elif self._candle.is_candling:
                self.climb_due_s = None
        due_s, foot = self.climb_due_s, self._foot
        if due_s is not None and foot is not None and foot.goes_lower(elapsed_s, temp_c):
            self.climb_due_s = max(due_s, elapsed_s + _CLIMB_DUE_S)
        if not end.look(elapsed_s, temp_c, rate_c_per_h, self.hotter_c):
            if step.climbs and self._is_let_go(elapsed_s, end.high_c, temp_c, rate_c_per_h):
                stood = HoldDone(step, end.stood_s, short_of_c(end, step))
                done = (stood,) if step.hold_s > 0.0 else ()
                self._apart.learn(end.high_c - step.to_c)
                return (*done, *self._next(step, elapsed_s, temp_c))
            if step.cools and not self.is_last_step:
                following = self.timeline.steps[step.index + 1]
                if end.has_turned_up(following, temp_c, rate_c_per_h):
                    return self._next(step, elapsed_s, temp_c)
            return ()
        if step.hold_s > 0.0:
            self._start_hold(step, temp_c)
            self.held_s = max(end.slow_for_s, self._unseen_s)
            if not end.is_slow:
                self._arrival = Arrival(step, end.top_c, elapsed_s, self.timeline.after(step))
            if step.climbs and end.is_slow and temp_c < step.to_c - NEAR_C:
                # It stands short of its top, and has since it came up to where it stands.
                self.held_s = max(self.held_s, end.stood_s)
        if step.climbs and step.rate_c_per_h is None:
            # What goes as fast as it can has no time to be early or late by.
            self._begun_s = elapsed_s - self.held_s - step.reach_s
        return () if step.hold_s > 0.0 else self._next(step, elapsed_s, temp_c)

    def _next(self, step: PlannedStep, elapsed_s: float, temp_c: float) -> tuple[Move, ...]:
        if step.index + 1 == len(self.timeline.steps):
            short_c, end = short_of_c(self._end, step), self._end
            self._finish(Dip(step, end.high_c, temp_c) if end and short_c > 0.0 else None)
            return (PlanFinished(step, short_c),)
        if self.activity is HOLDING:
            level_c = self._apart.level_c(step)
            self._drying.hold_ends(step, max(level_c or temp_c, temp_c), self.held_s)
            if level_c is not None and not self._is_joined:
                self._apart.learn(level_c - step.to_c)
        return self._enter(step.index + 1, elapsed_s, temp_c)

    def _go_on(self, step: PlannedStep, elapsed_s: float) -> None:
        """What was taken for the end, short of the top or unseen, was but a dip in ``step``."""
        self.step = step
        self.activity = CLIMBING
        self.climb_due_s = elapsed_s
        self._let_go.forget()
        self._apart.take_back()
        was_held = self.hold_complete_s is not None
        self.hold_complete_s = None
        before = self._end
        turns_next = before is None or before.turns_next
        self._end = StepEnd(step, turns_next=turns_next, apart_c=self.apart_c)
        if before is not None and before.step.index == step.index:
            self._end.goes_on_from(before, was_held=was_held)

    def _hold(
        self, elapsed_s: float, dt_s: float, temp_c: float, rate_c_per_h: float
    ) -> tuple[Move, ...]:
        step = self.step
        assert step is not None  # noqa: S101 - only waiting has none
        if self._arrival is not None:
            self.hold_from_c = self._arrival.from_c(self.hold_from_c, temp_c)
            held_s = self._arrival.held_s(elapsed_s, temp_c, rate_c_per_h)
            if held_s is not None:
                self.held_s, self._arrival = max(held_s, self._unseen_s), None
        elif temp_c > lowest_held_c(step, self.hold_from_c, self.top_c or step.to_c) - _FALLEN_C:
            self.held_s += dt_s
            self._apart.see(dt_s, temp_c, rate_c_per_h)
        moves: tuple[Move, ...] = ()
        if self.hold_complete_s is None and self.held_s >= step.hold_s:
            self.hold_complete_s = elapsed_s
            moves = (HoldDone(step, self.held_s, short_of_c(self._end, step)),)
            if step.index + 1 == len(self.timeline.steps):
                return (*moves, *self._next(step, elapsed_s, temp_c))
        if self.hold_complete_s is None and self._is_let_go(
            elapsed_s, self.hold_from_c, temp_c, rate_c_per_h
        ):
            done = HoldDone(step, self._let_go.held_s, short_of_c(self._end, step))
            return (done, *self._next(step, elapsed_s, temp_c))
        return (*moves, *self._depart(step, elapsed_s, temp_c, rate_c_per_h))

    def _is_let_go(
        self, elapsed_s: float, from_c: float, temp_c: float, rate_c_per_h: float
    ) -> bool:
        """Whether the kiln cools away from ``from_c`` at the end of a step that may be over.

        A fire that burns down between two stokes falls as fast, but not for so long.
        """
        let_go = self._let_go
        # How long ago it ended that may have ended unseen is settled there.
        if self._dark.may_have_ended:
            let_go.stops_falling()
            return False
        if from_c - temp_c <= LEFT_C:
            let_go.forget()
            return False
        step, is_climbing = self.step, self.activity is CLIMBING
        is_short = is_climbing and step is not None and from_c < step.to_c - NEAR_C
        if is_short and self.is_last_step and let_go.sinks(elapsed_s, from_c, temp_c, rate_c_per_h):
            return self._may_be_over(self.held_s)
        lasts = let_go.falls(
            elapsed_s, from_c, temp_c, rate_c_per_h, self._shed_c, self.held_s, is_short=is_short
        )
        return lasts and self._may_be_over(let_go.held_s)

    def _depart(
        self, step: PlannedStep, elapsed_s: float, temp_c: float, rate_c_per_h: float
    ) -> tuple[Move, ...]:
        if step.index + 1 == len(self.timeline.steps):
            return ()
        # Where this kiln holds by our thermocouple: as seen, or else as it is known to differ.
        above_c = temp_c - (self._apart.level_c(step) or self.top_c or step.to_c)
        if step.cools and temp_c < step.to_c - _PASSED_BY_C:
            # A hold on the way down that somebody has left out.
            return self._next(step, elapsed_s, temp_c)
        following = self.timeline.steps[step.index + 1]
        complete = (complete_s := self.hold_complete_s) is not None
        if following.climbs:
            left = above_c > LEFT_C and rate_c_per_h > least_pace_c_per_h(following)
            is_up = above_c > _MOST_OF_IT * (following.to_c - step.to_c)
            due = complete_s is not None and (is_up or elapsed_s - complete_s >= _CLIMB_DUE_S)
            may_leave = complete or self._is_joined
            if (may_leave and left) or due:
                return self._next(step, elapsed_s, temp_c)
            if self._end and self._end.has_climbed_out(following, elapsed_s, temp_c):
                moves = self._next(step, elapsed_s, temp_c)
                self.passed_by_s = step.hold_s
                if self._drying.leave():
                    self.climb_due_s = elapsed_s
                return moves
            end = self._end if left and above_c > 2.0 * LEFT_C and not self._arrival else None
            if end is not None and end.has_all_but_held(self.held_s, elapsed_s):
                done = HoldDone(step, self.held_s, short_of_c(end, step))
                left_s = max(step.hold_s - self.held_s, 0.0)
                moves = self._next(step, elapsed_s, temp_c)
                if self.climb_due_s is not None and not self._drying.goes_on:
                    # It may have been a swing after all, and the hold not over yet.
                    self.climb_due_s += left_s
                return (done, *moves)
        elif complete and (above_c < -LEFT_C or rate_c_per_h < -NATURAL_LEAST_C_PER_H):
            return self._next(step, elapsed_s, temp_c)
        return ()
