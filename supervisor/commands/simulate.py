"""``spyhole simulate``: the log of a simulated firing."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path

from simulator.draw import draw_firing
from simulator.faults import FaultKind
from simulator.run import may_fail, simulate, write_log
from simulator.scenario import Scenario, load_scenario, scenario_names
from supervisor.commands.numbers import interval_number, seed_number
from supervisor.commands.output import Progressing
from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit
from supervisor.whole_file import whole_file

_SEED_DIGITS = 18


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = "Fires a simulated kiln from cold to cold and writes its log."
    parser.epilog = f"scenarios: {', '.join(scenario_names())}"
    parser.add_argument("scenario", nargs="?", help="a scenario that ships, or a file (TOML)")
    parser.add_argument(
        "--drawn",
        metavar="SEED[:FAULT]",
        help="in place of a scenario: the firing that `spyhole fleet` makes up for this seed",
    )
    parser.add_argument("--out", required=True, type=Path, metavar="LOG", help="file to write")
    parser.add_argument(
        "--plan", type=Path, metavar="FILE", help="write its schedule too (TOML), for replay"
    )
    parser.add_argument(
        "--seed", type=seed_number, help="another draw of noise, from 0; default: the scenario's"
    )
    parser.add_argument(
        "--interval",
        type=interval_number,
        metavar="S",
        help="seconds between readings, 0.1 to 3600; default: 1, of a drawn firing its own",
    )
    parser.add_argument("--units", choices=["C", "F"], default="C", help="scale of the log")


def run(options: argparse.Namespace) -> int:
    scenario = _scenario(options)
    interval_s = options.interval
    if interval_s is None:
        interval_s = 1.0 if options.drawn is None else scenario.interval_s
    progress = Progressing("simulated")

    def shown() -> Iterator[Reading]:
        for count, reading in enumerate(simulate(scenario, interval_s)):
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
    if options.plan is not None:
        with whole_file(options.plan) as file:
            file.write(schedule_toml(scenario.schedule))
    print(f"{options.out}: {count:,} readings of {', '.join(scenario.channels)}")
    return 0


def _scenario(options: argparse.Namespace) -> Scenario:
    if (options.scenario is None) == (options.drawn is None):
        raise InputError("give either a scenario or --drawn SEED[:FAULT]")
    if options.drawn is None:
        scenario = load_scenario(options.scenario)
        return scenario if options.seed is None else scenario.with_seed(options.seed)
    if options.seed is not None:
        raise InputError("--seed goes with a scenario; a drawn firing is named by its own seed")
    seed, colon, fault = str(options.drawn).partition(":")
    kinds = [kind.value for kind in FaultKind]
    if not (seed.isascii() and seed.isdigit() and len(seed) <= _SEED_DIGITS) or (
        colon and fault not in kinds
    ):
        raise InputError(
            f"--drawn {options.drawn[:60]} can't be used; give a whole number, and after a colon "
            f"one of {', '.join(kinds)}"
        )
    return draw_firing(int(seed), fault=FaultKind(fault) if colon else None)
