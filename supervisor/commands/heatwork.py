"""``spyhole heatwork``: the cones that a recorded log reached."""

from __future__ import annotations

import argparse
from pathlib import Path

from hardware.recorded_log import RecordedLog
from supervisor.commands.columns import describe_columns, log_of, tell_remarks
from supervisor.commands.output import heatwork_json, interval_json, print_json
from supervisor.core.errors import InputError
from supervisor.core.heatwork import HeatWork, Progress, Wire
from supervisor.core.heatwork.interval import ConeInterval, cone_interval
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.wording import WITNESS, show_clock, show_share


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Works out which cones a recorded log brought down, for each channel; the first column "
        "of the log is elapsed_s or time, the others <channel>_c or <channel>_f; a log from "
        "elsewhere goes with --columns."
    )
    parser.add_argument("log", type=Path, help="a log (CSV)")
    describe_columns(parser)
    parser.add_argument("--channel", help="the channel to show first; default: the log's first")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    log = log_of(options.log, options.columns)
    channels, works = log.channels, heatwork_of_log(log)
    progress = {name: work.progress() for name, work in works.items()}
    first = options.channel or channels[0]
    if first not in channels:
        raise InputError(
            f"--channel {first}: the log has no such channel; it has {', '.join(channels)}"
        )
    tell_remarks(log)
    if options.json:
        document = heatwork_json(first, progress[first])
        document["channels"] = [heatwork_json(name, progress[name]) for name in channels]
        document["interval"] = interval_json(cone_interval(works[first], Wire()))
        print_json(document)
        return 0
    for name in (first, *(name for name in channels if name != first)):
        _show(name, progress[name], cone_interval(works[name], Wire()))
    print(f"\n{WITNESS.capitalize()}.")
    return 0


def heatwork_of_log(log: RecordedLog) -> dict[str, HeatWork]:
    """The heat-work of each channel of the log.

    Raises InputError at a row that does not fit.
    """
    channels = [(name, ChannelWork(name)) for name in log.channels]
    for reading in log:
        elapsed_s, temps, faults = reading.elapsed_s, reading.temps_c, reading.faults
        for name, channel in channels:
            channel.look(elapsed_s, temps[name], faults.get(name) if faults else None)
    return {name: channel.work for name, channel in channels}


def _show(name: str, progress: Progress, interval: ConeInterval | None) -> None:
    if progress.cone is None:
        print(f"{name}: no cone is down")
    else:
        at = show_clock(progress.down_at_s[progress.cone])
        print(f"{name}: cone {progress.cone} is down, since {at} h")
    if interval is not None and interval.coolest != interval.hottest:
        coolest = "none" if interval.coolest is None else interval.coolest
        print(
            f"  in four of five such logs it is cone {coolest} to {interval.hottest} "
            f"(new standard type K wire, beside the probe)"
        )
    if progress.next_cone is not None:
        print(f"  cone {progress.next_cone}: {show_share(progress.toward_next)} of its heat-work")
