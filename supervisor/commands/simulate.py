"""``spyhole simulate``: the log of a simulated firing."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from simulator.run import may_fail, simulate, write_log
from simulator.scenario import load_scenario, scenario_names
from supervisor.commands.numbers import interval_number, seed_number
from supervisor.commands.output import Progressing
from supervisor.core.readings import Reading
from supervisor.core.units import Unit
from supervisor.whole_file import whole_file


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = "Fires a simulated kiln from cold to cold and writes its log."
    parser.epilog = f"scenarios: {', '.join(scenario_names())}"
    parser.add_argument("scenario", help="a scenario that ships, or a file (TOML)")
    parser.add_argument("--out", required=True, type=Path, metavar="LOG", help="file to write")
    parser.add_argument(
        "--seed", type=seed_number, help="another draw of noise, from 0; default: the scenario's"
    )
    parser.add_argument(
        "--interval",
        type=interval_number,
        default=1.0,
        metavar="S",
        help="seconds between readings, 0.1 to 3600; default: 1",
    )
    parser.add_argument("--units", choices=["C", "F"], default="C", help="scale of the log")


def run(options: argparse.Namespace) -> int:
    scenario = load_scenario(options.scenario)
    if options.seed is not None:
        scenario = scenario.with_seed(options.seed)
    progress = Progressing("simulated")

    def shown() -> Iterator[Reading]:
        for count, reading in enumerate(simulate(scenario, options.interval)):
            if count % 2000 == 0:
                progress.at(reading.elapsed_s / 3600.0, "h")
            yield reading

    with whole_file(options.out) as file:
        count = write_log(
            shown(),
            scenario.channels,
            file,
            Unit(options.units),
            faulty=may_fail(scenario),
        )
    progress.end()
    print(f"{options.out}: {count:,} readings of {', '.join(scenario.channels)}")
    return 0
