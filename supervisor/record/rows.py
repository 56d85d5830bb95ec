"""What the record keeps, as plain values, and how each is written into a row and read back.

Knows the core's types and JSON; knows no connection and no thread.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from supervisor.core.errors import InputError
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.heatwork.offset import Observation, Offset, carried
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import Unit

CONFIGURED_OFFSETS = "configured_offsets_c"
"""Among a firing's settings: by channel, the °C that the configuration had the rig add to every
value, which are in the recorded readings."""

LONGEST_NOTE = 10_000
"""Characters in a note, at most."""


class Mode(StrEnum):
    """Where a firing's readings come from."""

    LIVE = "live"
    SIMULATION = "simulation"
    IMPORT = "import"


@dataclass(frozen=True, slots=True)
class NewFiring:
    """What is known of a firing when it begins.

    ``started_label`` is the wall clock's label of elapsed second 0. ``boot_id`` and
    ``boottime_start_s`` (seconds since the machine booted at elapsed second 0) let a daemon that
    is started again on the same boot go on with the same elapsed time.
    """

    kiln: str
    channels: tuple[str, ...]
    name: str = ""
    schedule_toml: str | None = None
    mode: Mode = Mode.LIVE
    units: Unit = Unit.C
    started_label: str | None = None
    boot_id: str | None = None
    boottime_start_s: float | None = None
    settings: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Firing:
    """A firing of the record, without its readings.

    ``settings`` is whatever the service needs to resume it, as JSON values.
    """

    id: str
    kiln: str
    name: str
    schedule_toml: str | None
    mode: Mode
    is_open: bool
    channels: tuple[str, ...]
    units: Unit
    started_label: str | None
    boot_id: str | None
    boottime_start_s: float | None
    ended_at_s: float | None
    ended_label: str | None
    settings: Mapping[str, object]

    @property
    def configured_offsets_c(self) -> Mapping[str, float]:
        """By channel, the °C in its recorded readings that the configuration had the rig add.

        A channel that is not named had none; nor had those of a firing that kept none.
        """
        kept = self.settings.get(CONFIGURED_OFFSETS)
        if not isinstance(kept, Mapping):
            return {}
        return {name: float(c) for name, c in kept.items() if isinstance(c, int | float)}


@dataclass(frozen=True, slots=True)
class Extent:
    """How much of a firing is recorded: number of readings, first and last elapsed second."""

    readings: int
    first_s: float
    last_s: float


@dataclass(frozen=True, slots=True)
class Columns:
    """A firing's readings as columns: ``temps_c`` has each channel's, ``None`` for no value."""

    elapsed_s: Sequence[float]
    temps_c: Mapping[str, Sequence[float | None]]


@dataclass(frozen=True, slots=True)
class NewNote:
    """A note that is to be kept; ``by`` is who wrote it, ``time`` the wall clock's label."""

    elapsed_s: float
    text: str
    by: str | None = None
    time: str | None = None


@dataclass(frozen=True, slots=True)
class Note:
    """Something a person wrote during a firing; ``time`` is the wall clock's label.

    ``withdrawn_at_s`` is the firing's second at which it was taken back, and None while it
    counts; ``withdrawn_time`` is the wall clock's label of that, ``withdrawn_by`` who did it.
    """

    id: int
    elapsed_s: float
    text: str
    by: str | None = None
    time: str | None = None
    withdrawn_at_s: float | None = None
    withdrawn_time: str | None = None
    withdrawn_by: str | None = None

    @property
    def is_withdrawn(self) -> bool:
        """Whether it was taken back, and counts no longer."""
        return self.withdrawn_at_s is not None


@dataclass(frozen=True, slots=True)
class KeptObservation:
    """What a person saw of a real cone, as it is kept.

    ``time`` is the wall clock's label of when it was seen, ``written_label`` of when it was
    written down, ``by`` is who did.
    """

    id: int
    seen: Observation
    time: str | None = None
    by: str | None = None
    written_label: str | None = None


