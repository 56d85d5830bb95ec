"""The plan that repeats a firing, and what changes of its peak do to its heat-work."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from supervisor.core.refit.again import reached
from supervisor.core.refit.plan import Refit, place_of
from supervisor.core.review import ChannelCones, FiringFacts
from supervisor.core.schedule.model import Schedule
from supervisor.core.watch.wording import Words

_MOST_HOLD_S, _MOST_TOP_C = 4 * 3600.0, 60.0
"""Farther from what was fired it is another plan."""


class Changeable:
    """The plan that repeats the firing, and what changes of it do to its heat-work."""

    def __init__(
        self, fitted: Refit, facts: FiringFacts, words: Words, limit_c: float | None
    ) -> None:
        self.fitted, self.facts, self.words, self.limit_c = fitted, facts, words, limit_c
        self.offset_c, self.by_real_cones = offset_of(facts)
        step = fitted.schedule.steps[fitted.peak]
        self.hold_s, self.top_c, self.rate_c_per_h = step.hold_s, step.to_c, step.rate_c_per_h
        self.reached, until_peak = reached(facts)[0], self.place()
        self.after_peak = 0.0
        """What the cooling adds in cones, which no change of the peak changes much."""
        if self.reached is not None and until_peak is not None:
            self.after_peak = self.reached - until_peak

    def place(
        self,
        *,
        hold_s: float | None = None,
        top_c: float | None = None,
        rate_c_per_h: float | None = None,
    ) -> float | None:
        """The heat-work of the plan with another hold, top or last climb."""
        fitted = self.fitted
        step = fitted.schedule.steps[fitted.peak]
        step = replace(
            step,
            hold_s=self.hold_s if hold_s is None else hold_s,
            to_c=self.top_c if top_c is None else top_c,
            rate_c_per_h=self.rate_c_per_h if rate_c_per_h is None else rate_c_per_h,
        )
        steps = fitted.schedule.steps
        changed: Schedule = replace(
            fitted.schedule, steps=(*steps[: fitted.peak], step, *steps[fitted.peak + 1 :])
        )
        return place_of(changed, fitted.peak, fitted.start_c, self.offset_c)

    def hold_for(self, wanted: float, **others: float) -> float | None:
        """The hold at the top that gives so much heat-work, to the minute; None: none does."""

        def place(minutes: int) -> float | None:
            return self.place(hold_s=60.0 * minutes, **others)

        minutes = least_number(place, 0, round((self.hold_s + _MOST_HOLD_S) / 60.0), wanted)
        return None if minutes is None else 60.0 * minutes

    def top_for(self, wanted: float, **others: float) -> float | None:
        """The top that gives so much heat-work, to the degree; None: none near does."""
        base_c = self.top_c

        def place(degrees: int) -> float | None:
            return self.place(top_c=base_c + degrees, **others)

        degrees = least_number(place, -round(_MOST_TOP_C), round(_MOST_TOP_C), wanted)
        return None if degrees is None else base_c + degrees


def least_number(
    place: Callable[[int], float | None], low: int, high: int, wanted: float
) -> int | None:
    """The least whole number from which ``place`` is as much as wanted; it never falls."""

    def is_enough(n: int) -> bool:
        found = place(n)
        return found is not None and found >= wanted

    if is_enough(low) or not is_enough(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if is_enough(middle):
            high = middle
        else:
            low = middle
    return high


def offset_of(facts: FiringFacts) -> tuple[float, bool]:
    """What the cones are calculated with: as the real ones bent, or else what was in force."""
    cones = judged(facts)
    if cones is None:
        return 0.0, False
    looks = [look for look in facts.looks if look.channel == cones.channel and look.counts]
    lows = [look.offset_low_c for look in looks if look.offset_low_c is not None]
    highs = [look.offset_high_c for look in looks if look.offset_high_c is not None]
    if lows and highs:
        return (max(lows) + min(highs)) / 2.0, True
    return cones.offset_c, False


def judged(facts: FiringFacts) -> ChannelCones | None:
    """The channel that leads, or the first beside which real cones told from both sides."""
    for cones in facts.cones:
        if cones.seen_place_low is not None and cones.seen_place_high is not None:
            return cones
    return facts.lead_cones
