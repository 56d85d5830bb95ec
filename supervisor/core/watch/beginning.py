"""Whether the kiln has begun its plan: an idle kiln, a candled one, a log that begins in a hold.

Knows a plan's steps and the kiln's temperature; nothing of what comes after the beginning. The
figures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.step_end import NEAR_C, STOPPED_SHORT_S, least_pace_c_per_h

_BEGUN_RISE_C, _BEGUN_RATE_C_PER_H = 8.0, 8.0
_SURELY_BEGUN_C, _BEGUN_FOR_S = 20.0, 180.0
"""A shed warms by a few degrees on a sunny day; a kiln that has been switched on does more. Noise
may climb as far, but not by so much more or for so long."""
_FIRST_LOOKS, _FIRST_LOOKS_S = 10, 150.0
"""How noisy a channel is, and so how low it has been, takes so many looks to know."""
_STILL_C_PER_H, _JOINED_C = 16.0, 250.0
"""A kiln whose rate is less stands; one that stands below this may just be warm from its last
firing."""
_WARMS_FOR_S = 1800.0
"""A kiln that is switched on makes its first degrees in less; what took longer was the sun's."""
_CANDLED_BELOW_C, _CANDLED_TO_C, _CANDLED_S = 150.0, 220.0, 1800.0
"""A kiln that is candled (held warm overnight by a small flame or one switch, before its plan)
creeps below the first temperature; after so long it counts as not yet begun, and is no longer
candled where it has crept on above the second."""
FAST_C_PER_H = 200.0
"""Ware that bears to be heated faster has been dried and fired before, as for raku, and who fires
it stands beside it (common practice, no source)."""
_CANDLED_RISE_C, _WANDERS_C, _CREEPS_C, _SWINGS_BACK_C = 14.0, 2.0, 4.0, 10.0
"""A small fire that candles swings by ten degrees as it is stoked (common practice, no source)."""
_CANDLED_FOR_S = 2 * 3600.0
"""Nobody candles for less (common practice, no source): a kiln that has crept for an hour has begun
slowly, and that hour counts."""


@dataclass(frozen=True, slots=True)
class Start:
    """The firing has begun in the step of index ``place``, at ``since_s``, from ``temp_c``."""

    place: int
    since_s: float
    temp_c: float
    is_in_hold: bool


class Waiting:
    """Looks at a kiln that has not begun; feed it with ``look`` in order of time."""

    __slots__ = (
        "_first_s",
        "_looks",
        "_lowest_c",
        "_lowest_s",
        "_rises_from_c",
        "_rises_since_s",
        "_still_since_s",
    )

    def __init__(self) -> None:
        self._first_s: float | None = None
        self._looks = 0
        self._lowest_c: float | None = None
        self._lowest_s = 0.0
        self._rises_since_s: float | None = None
        self._rises_from_c = 0.0
        self._still_since_s: float | None = None

    def look(
        self,
        steps: Sequence[PlannedStep],
        elapsed_s: float,
        temp_c: float,
        rate_c_per_h: float,
        sigma_c: float,
    ) -> Start | None:
        """Take in one look; where the firing has begun, None while it has not."""
        if self._first_s is None:
            self._first_s = elapsed_s
        self._looks += 1
        lowest_c = self._lowest_c
        if self._looks <= _FIRST_LOOKS and elapsed_s - self._first_s < _FIRST_LOOKS_S:
            lowest_c = None
        if lowest_c is None or temp_c <= lowest_c + 2.0 * sigma_c:
            lowest_c = temp_c if lowest_c is None else min(lowest_c, temp_c)
            self._lowest_s = elapsed_s
        self._lowest_c = lowest_c
        if self._rises(elapsed_s, temp_c - lowest_c, rate_c_per_h):
            for step in steps:
                near_c = NEAR_C if step.hold_s else -NEAR_C
                if step.climbs and temp_c < step.to_c + near_c:
                    since_s = self._since_s(elapsed_s, temp_c - lowest_c)
                    return Start(step.index, since_s, lowest_c, is_in_hold=False)
        return self._join_hold(steps, elapsed_s, temp_c, rate_c_per_h)

    def _rises(self, elapsed_s: float, climbed_c: float, rate_c_per_h: float) -> bool:
        if climbed_c < 0.5 * _BEGUN_RISE_C or rate_c_per_h < _BEGUN_RATE_C_PER_H:
            self._rises_since_s = None
            return False
        if self._rises_since_s is None:
            self._rises_since_s, self._rises_from_c = elapsed_s, climbed_c
        lasts = elapsed_s - self._rises_since_s >= _BEGUN_FOR_S
        return climbed_c >= _SURELY_BEGUN_C or (climbed_c >= _BEGUN_RISE_C and lasts)

    def _since_s(self, elapsed_s: float, climbed_c: float) -> float:
        """When it began to rise: when it was lowest; or, in a shed that has warmed since, as long
        ago as its present climb takes for what came before it was seen."""
        rises_s = elapsed_s if self._rises_since_s is None else self._rises_since_s
        if rises_s - self._lowest_s <= _WARMS_FOR_S:
            return self._lowest_s
        seen_c, seen_s = climbed_c - self._rises_from_c, elapsed_s - rises_s
        before_s = _WARMS_FOR_S if seen_c <= 0.0 else self._rises_from_c / seen_c * seen_s
        return rises_s - min(before_s, _WARMS_FOR_S)

    def _join_hold(
        self, steps: Sequence[PlannedStep], elapsed_s: float, temp_c: float, rate_c_per_h: float
    ) -> Start | None:
        """A log that begins with a hot kiln standing at a planned hold joins that hold."""
        place = next(
            (
                step.index
                for step in steps
                if step.hold_s > 0.0 and abs(temp_c - step.to_c) <= NEAR_C and temp_c > _JOINED_C
            ),
            None,
        )
        if place is None or abs(rate_c_per_h) > _STILL_C_PER_H:
            self._still_since_s = None
            return None
        if self._still_since_s is None:
            self._still_since_s = elapsed_s
        if elapsed_s - self._still_since_s < STOPPED_SHORT_S:
            return None
        return Start(place, self._still_since_s, temp_c, is_in_hold=True)


