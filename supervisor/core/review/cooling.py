"""How the kiln cooled: the ranges that matter, holds on the way, and when it was opened.

That a kiln was opened is told from the kiln itself. A shut one loses its excess over the shed at
a rate that changes slowly (Newton's law of cooling); a fall much faster than its own, some
minutes long, is something that was opened. Looked back on that is surer than at the time; where
the kiln had not shown its own cooling yet, the watch's word counts
(``supervisor.core.watch.detectors.opened_hot``, which knows how lively this kiln is).
"""

from __future__ import annotations

import math
import statistics
from bisect import bisect_left
from collections.abc import Sequence

from supervisor.core.events import Kind
from supervisor.core.review.facts import (
    CoolingFacts,
    Opening,
    Passage,
    PeakFacts,
    StepFacts,
    Trouble,
)
from supervisor.core.review.passages import passage
from supervisor.core.review.trace import GAP_S, Trace
from supervisor.core.watch.shed import SHED_C

CRYSTALS_C = (1100.0, 760.0)
GLAZE_SETS_C = (750.0, 600.0)
QUARTZ_C = (600.0, 530.0)
CRISTOBALITE_C = (280.0, 200.0)
"""The bands of the same names in ``supervisor.core.phases.bands``, which has their sources."""

_SPAN_S = 600.0
"""A rate of cooling is that of ten minutes."""
_SETTLE_S = 1500.0
"""The first fall after the heat is off is that of hot air and elements down to the walls."""
_OWN_S, _LEAST_OWN = 2400.0, 3
"""What is held to be the kiln's own cooling: the median of so long before."""
_FASTER = 1.6
"""So much faster than its own recent cooling nothing gets that stays shut (the watch's own
margin is 1.5; both are common practice, no source)."""
_STILL, _SURELY = 1.3, 3.0
"""What was opened stays open for a while; walls that give back their heat slow the fall down."""
_LEAST_FALL_C = 10.0
"""A fall that goes beyond the shut kiln's by less is a look, or a swing."""
_NEAREST_C = 25.0
"""So near the air's temperature, which nobody measures, a rate tells nothing."""
_DWELL_S = 600.0
_RATE_S = 300.0
_FIRST_C = 100.0
_NOISE_C = 1.0
"""What half minutes of a noisy thermocouple may be off."""


def cooling_of(
    trace: Trace,
    peak: PeakFacts,
    steps: Sequence[StepFacts],
    troubles: Sequence[Trouble] = (),
    *,
    ambient_c: float = SHED_C,
) -> CoolingFacts | None:
    """How the kiln cooled after ``peak``, down to the air at ``ambient_c``.

    ``troubles`` are what the watch told of.

    None where the log ends before the kiln has fallen from its peak."""
    start, end = trace.place(peak.hold_to_s), len(trace) - 1
    if end <= start or trace.kiln_c[end] > peak.level_c - 10.0:
        return None

    steady = trace.steadied()
    dwells = tuple(
        step.actual
        for step in steps
        if step.actual is not None
        and step.planned.to_c < step.planned.from_c
        and step.actual.hold_s >= _DWELL_S
    )
    return CoolingFacts(
        begun_s=peak.hold_to_s,
        from_c=trace.temp_at(peak.hold_to_s),
        end_s=trace.at_s[end],
        end_c=trace.kiln_c[end],
        first_c_per_h=_first_c_per_h(trace, peak, start),
        crystals=_passage(trace, peak, CRYSTALS_C, start),
        glaze_sets=_passage(trace, peak, GLAZE_SETS_C, start),
        quartz=_passage(trace, peak, QUARTZ_C, start),
        cristobalite=_passage(trace, peak, CRISTOBALITE_C, start),
        dwells=dwells,
        opened=_first(
            _opened(steady, start, steps, ambient_c), _told(steady, start, troubles, ambient_c)
        ),
        shut_constant_s=_constant_s(steady, start, ambient_c),
        ambient_c=ambient_c,
    )


def _first(one: Opening | None, other: Opening | None) -> Opening | None:
    """The earlier of two; of one and the same, the first of them, which knows more."""
    if one is None or other is None:
        return one or other
    return other if other.at_s < one.at_s - _OWN_S else one


def _passage(
    trace: Trace, peak: PeakFacts, limits_c: tuple[float, float], start: int
) -> Passage | None:
    if peak.temp_c < limits_c[0]:
        return None
    return passage(trace, *limits_c, start, len(trace) - 1)


def _first_c_per_h(trace: Trace, peak: PeakFacts, start: int) -> float | None:
    seen = passage(trace, peak.level_c, peak.level_c - _FIRST_C, start, len(trace) - 1)
    return None if seen is None else seen.mean_c_per_h


