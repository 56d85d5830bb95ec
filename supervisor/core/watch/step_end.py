"""How one step of the plan comes to its end, told from outside. Knows that step only.

The kiln nears the top of the step, slows there and, where the plan turns, is let go. Its own
controller reads another thermocouple and says none of this, so each sign is taken with slack.
The figures are common practice, no source, where nothing else is said.
"""

from __future__ import annotations

from math import exp

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.own_fall import SLOWED, OwnFall

_ARRIVED_C, NEAR_C = 1.0, 5.0
"""At the top, and so near that a kiln that slows down counts as there."""
SHORT_OF_C = 18.0
"""The kiln's own thermocouple may read this much higher than ours and call it the top."""
MOST_APART_C = 25.0
"""No two thermocouples in one kiln that are both to be believed differ by more: place, tolerance
(ASTM E230: class 2 of type K is 0.75 %, 9 °C at 1,250 °C) and ageing together (common practice)."""
_STANDS_SHORT_S = 780.0
"""Farther off than ``SHORT_OF_C`` a kiln must stand for so long to be at its top: longer than the
slowest controllers take for half a swing."""
_RUNAWAY_C = 40.0
"""Whoever finds a kiln so far above its top turns it off, whatever is left of its hold; and so does
a controller with a limit of its own (common practice, no source)."""
_DIPS_C = 8.0
"""A kiln that has come down by more from its highest does not stand at a top, it falls. Controllers
and fires swing by less (common practice)."""
_ABOUT_C = 25.0
"""A fire is held to give or take so much, and who keeps it counts from when it came to the top."""
_LINGERS_S = 1200.0
"""Whoever has planned to hold for longer on the way down means it, for crystals or a matt glaze,
and falls out of it only when the heat is gone (common practice, no source)."""
_SAME_C, _CREPT_C = 2.0, 6.0
"""So near its highest a kiln has come up to where it stands. Walls that are soaked and a controller
that settles or swings let it come up by the second in a short hold (common practice)."""
_FALLS_C_PER_H = 20.0
"""A kiln that falls no faster may still hold."""
_HELD_BACK_C = 10.0
"""A controller that holds back for its kiln counts the hold from this near its top."""
_SHORT_HOLD_S = 1200.0
"""What a short hold takes can't be told from the last degrees of a climb: its kiln's own
thermocouple may have called ``SHORT_OF_C`` below ours the top (common practice, no source)."""
_SWIFT_C_PER_H, _LAG_S, _MOST_LAG_C, _MEAN_S = 300.0, 300.0, 100.0, 180.0
"""In a kiln that climbs faster, as for raku, a sheathed probe is so much behind pots and flame:
by what is climbed in so long, beyond what is climbed at that rate (common practice, no source). It
catches up as a lag of the first order does, in that time."""
_SLOWED_S, STOPPED_SHORT_S = 60.0, 300.0
"""A kiln is slow for so long near its top, or short of it, before it counts as there: farther
off it takes more to tell a top from a pause."""
_RISELESS_S = 600.0
"""A fire climbs and falls with each stoke, and is not slow for long at its top either: there it is
when it has not risen for so long by what it would at the least pace of a climb. So is a kiln whose
controller swings, at the foot of a cooling, when it has not fallen."""
_SKIPPED_UP_C = 40.0
"""So far above the top of a step no controller holds: the kiln is in the next one, if it climbs as
that wants. A kiln that is candled with more heat than it takes creeps as far in hours (common
practice, no source)."""
LEFT_C = 4.0
"""This far from its hold a kiln has left it: beyond the swing of most controllers."""
_TURNED_UP_C = 12.0
"""A kiln that climbs away from near the foot of a cooling by more than a controller swings has
begun the climb that comes after (common practice, no source)."""
_HOLD_SLACK, _LEAST_SLACK_S, _MOST_SLACK_S = 0.25, 180.0, 600.0
"""The kiln's own controller may call the hold begun this much earlier than can be seen."""
_MOST_HELD = 0.8
"""A kiln that climbs out of this part of its hold has been told to: a probe that reads lower than
the kiln's own sees the hold begin late."""
_NAMED_APART_C = 4.0
"""Two thermocouples that agree to within this agree (common practice, no source)."""
UNHEATED_PER_H = 1.0 / 14.0
"""A kiln without heat loses at first more than this part of its excess in an hour (common
practice)."""
NATURAL_LEAST_C_PER_H = 40.0
"""What a natural climb must manage to count as climbing."""


