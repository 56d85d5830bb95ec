"""How even a kiln of several channels was. Knows channels, and nothing of where they stand."""

from __future__ import annotations

import math
from collections.abc import Sequence

from supervisor.core.review.facts import ChannelCones, EvennessAt, EvennessFacts, PeakFacts
from supervisor.core.review.trace import Trace

HOT_C = 600.0
"""Below, a kiln is uneven for a while and nobody minds; as the watch's own (common practice)."""
EVERY_S = 900.0


def evenness_of(
    trace: Trace, peak: PeakFacts, cones: Sequence[ChannelCones]
) -> EvennessFacts | None:
    """None for a kiln of one channel, or where no two could be believed at once."""
    end = trace.place(peak.hold_to_s)
    names = trace.channels
    worst: EvennessAt | None = None
    over_time: list[EvennessAt] = []
    total_c, count, next_s = 0.0, 0, -math.inf
    for i in range(end + 1):
        if trace.kiln_c[i] < HOT_C:
            continue
        at = _at(trace, names, i)
        if at is None:
            continue
        total_c, count = total_c + at.apart_c, count + 1
        if worst is None or at.apart_c > worst.apart_c:
            worst = at
        if at.at_s >= next_s:
            over_time.append(at)
            next_s = at.at_s + EVERY_S
    if worst is None:
        return None
    at_peak_c = _at_peak(trace, peak)
    # What failed before the peak has the heat-work of a part of the firing.
    with_place = [
        (one.place, one.channel)
        for one in cones
        if one.place is not None and one.channel in at_peak_c
    ]
    hottest, coolest = max(with_place, default=None), min(with_place, default=None)
    is_told = len(with_place) > 1 and hottest is not None and coolest is not None
    return EvennessFacts(
        worst=worst,
        mean_c=total_c / count,
        at_peak_c=at_peak_c,
        peak_apart_c=max(at_peak_c.values()) - min(at_peak_c.values()) if at_peak_c else None,
        cones_apart=hottest[0] - coolest[0] if is_told and hottest and coolest else None,
        hottest=hottest[1] if is_told and hottest else None,
        coolest=coolest[1] if is_told and coolest else None,
        over_time=tuple(over_time),
    )


def _at(trace: Trace, names: Sequence[str], i: int) -> EvennessAt | None:
    seen = [(c, name) for name in names if (c := trace.channels_c[name][i]) is not None]
    if len(seen) < 2:
        return None
    hottest, coolest = max(seen), min(seen)
    return EvennessAt(
        trace.at_s[i], trace.kiln_c[i], hottest[0] - coolest[0], hottest[1], coolest[1]
    )


def _at_peak(trace: Trace, peak: PeakFacts) -> dict[str, float]:
    """How far each channel was from the mean of all, over the peak's hold."""
    start, end = trace.place(peak.hold_from_s), trace.place(peak.hold_to_s)
    means: dict[str, float] = {}
    for name, values in trace.channels_c.items():
        seen = [c for c in values[start : end + 1] if c is not None]
        if seen:
            means[name] = math.fsum(seen) / len(seen)
    if len(means) < 2:
        return {}
    middle_c = math.fsum(means.values()) / len(means)
    return {name: c - middle_c for name, c in means.items()}
