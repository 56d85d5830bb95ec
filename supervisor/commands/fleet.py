"""``spyhole fleet``: the watch tried on many simulated firings, healthy and faulty."""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from pathlib import Path

from simulator.faults import FaultKind
from supervisor.commands.numbers import count_number, seed_number
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.core.watch import WatchSettings
from supervisor.fleet.many import Fleet, run_fleet
from supervisor.fleet.plain import BEST
from supervisor.fleet.table import document, page, seeds_used, wrongs
from supervisor.fleet.tally import best_of, tally
from supervisor.fleet.trial import Trial
from supervisor.whole_file import whole_file

_BAR = 30


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Fires many simulated kilns, healthy ones and ones with a fault, lets the watch look on, "
        "and tells what it found, how late, and what it said for nothing. The same seeds give the "
        "same table. A third of all seeds is kept for --hold-out: tune on the others."
    )
    parser.add_argument(
        "--firings",
        type=count_number,
        default=100,
        metavar="N",
        help="so many healthy firings and so many with a fault; default: 100",
    )
    parser.add_argument(
        "--seed-from", type=seed_number, default=0, metavar="S", help="the first seed; default: 0"
    )
    parser.add_argument("--healthy", action="store_true", help="healthy firings alone")
    parser.add_argument("--faulty", action="store_true", help="firings with a fault alone")
    parser.add_argument(
        "--fault",
        choices=[kind.value for kind in FaultKind],
        metavar="KIND",
        help=f"this fault alone: {', '.join(FaultKind)}",
    )
    parser.add_argument(
        "--hold-out", action="store_true", help="the seeds that nobody tunes on, and only those"
    )
    parser.add_argument(
        "--false-alarms",
        type=float,
        metavar="N",
        help="false alarms accepted in 1,000 firing hours; default: the watch's own",
    )
    parser.add_argument("--jobs", type=count_number, metavar="J", help="processes; default: cores")
    parser.add_argument("--list", action="store_true", help="each miss and each false alarm too")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")
    parser.add_argument("--out", type=Path, metavar="FILE.md", help="write the table to this file")


def run(options: argparse.Namespace) -> int:
    fleet = _fleet(options)
    settings = WatchSettings()
    if options.false_alarms is not None:
        if not 0.01 <= options.false_alarms <= 100.0:
            raise InputError("--false-alarms is from 0.01 to 100 in 1,000 firing hours")
        settings = replace(settings, false_alarms_per_1000_h=options.false_alarms)
    trials = _tried(fleet, options.jobs, settings)
    # Limits chosen on the very firings that they are held against would flatter nobody's script.
    both = fleet.healthy and len(fleet.kinds) == len(FaultKind)
    limits = best_of(trials) if both and not fleet.held_out else BEST
    figures = tally(trials, limits)
    text = page(fleet, figures, settings.false_alarms_per_1000_h)
    if options.out is not None:
        with whole_file(options.out) as file:
            file.write(text)
    if options.json:
        print_json(document(fleet, figures, trials))
        return 0
    if options.out is None:
        print(text, end="")
    if options.list:
        print("\n".join(wrongs(trials)) or "nothing was missed and nothing said for nothing")
    elif options.out is not None:
        print(f"{options.out}: {seeds_used(fleet)}")
    return 0


def _fleet(options: argparse.Namespace) -> Fleet:
    if options.healthy and (options.faulty or options.fault):
        raise InputError("--healthy goes without --faulty and --fault; without any, both are tried")
    kinds = tuple(FaultKind)
    if options.healthy:
        kinds = ()
    elif options.fault is not None:
        kinds = (FaultKind(options.fault),)
    return Fleet(
        firings=options.firings,
        start=options.seed_from,
        held_out=options.hold_out,
        healthy=not options.faulty and options.fault is None,
        kinds=kinds,
    )


def _tried(fleet: Fleet, jobs: int | None, settings: WatchSettings) -> list[Trial]:
    total = len(fleet.members())
    shown = sys.stderr.isatty()
    begun_s = time.monotonic()
    trials = []
    for trial in run_fleet(fleet, jobs=jobs, settings=settings):
        trials.append(trial)
        if shown:
            done = _BAR * len(trials) // total
            left_s = (time.monotonic() - begun_s) / len(trials) * (total - len(trials))
            sys.stderr.write(
                f"\r[{'█' * done}{' ' * (_BAR - done)}] {len(trials)} of {total} firings, "
                f"{left_s:,.0f} s left \x1b[K"
            )
            sys.stderr.flush()
    if shown:
        sys.stderr.write("\r\x1b[K")
        sys.stderr.flush()
    return trials
