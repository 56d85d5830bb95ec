"""``spyhole compare``: firings held against each other, or against a plan."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from string import ascii_uppercase

from supervisor.commands.columns import describe_columns, log_of, tell_remarks
from supervisor.commands.files import data_folder, is_there, load_schedule
from supervisor.commands.output import print_json
from supervisor.core.compare import Align, Subject, compared, planned_subject, subject_of
from supervisor.core.compare.document import document
from supervisor.core.compare.words import sentences
from supervisor.core.errors import InputError
from supervisor.core.review import Reviewer
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.picture.paper import Paper, usual_paper
from supervisor.picture.write_compare import write_comparison
from supervisor.record.followed import looked_back
from supervisor.record.looking import RecordReader
from supervisor.record.papers import OFTEN_S
from supervisor.record.reviewed import plan_of, thinned
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_OWN = "the first one's own"
_MOST = 12


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Holds firings against the first one, or against a plan: where they parted, what differs "
        "in cones, peak, hold, climb and cooling, the biggest difference first. Give firings of "
        "the record (spyhole log) or logs (CSV), as many as you like."
    )
    parser.epilog = (
        "an example: spyhole compare 2026-11-25-b07f old.csv --align peak --out compare.html"
    )
    parser.add_argument(
        "firings", nargs="+", metavar="A", help="a firing's id, or the beginning of it, or a log"
    )
    parser.add_argument(
        "--plan",
        nargs="?",
        const=_OWN,
        metavar="S",
        help="hold all against this plan (a schedule file or a starter); without S against the "
        "plan that the first was fired by; goes behind the firings",
    )
    parser.add_argument(
        "--align",
        choices=[align.value for align in Align],
        default=Align.TIME.value,
        help="time: from where all have begun to climb; temperature: when each came to it on the "
        "way up; peak: from the beginning of the hold; default: time",
    )
    parser.add_argument(
        "--out", type=Path, metavar="FILE", help="draw it into FILE: .html, .pdf, .svg or .png"
    )
    parser.add_argument(
        "--paper",
        choices=[paper.value for paper in Paper],
        help="size of a .pdf's sheets; default: letter where °F is shown, else a4",
    )
    parser.add_argument(
        "--units", choices=["C", "F"], help="scale to show; default: that of the first firing"
    )
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    describe_columns(parser)
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.set_defaults(usage=parser.error)


def run(options: argparse.Namespace) -> int:
    if len(options.firings) < 2 and options.plan is None:
        options.usage("give two firings, or one and --plan")
    if len(options.firings) > _MOST:
        options.usage(f"at most {_MOST} firings can be compared at once")
    found = _found(options)
    unit = Unit(options.units) if options.units else found[0].unit
    words = Words(unit)
    subjects = [one.subject for one in found]
    if options.plan is None:
        reference, *others = subjects
    else:
        schedule = _plan(options.plan, found[0])
        reference, others = planned_subject(schedule, subjects[0].facts.start_c), subjects
    comparisons = compared(reference, others, Align(options.align))
    if options.out is not None:
        paper = Paper(options.paper) if options.paper is not None else usual_paper(unit)
        write_comparison(options.out, comparisons, words, paper)
    if options.json:
        print_json(document(comparisons, words))
        return 0
    for subject in (reference, *others):
        print(subject.label if subject.is_plan else f"{subject.name}: {subject.label}")
    for one in comparisons:
        print(f"\n{one.other.name} against {one.reference.name}:")
        for line in sentences(one, words):
            print(f"  {line}")
    if options.out is not None:
        print(f"\n{options.out}: drawn")
    return 0


@dataclass(frozen=True, slots=True)
class _Found:
    subject: Subject
    plan: Schedule | None
    unit: Unit


def _found(options: argparse.Namespace) -> list[_Found]:
    found: list[_Found] = []
    for letter, given in zip(ascii_uppercase, options.firings, strict=False):
        path = Path(given)
        if path.suffix or is_there(path):
            one = _of_log(letter, path, options.columns)
        else:
            one = _of_record(letter, given, options.data)
        if any(one.subject.label == other.subject.label for other in found):
            raise InputError(f"{given} is given twice")
        found.append(one)
    return found


def _of_log(letter: str, path: Path, columns: str | None) -> _Found:
    log = log_of(path, columns)
    reviewer = Reviewer(log.channels)
    for reading in thinned(log, OFTEN_S):
        reviewer.feed(reading)
    tell_remarks(log)
    unit = next(iter(log.units.values()))
    subject = subject_of(letter, str(path), reviewer, reviewer.facts())
    return _Found(subject, None, unit)


def _of_record(letter: str, prefix: str, data: str | None) -> _Found:
    folder = data_folder(data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f'there is no firing "{prefix}": no record is in {folder} yet')
    with Record.open_to_read(folder) as record:
        return _firing(letter, record, prefix)


def _firing(letter: str, record: RecordReader, prefix: str) -> _Found:
    firing = record.firing(prefix)
    back = looked_back(record, firing)
    named = f", “{firing.name}”" if firing.name else ""
    label = f"{firing.id}, {firing.kiln}{named}"
    if firing.is_open:
        label = f"{label} (not over yet: this is so far)"
    subject = Subject(letter, label, back.facts, back.trace, back.works, goes_on=firing.is_open)
    return _Found(subject, plan_of(firing), firing.units)


def _plan(given: str, first: _Found) -> Schedule:
    if given != _OWN:
        return load_schedule(given)
    if first.plan is None:
        raise InputError(f"no plan is known of {first.subject.label}; name one: --plan SCHEDULE")
    return first.plan
