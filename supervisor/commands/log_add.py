"""``spyhole log add``: a recorded log taken into the record, once."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from hardware.recorded_log import RecordedLog, annotations_of
from supervisor.commands.columns import describe_columns, log_or_ask, tell_remarks
from supervisor.commands.files import is_there, schedule_text
from supervisor.commands.moments import moment_of
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.core.events import Event
from supervisor.core.schedule import parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.put_away import put_away
from supervisor.record.rows import Columns, Mode, NewFiring, NewNote
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import LONGEST_NOTE, Record
from supervisor.record.twice import same_firings

BY_LOG = "log"
"""Who wrote the notes that were a log's annotations."""

_MOST_NOTES_A_COLUMN = 500


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Takes a recorded log (CSV) into the record as a firing, runs it through the watch and "
        "prints the firing's id. Columns that are no temperatures become notes."
    )
    parser.add_argument("log", nargs="?", type=Path, help="a log (CSV)")
    parser.add_argument("--schedule", metavar="S", help="the plan that was fired")
    describe_columns(parser)
    parser.add_argument("--kiln", default="kiln", help="the kiln's name")
    parser.add_argument(
        "--begun",
        metavar="WHEN",
        help="when its first reading was, as 2026-03-14 or 2026-03-14T18:30: of a log without "
        "times of day, which else has no place among the firings by date",
    )
    parser.add_argument(
        "--again",
        action="store_true",
        help="take it in though a firing with the same readings is there already",
    )


def run(options: argparse.Namespace, folder: Path) -> int:
    if options.log is None:
        raise InputError("give a log and its plan: spyhole log add LOG --schedule S")
    if options.schedule is None:
        raise InputError(
            "name the plan that was fired: --schedule S, a schedule file or a starter, such as "
            "midfire-glaze",
            where=options.log.name,
        )
    begun = None if options.begun is None else moment_of(options.begun, "--begun")
    text, where = schedule_text(options.schedule)
    schedule = parse_schedule(text, where)
    log = log_or_ask(options.log, options.columns, may_ask=not options.json)
    settings = WatchSettings(units=schedule.units)
    watch = Watch(schedule, log.channels, settings)
    # The watch takes its time over a long log. It is done before the record is opened, so that
    # a daemon that writes there has to wait for the rows alone.
    events: list[Event] = []
    label: str | None = None
    started_label = begun
    columns = Columns([], {name: [] for name in log.channels})
    for count, reading in enumerate(log):
        if count == 0:
            label = reading.time
            started_label = _started(label, begun, options.log)
        events.extend(watch.feed(reading))
        columns.elapsed_s.append(reading.elapsed_s)  # type: ignore[attr-defined]
        for name, column in columns.temps_c.items():
            column.append(reading.temps_c[name])  # type: ignore[attr-defined]
    if not options.again and is_there(folder / FILE_NAME):
        _must_be_new(folder, options.log, columns, label)
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
        put_away(record, firing)
    tell_remarks(log)
    if options.json:
        print_json({"id": firing.id})
    else:
        print(firing.id)
    return 0


def _started(of_log: str | None, begun: str | None, log: Path) -> str | None:
    """When the firing began. Raises InputError where both the log and the command say it."""
    if of_log is not None and begun is not None:
        raise InputError(
            f"--begun goes with a log without times of day; this one began at {of_log[:40]}",
            where=log.name,
        )
    return of_log or begun


def _must_be_new(folder: Path, log: Path, columns: Columns, started_label: str | None) -> None:
    """Raise InputError where the record has these readings already."""
    with Record.open_to_read(folder) as record:
        same = same_firings(record, columns, started_label)
    if same:
        names = " and ".join(firing.id for firing in same[:3])
        raise InputError(
            f"the record has this log already, as firing {names}: it would be there twice; if "
            "that is meant, say --again",
            where=log.name,
        )


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