class Candle:
    """Sees whether a kiln in its first warmth is only kept warm as yet.

    Overnight it may creep up to where its first step ends, and past that.

    ``is_candling`` says that it is; ``is_over`` that this is no longer asked, and
    ``was_candled`` whether it had been warmed for so long that its plan began only then.
    """

    __slots__ = (
        "_candled_c",
        "_crept_from_c",
        "_crept_since_s",
        "is_candling",
        "is_over",
        "was_candled",
    )

    def __init__(self) -> None:
        self.is_candling = False
        self.is_over = self.was_candled = False
        self._candled_c = 0.0
        self._crept_from_c = 0.0
        self._crept_since_s: float | None = None

    def end(self) -> None:
        """The kiln is beyond its first warmth."""
        self.is_candling, self.is_over = False, True

    def leave(self, *, climbs_on: bool = False) -> None:
        """The kiln has come to the end of a step, from which the plan ``climbs_on`` at once: one
        that is candled, or may be yet, has only crept there."""
        if not (self.is_candling or (climbs_on and self._crept_since_s is not None)):
            self.end()

    def look(self, step: PlannedStep, elapsed_s: float, temp_c: float, rate_c_per_h: float) -> bool:
        """Take in one look; whether a candled kiln now begins its climb."""
        if (step.rate_c_per_h or 0.0) > FAST_C_PER_H:
            self.end()
            return False
        pace_c_per_h = least_pace_c_per_h(step)
        if self.is_candling:
            if temp_c < self._candled_c:
                self._candled_c = temp_c
            is_past = temp_c > _CANDLED_TO_C
            if rate_c_per_h < pace_c_per_h and not is_past:
                self._candled_c = max(self._candled_c, temp_c - _WANDERS_C)
            elif is_past or temp_c - self._candled_c >= _CANDLED_RISE_C:
                since_s = elapsed_s if self._crept_since_s is None else self._crept_since_s
                self.was_candled = elapsed_s - since_s >= _CANDLED_FOR_S
                # Who turns up a small flame may yet leave it so.
                self.is_candling, self._crept_since_s = False, None
                return True
        elif temp_c > _CANDLED_BELOW_C:
            self.end()
        elif self._crept_since_s is None:
            if rate_c_per_h < pace_c_per_h:
                self._crept_since_s, self._crept_from_c = elapsed_s, temp_c
        else:
            lasted_s = elapsed_s - self._crept_since_s
            moved_c = temp_c - self._crept_from_c
            if moved_c < -_SWINGS_BACK_C or moved_c > _CREEPS_C + pace_c_per_h * lasted_s / 3600.0:
                self._crept_since_s = None
            elif lasted_s >= _CANDLED_S:
                self.is_candling, self._candled_c = True, temp_c
        return False