@dataclass(frozen=True, slots=True)
class OffsetChange:
    """A channel's offset was accepted, or with ``None`` withdrawn.

    ``label`` is the wall clock's label of when. ``firing_id`` and ``elapsed_s`` are set where
    that changed a firing that was going on; otherwise it counts for firings that begin later.
    The offset is for readings that have ``configured_c`` of the configuration in them;
    ``is_simulated`` tells that the cones it came from were those of a simulation.
    """

    kiln: str
    channel: str
    offset: Offset | None
    label: str | None = None
    firing_id: str | None = None
    elapsed_s: float | None = None
    configured_c: float = 0.0
    is_simulated: bool = False


@dataclass(frozen=True, slots=True)
class AcceptedOffset:
    """An offset in force, with what was known of it when it was accepted at ``label``.

    ``firing_id`` and ``elapsed_s`` are set where it was accepted for a firing that was going on,
    ``configured_c`` and ``is_simulated`` are as in ``OffsetChange``. ``firings_since`` is how
    many firings of the kiln have begun since.
    """

    kiln: str
    channel: str
    offset: Offset
    label: str | None = None
    firing_id: str | None = None
    elapsed_s: float | None = None
    configured_c: float = 0.0
    is_simulated: bool = False
    firings_since: int = 0

    def now(self, configured_c: float, *, later: int = 0) -> Offset:
        """What it is for readings that have ``configured_c`` in them, ``later`` firings on.

        However the configuration has changed, cones are calculated from the same temperature;
        and the probe has aged with every firing.
        """
        return carried(
            self.offset,
            shift_c=self.configured_c - configured_c,
            firings=self.firings_since + later,
        )


@dataclass(frozen=True, slots=True)
class SeenFiring:
    """A firing of a kiln with what was seen of its real cones.

    Of ``older_probes``, by channel, the thermocouple has been exchanged since.
    """

    firing: Firing
    looks: Sequence[KeptObservation]
    older_probes: frozenset[str] = frozenset()


MQTT = "mqtt"
"""The destination of messages to the broker."""


@dataclass(frozen=True, slots=True)
class NewMessage:
    """A message to be delivered, with the label of when it was made.

    ``destination`` names one of those that are delivered to, each in its own time; ``topic``,
    ``qos`` and ``retain`` are for a broker.
    """

    topic: str
    payload: str
    qos: int = 1
    retain: bool = False
    created_label: str | None = None
    destination: str = MQTT


@dataclass(frozen=True, slots=True)
class QueuedMessage:
    """A message that waits for delivery; ``id`` is how it is marked as sent.

    An id below zero is that of a message which the disk has not taken yet.
    """

    id: int
    topic: str
    payload: str
    qos: int
    retain: bool
    created_label: str | None


FIRING_COLUMNS = (
    "id, kiln, name, schedule_toml, mode, state, channels, units, started_label, boot_id, "
    "boottime_start_s, ended_at_s, ended_label, settings"
)

NOTE_COLUMNS = "id, elapsed_s, text, by, time, withdrawn_at_s, withdrawn_time, withdrawn_by"
"""In the order of ``Note``'s fields."""

OBSERVATION_COLUMNS = (
    "observation.id, observation.elapsed_s, cone, clock, channel, shelf, time, by, written_label"
)

OFFSET_CHANGE_COLUMNS = (
    "offset_change.kiln, channel, offset_c, sigma_c, observations, firings, label, "
    "(SELECT firing.id FROM firing WHERE firing.n = firing_n), elapsed_s, configured_c, "
    "is_simulated"
)