def _losses(trace: Trace, start: int, ambient_c: float) -> list[tuple[int, int, float]]:
    """Spans of the cooling, and the part of its excess that the kiln lost in each, a second.

    None of them crosses a gap in the readings.
    """
    at_s, kiln_c = trace.at_s, trace.kiln_c
    found = []
    i = start
    while i + 1 < len(trace) and kiln_c[i] > (ambient_c + _NEAREST_C):
        j = min(bisect_left(at_s, at_s[i] + _SPAN_S, i + 1), len(trace) - 1)
        if kiln_c[j] <= (ambient_c + _NEAREST_C) - 5.0 or at_s[j] <= at_s[i]:
            break
        widest_s = max(at_s[n + 1] - at_s[n] for n in range(i, j))
        if widest_s <= GAP_S:
            excess = (kiln_c[i] - ambient_c) / (kiln_c[j] - ambient_c)
            found.append((i, j, math.log(excess) / (at_s[j] - at_s[i])))
        i = j
    return found


def _corners_s(steps: Sequence[StepFacts], trace: Trace, start: int) -> list[float]:
    """When the heat was let go, or was meant to be, after which a kiln falls fast for a while."""
    corners = [trace.at_s[start]]
    for step in steps:
        if step.actual is not None:
            corners += [step.actual.reach_s, step.actual.end_s]
    return corners


def _opened(
    trace: Trace, start: int, steps: Sequence[StepFacts], ambient_c: float
) -> Opening | None:
    """The first fall that lasts and that no shut kiln makes."""
    corners_s = _corners_s(steps, trace, start)
    at_s, kiln_c = trace.at_s, trace.kiln_c
    own: list[tuple[float, float]] = []
    losses = _losses(trace, start, ambient_c)
    for n, (i, j, loss_per_s) in enumerate(losses):
        is_settling = any(corner - _SPAN_S < at_s[i] < corner + _SETTLE_S for corner in corners_s)
        if is_settling:
            own.clear()
            continue
        recent = [loss for when_s, loss in own if when_s > at_s[i] - _OWN_S]
        shut_per_s = statistics.median(recent) if len(recent) >= _LEAST_OWN else 0.0
        if shut_per_s > 0.0:
            excess_c = kiln_c[i] - ambient_c
            shut_c = excess_c * -math.expm1(-shut_per_s * (at_s[j] - at_s[i]))
            fell_c = kiln_c[i] - kiln_c[j]
            is_fast = loss_per_s > _FASTER * shut_per_s and fell_c - shut_c > _least_c(excess_c)
            if is_fast and _lasts(losses, n, shut_per_s):
                return _opening(
                    trace, _onset(trace, i, j, shut_per_s, ambient_c), shut_per_s, ambient_c
                )
        own.append((at_s[i], loss_per_s))
    return None


def _lasts(losses: Sequence[tuple[int, int, float]], n: int, shut_per_s: float) -> bool:
    """Whether the next span is fast too; at the end of a log the one must be very fast."""
    if n + 1 == len(losses):
        return losses[n][2] > _SURELY * shut_per_s
    return losses[n + 1][2] > _STILL * shut_per_s


def _opening(trace: Trace, first: int, shut_per_s: float | None, ambient_c: float) -> Opening:
    at_s, kiln_c = trace.at_s, trace.kiln_c
    after = min(bisect_left(at_s, at_s[first] + _RATE_S, first + 1), len(trace) - 1)
    lasted_s = at_s[after] - at_s[first]
    return Opening(
        at_s[first],
        kiln_c[first],
        (kiln_c[first] - kiln_c[after]) / lasted_s * 3600.0 if lasted_s > 0.0 else 0.0,
        None if shut_per_s is None else shut_per_s * (kiln_c[first] - ambient_c) * 3600.0,
    )


def _told(
    trace: Trace, start: int, troubles: Sequence[Trouble], ambient_c: float
) -> Opening | None:
    """The first fall that the watch itself called faster than a shut kiln's."""
    for trouble in troubles:
        is_so = trouble.kind is Kind.FAST_COOLING and trouble.data.get("band") is None
        if is_so and trouble.began_s > trace.at_s[start]:
            return _opening(trace, trace.place(trouble.began_s), None, ambient_c)
    return None


def _least_c(excess_c: float) -> float:
    """Near the shed's temperature a fall is small whatever is opened."""
    return min(_LEAST_FALL_C, max(0.08 * excess_c, 2.0))


def _onset(trace: Trace, i: int, j: int, shut_per_s: float, ambient_c: float) -> int:
    """Where in the span, or just before it, the fall became too fast."""
    at_s, kiln_c = trace.at_s, trace.kiln_c
    places = range(max(i - 10, 0), j)

    def beyond(n: int) -> float:
        """How much farther than a shut kiln it falls from there to the end of the span."""
        excess = (kiln_c[n] - ambient_c) / (kiln_c[j] - ambient_c)
        return math.log(excess) - shut_per_s * (at_s[j] - at_s[n])

    most = max(map(beyond, places))
    # From every earlier point it fell as far beyond, but for the noise: the last one is it.
    return max(n for n in places if beyond(n) >= most - _NOISE_C / (kiln_c[n] - ambient_c))


def _constant_s(trace: Trace, start: int, ambient_c: float) -> float | None:
    """The time constant about 573 °C, where that was passed."""
    kiln_c = trace.kiln_c
    near = [loss for i, j, loss in _losses(trace, start, ambient_c) if 500.0 < kiln_c[i] < 700.0]
    if not near or statistics.median(near) <= 0.0:
        return None
    return 1.0 / statistics.median(near)
