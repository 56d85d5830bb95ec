"""``spyhole replay --set``: what the watch would have said of a firing with other settings.

Knows the words of the configuration and two lists of events; an event of both may have moved.
Only what is raised is compared: when it clears follows from that.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from hardware.recorded_log import RecordedLog
from supervisor.core.errors import InputError
from supervisor.core.events import Event, State
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing
from supervisor.service.config import WatchTable, parse_config
from supervisor.service.terminal import event_line

_SAME_S = 30.0
"""Sooner or later by less than this is the same minute."""
_FAR_S = 6 * 3600.0
"""An alert so much sooner or later is another one."""
_OF_THE_RIG = frozenset({"schedule", "interval_s", "mains_hz"})
"""Keys of [watch] that say nothing of tolerances."""


@dataclass(frozen=True, slots=True)
class Changes:
    """The settings that are tried: ``said`` names them, ``on`` puts them over a firing's own."""

    said: str
    _values: Mapping[str, Any]

    def on(self, settings: WatchSettings) -> WatchSettings:
        return replace(settings, **self._values)


def parse_changes(words: Sequence[str], units: str) -> Changes:
    """The settings in ``words``, each ``key = value`` of the configuration's [watch].

    ``units`` ("C" or "F") is the scale of the temperatures among them; ``kiln.kind`` and
    ``kiln.limit`` may be given too. Raises InputError for what can't be one.
    """
    tables: dict[str, list[str]] = {"watch": [], "kiln": []}
    names: list[tuple[str, str]] = []
    for word in words:
        key, equals, value = (part.strip() for part in word.partition("="))
        table, dot, name = key.partition(".")
        if not dot:
            table, name = "watch", key
        if not equals or not name.isidentifier() or table not in tables or "\n" in value:
            raise InputError(
                f"--set {word[:60]!r} can't be read; give key=value as in [watch], such as "
                f"overshoot=5"
            )
        if (table, name) in names:
            raise InputError(f"--set {name} is given twice")
        if table == "watch" and name in _OF_THE_RIG:
            raise InputError(f"--set {name} changes nothing of a firing that is over")
        tables[table].append(f"{name} = {_toml(value)}")
        names.append((table, name))
    text = f'units = "{units}"\n' + "".join(
        f"[{table}]\n" + "\n".join(lines) + "\n" for table, lines in tables.items()
    )
    try:
        settings = parse_config(text, "--set").watch_settings()
    except InputError as error:
        raise InputError(error.what, where="--set") from None
    values = {}
    for table, name in names:
        field = field_of(name, table)
        values[field] = getattr(settings, field)
    return Changes(", ".join(word.strip() for word in words), values)


def _toml(value: str) -> str:
    """The value as TOML; a bare word may go without its quotes."""
    return f'"{value}"' if value.isidentifier() and value not in ("true", "false") else value


def field_of(key: str, table: str = "watch") -> str:
    """The field of the watch's settings that a key of the configuration sets.

    >>> field_of("overshoot"), field_of("lagging_min"), field_of("kind", "kiln")
    ('overshoot_c', 'lagging_s', 'kiln_kind')
    """
    there = {field.name for field in fields(WatchSettings)}
    wanted = [key, f"{key}_c", f"{key.removesuffix('_min')}_s"]
    if table == "kiln":
        wanted = [f"kiln_{key}", f"{key}_c"]
    found = next((name for name in wanted if name in there), None)
    if found is None:
        raise InputError(f"--set {key} is no tolerance of the watch")
    return found


def settable() -> list[str]:
    """The keys of [watch] that may be set."""
    return [key for key in WatchTable.model_fields if key not in _OF_THE_RIG]


@dataclass(frozen=True, slots=True)
class Difference:
    """One event that is there only now, only was there before, or has moved by ``moved_s``."""

    event: Event
    mark: str
    moved_s: float | None = None

    def line(self) -> str:
        """As it is shown on the terminal."""
        text = event_line(self.event)
        if self.moved_s is None:
            return f"{self.mark} {text}"
        minutes = round(abs(self.moved_s) / 60.0)
        way = "later" if self.moved_s > 0.0 else "sooner"
        return f"{self.mark} {text} ({minutes} min {way})"

    def document(self) -> dict[str, object]:
        """As JSON: which of added, gone and moved, by how many seconds, and the event."""
        what = {"+": "added", "-": "gone", "~": "moved"}[self.mark]
        return {"what": what, "moved_s": self.moved_s, "event": self.event.document()}


