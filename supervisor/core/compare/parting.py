"""Where two firings parted: the first difference that lasts and is more than noise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.compare.aligned import STEP_C, STEP_S, Align, Laid

LEAST_C = 5.0
"""Controllers and fires swing by less (common practice, no source)."""
PLAN_C = 10.0
"""A kiln follows its plan to so much, as the watch has it for overshooting."""
LEAST_S = 300.0
"""Two firings by hand are never alike to five minutes (common practice, no source)."""
_SIGMAS = 5.0
LASTS_S, LASTS_C = 1200.0, 40.0
"""So long, or over so many degrees of the climb, a difference lasts (common practice)."""
_BACK = 0.5


@dataclass(frozen=True, slots=True)
class Parting:
    """A difference that lasts: where it began and ended, and how far it went.

    ``at`` and ``until`` (None: to the end of what both have) are on the common axis: seconds, or
    °C by temperature; ``by`` at the worst, °C or seconds, other less reference, at ``worst_at``.
    ``beyond`` is what a difference must exceed.
    """

    align: Align
    at: float
    until: float | None
    by: float
    worst_at: float
    beyond: float


def beyond(laid: Laid) -> float:
    """What counts as more than noise."""
    least = LEAST_S if laid.align is Align.TEMPERATURE else LEAST_C
    if laid.is_of_plan and laid.align is not Align.TEMPERATURE:
        least = PLAN_C
    return max(least, _SIGMAS * laid.noise) + laid.offset


def partings(laid: Laid) -> tuple[Parting, ...]:
    """Where they parted: once, or from the peak once on the way to it and once after it.

    From the peak the way to it is gone backwards: they part where they last agreed.
    """
    if laid.align is not Align.PEAK:
        found = _first(laid, range(len(laid.at)))
        return () if found is None else (found,)
    zero = next((i for i, at in enumerate(laid.at) if at >= 0.0), len(laid.at))
    before = _first(laid, range(zero - 1, -1, -1))
    after = _first(laid, range(zero, len(laid.at)))
    return tuple(one for one in (before, after) if one is not None)


def farthest(laid: Laid) -> tuple[float, float] | None:
    """Where they are farthest apart before either has left its peak, and by how much.

    Later everything is off by what one of them was late, and that is no news. None from the
    peak, and where they have no climb in common.
    """
    if laid.align is Align.PEAK:
        return None
    places = [i for i, at in enumerate(laid.at) if at <= laid.until]
    if not places:
        return None
    worst = max(places, key=lambda i: abs(laid.by[i]))
    return laid.at[worst], laid.by[worst]


def _first(laid: Laid, places: range) -> Parting | None:
    limit = beyond(laid)
    by_temp = laid.align is Align.TEMPERATURE
    needed = round(LASTS_C / STEP_C) if by_temp else round(LASTS_S / STEP_S)
    order = list(places)
    run = 0
    for n, i in enumerate(order):
        run = run + 1 if run and _is_off(laid, i, limit, laid.by[order[n - 1]]) else 0
        if run == 0 and abs(laid.by[i]) > limit:
            run = 1
        if run >= needed:
            return _parting(laid, order, n - run + 1, limit)
    return None


def _is_off(laid: Laid, place: int, limit: float, beside: float) -> bool:
    """Whether the difference is more than noise, and on the same side as ``beside``."""
    return abs(laid.by[place]) > limit and (laid.by[place] > 0.0) == (beside > 0.0)


def _parting(laid: Laid, order: Sequence[int], start: int, limit: float) -> Parting:
    """The whole stretch, from where it rose out of the noise to where it is back in it."""
    side = laid.by[order[start]]
    end = start
    while end + 1 < len(order) and _is_off(laid, order[end + 1], limit, side):
        end += 1
    worst = max(order[start : end + 1], key=lambda place: abs(laid.by[place]))
    first = start
    while first > 0 and abs(laid.by[order[first - 1]]) > _BACK * limit:
        first -= 1
    until = None if end + 1 == len(order) else laid.at[order[end + 1]]
    return Parting(laid.align, laid.at[order[first]], until, laid.by[worst], laid.at[worst], limit)
