"""A firing that goes on, taken in as far as it went: what is asked again reads only what is new.

Remembers one firing, the last that was asked for; not for two threads at once. Knows the record
and a reviewer; works nothing out.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.review import Reviewer
from supervisor.core.watch.settings import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.papers import OFTEN_S
from supervisor.record.reviewed import new_reviewer, settings_at_end, thinned
from supervisor.record.rows import Firing


@dataclass(slots=True)
class _TakenIn:
    firing_id: str
    settings: WatchSettings
    reviewer: Reviewer
    last_s: float | None = None


class GoingOn:
    """Gives the reviewer of a firing that is not summed up yet, with all readings on the disk."""

    def __init__(self) -> None:
        self._known: _TakenIn | None = None

    def reviewer_of(self, record: RecordReader, firing: Firing) -> Reviewer:
        """The firing's readings, one in five seconds, taken in. Raises RecordError."""
        known, settings = self._known, settings_at_end(record, firing)
        if known is None or known.firing_id != firing.id or known.settings != settings:
            known = _TakenIn(firing.id, settings, new_reviewer(record, firing))
        # Until all of it is taken in, none of it is known.
        self._known = None
        for reading in thinned(record.readings(firing.id, from_s=known.last_s), OFTEN_S):
            known.reviewer.feed(reading)
            known.last_s = reading.elapsed_s
        self._known = known
        return known.reviewer

    def forget(self, firing_id: str) -> None:
        """Let the memory go: the firing is summed up."""
        if self._known is not None and self._known.firing_id == firing_id:
            self._known = None
