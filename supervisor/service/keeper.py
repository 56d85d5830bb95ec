"""Keeps one firing: every reading through the watch and into the record, alerts into the outbox.

Called from the event loop only. Knows nothing of pages or brokers: who wants to know of news
hands in ``on_news``.
"""

from __future__ import annotations

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
    ) -> None:
        """``alerts_topic`` is None where no messages are to be delivered.

        ``on_news`` is called after each reading with its events; ``on_messages`` from the
        record's thread when messages are on disk and wait to be delivered.
        """
        self.record = record
        self.firing = firing
        self.schedule = schedule
        self.settings = settings
        self.clock = clock
        self.watch = Watch(schedule, firing.channels, settings)
        self.is_open = firing.is_open
        self.last_reading: Reading | None = None
        self.last_reading_real_s: float | None = None
        self._alerts_topic = alerts_topic
        self._on_news = on_news
        self._on_messages = on_messages
        self.book = AlertBook(firing.id, firing.kiln, record.alerts(firing.id))
        self.notes: list[Note] = record.notes(firing.id)

    def resume(self, seen: Callable[[Reading], None]) -> int:
        """Run the recorded readings through the watch again; how many there were.

        What the watch says of them is compared with the record, and what is missing there is
        added. ``seen`` is shown each reading.
        """
        count = 0
        missed: list[Event] = []
        known = set(self.record.event_lines(self.firing.id))
        for reading in self.record.readings(self.firing.id):
            count += 1
            seen(reading)
            missed += [e for e in self.watch.feed(reading) if e.to_json() not in known]
            self.last_reading = reading
        if missed:
            self._keep(missed)
        return count

    def accept(self, reading: Reading) -> None:
        """Take in one reading: label it where it has no label, record it, watch it."""
        if reading.time is None:
            reading = replace(reading, time=self.clock.label(reading.elapsed_s))
        if self.last_reading is not None and reading.elapsed_s <= self.last_reading.elapsed_s:
            return
        self.last_reading = reading
        self.last_reading_real_s = self.clock.real_s()
        events = self.watch.feed(reading)
        if self.is_open:
            self.record.append(self.firing.id, reading)
            if events:
                self._keep(events)
            if any(event.kind is Kind.COOL_TO_OPEN for event in events):
                self.close()
        self._on_news(events)

    def close(self) -> None:
        """End the firing in the record; the watch may go on, but nothing more is kept."""
        if self.is_open:
            self.is_open = False
            last = self.last_reading
            ended_s = 0.0 if last is None else last.elapsed_s
            self.record.close_firing(self.firing.id, ended_s, None if last is None else last.time)

    def _keep(self, events: list[Event]) -> None:
        changes = [change for event in events if (change := self.book.take(event)) is not None]
        pending = self.record.add_events(
            self.firing.id,
            events,
            alerts=_latest(changes),
            messages=self._messages(changes),
        )
        pending.when_done(self._on_messages)

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
        pending.when_done(self._on_messages)
        return pending

    async def add_note(self, text: str, by: str | None) -> Note:
        """Write a note at this instant; it is on disk when this returns.

        Raises InputError for an empty or endless note, RecordError when it can't be written.
        """
        if not text.strip():
            raise InputError("the note is empty")
        elapsed_s, label = self.now()
        note = await self.record.add_note(self.firing.id, elapsed_s, text, by=by, time=label)
        self.notes.append(note)
        return note


def _latest(changes: Iterable[AlertChange]) -> list[Alert]:
    """Each changed alert once, as it stands now."""
    return list({change.alert.id: change.alert for change in changes}.values())
