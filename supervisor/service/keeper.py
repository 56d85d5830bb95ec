"""Keeps one firing: every reading through the watch and into the record, alerts into the outbox.

Called from the event loop only. Knows nothing of pages or brokers: who wants to know of news
hands in ``on_news``.
"""

from __future__ import annotations

import asyncio
import json
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from supervisor.core.alerts import AlertBook, AlertChange, AlertRules, Now
from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.events import Event, Kind
from supervisor.core.heatwork import Correction
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.readings import Reading
from supervisor.core.reasons import Reason
from supervisor.core.schedule import Schedule
from supervisor.core.schedule.parse import named_cone
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.wording import Words
from supervisor.messaging.destinations import Destination
from supervisor.record.rows import Firing, KeptObservation, Mode, Note, OffsetChange
from supervisor.record.store import Record
from supervisor.record.writer import Pending
from supervisor.service.blind import Blind
from supervisor.service.clock import STEPPED_S, Clock, label_now
from supervisor.service.clock_trust import is_label_believed
from supervisor.service.posting import NO_LONGER_WATCHED, latest, messages_of
from supervisor.service.wall import minute_of_label

COLD = "Over with the firing: the kiln is cool enough to open."
OF_THE_SENSORS = frozenset({Kind.SENSOR_FAULT, Kind.NO_READINGS})
"""What a cold kiln does not end: it is worth mending before the next firing."""
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
        destinations: Sequence[Destination],
        on_news: Callable[[list[Event]], None],
        on_messages: Callable[[], None],
        on_failure: Callable[[BaseException], None],
        rules: AlertRules | None = None,
        minute_of: Callable[[str], int | None] = minute_of_label,
        shifts_c: Mapping[str, float] | None = None,
        is_armed: bool = False,
    ) -> None:
        """``destinations`` are whom messages go to, ``rules`` when. ``minute_of`` gives, for the
        label of now, the local minute of the day, or None where that can't be believed.
        ``shifts_c`` has, by channel, what is added to every value of the source, where that is
        not 0. ``is_armed`` says that the log has not begun: readings are watched, and not recorded.

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
        self.is_armed = is_armed
        kept_blind = record.blind(firing.id)
        self.blind = None if kept_blind is None else Blind.from_json(kept_blind)
        """When nobody watched last, also before a restart; it matters as long as the firing."""
        self.blind_is_settled = self.blind is not None and self.blind.lasted_s is not None
        """Whether no clock of this run can tell more of it."""
        self.last_reading: Reading | None = None
        self.last_value_real_s: float | None = None
        self._shifts_c = dict(shifts_c or {})
        self._destinations = tuple(destinations)
        self._minute_of = minute_of
        self._on_news = on_news
        self._on_messages = on_messages
        self._on_failure = on_failure
        self.book = AlertBook(
            firing.id,
            firing.kiln,
            record.alerts(firing.id),
            rules=rules,
            words=Words(settings.units),
            kiln_kind=settings.kiln_kind,
            kept=record.alert_book(firing.id),
        )
        self.notes: list[Note] = record.notes(firing.id)
        self.looks: list[KeptObservation] = record.observations(firing.id)
        self._withdrawn: set[int] = set()

    @property
    def is_recording(self) -> bool:
        """Whether readings are kept: the log has begun and is not over."""
        return self.is_open and not self.is_armed

    async def resume(self, seen: Callable[[Reading], None]) -> int:
        """Run the recorded readings through the watch again; how many there were.

        What the watch says after the last recorded event is added to the record. Offsets that
        were accepted or withdrawn meanwhile count again from the same reading on. ``seen`` is
        shown each reading. The event loop gets its turn in between.
        """
        count = 0
        changes = deque(self.record.offset_changes(self.firing.id))
        known = set(self.record.event_lines(self.firing.id))
        told_until_s = max((json.loads(line)["elapsed_s"] for line in known), default=float("-inf"))
        missed: list[Event] = []
        is_cold = False
        for reading in self.record.readings(self.firing.id):
            count += 1
            if count % _TURN_AFTER == 0:
                await asyncio.sleep(0)
            while changes and (changes[0].elapsed_s or 0.0) < reading.elapsed_s:
                self._apply(changes.popleft())
            seen(reading)
            for event in self.watch.feed(reading):
                is_cold = is_cold or event.kind is Kind.COOL_TO_OPEN
                # What was told under older rules stays as it was told.
                if event.elapsed_s >= told_until_s and event.to_json() not in known:
                    missed.append(event)
            self.last_reading = reading
        for change in changes:
            self._apply(change)
        if missed or is_cold:
            self._keep(missed, ends=is_cold)
        return count

    def accept(self, reading: Reading) -> None:
        """Take in one reading: label it where it has no label, record it, watch it."""
        if self.last_reading is not None and reading.elapsed_s <= self.last_reading.elapsed_s:
            return
        if self._shifts_c:
            reading = replace(reading, temps_c=self._shifted(reading.temps_c))
        if reading.time is None:
            reading = replace(reading, time=self.clock.label(reading.elapsed_s))
        self.last_reading = reading
        if any(temp_c is not None for temp_c in reading.temps_c.values()):
            self.last_value_real_s = self.clock.real_s()
        events = self.watch.feed(reading)
        if self.is_recording:
            self.record.append(self.firing.id, reading)
        # A closed firing takes no more readings, but a warning is still a warning.
        ends = self.is_recording and any(event.kind is Kind.COOL_TO_OPEN for event in events)
        self._keep(events, ends=ends)
        self._on_news(events)

    def _shifted(self, temps_c: Mapping[str, float | None]) -> dict[str, float | None]:
        return {
            name: None if temp_c is None else temp_c + self._shifts_c.get(name, 0.0)
            for name, temp_c in temps_c.items()
        }

    def was_blind(self, blind: Blind) -> None:
        """Keep that nobody watched, for as long as the firing is shown."""
        self.blind, self.blind_is_settled = blind, False
        self.record.keep_blind(self.firing.id, blind.to_json()).when_failed(self._on_failure)

    def mend_start(self, label: str) -> None:
        """Keep ``label`` as the firing's beginning where that is another instant than was kept."""
        kept = self.firing.started_label
        if kept is not None and _apart_s(kept, label) <= STEPPED_S:
            return
        self.firing = replace(self.firing, started_label=label)
        self.record.mend_start(self.firing.id, label).when_failed(self._on_failure)

    def close(self, *, awaits_rest: bool = False) -> None:
        """End the firing in the record; nothing more of it is kept.

        ``awaits_rest`` says that the kiln may still climb, and that this climb begins no other.
        """
        if self.is_open:
            self._keep([], ends=True, awaits_rest=awaits_rest)

    def tick(self) -> bool:
        """Let time do its work on the alerts; whether that changed any.

        To be called every few seconds, whether readings come or not.
        """
        return self._keep([])

    def tell(self, event: Event) -> None:
        """Keep and tell something that comes not from the watch of this firing."""
        self._keep([event])

    def let_go(self, why: str = NO_LONGER_WATCHED) -> None:
        """Nobody looks at this firing any more: what stands is over, and what waits is told.

        ``why`` is what people and programs are told of an alert that ends so.
        """
        now = self._moment()
        changes = self.book.end_all(now, why)
        told = self.book.tell_all(now)
        if told is not None:
            changes.append(told)
        if changes:
            self._write([], changes)

    def _concerns_somebody(self) -> bool:
        """Whether what stands is worth a reminder: while a firing goes on, or a kiln is hot."""
        if self.is_recording:
            return True
        temp_c = self.watch.temp_c
        return temp_c is not None and temp_c > self.settings.open_below_c

    def _moment(self) -> Now:
        elapsed_s, label = self.now()
        return Now(elapsed_s, label, self._minute_of(label), self.watch.temp_c)

    def _keep(self, events: list[Event], *, ends: bool = False, awaits_rest: bool = False) -> bool:
        now = self._moment()
        changes = [change for event in events if (change := self.book.take(event, now)) is not None]
        if any(event.kind is Kind.COOL_TO_OPEN for event in events):
            changes += self.book.end_all(now, COLD, but=OF_THE_SENSORS)
        changes += self.book.tick(now, is_watched=not ends and self._concerns_somebody())
        if events or changes or ends:
            self._write(events, changes, ends=ends, awaits_rest=awaits_rest)
        return bool(changes)

    def _write(
        self,
        events: list[Event],
        changes: list[AlertChange],
        *,
        ends: bool = False,
        awaits_rest: bool = False,
    ) -> Pending[None]:
        closes_at = None
        if ends:
            self.is_open = False
            last = self.last_reading
            closes_at = (0.0, None) if last is None else (last.elapsed_s, last.time)
        pending = self.record.add_events(
            self.firing.id,
            events,
            alerts=latest(changes),
            book=self.book.kept if changes else None,
            messages=messages_of(
                changes,
                self._destinations,
                label_now(self.clock),
                is_time_believed=is_label_believed(self.clock),
            ),
            closes_at=closes_at,
            awaits_rest=awaits_rest,
        )
        pending.when_kept(self._on_messages)
        pending.when_failed(self._on_failure)
        return pending

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
        change = self.book.acknowledge(alert_id, by or "page", self._moment())
        return None if change is None else self._write([], [change])

    async def add_note(self, text: str, by: str | None, client_id: str | None = None) -> Note:
        """Write a note at this instant; it is on disk when this returns.

        The same ``client_id`` again gives the note that was written then.

        Raises InputError for an empty or endless note, RecordError when it can't be written.
        """
        elapsed_s, label = self.now()
        note = await self.record.add_note(
            self.firing.id, elapsed_s, text, by=by, time=label, client_id=client_id
        )
        if not note.is_withdrawn and note not in self.notes:
            self.notes.append(note)
        return note

    async def withdraw_note(self, number: int, by: str | None) -> None:
        """Let a note, written by mistake, count no longer; on disk when this returns.

        Once more changes nothing. Raises InputError for one that this firing never had,
        RecordError when it can't be written.
        """
        elapsed_s, label = self.now()
        await self.record.withdraw_note(self.firing.id, number, elapsed_s, time=label, by=by)
        self.notes = [note for note in self.notes if note.id != number]

    async def add_look(
        self,
        cone: str,
        clock: str,
        *,
        channel: str | None = None,
        shelf: str | None = None,
        minutes_ago: float = 0.0,
        by: str | None = None,
        client_id: str | None = None,
    ) -> KeptObservation:
        """Write what a person saw of a real cone; it is on disk when this returns.

        ``clock`` is its tip as ``tip.parse_clock`` reads it, ``minutes_ago`` firing time. In a
        kiln with one thermocouple the cone stood beside that one. The same ``client_id`` again
        gives the look that was written then.

        Raises InputError for a cone, clock, channel, shelf or time that is none, RecordError
        when it can't be written.
        """
        name = named_cone(cone)
        tip, channels = parse_clock(clock), self.firing.channels
        if channel is None and len(channels) == 1:
            channel = channels[0]
        if channel is not None:
            self.must_have(channel)
        now_s, now_label = self.now()
        seen_s = now_s - 60.0 * minutes_ago
        if minutes_ago < 0.0 or seen_s < 0.0:
            raise InputError(
                f"{minutes_ago:g} minutes ago is not within this firing, which has gone on for "
                f"{now_s / 60.0:.0f} minutes"
            ).because(Reason.BEFORE_FIRING, minutes_ago=minutes_ago, minutes=round(now_s / 60.0))
        kept = await self.record.add_observation(
            self.firing.id,
            Observation(seen_s, name, tip, channel, shelf),
            time=self.clock.label(seen_s),
            by=by,
            written_label=now_label,
            client_id=client_id,
        )
        if kept not in self.looks:
            self.looks.append(kept)
            self.looks.sort(key=lambda look: (look.seen.elapsed_s, look.id))
        return kept

    async def withdraw_look(self, number: int) -> None:
        """Let a look at a cone, entered by mistake, count no longer; on disk when this returns.

        Once more changes nothing. Raises InputError for one that this firing never had.
        """
        if all(look.id != number for look in self.looks):
            if number in self._withdrawn:
                return
            raise InputError(f"this firing has no look at a cone with the number {number}").because(
                Reason.NO_LOOK, number=number
            )
        await self.record.withdraw_observation(self.firing.id, number)
        self._withdrawn.add(number)
        self.looks = [look for look in self.looks if look.id != number]

    def take_looks(
        self, looks: Sequence[KeptObservation], *, instead_of: Sequence[KeptObservation]
    ) -> None:
        """Show the looks that the record has, unless those known have changed meanwhile."""
        if self.looks == instead_of and self.looks != looks:
            self._withdrawn |= {look.id for look in self.looks} - {look.id for look in looks}
            self.looks = list(looks)

    def correction(self, channel: str) -> Correction | None:
        """What counts in this firing for the channel's cones; None: uncorrected."""
        return self.watch.channel_work(channel).correction

    async def change_offset(
        self,
        channel: str,
        offset: Offset | None,
        *,
        on_applied: Callable[[], None] = lambda: None,
    ) -> None:
        """Accept ``offset`` for the channel, or with None take back what is in force.

        It counts at once, for this firing and for those of the kiln that begin later, and is
        on disk when this returns; ``on_applied`` is called between the two. Raises InputError
        in the simulation of a kiln that has real firings, RecordError when it can't be written;
        then it counts no longer.
        """
        kiln, record = self.firing.kiln, self.record
        if self.firing.mode is Mode.SIMULATION and await asyncio.to_thread(record.is_real, kiln):
            raise InputError(
                f'"{kiln}" has real firings and this is a simulation of it: an offset is accepted '
                "in a real one"
            ).because(Reason.ONLY_SIMULATED, kiln=kiln)
        now_s, label = self.now()
        # From the next reading on, so that it is the same when the readings are run again.
        last = self.last_reading
        during = (self.firing.id, now_s if last is None else last.elapsed_s)
        before = self.correction(channel)
        if offset is not None:
            pending = record.accept_offset(
                kiln,
                channel,
                offset,
                label=label,
                during=during,
                configured_c=self.firing.configured_offsets_c.get(channel, 0.0),
                is_simulated=self.firing.mode is Mode.SIMULATION,
            )
        elif before is None:
            return
        else:
            pending = record.withdraw_offset(kiln, channel, label=label, during=during)
        self.watch.correct(channel, _correction(offset))
        on_applied()
        try:
            await pending
        except SpyholeError:
            self.watch.correct(channel, before)
            raise

    def must_have(self, channel: str) -> None:
        """Raise InputError for a channel that the firing does not have."""
        if channel not in self.firing.channels:
            raise InputError(
                f'this firing has no channel "{channel[:40]}"; it has '
                f"{', '.join(self.firing.channels)}"
            ).because(
                Reason.NO_CHANNEL, channel=channel[:40], channels=", ".join(self.firing.channels)
            )

    def _apply(self, change: OffsetChange) -> None:
        if change.channel in self.firing.channels:
            self.watch.correct(change.channel, _correction(change.offset))


def _correction(offset: Offset | None) -> Correction | None:
    return None if offset is None else Correction(offset.mean_c, offset.sigma_c)


def _apart_s(one: str, other: str) -> float:
    return abs((datetime.fromisoformat(one) - datetime.fromisoformat(other)).total_seconds())