def least_pace_c_per_h(step: PlannedStep) -> float:
    """The rate, positive, below which a kiln does not follow ``step`` any more."""
    return SLOWED * (step.rate_c_per_h or NATURAL_LEAST_C_PER_H)


class StepEnd:
    """Collects what speaks for ``step`` being at its end.

    ``turns_next`` says that the kiln is to cool when the step is over; ``apart_c`` is how much
    more our thermocouple reads than the kiln's own, as far as that is known. ``is_slow`` and
    ``slow_for_s`` are of the last look; ``high_c`` and ``low_c`` are the highest and the lowest
    temperature of the step.
    """

    __slots__ = (
        "_about_till_s",
        "_arrived_s",
        "_begun_s",
        "_came_up",
        "_counts_c",
        "_down_s",
        "_far_short_c",
        "_is_down",
        "_lag_c",
        "_last_s",
        "_mean_c_per_h",
        "_middle_c",
        "_near_c",
        "_near_since_s",
        "_near_to_c",
        "_own_fall",
        "_pace_c_per_h",
        "_risen_c",
        "_risen_s",
        "_sank_c",
        "_sank_s",
        "_slow_since_s",
        "_stands_at_c",
        "_stood_till_s",
        "_stops_short_s",
        "_stops_there",
        "_was_held",
        "high_c",
        "is_slow",
        "low_c",
        "slow_for_s",
        "step",
        "top_c",
        "turns_next",
    )

    def __init__(self, step: PlannedStep, *, turns_next: bool, apart_c: float = 0.0) -> None:
        self.step = step
        self.top_c = step.to_c + apart_c
        """Where our thermocouple should be when the kiln's own is at the end of its step."""
        self.turns_next = turns_next
        self.high_c = float("-inf")
        self.low_c = float("inf")
        self.is_slow = False
        self.slow_for_s = 0.0
        self._begun_s = 0.0
        """When the kiln was first looked at on its way through the step."""
        self._pace_c_per_h = least_pace_c_per_h(step)
        self._counts_c = self._pace_c_per_h * _RISELESS_S / 3600.0
        """A rise, or a fall, by more counts."""
        self._own_fall = OwnFall() if step.cools and step.rate_c_per_h is None else None
        self._stops_short_s = STOPPED_SHORT_S
        self._stops_there = step.hold_s > 0.0 or turns_next
        self._stands_at_c = min(self.top_c, step.to_c)
        """Who stands may stand at the plan's own top: ours need not read more here because it did
        at a corner far below."""
        self._far_short_c = max(self.top_c, step.to_c) - MOST_APART_C
        """A kiln that has not come up to this stands short of its top, however long it does."""
        self._near_c, self._near_to_c = _HELD_BACK_C, self.top_c
        if turns_next and step.climbs and step.hold_s <= _SHORT_HOLD_S:
            # Nor is it sure that ours reads more here, because it did at a corner far below.
            self._near_c, self._near_to_c = SHORT_OF_C, min(step.to_c, self.top_c)
        self._near_since_s: float | None = None
        self._arrived_s: float | None = None
        """When the kiln first came to the plan's own top."""
        self._about_till_s = 0.0
        """When it was last about the top, and did not fall."""
        self._last_s: float | None = None
        self._mean_c_per_h = self._lag_c = 0.0
        self._risen_c, self._risen_s = float("-inf"), 0.0
        self._sank_c, self._sank_s = float("inf"), 0.0
        """Where and when the kiln last sank lower than before by what counts."""
        self._slow_since_s: float | None = None
        self._down_s = float("-inf")
        """When the kiln was last clearly below its highest."""
        self._came_up: list[tuple[float, float]] = []
        """When the kiln came up to what, in °C, as far as that is within 6 °C of its highest."""
        self._stood_till_s = 0.0
        self._is_down = False
        self._middle_c = float("-inf")
        """The highest middle of all zones, while the leading one was near the top."""
        self._was_held = False
        """Whether its hold had been held before the kiln climbed on."""

    def has_turned_up(self, following: PlannedStep, temp_c: float, rate_c_per_h: float) -> bool:
        """Whether a kiln that has cooled to near the foot climbs on by the step that follows."""
        if not self.step.cools or self.low_c > self.step.to_c + SHORT_OF_C:
            return False
        climbs = rate_c_per_h > least_pace_c_per_h(following)
        return following.climbs and climbs and temp_c > self.low_c + _TURNED_UP_C

    def goes_on_from(self, before: StepEnd, *, was_held: bool) -> None:
        """The end that ``before`` told of was none yet: since when it was near still counts, and
        for good whether its hold ``was_held`` before."""
        self._near_since_s = before._near_since_s
        self._was_held = was_held or before._was_held

    @property
    def stood_s(self) -> float:
        """How long the kiln has stood at its highest, till it fell from there."""
        if not self._came_up or self.step.cools:
            return 0.0
        least_c = self._came_up[-1][1] - _SAME_C
        came_s = next(at_s for at_s, up_c in self._came_up if up_c >= least_c)
        return max(self._stood_till_s - came_s, 0.0)

    @property
    def only_lingers(self) -> bool:
        """Whether a hold on the way down is too short to matter to anybody."""
        return self.step.cools and self.step.hold_s <= _LINGERS_S

    def is_at_its_cone(
        self, short_c: float, held_s: float, *, is_kept: bool = False, is_led: bool = False
    ) -> bool:
        """Whether the kiln has come near enough to its top to be let go when the cone is down. Who
        leaves it to a controller (``is_kept``) and has planned to hold for much longer than
        ``held_s`` means that; one that a controller has led closely all the way (``is_led``) ends
        by its clock, unless somebody stands beside it."""
        left_s = self.step.hold_s - held_s
        if is_kept and left_s > (self._slack_s() if is_led else _SHORT_HOLD_S):
            return False
        return self.turns_next and short_c > 0.0 and self.high_c > self.step.to_c - short_c

    def see(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> None:
        """Take in the kiln, climbing or holding: how high it came, and how long it stood there."""
        step = self.step
        if temp_c < self.low_c:
            self.low_c = temp_c
        if temp_c > self.high_c:
            self.high_c = temp_c
            came_up = self._came_up
            if not came_up or temp_c > came_up[-1][1] + _SAME_C / 4.0:
                came_up.append((elapsed_s, temp_c))
                while came_up[0][1] < temp_c - _CREPT_C:
                    del came_up[0]
        if self._arrived_s is None and temp_c >= step.to_c - NEAR_C:
            self._arrived_s = elapsed_s
        is_about = temp_c > step.to_c - _ABOUT_C and rate_c_per_h > -_FALLS_C_PER_H
        # One that soon comes back up from a door or a plug that was out: its hold goes on.
        was_about = elapsed_s - self._about_till_s < _RISELESS_S
        if is_about or (was_about and rate_c_per_h > NATURAL_LEAST_C_PER_H):
            self._about_till_s = elapsed_s
        # Who comes down to the top from above it stands at the top, and has not fallen from it.
        is_up = step.cools or temp_c > self.high_c - _DIPS_C or temp_c > self.top_c - _DIPS_C
        if not is_up:
            self._is_down = True
        elif self._is_down:
            # It is back: what it stood before it came down is over.
            self._is_down = False
            self._came_up = [(elapsed_s, temp_c)]
        if is_up and rate_c_per_h > -_FALLS_C_PER_H:
            self._stood_till_s = elapsed_s

    def look(
        self, elapsed_s: float, temp_c: float, rate_c_per_h: float, hotter_c: float = 0.0
    ) -> bool:
        """Take in the moving kiln; whether it has arrived at the step's top (or foot). The middle
        of its zones, by which it may be fired, is ``hotter_c`` hotter."""
        step = self.step
        cools = step.cools
        if self._last_s is None:
            self._begun_s = elapsed_s
        self.see(elapsed_s, temp_c, rate_c_per_h)
        short_c = temp_c - self.top_c if cools else self.top_c - temp_c
        self._see_lag(elapsed_s, rate_c_per_h)
        near_c = temp_c - self._near_to_c if cools else self._near_to_c - temp_c
        if not cools and max(near_c, hotter_c) <= MOST_APART_C:
            near_c -= hotter_c
            self._middle_c = max(self._middle_c, temp_c + hotter_c)
        if near_c <= self._near_c + self._lag_c and self._near_since_s is None:
            self._near_since_s = elapsed_s
        if self._own_fall is not None:
            self._own_fall.look(elapsed_s, rate_c_per_h)
            self._pace_c_per_h = min(least_pace_c_per_h(step), self._own_fall.slow_c_per_h)
            self._counts_c = self._pace_c_per_h * _RISELESS_S / 3600.0
            self._stops_short_s = max(STOPPED_SHORT_S, self._own_fall.stands_s)
        self.is_slow = (-rate_c_per_h if cools else rate_c_per_h) < self._pace_c_per_h
        stands_short_c = short_c if cools else self._stands_at_c - temp_c
        least_short_c = short_c if cools else self._stands_at_c - self.high_c
        if not self.is_slow or least_short_c > SHORT_OF_C:
            self._slow_since_s = None
        elif self._slow_since_s is None:
            self._slow_since_s = elapsed_s
        self.slow_for_s = 0.0 if self._slow_since_s is None else elapsed_s - self._slow_since_s
        if temp_c < self._sank_c - _SAME_C:
            self._sank_c, self._sank_s = temp_c, elapsed_s
        on_c = -temp_c if cools else temp_c
        if on_c > self._risen_c + self._counts_c:
            self._risen_c, self._risen_s = on_c, elapsed_s
        is_down = not cools and temp_c < self.high_c - _DIPS_C
        if is_down:
            self._down_s = elapsed_s
        if short_c <= _ARRIVED_C:
            return True
        if stands_short_c > SHORT_OF_C:
            if cools:
                return self._stands_far_above(elapsed_s, stands_short_c)
            return self.high_c >= self._far_short_c and self._stands_far_short(temp_c)
        if is_down:
            return False
        stops = step.hold_s > 0.0 if cools else self._stops_there
        if stops and elapsed_s - self._risen_s >= _RISELESS_S:
            # It has been there since it last moved on, or came back from where it had fallen to.
            self.slow_for_s = max(self.slow_for_s, elapsed_s - max(self._risen_s, self._down_s))
            self.is_slow = True
            return True
        if not self.is_slow:
            return False
        if stands_short_c <= NEAR_C and self.slow_for_s >= _SLOWED_S:
            return True
        return self._stops_there and self.slow_for_s >= self._stops_short_s

    def _see_lag(self, elapsed_s: float, rate_c_per_h: float) -> None:
        """How far our probe is behind a kiln that climbs in a great hurry."""
        since_s = 0.0 if self._last_s is None else elapsed_s - self._last_s
        self._last_s = elapsed_s
        weight = since_s / _MEAN_S if since_s < _MEAN_S else 1.0
        self._mean_c_per_h += weight * (rate_c_per_h - self._mean_c_per_h)
        is_swift = self._mean_c_per_h > _SWIFT_C_PER_H
        if self.step.cools or not (is_swift or self._lag_c):
            return
        lag_c = (self._mean_c_per_h - _SWIFT_C_PER_H) * _LAG_S / 3600.0
        caught_up_c = self._lag_c * exp(-since_s / _LAG_S)
        self._lag_c = max(caught_up_c, min(lag_c, _MOST_LAG_C))

    def _stands_far_short(self, temp_c: float) -> bool:
        """Whether a kiln farther below its top has stood for so long that it must hold there."""
        if self.step.hold_s <= 0.0:
            return False
        # At the least pace of a climb it would have risen by now.
        stands_s = max(_STANDS_SHORT_S, _SAME_C / self._pace_c_per_h * 3600.0)
        if temp_c < self.high_c - LEFT_C or self.stood_s < stands_s:
            return False
        self.slow_for_s, self.is_slow = self.stood_s, True
        return True

    def _stands_far_above(self, elapsed_s: float, above_c: float) -> bool:
        """Whether a kiln that is to cool has stood for so long that it is held: no kiln stands
        where it has no heat."""
        stood_s = elapsed_s - self._sank_s
        if self.step.hold_s <= 0.0 or above_c > MOST_APART_C or stood_s < _STANDS_SHORT_S:
            return False
        self.slow_for_s, self.is_slow = stood_s, True
        return True

    def climb_may_be_over(self, *, is_kept: bool = False) -> bool:
        """Whether the kiln's own controller may have been through with the step, seen climbing
        still, when the kiln last stood or climbed; ``is_kept``: it has been kept to its climb."""
        if not self.turns_next or not self.step.climbs:
            return False
        least_c = max(self._near_to_c - SHORT_OF_C, self.step.to_c - MOST_APART_C) - self._lag_c
        if max(self.high_c, self._middle_c) < least_c:
            return self._has_stood_far_short()
        if self._was_held:
            return True
        return self._has_been_near(is_kept) or self.stood_s >= self.step.hold_s - self._slack_s()

    def hold_may_be_over(self, held_s: float, *, is_kept: bool = False) -> bool:
        """Whether the kiln may be let cool by now, its hold seen for ``held_s``; ``is_kept``: it
        has been kept to its climb."""
        if not self.turns_next:
            return False
        if self.high_c < self.step.to_c - NEAR_C:
            # A hold short of its top is seen late: it began when the kiln came up to it.
            held_s = max(held_s, self.stood_s)
        if self.high_c > self.step.to_c + _RUNAWAY_C and self.step.climbs:
            return True
        held_s += self._late_at_foot_s()
        has_held = max(held_s, self._about_s()) >= self.step.hold_s - self._slack_s()
        return has_held or self._has_been_near(is_kept)

    def has_all_but_held(self, held_s: float, elapsed_s: float) -> bool:
        """Whether a kiln that climbs on may be through with a hold seen for ``held_s``, or by the
        controller's clock, which does not stop for a kiln that sags."""
        if self._last_s is not None:
            held_s = max(held_s, elapsed_s - self._last_s)
        return held_s >= min(_MOST_HELD * self.step.hold_s, self.step.hold_s - _LEAST_SLACK_S)

    def has_climbed_out(self, following: PlannedStep, elapsed_s: float, temp_c: float) -> bool:
        """Whether a kiln far above its hold climbs as the step does that is ``following``."""
        if temp_c < self.step.to_c + _SKIPPED_UP_C or not self._came_up:
            return False
        since_s, from_c = self._came_up[0]
        took_h = max(elapsed_s - since_s, 1.0) / 3600.0
        return temp_c - from_c > least_pace_c_per_h(following) * took_h

    def _has_stood_far_short(self) -> bool:
        hold_s = self.step.hold_s
        if hold_s <= 0.0 or self.high_c < self.step.to_c - MOST_APART_C:
            return False
        return self.stood_s >= max(hold_s - self._slack_s(), _STANDS_SHORT_S)

    def _about_s(self) -> float:
        """For how long the kiln has been about the top since it came there."""
        if self.step.cools or self._arrived_s is None:
            return 0.0
        return self._about_till_s - self._arrived_s

    def _late_at_foot_s(self) -> float:
        """For how long a kiln that could not cool as fast as planned was on its way to a hold
        whose time had begun: many controllers wait for a kiln that climbs, and for none that
        cools (common practice, no source)."""
        step = self.step
        if not step.cools or step.rate_c_per_h is None or self._last_s is None:
            return 0.0
        took_s = self._last_s - self._begun_s
        return max(took_s - (step.reach_s - step.start_s), 0.0)

    def _has_been_near(self, is_kept: bool) -> bool:
        near_since_s = self._near_since_s
        if near_since_s is None:
            return False
        hold_s = self.step.hold_s
        if hold_s <= _SHORT_HOLD_S:
            hold_s -= self._slack_s()
            if is_kept and self._came_up and self.step.climbs:
                # A controller that keeps its kiln to the climb ends the climb when it holds,
                # whatever its own thermocouple reads beside ours.
                near_since_s = max(near_since_s, self._came_up[0][0])
        return self._stood_till_s - near_since_s > hold_s

    def _slack_s(self) -> float:
        return min(max(_HOLD_SLACK * self.step.hold_s, _LEAST_SLACK_S), _MOST_SLACK_S)


def short_of_c(end: StepEnd | None, step: PlannedStep) -> float:
    """How far below the top of a climbing ``step`` the kiln has stayed, in °C, if worth naming."""
    if end is None or not step.climbs:
        return 0.0
    short_c = step.to_c - end.high_c
    return short_c if short_c > _NAMED_APART_C else 0.0


def lowest_held_c(step: PlannedStep, hold_from_c: float, top_c: float) -> float:
    """Down to where a kiln holds that began to hold at ``hold_from_c``: on its way down that is the
    foot, wherever above it stood; ``top_c`` is that foot by our thermocouple. In °C."""
    return min(hold_from_c, step.to_c, top_c) if step.cools else hold_from_c
