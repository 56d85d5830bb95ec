"""A kiln that was let go and does not cool: it is heated. Knows the last hours of its fall."""

from __future__ import annotations

from supervisor.core.watch.detectors.habits import Swing
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import FINISHED
from supervisor.core.watch.sensitivity import noise_limit_c

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
_STOOD_PART = 0.8
"""And for this part of it without a fall: what comes back by a few degrees in minutes does not."""
SWING_MARGIN, MOST_SWING_C = 1.5, 8.0
"""A controller that swings about a slow cooling lets the kiln stand, or climb, and fall again: what
was seen of that counts so many times, by no more than the second (common practice, no source)."""
SURELY_LET_GO_C, _ABOVE_FOOT_C = 15.0, 40.0
"""So far has a kiln fallen that was let go, and so far above the foot of a cooling no controller
holds it."""


class Standing:
    """How far a kiln that should cool is behind the slowest cooling there is, in °C.

    ``scale`` is that of the sensitivity, ``sigmas`` how many deviations of noise are believed.
    """

    __slots__ = (
        "_behind_c",
        "_farthest_c",
        "_has_fallen",
        "_high_c",
        "_own_per_h",
        "_scale",
        "_sigmas",
        "_since_s",
        "_stands_since_s",
        "_swing",
    )

    def __init__(self, sigmas: float, scale: float) -> None:
        self._sigmas, self._scale = sigmas, scale
        self._swing = Swing(0.0)
        """How far behind it has come lately before it fell again."""
        self.begins(0.0, 0.0)

    def begins(self, elapsed_s: float, temp_c: float) -> None:
        """A step of the plan, or what comes after the last, begins at ``temp_c``."""
        self._since_s = self._stands_since_s = elapsed_s
        self._high_c, self._behind_c, self._farthest_c = temp_c, 0.0, 0.0
        self._has_fallen = False
        self._own_per_h: float | None = None
        """What the kiln, since it was let go, loses of its excess over the shed in an hour."""

    def forget(self) -> None:
        """That it stood says nothing any more."""
        self._behind_c = self._farthest_c = 0.0

    def look(self, moment: Moment, temp_c: float, moved_c: float, *, says_nothing: bool) -> bool:
        """Whether the kiln has clearly not cooled as one does that has no heat; ``says_nothing``
        where something else explains that. It has moved by ``moved_c``, what came back from a
        chill left out."""
        if temp_c > self._high_c:
            self._high_c = temp_c
        if temp_c < _HOT_C or says_nothing:
            self.forget()
            return False
        least_c_per_s = self.slowest_per_h * (temp_c - moment.ambient_c) / 3600.0
        if self._has_fallen:
            self._learn(moment, temp_c - moment.ambient_c)
        if self._behind_c <= 0.0:
            self._stands_since_s = moment.elapsed_s - moment.moved_s
        behind_c = max(self._behind_c + moved_c + least_c_per_s * moment.moved_s, 0.0)
        if self._high_c - temp_c >= SURELY_LET_GO_C and not self._has_fallen:
            # What it stood at its top says nothing any more.
            self._has_fallen, behind_c = True, 0.0
        self._swing.fade(moment.moved_s)
        if behind_c == 0.0:
            self._swing.learn(self._farthest_c, MOST_SWING_C)
            self._behind_c = self._farthest_c = 0.0
            return False
        self._farthest_c = max(self._farthest_c, behind_c)
        stands_s = _STANDS_S[moment.kiln_kind]
        if moment.kiln_kind is None:
            # Whoever works it by hand may have worked it with wood.
            stands_s += moment.habits.looseness * (_STANDS_AT_TOP_S - stands_s)
        stands_s *= self._scale
        if self._high_c - temp_c < SURELY_LET_GO_C:
            is_kept = moment.kiln_kind == "electric" and moment.habits.looseness < _KEPT
            stands_s = max(stands_s, _KEPT_AT_TOP_S if is_kept else _STANDS_AT_TOP_S)
            if moment.elapsed_s - self._since_s < stands_s:
                # It may come up to its top only now.
                behind_c = min(behind_c, least_c_per_s * (moment.elapsed_s - self._since_s))
        noise_c = noise_limit_c(self._sigmas, moment.sigma_c, moment.memory_s, least_c_per_s)
        limit_c = max(least_c_per_s * stands_s, noise_c, self._swings_c(moment))
        self._behind_c = min(behind_c, least_c_per_s * _STANDS_AT_TOP_S + noise_c)
        has_stood = moment.elapsed_s - self._stands_since_s >= _STOOD_PART * stands_s
        if not has_stood or behind_c < limit_c or self._falls_by_itself(moment, temp_c):
            return False
        return should_fall(moment, temp_c)

    def _swings_c(self, moment: Moment) -> float:
        """What a controller does that swings about a cooling which it keeps."""
        step = moment.plan.step
        if moment.plan.activity is FINISHED or step is None or step.rate_c_per_h is None:
            return 0.0
        return SWING_MARGIN * max(self._swing.size, min(moment.habits.swing_c, MOST_SWING_C))

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
