"""A firing that a person names to look back on: one of the record, or a log with its plan."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from hardware.recorded_log import annotations_of
from supervisor.commands.columns import describe_columns, log_of, tell_remarks
from supervisor.commands.files import data_folder, is_there, load_schedule
from supervisor.core.defects import DefectKind
from supervisor.core.errors import InputError
from supervisor.core.events import Event
from supervisor.core.review import FiringFacts, Remark, Reviewer, Trace
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.wording import Words
from supervisor.record.kept import Kept, kept_of
from supervisor.record.looking import RecordReader
from supervisor.record.reviewed import facts_from, readable_plan_of, reviewer_of
from supervisor.record.rows import Firing
from supervisor.record.schema import FILE_NAME
from supervisor.record.ticks import ticked_in
from supervisor.service.unloading.bench import READ_EVERY_S


@dataclass(frozen=True, slots=True)
class LookedBack:
    """A firing as its name, its facts, and the line that they go by.

    ``firing`` is None for a log that is not in the record, ``schedule`` where no plan is known.
    ``ticked`` is what somebody found wrong with its ware, as far as the record has it.
    """

    name: str
    firing: Firing | None
    schedule: Schedule | None
    facts: FiringFacts
    trace: Trace
    words: Words
    ticked: tuple[DefectKind, ...] = ()

    def heading(self) -> str:
        """The firing's name and its plan's; and whether it still goes on."""
        plan = "" if self.schedule is None else f": {self.schedule.name}"
        is_open = self.firing is not None and self.firing.is_open
        return f"{self.name}{plan}{' (not over yet: this is so far)' if is_open else ''}"


def describe_firing(parser: argparse.ArgumentParser) -> None:
    """The arguments that name a firing."""
    parser.add_argument(
        "firing",
        nargs="?",
        metavar="FIRING",
        help="the firing's id, or the beginning of it (spyhole log); or a log (.csv)",
    )
    parser.add_argument("--schedule", metavar="S", help="of a log: the plan that was fired")
    describe_columns(parser)
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument("--units", choices=["C", "F"], help="scale of the text")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def looked_back(options: argparse.Namespace) -> LookedBack:
    """The firing that the options name.

    Raises InputError where there is none, or where a log's options go with a firing of the record.
    """
    named = str(options.firing)
    path = Path(named)
    if path.suffix.lower() == ".csv" or (("/" in named or "." in named) and is_there(path)):
        return _of_log(options, path)
    for option, given in (("--schedule", options.schedule), ("--columns", options.columns)):
        if given is not None:
            raise InputError(f"{option} goes with a log; a firing of the record has its own")
    with record_to_read(options.data, named) as record:
        firing = record.firing(named)
        kept = kept_of(record, firing)
        if kept is None:
            # As many readings as the page takes in, so that both say the same to the degree.
            reviewer = reviewer_of(record, firing, every_s=READ_EVERY_S)
            kept = Kept(facts_from(record, firing, reviewer), reviewer.trace)
        ticked = tuple(ticked_in(record.findings(firing.id)))
    words = _words(options, firing.units)
    plan = readable_plan_of(firing)
    return LookedBack(firing.id, firing, plan, kept.facts, kept.trace, words, ticked)


def _of_log(options: argparse.Namespace, path: Path) -> LookedBack:
    schedule = None if options.schedule is None else load_schedule(options.schedule)
    log = log_of(path, options.columns)
    unit = Unit.C if schedule is None else schedule.units
    settings = WatchSettings(units=unit)
    reviewer = Reviewer(log.channels, schedule, settings)
    watch = None if schedule is None else Watch(schedule, log.channels, settings)
    events: list[Event] = []
    for reading in log:
        reviewer.feed(reading)
        if watch is not None:
            events += watch.feed(reading)
    tell_remarks(log)
    remarks = [Remark(one.elapsed_s, f"{one.column}: {one.text}") for one in annotations_of(log)]
    facts = reviewer.facts(events, remarks)
    return LookedBack(path.name, None, schedule, facts, reviewer.trace, _words(options, unit))


def record_to_read(data: str | None, named: str) -> RecordReader:
    """The record for looking; raises InputError where there is none to find ``named`` in."""
    folder = data_folder(data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f'there is no firing "{named[:60]}": no record is in {folder} yet')
    return RecordReader.open_to_read(folder)


def _words(options: argparse.Namespace, unit: Unit) -> Words:
    return Words(Unit(options.units) if options.units else unit)


def split_list(given: Sequence[str]) -> list[str]:
    """Names that were given one by one or with commas between them.

    >>> split_list(["crazing, pinholes", "dunting"])
    ['crazing', 'pinholes', 'dunting']
    """
    return [part.strip() for word in given for part in word.split(",") if part.strip()]
