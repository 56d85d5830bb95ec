"""How one step of the plan comes to its end, told from outside. Knows that step only.

The kiln nears the top of the step, slows there and, where the plan turns, is let go. Its own
controller reads another thermocouple and says none of this, so each sign is taken with slack.
The figures are common practice, no source, where nothing else is said.
"""

from __future__ import annotations

from supervisor.core.schedule import PlannedStep

_ARRIVED_C, NEAR_C = 1.0, 5.0
"""At the top, and so near that a kiln that slows down counts as there."""
SHORT_OF_C = 18.0
"""The kiln's own thermocouple may read this much higher than ours and call it the top."""
_HELD_BACK_C = 10.0
"""A controller that holds back for its kiln counts the hold from this near its top."""
_SLOWED_S, STOPPED_SHORT_S = 60.0, 300.0
"""A kiln is slow for so long near its top, or short of it, before it counts as there: farther
off it takes more to tell a top from a pause."""
_RISELESS_S = 600.0
"""A fire climbs and falls with each stoke, and is not slow for long at its top either: there it is
when it has not risen for so long by what it would at the least pace of a climb."""
_SLOWED = 0.4
"""Slower than this part of the planned rate, a kiln does not follow its climb any more."""
LEFT_C = 4.0
"""This far from its hold a kiln has left it: beyond the swing of most controllers."""
_HOLD_SLACK, _LEAST_SLACK_S, _MOST_SLACK_S = 0.25, 180.0, 600.0
"""The kiln's own controller may call the hold begun this much earlier than can be seen."""
_MOST_HELD = 0.8
"""A kiln that climbs out of this part of its hold has been told to: a probe that reads lower than
the kiln's own sees the hold begin late."""
NATURAL_LEAST_C_PER_H = 40.0
"""What a natural climb must manage to count as climbing."""


def least_pace_c_per_h(step: PlannedStep) -> float:
    """The rate, positive, below which a kiln does not follow ``step`` any more."""
    return _SLOWED * (step.rate_c_per_h or NATURAL_LEAST_C_PER_H)


class StepEnd:
    """Collects what speaks for ``step`` being at its end.

    ``turns_next`` says that the kiln is to cool when the step is over. ``is_slow`` and
    ``slow_for_s`` are of the last look; ``high_c`` is the highest temperature of the step.
    """

    __slots__ = (
        "_near_since_s",
        "_pace_c_per_h",
        "_risen_c",
        "_risen_s",
        "_slow_since_s",
        "high_c",
        "is_slow",
        "slow_for_s",
        "step",
        "turns_next",
    )

    def __init__(self, step: PlannedStep, *, turns_next: bool) -> None:
        self.step = step
        self.turns_next = turns_next
        self.high_c = float("-inf")
        self.is_slow = False
        self.slow_for_s = 0.0
        self._pace_c_per_h = least_pace_c_per_h(step)
        self._near_since_s: float | None = None
        self._risen_c, self._risen_s = float("-inf"), 0.0
        self._slow_since_s: float | None = None

    def look(self, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> bool:
        """Take in the moving kiln; whether it has arrived at the step's top (or foot)."""
        step = self.step
        cools = step.cools
        short_c = temp_c - step.to_c if cools else step.to_c - temp_c
        if temp_c > self.high_c:
            self.high_c = temp_c
        if short_c <= _HELD_BACK_C and self._near_since_s is None:
            self._near_since_s = elapsed_s
        self.is_slow = (-rate_c_per_h if cools else rate_c_per_h) < self._pace_c_per_h
        least_short_c = short_c if cools else step.to_c - self.high_c
        if not self.is_slow or least_short_c > SHORT_OF_C:
            self._slow_since_s = None
        elif self._slow_since_s is None:
            self._slow_since_s = elapsed_s
        self.slow_for_s = 0.0 if self._slow_since_s is None else elapsed_s - self._slow_since_s
        if temp_c > self._risen_c + self._pace_c_per_h * _RISELESS_S / 3600.0:
            self._risen_c, self._risen_s = temp_c, elapsed_s
        if short_c <= _ARRIVED_C:
            return True
        if short_c > SHORT_OF_C:
            return False
        if elapsed_s - self._risen_s >= _RISELESS_S and self._stops_there and step.climbs:
            return True
        if not self.is_slow:
            return False
        if short_c <= NEAR_C and self.slow_for_s >= _SLOWED_S:
            return True
        return self._stops_there and self.slow_for_s >= STOPPED_SHORT_S

    @property
    def _stops_there(self) -> bool:
        return self.step.hold_s > 0.0 or self.turns_next

    def climb_may_be_over(self, elapsed_s: float) -> bool:
        """Whether the kiln's own controller may be through with the step, seen climbing still."""
        if not self.turns_next or not self.step.climbs:
            return False
        if self._has_been_near(elapsed_s):
            return True
        if self.high_c < self.step.to_c - SHORT_OF_C:
            return False
        slow_for_s = 0.0 if self._slow_since_s is None else elapsed_s - self._slow_since_s
        return slow_for_s >= self.step.hold_s - self._slack_s()

    def hold_may_be_over(self, elapsed_s: float, held_s: float) -> bool:
        """Whether the kiln may be let cool by now, its hold seen for ``held_s``."""
        if not self.turns_next:
            return False
        has_held = held_s >= self.step.hold_s - self._slack_s()
        return has_held or self._has_been_near(elapsed_s)

    def has_all_but_held(self, held_s: float) -> bool:
        """Whether a kiln that climbs on may be through with a hold seen for ``held_s``."""
        return held_s >= min(_MOST_HELD * self.step.hold_s, self.step.hold_s - _LEAST_SLACK_S)

    def _has_been_near(self, elapsed_s: float) -> bool:
        near_since_s = self._near_since_s
        return near_since_s is not None and elapsed_s - near_since_s > self.step.hold_s

    def _slack_s(self) -> float:
        return min(max(_HOLD_SLACK * self.step.hold_s, _LEAST_SLACK_S), _MOST_SLACK_S)


def falls_away(from_c: float, temp_c: float, rate_c_per_h: float) -> bool:
    """Whether the kiln cools away from ``from_c`` as one does that has been let go."""
    fallen_c = from_c - temp_c
    return fallen_c > LEFT_C and (rate_c_per_h < -NATURAL_LEAST_C_PER_H or fallen_c > SHORT_OF_C)
