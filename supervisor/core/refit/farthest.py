"""How far a plan is from the record that it repeats. Knows points and a timeline."""

from __future__ import annotations

from bisect import bisect_right

from supervisor.core.refit.course import Points
from supervisor.core.schedule.timeline import Timeline


def farthest(timeline: Timeline, up: Points, begun_s: float) -> tuple[float, float]:
    """How far the plan is from the record at the most, until its peak is over, and when."""
    worst_c, worst_s = 0.0, begun_s
    first = 0
    for step in timeline.steps:
        until = bisect_right(up.at_s, begun_s + step.end_s, first)
        for at_s, temp_c in zip(up.at_s[first:until], up.temp_c[first:until], strict=True):
            off_c = abs(step.temp_at(at_s - begun_s, timeline.shed_c) - temp_c)
            if off_c > worst_c:
                worst_c, worst_s = off_c, at_s
        first = until
    return worst_c, worst_s
