"""Legs that the tolerance does not need are left out: corners may lie off the record.

A kiln that hops at the end of a hold is met by a hold that ends some minutes sooner. Each try is
given up at the first point that is too far off, and only what comes after the leg that was left
out is looked at, for before it nothing changes.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from supervisor.core.refit.course import Points
from supervisor.core.refit.legs import Leg, step_of
from supervisor.core.units import Unit

_SOONER_S = (60.0, 120.0, 180.0, 240.0)
_MOST_MERGED = 60
"""More legs are the swings of a fire, and want a wider tolerance."""


@dataclass(frozen=True, slots=True)
class _Here:
    """How far a plan has come after some of its legs.

    ``now_s`` is on the firing's clock, ``at_s`` on the plan's; ``point`` is the first of the
    record's that is not behind it, ``off_c`` the farthest that it was from one.
    """

    now_s: float
    at_s: float
    now_c: float
    point: int
    off_c: float


def merged(legs: list[Leg], up: Points, units: Unit, within_c: float) -> list[Leg]:
    """The legs of the climb ``up`` that are needed to stay within ``within_c`` of it.

    One or two are left out at a time, those that cost least.
    """
    if len(legs) > _MOST_MERGED:
        return legs
    begins = _Here(up.at_s[0], 0.0, up.temp_c[0], 0, 0.0)
    while len(legs) > 1:
        after = [begins]
        for leg in legs:
            after.append(_gone(after[-1], leg, up, units, math.inf))
        best, best_c = None, within_c
        for kept, fewer in _with_fewer(legs):
            off_c = _off(after[kept], fewer[kept:], up, units, best_c)
            if off_c < best_c or (best is None and off_c <= within_c):
                best, best_c = fewer, off_c
        if best is None:
            return legs
        legs = best
    return legs


def _with_fewer(legs: list[Leg]) -> Iterator[tuple[int, list[Leg]]]:
    """The legs without one that has no hold, or without two of a zigzag; how many stay the same
    before it."""
    for n in range(len(legs) - 1):
        for count in (1, 2):
            gone = legs[n : n + count]
            if n + count >= len(legs) or any(leg.end_s > leg.reach_s for leg in gone):
                break
            before, after = legs[:n], legs[n + count :]
            yield n, [*before, *after]
            if before and before[-1].end_s - before[-1].reach_s >= 2.0 * _SOONER_S[-1]:
                held = before[-1]
                for sooner_s in _SOONER_S:
                    shorter = replace(held, end_s=held.end_s - sooner_s)
                    yield n - 1, [*before[:-1], shorter, *after]


def _off(here: _Here, legs: Sequence[Leg], up: Points, units: Unit, most_c: float) -> float:
    """How far the plan is off, which goes on from ``here`` with these legs; beyond ``most_c`` the
    first that is will do."""
    for leg in legs:
        if here.off_c > most_c:
            break
        here = _gone(here, leg, up, units, most_c)
    return here.off_c


def _gone(here: _Here, leg: Leg, up: Points, units: Unit, most_c: float) -> _Here:
    """Where it is after one more leg; no farther than the first point beyond ``most_c``."""
    is_given = here.at_s == 0.0 and leg.reach_s <= up.at_s[0]
    step, now_s = step_of(leg, here.now_s, here.now_c, units, is_given=is_given)
    from_c, to_c, rate = here.now_c, step.to_c, step.rate_c_per_h
    assert rate is not None  # noqa: S101 - a climb is not left to the kiln
    reach_s = here.at_s + abs(to_c - from_c) / rate * 3600.0
    end_s = reach_s + step.hold_s
    point, off_c, begun_s = here.point, here.off_c, up.at_s[0]
    until = bisect_right(up.at_s, begun_s + end_s, point)
    rise_c, move_s, start_s = to_c - from_c, reach_s - here.at_s, here.at_s
    for at_s, temp_c in zip(up.at_s[point:until], up.temp_c[point:until], strict=True):
        plan_s = at_s - begun_s
        planned_c = to_c if plan_s >= reach_s else from_c + (plan_s - start_s) / move_s * rise_c
        apart_c = abs(planned_c - temp_c)
        if apart_c > off_c:
            off_c = apart_c
            if off_c > most_c:
                break
    return _Here(now_s, end_s, to_c, until, off_c)
