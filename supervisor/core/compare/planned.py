"""A plan as if it had been fired to the second, to hold a firing against.

What the plan leaves to the kiln (a step without a rate at its end, the cooling after it) is a
guess, and is no part of the comparison.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from supervisor.core.compare.subject import Subject, works_of
from supervisor.core.readings import Reading
from supervisor.core.review import Reviewer
from supervisor.core.schedule import Schedule, Timeline

PLAN = "the plan"
_EVERY_S = 30.0


def planned_subject(schedule: Schedule, start_c: float | None = None) -> Subject:
    """The plan from the temperature at which the firings began."""
    timeline = Timeline(schedule) if start_c is None else Timeline(schedule, start_c)
    reviewer = Reviewer((PLAN,), schedule)
    for at_s, temp_c in _line(timeline):
        reviewer.feed(Reading(at_s, {PLAN: temp_c}))
    facts = reviewer.facts()
    trace = reviewer.trace
    last = max(
        (step.end_s for step in timeline.steps if step.rate_c_per_h is not None), default=0.0
    )
    label = f"the plan “{schedule.name}”"
    return Subject(PLAN, label, facts, trace, works_of(reviewer, facts), is_plan=True, until_s=last)


def _line(timeline: Timeline) -> Iterator[tuple[float, float]]:
    for n in range(math.ceil(timeline.total_s / _EVERY_S)):
        yield n * _EVERY_S, timeline.at(n * _EVERY_S)
    yield timeline.total_s, timeline.steps[-1].to_c
    yield from timeline.cooling(_EVERY_S)
