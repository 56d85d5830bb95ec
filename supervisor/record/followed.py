"""Firings of the record to be compared and followed, from what was summed up of them.

What is not summed up yet is worked out for a comparison, and waits for a trend. Knows where the
record keeps it; works out nothing that is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from supervisor.core.compare.subject import Works, works_of
from supervisor.core.review import FiringFacts, Trace, value_of
from supervisor.core.review.review import FIRED_C
from supervisor.core.trends import FiringPoint, usual_cooling
from supervisor.record.gist import Gist, point_from_line, trace_from, works_from
from supervisor.record.going_on import GoingOn
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import (
    facts_from,
    point_from,
    points_of,
    without_older_probes,
)
from supervisor.record.rows import Firing, SeenFiring


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A firing's facts with its trace and its heat-work by parts."""

    facts: FiringFacts
    trace: Trace
    works: Works


def looked_back(
    record: RecordReader, firing: Firing, going_on: GoingOn | None = None
) -> LookedBack:
    """The firing as it was summed up; else as far as it goes, which takes a second for a day.

    With ``going_on`` only the first time: its trace then grows with what is asked for later.
    """
    gist = record.gist(firing.id)
    if gist is not None:
        if going_on is not None:
            going_on.forget(firing.id)
        return _kept(record, firing, gist)
    reviewer = (going_on or GoingOn()).reviewer_of(record, firing)
    facts = facts_from(record, firing, reviewer)
    return LookedBack(facts, reviewer.trace, works_of(reviewer, facts))


def _kept(record: RecordReader, firing: Firing, gist: Gist) -> LookedBack:
    facts = value_of(FiringFacts, record.facts(firing.id) or {})
    return LookedBack(facts, trace_from(gist.trace, firing.channels), works_from(gist.works))


def followed(
    record: RecordReader, kiln: str, history: Sequence[SeenFiring]
) -> tuple[list[FiringPoint], int]:
    """The points of these firings of a kiln, oldest first, and how many wait to be summed up.

    As ``points_of``, but for the last digits of what is rounded.
    """
    kept = record.points(kiln)
    points: list[FiringPoint] = []
    waiting = 0
    for seen in history:
        firing = seen.firing
        if firing.is_open:
            continue
        line = kept.get(firing.id)
        if line is None:
            waiting += record.extent(firing.id) is not None
            continue
        _add(points, record, seen, line)
    return points, waiting


def all_followed(
    record: RecordReader,
    kiln: str,
    history: Sequence[SeenFiring],
    on_done: Callable[[int], None] | None = None,
) -> list[FiringPoint]:
    """The same for who has the time: what is not summed up yet is worked out, a second for each.

    ``on_done`` is told how many have been looked at.
    """
    kept = record.points(kiln)
    points: list[FiringPoint] = []
    for count, seen in enumerate(history, start=1):
        line = kept.get(seen.firing.id)
        if line is None:
            points += points_of(record, [seen], before=points)
        elif not seen.firing.is_open:
            _add(points, record, seen, line)
        if on_done is not None:
            on_done(count)
    return points


def _add(points: list[FiringPoint], record: RecordReader, seen: SeenFiring, line: str) -> None:
    """One more point from what was kept, unless the kiln never was hot in it."""
    point = point_from_line(line)
    if point.peak_c is None or point.peak_c < FIRED_C:
        return
    firing, usual = seen.firing, usual_cooling(points)
    if point.heating is None and point.plan is not None and usual is not None:
        # It may show no cooling of its own; that of the firing before it does as well.
        gist = record.gist(firing.id)
        if gist is not None:
            back = _kept(record, firing, gist)
            point = point_from(record, firing, back.trace, back.facts, usual)
    points.append(without_older_probes(point, seen))
