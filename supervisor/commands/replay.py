"""``spyhole replay``: a recorded log through the watch, as fast as it can or on the page."""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice, pairwise
from pathlib import Path
from typing import TextIO

from hardware.recorded_log import RecordedLog, RecordedLogSource
from supervisor.commands.columns import describe_columns, log_of, tell_remarks
from supervisor.commands.files import (
    data_folder,
    is_there,
    load_schedule,
    schedule_text,
)
from supervisor.commands.numbers import port_number, speed_number
from supervisor.commands.output import Progressing, heatwork_json, print_json
from supervisor.commands.what_if import Changes, Tried, parse_changes, settable, settings_of
from supervisor.core.errors import InputError
from supervisor.core.events import Event
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.settings import KILN_KINDS
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.terminal import event_line, say
from supervisor.whole_file import whole_file

_SHOW_EVERY = 20_000
_ROWS_LOOKED_AT = 50


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Runs a recorded log through the watch and says what it would have said. The first "
        "column of the log is elapsed_s or time, the others <channel>_c or <channel>_f; a log "
        "from elsewhere goes with --columns. With --set it tells what would have been said "
        "otherwise with other settings, of several logs and firings of the record at once."
    )
    parser.epilog = f"settings for --set: {', '.join(settable())}"
    parser.add_argument("logs", nargs="*", type=Path, metavar="LOG", help="a log (CSV)")
    describe_columns(parser)
    parser.add_argument(
        "--schedule", metavar="S", help="the plan of the log: a schedule file or a starter"
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="try another setting, in the words of [watch] in the configuration: "
        "overshoot=5, false_alarms_per_1000_h=0.1",
    )
    parser.add_argument(
        "--firing",
        action="append",
        default=[],
        metavar="ID",
        help="with --set: a firing of the record, by its id or the beginning of it",
    )
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument(
        "--events", metavar="OUT", help="write the events to this file, one JSON object a line"
    )
    parser.add_argument(
        "--config", metavar="FILE", help="a spyhole.toml whose tolerances and limit to watch with"
    )
    parser.add_argument(
        "--kind",
        choices=KILN_KINDS,
        help="how the kiln of the log is heated; unsaid, more patience is needed and less advice "
        "can be given",
    )
    parser.add_argument("--units", choices=["C", "F"], help="scale of the messages")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    parser.add_argument("--page", action="store_true", help="watch it on the page")
    parser.add_argument("--speed", type=speed_number, metavar="X", help="with --page: 1 to 3600")
    parser.add_argument(
        "--port", type=port_number, default=0, metavar="N", help="with --page: its port"
    )
    parser.set_defaults(usage=parser.error)


def run(options: argparse.Namespace) -> int:
    if not options.logs and not options.firing:
        options.usage("give a log")
    if options.logs and options.schedule is None:
        options.usage("a log needs its plan: --schedule")
    if options.set:
        return _what_if(options)
    if options.firing:
        options.usage("--firing goes with --set; `spyhole report` has what was said")
    if len(options.logs) > 1:
        options.usage("several logs go with --set")
    options.log = options.logs[0]
    text, where = schedule_text(options.schedule)
    schedule = parse_schedule(text, where)
    log = log_of(options.log, options.columns)
    settings = _settings(options, schedule)
    if options.events is not None:
        read = [options.log, Path(options.schedule)]
        read += [] if options.columns is None else [Path(options.columns)]
        _must_not_be_read(Path(options.events), read)
    if options.page or options.speed is not None:
        return _on_the_page(options, log, text, settings)
    watch = Watch(schedule, log.channels, settings)
    begun = time.perf_counter()
    run = _Run(watch, log)
    events: list[Event] = []
    if options.events is None:
        for found in run:
            events += found
            if not options.json:
                _show(found)
    else:
        with whole_file(Path(options.events)) as file:
            for found in run:
                events += found
                _write(file, found)
    count, took_s = run.count, time.perf_counter() - begun
    tell_remarks(log)
    if options.json:
        print_json(
            {
                "readings": count,
                "events": [event.document() for event in events],
                "heatwork": heatwork_json(log.channels[0], watch.progress(log.channels[0])),
            }
        )
        return 0
    kinds = Counter(event.kind.value for event in events if event.state.value == "raised")
    told = ", ".join(f"{kind} {n}" for kind, n in sorted(kinds.items())) or "nothing to say"
    print(f"{count:,} readings in {took_s:.1f} s: {told}", file=sys.stderr)
    return 0


