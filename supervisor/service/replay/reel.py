"""A film of a firing: its readings run through the watch once, with stills all along.

Knows readings, the watch and the page's shapes; nothing of records, scenarios or threads. The
readings are the same and the watch is the same as live, so what the film says is what the watch
would say.
"""

from __future__ import annotations

import gzip
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from supervisor.core.alerts.sorts import RANK, Key, key_of
from supervisor.core.errors import InputError
from supervisor.core.events import Event, Severity, State
from supervisor.core.heatwork import Correction
from supervisor.core.readings import Reading
from supervisor.core.reasons import Reason
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.sentence import sentence
from supervisor.core.watch.wording import Words
from supervisor.service import shapes
from web import models as page
from web import replay
from web.trace import Trace

STILL_EVERY_S = 60.0
"""Seconds of firing between two stills, at first."""
MOST_STILLS = 600
"""Beyond it every second still is taken out, but for those of events."""
MOST_EVENTS = 2000
CHART_POINTS = 1500
_GAP_S = 300.0
_PRESSED = 6


@dataclass(frozen=True, slots=True)
class Material:
    """What a film is made of. ``expected_s`` is how long it will last, for telling progress.

    ``corrections`` are those made while it was fired: elapsed second, channel, and what counts
    from then on. They and the ``notes`` are in the order of time.
    """

    entry: replay.ReplayEntry
    kiln_kind: str
    channels: tuple[str, ...]
    schedule: Schedule
    settings: WatchSettings
    readings: Iterable[Reading]
    expected_s: float
    notes: Sequence[replay.FilmEvent] = ()
    corrections: Sequence[tuple[float, str, Correction | None]] = field(default=())


@dataclass(frozen=True, slots=True)
class _Still:
    """A frame as JSON, and what is to be known of it here."""

    elapsed_s: float
    is_of_event: bool
    text: str


class Reel:
    """Winds one film; call ``feed`` with every reading in order, then ``film``."""

    def __init__(self, material: Material) -> None:
        self._material = material
        self._watch = Watch(material.schedule, material.channels, material.settings)
        self._trace = Trace(material.channels, gap_s=_GAP_S)
        self._corrections = deque(material.corrections)
        self._events: list[replay.FilmEvent] = []
        self._open: dict[Key, int] = {}
        self._notes = deque(material.notes)
        self._stills: list[_Still] = []
        self._every_s = STILL_EVERY_S
        self._last: Reading | None = None
        self._zero: datetime | None = None

    def feed(self, reading: Reading) -> None:
        """Take in one reading."""
        while self._corrections and self._corrections[0][0] < reading.elapsed_s:
            _, channel, correction = self._corrections.popleft()
            if channel in self._material.channels:
                self._watch.correct(channel, correction)
        self._read_notes(reading.elapsed_s)
        events = self._watch.feed(reading)
        self._trace.append(reading.elapsed_s, reading.temps_c)
        if reading.time is not None and self._zero is None:
            self._zero = datetime.fromisoformat(reading.time) - timedelta(seconds=reading.elapsed_s)
        for event in events:
            self._hear(event)
        self._last = reading
        due = not self._stills or (reading.elapsed_s - self._stills[-1].elapsed_s >= self._every_s)
        if events or due:
            self._take_still(is_of_event=bool(events))

    def _read_notes(self, until_s: float) -> None:
        """Put the notes in their places among the events."""
        while self._notes and self._notes[0].elapsed_s <= until_s:
            self._events.append(self._notes.popleft())

    def _hear(self, event: Event) -> None:
        if len(self._events) >= MOST_EVENTS:
            return
        place = len(self._events)
        if event.state is State.CLEARED:
            self._open.pop(key_of(event), None)
        elif event.severity is not Severity.INFO:
            self._open[key_of(event)] = place
        self._events.append(
            replay.FilmEvent(
                elapsed_s=event.elapsed_s,
                time=event.time,
                by=replay.Told.WATCH,
                kind=event.kind.value,
                severity=event.severity,
                state=event.state,
                channel=event.channel,
                message=event.message,
                data=dict(event.data),
            )
        )

    def _take_still(self, *, is_of_event: bool) -> None:
        status = self._watch.status()
        temps_c = [channel.temp_c for channel in status.channels if channel.temp_c is not None]
        worst_first = sorted(
            self._open.values(), key=lambda place: -RANK[self._events[place].severity]
        )
        still = replay.Frame(
            elapsed_s=status.elapsed_s,
            time=status.time,
            state=shapes.firing_state(status, is_open=True),
            sentence_c=sentence(status, Words(Unit.C), self._clock_time),
            sentence_f=sentence(status, Words(Unit.F), self._clock_time),
            channels=[shapes.channel_shape(channel) for channel in status.channels],
            spread_c=round(max(temps_c) - min(temps_c), 1) if len(temps_c) > 1 else None,
            plan=shapes.plan_shape(status),
            cones=[shapes.cone_shape(cone) for cone in status.cones],
            correction=shapes.correction_shape(status.correction),
            open=worst_first,
        )
        # As text a still takes a tenth of the room.
        self._stills.append(_Still(still.elapsed_s, is_of_event, still.model_dump_json()))
        if len(self._stills) > MOST_STILLS:
            self._every_s *= 2.0
            self._stills = [
                kept
                for number, kept in enumerate(self._stills)
                if kept.is_of_event or number % 2 == 0 or number == len(self._stills) - 1
            ]

    def _clock_time(self, elapsed_s: float) -> str | None:
        if self._zero is None:
            return None
        return (self._zero + timedelta(seconds=elapsed_s)).strftime("%H:%M")

    def film(self) -> bytes:
        """The film as the JSON of ``web.replay.Film``, compressed with gzip.

        Raises InputError if there was no reading.
        """
        if self._last is None:
            raise InputError("there are no readings of this firing to play").because(
                Reason.NOTHING_TO_PLAY
            )
        if self._stills[-1].elapsed_s < self._last.elapsed_s:
            self._take_still(is_of_event=True)
        self._read_notes(float("inf"))
        material = self._material
        elapsed_s, channels = self._trace.rows(CHART_POINTS)
        film = replay.Film(
            entry=material.entry.model_copy(update={"lasted_s": self._last.elapsed_s}),
            kiln=page.Kiln(name=material.entry.kiln or "kiln", kind=material.kiln_kind),
            units=material.settings.units,
            chart=replay.FilmChart(
                elapsed_s=elapsed_s,
                channels=channels,
                plan=shapes.plan_line(self._watch.timeline.points(), self._watch.begun_s or 0.0),
                start_time=None if self._zero is None else self._zero.isoformat(timespec="seconds"),
            ),
            events=self._events,
            frames=[],
        )
        frames = ",".join(still.text for still in self._stills)
        text = f"{film.model_dump_json().removesuffix('[]}')}[{frames}]}}"
        return gzip.compress(text.encode(), _PRESSED)


def wind(material: Material, breathe: Callable[[float], None]) -> bytes:
    """The film of ``material``; ``breathe`` is told after each reading how much of it is done.

    What ``breathe`` raises ends the work.
    """
    reel = Reel(material)
    for reading in material.readings:
        reel.feed(reading)
        breathe(min(reading.elapsed_s / material.expected_s, 1.0) if material.expected_s else 1.0)
    return reel.film()
