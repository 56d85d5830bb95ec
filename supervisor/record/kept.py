"""A closed firing looked back on from what was summed up of it, with the notes and looks of now.

Reads no reading. Knows where the record keeps it; works nothing out.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.review import FiringFacts, Trace, value_of
from supervisor.core.review.retold import retold
from supervisor.record.gist import trace_from
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import readable_plan_of, told_of
from supervisor.record.rows import Firing


@dataclass(frozen=True, slots=True)
class Kept:
    """A firing's facts and its trace."""

    facts: FiringFacts
    trace: Trace


def kept_of(record: RecordReader, firing: Firing) -> Kept | None:
    """None where the readings are needed: it goes on, is not summed up yet, or its trace does not
    tell what looks that were written since are worth."""
    summed_up = record.summed_up(firing.id)
    if summed_up is None:
        return None
    facts = value_of(FiringFacts, summed_up.facts)
    trace = trace_from(summed_up.gist.trace, firing.channels)
    if not summed_up.is_latest:
        anew = retold(facts, trace, readable_plan_of(firing), *told_of(record, firing))
        if anew is None:
            return None
        facts = anew
    return Kept(facts, trace)
