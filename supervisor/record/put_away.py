"""A closed firing put away: its readings packed, and summed up for lists and first looks.

Whoever has the record open to write does so when a firing is over; done again it changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable

from supervisor.record.gist import gist_of
from supervisor.record.reviewed import facts_from, new_reviewer, point_from
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.record.summary import Summing


def put_away(record: Record, firing: Firing, pause: Callable[[], None] = lambda: None) -> int:
    """Pack a closed firing and sum it up; how many readings were packed.

    Takes seconds, in which ``pause`` is called now and then: what it raises comes out of here, and
    what was done so far stays done. Raises RecordError if the record is closed meanwhile.
    """
    count = 0
    while more := record.pack_next(firing.id).result():
        count += more
        pause()
    mark = record.summary_mark(firing.id)
    summing = Summing(new_reviewer(record, firing), pause)
    for block in record.blocks(firing.id):
        summing.add(block)
    facts = facts_from(record, firing, summing.reviewer)
    summary = summing.summary(facts)
    if summary is not None:
        pause()
        point = point_from(record, firing, summing.reviewer.trace, facts)
        gist = gist_of(summing.reviewer, facts, point)
        record.keep_summary(firing.id, summary, summing.overview(), gist, mark).result()
    return count
