"""``spyhole log``: the firings in the record; and recorded logs taken into it."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from hardware.recorded_log import RecordedLog, annotations_of
from supervisor.commands.audit import show_audit
from supervisor.commands.columns import describe_columns, log_of, tell_remarks
from supervisor.commands.files import data_folder, is_there, schedule_text
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.core.events import Event
from supervisor.core.schedule import parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.wording import show_clock
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Extent, Firing, Mode, NewFiring, NewNote
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import LONGEST_NOTE, Record

BY_LOG = "log"
"""Who wrote the notes that were a log's annotations."""

_MOST_NOTES_A_COLUMN = 500


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Lists the firings in the record; `spyhole log add LOG` takes one in, `spyhole log audit` "
        "tells who wrote what on the page."
    )
    parser.add_argument("action", nargs="?", choices=["list", "add", "audit"], default="list")
    parser.add_argument("log", nargs="?", type=Path, help="with add: a log (CSV)")
    parser.add_argument("--schedule", metavar="S", help="with add: the plan that was fired")
    describe_columns(parser)
    parser.add_argument("--kiln", default="kiln", help="with add: the kiln's name")
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    folder = data_folder(options.data)
    if options.action == "add":
        return _add(options, folder)
    if options.log is not None:
        raise InputError(
            f"`spyhole log {options.action}` takes no file; did you mean `spyhole log add`?"
        )
    if options.columns is not None:
        raise InputError("--columns goes with `spyhole log add`")
    if options.action == "audit":
        return show_audit(folder, as_json=options.json)
    rows = []
    if is_there(folder / FILE_NAME):
        with Record.open_to_read(folder) as record:
            rows = [_row(record, firing) for firing in record.firings()]
    if options.json:
        print_json(rows)
    elif not rows:
        print(f"There is no firing in the record ({folder}) yet.")
    else:
        for row in rows:
            hours = show_clock(row["length_s"]) if row["length_s"] is not None else "-"
            print(
                f"{row['id']}  {row['started_at'] or '':<16.16} {row['kiln']:<14.14} "
                f"{row['state']:<7} {hours:>6} h  {row['name']}"
            )
    return 0


def _row(record: RecordReader, firing: Firing) -> dict[str, Any]:
    extent = record.extent(firing.id)
    return {
        "id": firing.id,
        "kiln": firing.kiln,
        "name": firing.name,
        "mode": firing.mode.value,
        "state": _state(firing, extent),
        "started_at": firing.started_label,
        "length_s": None if extent is None else extent.last_s - extent.first_s,
        "readings": 0 if extent is None else extent.readings,
        "channels": list(firing.channels),
    }


def _state(firing: Firing, extent: Extent | None) -> str:
    """``armed`` where nothing is kept until the kiln climbs."""
    if not firing.is_open:
        return "closed"
    return "armed" if extent is None and firing.mode is Mode.LIVE else "open"


def _add(options: argparse.Namespace, folder: Path) -> int:
    if options.log is None or options.schedule is None:
        raise InputError("give a log and its plan: spyhole log add LOG --schedule S")
    text, where = schedule_text(options.schedule)
    schedule = parse_schedule(text, where)
    log = log_of(options.log, options.columns)
    settings = WatchSettings(units=schedule.units)
    watch = Watch(schedule, log.channels, settings)
    # The watch takes its time over a long log. It is done before the record is opened, so that
    # a daemon that writes there has to wait for the rows alone.
    events: list[Event] = []
    started_label: str | None = None
    for count, reading in enumerate(log):
        if count == 0:
            started_label = reading.time
        events.extend(watch.feed(reading))
    notes = list(_notes_of(log))
    new = NewFiring(
        kiln=options.kiln,
        channels=log.channels,
        name=schedule.name,
        schedule_toml=text,
        mode=Mode.IMPORT,
        units=schedule.units,
        started_label=started_label,
        settings={"log": options.log.name, "watch": settings.kept()},
    )
    with Record.open(folder) as record:
        firing = record.import_readings(new, log, events, notes).result()
    tell_remarks(log)
    if options.json:
        print_json({"id": firing.id})
    else:
        print(firing.id)
    return 0


def _notes_of(log: RecordedLog) -> Iterator[NewNote]:
    """The log's annotations as notes of the firing; an endless cell is cut, and shows it.

    A column of figures that change all the time (power, a second thermometer) is no diary:
    after ``_MOST_NOTES_A_COLUMN`` changes the rest of it is left out, and that is noted too.
    """
    counts: Counter[str] = Counter()
    for said in annotations_of(log):
        counts[said.column] += 1
        if counts[said.column] > _MOST_NOTES_A_COLUMN:
            continue
        if counts[said.column] == _MOST_NOTES_A_COLUMN:
            said = replace(said, text=f"{said.text} (later changes of this column are left out)")
        text = f"{said.column}: {said.text}"
        if len(text) > LONGEST_NOTE:
            text = f"{text[: LONGEST_NOTE - 1]}…"
        yield NewNote(said.elapsed_s, text, by=BY_LOG, time=said.time)
