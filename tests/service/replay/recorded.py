"""A firing in a record whose climb dies for a while, for the tests of what is played."""

from __future__ import annotations

from supervisor.core.readings import Reading
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import begin, night

NOTE_S = 7.5 * 3600.0


def readings() -> tuple[Reading, ...]:
    """Nine and a half hours: the climb dies after seven, and goes on 40 minutes later."""
    return night("tripped-breaker")[:1700]


def record_a_stall(record: Record) -> Firing:
    """The firing, with a note in the middle of its stall."""
    firing = begin(record)
    for reading in readings():
        record.append(firing.id, reading)
    record.add_note(firing.id, NOTE_S, "Reset the breaker.", by="Ada").result(10.0)
    record.close_firing(firing.id, readings()[-1].elapsed_s).result(10.0)
    return firing