def differences(before: Iterable[Event], after: Iterable[Event]) -> list[Difference]:
    """What is raised after and not before, or the other way round, or at another time.

    Events of one kind, channel and severity are taken for the same, nearest in time first.
    """
    groups: dict[tuple[str, ...], tuple[list[Event], list[Event]]] = defaultdict(lambda: ([], []))
    for side, events in enumerate((before, after)):
        for event in events:
            if event.state is State.RAISED:
                groups[_sameness(event)][side].append(event)
    found: list[Difference] = []
    for old, new in groups.values():
        pairs = sorted(
            (abs(b.elapsed_s - a.elapsed_s), i, j)
            for i, a in enumerate(old)
            for j, b in enumerate(new)
            if abs(b.elapsed_s - a.elapsed_s) < _FAR_S
        )
        left, right = set(range(len(old))), set(range(len(new)))
        for apart_s, i, j in pairs:
            if i not in left or j not in right:
                continue
            left.remove(i)
            right.remove(j)
            if apart_s >= _SAME_S:
                moved_s = new[j].elapsed_s - old[i].elapsed_s
                found.append(Difference(new[j], "~", moved_s))
        found += [Difference(old[i], "-") for i in left]
        found += [Difference(new[j], "+") for j in right]
    return sorted(found, key=lambda one: (one.event.elapsed_s, one.mark))


def _sameness(event: Event) -> tuple[str, ...]:
    # Of a cone, a phase or a step there are many; which one it is stands among its figures.
    named = [str(event.data.get(key, "")) for key in ("cone", "band", "step", "cause")]
    return (event.kind.value, event.channel or "", *named)


@dataclass(frozen=True, slots=True)
class Tried:
    """One firing with other settings: what differs, and how many alerts do not."""

    name: str
    settings: str
    differences: tuple[Difference, ...]
    kept: int

    @staticmethod
    def of_log(
        name: str, log: RecordedLog, schedule: Schedule, settings: WatchSettings, changes: Changes
    ) -> Tried:
        """A log, against what would be said of it with ``settings`` as they are."""
        before = Watch(schedule, log.channels, settings)
        after = Watch(schedule, log.channels, changes.on(settings))
        said: list[Event] = []
        now: list[Event] = []
        for reading in log:
            said += before.feed(reading)
            now += after.feed(reading)
        return Tried._of(name, changes, said, now)

    @staticmethod
    def of_firing(
        record: RecordReader, firing: Firing, settings: WatchSettings, changes: Changes
    ) -> Tried:
        """A firing of the record, against what was said when it was fired.

        Raises InputError for one that is kept without its plan.
        """
        if firing.schedule_toml is None:
            raise InputError(f"firing {firing.id} is kept without its plan")
        schedule = parse_schedule(firing.schedule_toml, f"the plan of firing {firing.id}")
        watch = Watch(schedule, firing.channels, changes.on(settings))
        now = [event for reading in record.readings(firing.id) for event in watch.feed(reading)]
        return Tried._of(f"firing {firing.id}", changes, record.events(firing.id), now)

    @staticmethod
    def _of(name: str, changes: Changes, said: list[Event], now: list[Event]) -> Tried:
        found = differences(said, now)
        raised = sum(event.state is State.RAISED for event in now)
        return Tried(
            name, changes.said, tuple(found), raised - sum(one.mark != "-" for one in found)
        )

    def text(self) -> str:
        """A heading, a line for each difference, and how many there are."""
        marks = [one.mark for one in self.differences]
        return "\n".join(
            [
                f"{self.name}, with {self.settings}:",
                *(f"  {one.line()}" for one in self.differences),
                (
                    f"  {self.kept} as before, {marks.count('+')} more, {marks.count('-')} gone, "
                    f"{marks.count('~')} at another time"
                ),
            ]
        )

    def document(self) -> dict[str, object]:
        """As JSON."""
        return {
            "of": self.name,
            "set": self.settings,
            "as_before": self.kept,
            "differences": [one.document() for one in self.differences],
        }


def settings_of(firing: Firing) -> WatchSettings:
    """The tolerances that a firing of the record was watched with, or the usual ones."""
    kept = WatchSettings.of_kept(firing.settings.get("watch"))
    return WatchSettings(units=firing.units) if kept is None else kept