def _settings(options: argparse.Namespace, schedule: Schedule) -> WatchSettings:
    if options.config is None:
        settings = WatchSettings(units=schedule.units)
    else:
        from supervisor.commands.config_file import read_config

        settings = read_config(options.config)[0].watch_settings()
    if options.kind is not None:
        settings = replace(settings, kiln_kind=options.kind)
    return replace(settings, units=Unit(options.units)) if options.units else settings


def _what_if(options: argparse.Namespace) -> int:
    if options.page or options.speed is not None or options.events is not None:
        raise InputError("--set goes without --page, --speed and --events")
    schedule = load_schedule(options.schedule) if options.logs else None
    tries: list[Tried] = []
    for path in options.logs:
        assert schedule is not None  # noqa: S101 - asked for above
        log = log_of(path, options.columns)
        settings = _settings(options, schedule)
        tries.append(Tried.of_log(path.name, log, schedule, settings, _changes(options, settings)))
        tell_remarks(log)
    if options.firing:
        folder = data_folder(options.data)
        if not is_there(folder / FILE_NAME):
            raise InputError(f"no record is in {folder} yet")
        with Record.open_to_read(folder) as record:
            for prefix in options.firing:
                firing = record.firing(prefix)
                settings = settings_of(firing)
                changes = _changes(options, settings)
                tries.append(Tried.of_firing(record, firing, settings, changes))
    if options.json:
        print_json([one.document() for one in tries])
        return 0
    for one in tries:
        print(one.text())
    return 0


def _changes(options: argparse.Namespace, settings: WatchSettings) -> Changes:
    """What --set says, with temperatures in the scale of the settings that it goes over."""
    return parse_changes(options.set, settings.units.value)


def _must_not_be_read(out: Path, read: Sequence[Path]) -> None:
    """Raise InputError where the events would take the place of what they are made from."""
    if is_there(out) and any(is_there(path) and out.samefile(path) for path in read):
        raise InputError(
            "the events can't replace what is replayed; give another name", where=str(out)
        )


class _Run:
    """One run of a log through a watch: the events of each reading that has any."""

    def __init__(self, watch: Watch, log: RecordedLog) -> None:
        self._watch = watch
        self._log = log
        self.count = 0

    def __iter__(self) -> Iterator[list[Event]]:
        progress = Progressing("replayed")
        feed = self._watch.feed
        for count, reading in enumerate(self._log, start=1):
            found = feed(reading)
            if found:
                yield found
            self.count = count
            if count % _SHOW_EVERY == 0:
                progress.at(reading.elapsed_s / 3600.0, "h")
        progress.end()


def _write(file: TextIO, events: list[Event]) -> None:
    file.writelines(event.to_json() + "\n" for event in events)


def _show(events: list[Event]) -> None:
    for event in events:
        print(event_line(event))


def _on_the_page(
    options: argparse.Namespace, log: RecordedLog, text: str, settings: WatchSettings
) -> int:
    from supervisor.commands.service import start
    from supervisor.record.rows import Mode
    from supervisor.service.setup import Setup
    from web.models import Mode as PageMode

    if options.events is not None or options.json:
        raise InputError("--page shows the replay; --events and --json go without it")
    speed = 60.0 if options.speed is None else options.speed
    tell_remarks(log)
    times_s = [reading.elapsed_s for reading in islice(log, _ROWS_LOOKED_AT)]
    pace_s = statistics.median([b - a for a, b in pairwise(times_s)] or [1.0])
    with tempfile.TemporaryDirectory(prefix="spyhole-replay-") as scratch:
        return start(
            Setup(
                source=RecordedLogSource(log),
                schedule=parse_schedule(text),
                schedule_toml=text,
                data_dir=Path(scratch),
                kiln=options.log.stem[:60] or "log",
                kiln_kind=settings.kiln_kind or "electric",
                settings=settings,
                mode=Mode.SIMULATION,
                page_mode=PageMode.REPLAY,
                speed=speed,
                interval_s=max(pace_s, speed),
                starts_at_s=times_s[0],
                port=options.port,
                say=say,
            )
        )
