"""A kiln that was let go and does not cool: it is heated. Knows the last hours of its fall."""

from __future__ import annotations

from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import FINISHED
from supervisor.core.watch.sensitivity import noise_limit_c
from supervisor.core.watch.step_end import NEAR_C

_SLOWEST_PER_H, _HOT_C = 1.0 / 40.0, 400.0
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
_STANDS_AT_TOP_S, _KEPT_AT_TOP_S, _KEPT = 3600.0, 2400.0, 0.3
"""Nobody has seen a kiln let go that stands where its plan ended: perhaps somebody holds it there
until the cones are down. A controller of an electric kiln that keeps its plan closely holds as long
as it was told, by a count that begins as much later than ours as the last degrees of the climb
take."""
_RISES_C = 2.0
"""What rises by less does not climb (common practice, no source)."""
_STOOD_PART = 0.8
"""And for this part of it without a fall: what comes back by a few degrees in minutes does not."""
SURELY_LET_GO_C, _ABOVE_FOOT_C = 15.0, 40.0
"""So far has a kiln fallen that was let go, and so far above the foot of a cooling no controller
holds it."""


class Standing:
    """How far a kiln that should cool is behind the slowest cooling there is, in °C.

    ``scale`` is that of the sensitivity, ``sigmas`` how many deviations of noise are believed.
    """

    __slots__ = (
        "_behind_c",
        "_has_fallen",
        "_high_c",
        "_level_c",
        "_own_per_h",
        "_risen_s",
        "_scale",
        "_sigmas",
        "_since_s",
        "_stands_since_s",
    )

    def __init__(self, sigmas: float, scale: float) -> None:
        self._sigmas, self._scale = sigmas, scale
        self.begins(0.0, 0.0)

    def begins(self, elapsed_s: float, temp_c: float) -> None:
        """A step of the plan, or what comes after the last, begins at ``temp_c``."""
        self._since_s = self._stands_since_s = elapsed_s
        self._high_c, self._behind_c = temp_c, 0.0
        self._level_c, self._risen_s = temp_c, elapsed_s
        """Where the kiln is, give or take a little, and when it last rose from there."""
        self._has_fallen = False
        self._own_per_h: float | None = None
        """What the kiln, since it was let go, loses of its excess over the shed in an hour."""

    def forget(self) -> None:
        """That it stood says nothing any more."""
        self._behind_c = 0.0

    def look(
        self, moment: Moment, temp_c: float, *, says_nothing: bool, by_hand: bool = False
    ) -> bool:
        """Whether the kiln has clearly not cooled as one does that has no heat; ``says_nothing``
        where something else explains that, ``by_hand`` where it may be a hand that heats it."""
        self._look_whether_it_rises(moment.elapsed_s, temp_c)
        if temp_c > self._high_c:
            self._high_c = temp_c
        if temp_c < _HOT_C or says_nothing:
            self._behind_c = 0.0
            return False
        least_c_per_s = self.slowest_per_h * (temp_c - moment.ambient_c) / 3600.0
        if self._has_fallen:
            self._learn(moment, temp_c - moment.ambient_c)
        if self._behind_c <= 0.0:
            self._stands_since_s = moment.elapsed_s - moment.moved_s
        behind_c = max(self._behind_c + moment.moved_c + least_c_per_s * moment.moved_s, 0.0)
        if self._high_c - temp_c >= SURELY_LET_GO_C and not self._has_fallen:
            # What it stood at its top says nothing any more.
            self._has_fallen, behind_c = True, 0.0
        if behind_c == 0.0:
            self._behind_c = 0.0
            return False
        stands_s = _STANDS_S[moment.kiln_kind]
        if moment.kiln_kind is None:
            # Whoever works it by hand may have worked it with wood.
            stands_s += moment.habits.looseness * (_STANDS_AT_TOP_S - stands_s)
        if by_hand:
            stands_s = _STANDS_AT_TOP_S
        stands_s *= self._scale
        if self._high_c - temp_c < SURELY_LET_GO_C:
            stands_s = max(stands_s, self._at_top_s(moment))
            if moment.elapsed_s - self._since_s < stands_s:
                # It may come up to its top only now.
                behind_c = min(behind_c, least_c_per_s * (moment.elapsed_s - self._since_s))
        if by_hand or moment.habits.looseness > _KEPT:
            # It was late, and may come up to its top only now, or stand on its way there; or
            # somebody heats it once more.
            top_c, hold_s = _ended(moment)
            stood_s = max(moment.elapsed_s - self._risen_s - hold_s, 0.0)
            is_short = not self._has_fallen and temp_c < top_c - NEAR_C
            behind_c = 0.0 if is_short else min(behind_c, least_c_per_s * stood_s)
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, least_c_per_s)
        limit_c = max(least_c_per_s * stands_s, noise_c)
        self._behind_c = min(behind_c, least_c_per_s * _STANDS_AT_TOP_S + noise_c)
        has_stood = moment.elapsed_s - self._stands_since_s >= _STOOD_PART * stands_s
        if not has_stood or behind_c < limit_c or self._falls_by_itself(moment, temp_c):
            return False
        return should_fall(moment, temp_c)

    def _look_whether_it_rises(self, elapsed_s: float, temp_c: float) -> None:
        if temp_c < self._level_c - _RISES_C:
            self._level_c = temp_c
        elif temp_c > self._level_c + _RISES_C:
            self._level_c, self._risen_s = temp_c, elapsed_s

    def outstays(self, moment: Moment, temp_c: float) -> bool:
        """Whether the kiln is still in a hold that was complete long ago, and that it was to be let
        go from."""
        self._look_whether_it_rises(moment.elapsed_s, temp_c)
        plan, step = moment.plan, moment.plan.step
        complete_s = plan.hold_complete_s
        if complete_s is None or step is None or step.to_c < _HOT_C:
            return False
        since_s = max(complete_s, self._risen_s + step.hold_s)
        if moment.elapsed_s - since_s < self._at_top_s(moment) * self._scale:
            return False
        following = plan.timeline.steps[step.index + 1 : step.index + 2]
        return all(step.rate_c_per_h is None for step in following)

    @staticmethod
    def _at_top_s(moment: Moment) -> float:
        is_kept = moment.kiln_kind == "electric" and moment.habits.looseness < _KEPT
        return _KEPT_AT_TOP_S if is_kept else _STANDS_AT_TOP_S

    def _falls_by_itself(self, moment: Moment, temp_c: float) -> bool:
        """Whether it falls now as it has by itself: it has but come back from a chill."""
        own_per_h = self._own_per_h
        if own_per_h is None:
            return False
        return -moment.rate_c_per_h > _OWN_PART * own_per_h * (temp_c - moment.ambient_c)

    def _learn(self, moment: Moment, excess_c: float) -> None:
        """What the kiln loses by itself, over the last hours or since it was let go."""
        moved_h = moment.moved_s / 3600.0
        if moved_h <= 0.0:
            return
        seen_per_h = -moment.moved_c / excess_c / moved_h
        own_per_h = self._own_per_h
        if own_per_h is None:
            self._own_per_h = max(seen_per_h, _SLOWEST_PER_H / _OWN_PART)
        else:
            own_per_h += moment.moved_s / _OWN_S * (seen_per_h - own_per_h)
            self._own_per_h = max(own_per_h, _LEAST_OWN_PER_H)

    @property
    def slowest_per_h(self) -> float:
        """What the kiln loses at least of its excess over the shed in an hour, without heat."""
        own_per_h = self._own_per_h
        return _SLOWEST_PER_H if own_per_h is None else min(_SLOWEST_PER_H, _OWN_PART * own_per_h)


def _ended(moment: Moment) -> tuple[float, float]:
    """Where the kiln was to be let go, in °C, and how long the plan holds there."""
    plan, step = moment.plan, moment.plan.step
    if step is not None and step.cools and step.index > 0:
        step = plan.timeline.steps[step.index - 1]
    return (0.0, 0.0) if step is None else (step.to_c, step.hold_s)


def should_fall(moment: Moment, temp_c: float) -> bool:
    """Whether the kiln is where its plan leaves it without heat, or next to none."""
    plan = moment.plan
    if plan.activity is FINISHED:
        return True
    step = plan.step
    if step is None or temp_c < step.to_c + _ABOVE_FOOT_C:
        return False
    rate_c_per_h = step.rate_c_per_h
    slowest_c_per_h = _SLOWEST_PER_H * (temp_c - moment.ambient_c)
    return rate_c_per_h is None or rate_c_per_h > 2.0 * slowest_c_per_h