def to_json(value: object) -> str:
    """A value as compact JSON; floats come back exactly. Raises ValueError for NaN."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def firing_from_row(row: Sequence[Any]) -> Firing:
    """The firing in a row of ``FIRING_COLUMNS``."""
    return Firing(
        id=row[0],
        kiln=row[1],
        name=row[2],
        schedule_toml=row[3],
        mode=Mode(row[4]),
        is_open=row[5] == "open",
        channels=tuple(json.loads(row[6])),
        units=Unit(row[7]),
        started_label=row[8],
        boot_id=row[9],
        boottime_start_s=row[10],
        ended_at_s=row[11],
        ended_label=row[12],
        settings=json.loads(row[13]),
    )


def observation_from_row(row: Sequence[Any]) -> KeptObservation:
    """The observation in a row of ``OBSERVATION_COLUMNS``."""
    number, elapsed_s, cone, clock, channel, shelf, time, by, written_label = row
    seen = Observation(elapsed_s, cone, clock, channel, shelf)
    return KeptObservation(number, seen, time, by, written_label)


def offset_change_from_row(row: Sequence[Any]) -> OffsetChange:
    """The change in a row of ``OFFSET_CHANGE_COLUMNS``."""
    kiln, channel, *figures, label, firing_id, elapsed_s, configured_c, is_simulated = row
    offset = None if figures[0] is None else Offset(*figures)
    return OffsetChange(
        kiln, channel, offset, label, firing_id, elapsed_s, configured_c, bool(is_simulated)
    )


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A reading as it is written: temperatures in the channels' order, faults by channel."""

    firing_id: str
    elapsed_s: float
    temps_c: str
    faults: str | None
    label: str | None


def row_of_reading(firing_id: str, channels: tuple[str, ...], reading: Reading) -> ReadingRow:
    """The row of a reading. Raises InputError unless it has exactly the firing's channels."""
    if len(reading.temps_c) != len(channels) or any(c not in reading.temps_c for c in channels):
        raise InputError(
            f"a reading has the channels {', '.join(reading.temps_c) or '(none)'}, "
            f"firing {firing_id} has {', '.join(channels)}"
        )
    if not math.isfinite(reading.elapsed_s):
        raise InputError(f"a reading's elapsed time is {reading.elapsed_s}: it must be a number")
    try:
        temps_c = to_json([reading.temps_c[channel] for channel in channels])
    except ValueError:
        raise InputError(
            f"a reading at {reading.elapsed_s} s has a temperature that is no number: "
            "a channel without a value has none"
        ) from None
    faults = to_json({c: f.value for c, f in reading.faults.items()}) if reading.faults else None
    return ReadingRow(firing_id, float(reading.elapsed_s), temps_c, faults, reading.time)


def reading_of(
    channels: tuple[str, ...],
    elapsed_s: float,
    temps_c: Sequence[float | None],
    faults: str | None,
    label: str | None,
) -> Reading:
    """The reading that ``row_of_reading`` was given, from its parts."""
    temps = dict(zip(channels, temps_c, strict=True))
    if faults is None:
        return Reading(elapsed_s, temps, time=label)
    causes = {channel: FaultCause(cause) for channel, cause in json.loads(faults).items()}
    return Reading(elapsed_s, temps, causes, label)


def event_from_line(line: str) -> Event:
    """The event that ``Event.to_json`` wrote."""
    fields: dict[str, Any] = json.loads(line)
    fields["kind"] = Kind(fields["kind"])
    fields["severity"] = Severity(fields["severity"])
    fields["state"] = State(fields["state"])
    return Event(**fields)


def must_be_a_note(new: NewNote) -> None:
    """Raise InputError for an empty or an endless note."""
    if not new.text.strip():
        raise InputError("the note is empty")
    if len(new.text) > LONGEST_NOTE:
        raise InputError(
            f"the note has {len(new.text):,} characters: at most {LONGEST_NOTE:,} are kept"
        )


def must_fit(new: NewFiring) -> None:
    """Raise InputError for a firing without channels, or with one of them twice."""
    if not new.channels:
        raise InputError("a firing needs at least one channel")
    if len(set(new.channels)) != len(new.channels):
        raise InputError(f"two channels share a name in {', '.join(new.channels)}")
