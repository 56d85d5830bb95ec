"""Keeps one firing: every reading through the watch and into the record, alerts into the outbox.

Called from the event loop only. Knows nothing of pages or brokers: who wants to know of news
hands in ``on_news``.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable, Iterable
from dataclasses import replace

from supervisor.core.alerts import Alert, AlertBook, AlertChange
from supervisor.core.errors import InputError
from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.rows import Firing, NewMessage, Note
from supervisor.record.store import Record
from supervisor.record.writer import Pending
from supervisor.service.clock import Clock

_TURN_AFTER = 500
"""Readings between two turns of the event loop while a firing is resumed."""


class Keeper:
    """One firing from its first reading to its last, over any number of restarts."""

    def __init__(
        self,
        record: Record,
        firing: Firing,
        schedule: Schedule,
        settings: WatchSettings,
        clock: Clock,
        *,
        alerts_topic: str | None,
        on_news: Callable[[list[Event]], None],
        on_messages: Callable[[], None],
        on_failure: Callable[[BaseException], None],
    ) -> None:
        """``alerts_topic`` is None where no messages are to be delivered.

        ``on_news`` is called after each reading with its events. From the record's thread,
        ``on_messages`` is called when messages are on disk and wait to be delivered, and
        ``on_failure`` when the record could not keep what it was given.
        """
        self.record = record
        self.firing = firing
        self.schedule = schedule
        self.settings = settings
        self.clock = clock
        self.watch = Watch(schedule, firing.channels, settings)
        self.is_open = firing.is_open
        self.last_reading: Reading | None = None
        self.last_value_real_s: float | None = None
        self._alerts_topic = alerts_topic
        self._on_news = on_news
        self._on_messages = on_messages
        self._on_failure = on_failure
        self.book = AlertBook(firing.id, firing.kiln, record.alerts(firing.id))
        self.notes: list[Note] = record.notes(firing.id)

    async def resume(self, seen: Callable[[Reading], None]) -> int:
        """Run the recorded readings through the watch again; how many there were.

        What the watch says after the last recorded event is added to the record. ``seen`` is
        shown each reading. The event loop gets its turn in between.
        """
        count = 0
        known = set(self.record.event_lines(self.firing.id))
        told_until_s = max((json.loads(line)["elapsed_s"] for line in known), default=float("-inf"))
        missed: list[Event] = []
        is_cold = False
        for reading in self.record.readings(self.firing.id):
            count += 1
            if count % _TURN_AFTER == 0:
                await asyncio.sleep(0)
            seen(reading)
            for event in self.watch.feed(reading):
                is_cold = is_cold or event.kind is Kind.COOL_TO_OPEN
                # What was told under older rules stays as it was told.
                if event.elapsed_s >= told_until_s and event.to_json() not in known:
                    missed.append(event)
            self.last_reading = reading
        if missed or is_cold:
            self._keep(missed, ends=is_cold)
        return count

    def accept(self, reading: Reading) -> None:
        """Take in one reading: label it where it has no label, record it, watch it."""
        if self.last_reading is not None and reading.elapsed_s <= self.last_reading.elapsed_s:
            return
        if reading.time is None:
            reading = replace(reading, time=self.clock.label(reading.elapsed_s))
        self.last_reading = reading
        if any(temp_c is not None for temp_c in reading.temps_c.values()):
            self.last_value_real_s = self.clock.real_s()
        events = self.watch.feed(reading)
        if self.is_open:
            self.record.append(self.firing.id, reading)
        if events:
            # A closed firing takes no more readings, but a warning is still a warning.
            ends = self.is_open and any(event.kind is Kind.COOL_TO_OPEN for event in events)
            self._keep(events, ends=ends)
        self._on_news(events)

    def close(self) -> None:
        """End the firing in the record; nothing more of it is kept."""
        if self.is_open:
            self._keep([], ends=True)

    def _keep(self, events: list[Event], *, ends: bool = False) -> None:
        changes = [change for event in events if (change := self.book.take(event)) is not None]
        closes_at = None
        if ends:
            self.is_open = False
            last = self.last_reading
            closes_at = (0.0, None) if last is None else (last.elapsed_s, last.time)
        pending = self.record.add_events(
            self.firing.id,
            events,
            alerts=_latest(changes),
            messages=self._messages(changes),
            closes_at=closes_at,
        )
        pending.when_kept(self._on_messages)
        pending.when_failed(self._on_failure)

    def _messages(self, changes: Iterable[AlertChange]) -> list[NewMessage]:
        topic = self._alerts_topic
        if topic is None:
            return []
        label = self.clock.label(self.clock.elapsed_s())
        return [NewMessage(topic, c.message_json(), created_label=label) for c in changes]

    def now(self) -> tuple[float, str]:
        """The firing's time of this instant and its label."""
        elapsed_s = self.clock.elapsed_s()
        if self.last_reading is not None:
            elapsed_s = max(elapsed_s, self.last_reading.elapsed_s)
        return elapsed_s, self.clock.label(elapsed_s)

    def acknowledge(self, alert_id: str, by: str | None) -> Pending[None] | None:
        """Note that a person has seen the alert; None when that was known already.

        Raises InputError for an id that this firing does not have.
        """
        elapsed_s, label = self.now()
        change = self.book.acknowledge(alert_id, by or "page", elapsed_s, label)
        if change is None:
            return None
        pending = self.record.acknowledge(self.firing.id, change.alert, self._messages((change,)))
        pending.when_kept(self._on_messages)
        pending.when_failed(self._on_failure)
        return pending

    async def add_note(self, text: str, by: str | None, client_id: str | None = None) -> Note:
        """Write a note at this instant; it is on disk when this returns.

        The same ``client_id`` again gives the note that was written then.

        Raises InputError for an empty or endless note, RecordError when it can't be written.
        """
        if not text.strip():
            raise InputError("the note is empty")
        elapsed_s, label = self.now()
        note = await self.record.add_note(
            self.firing.id, elapsed_s, text, by=by, time=label, client_id=client_id
        )
        if note not in self.notes:
            self.notes.append(note)
        return note


def _latest(changes: Iterable[AlertChange]) -> list[Alert]:
    """Each changed alert once, as it stands now."""
    return list({change.alert.id: change.alert for change in changes}.values())
