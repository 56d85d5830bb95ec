"""``spyhole watch``: the daemon that watches a kiln."""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from hardware.board import open_rig
from supervisor.commands.config_file import DEFAULT_FILE, read_config
from supervisor.commands.files import data_folder, is_there, schedule_text
from supervisor.commands.numbers import speed_number
from supervisor.commands.service import describe_page, interval_for, patient, start
from supervisor.core.errors import InputError
from supervisor.core.readings import Source
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.schedule.written import schedule_toml
from supervisor.record.rows import Mode
from supervisor.service.config import Config
from supervisor.service.setup import Setup
from supervisor.service.terminal import say
from web.models import Mode as PageMode

if TYPE_CHECKING:
    from simulator.scenario import Scenario

_NEEDS = """\
spyhole watch needs to know the thermocouples. Let spyhole setup write a file spyhole.toml,
or write one yourself, for example:

    units = "C"

    [kiln]
    name = "big kiln"
    kind = "electric"          # electric, gas or wood
    limit = 1290               # the kiln maker's limit

    [[sensor]]
    channel = "top"            # the name you will see
    chip_select = "CE0"        # at the MAX31856's CS: CE0 is GPIO8, CE1 is GPIO7
    type = "K"                 # B E J K N R S or T
    offset = 0.0               # added to every reading

    [watch]
    schedule = "midfire-glaze" # a starter's name, or a file of yours

    [mqtt]                     # leave out for no messages
    host = "localhost"

    [page]
    host = "0.0.0.0"           # the whole network; leave out for this machine only

and start it with: spyhole watch --config spyhole.toml
To see it work without hardware: spyhole demo
"""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Watches a kiln until it is told to stop: reads the thermocouples, follows the plan, "
        "warns, serves the page, keeps the record. It never switches anything. A firing that was "
        "going on when it stopped goes on when it starts again."
    )
    parser.add_argument(
        "--config", metavar="FILE", help=f"what stands where; default: {DEFAULT_FILE}"
    )
    parser.add_argument("--schedule", metavar="S", help="the plan: a schedule file or a starter")
    parser.add_argument(
        "--new", action="store_true", help="close the firing that goes on, and begin another"
    )
    describe_page(parser)
    parser.add_argument(
        "--simulate",
        metavar="SCENARIO",
        help="read a simulated kiln in place of the rig, to try a configuration out",
    )
    parser.add_argument(
        "--speed", type=speed_number, metavar="X", help="with --simulate: 1 to 3600"
    )


def run(options: argparse.Namespace) -> int:
    if options.speed is not None and options.simulate is None:
        raise InputError("--speed goes with --simulate: a real firing takes its own time")
    config, folder = read_config(
        options.config, may_be_missing=options.simulate is not None, example=f".\n\n{_NEEDS}"
    )
    scenario = None if options.simulate is None else _scenario(options.simulate)
    named_data = options.data or (config.record.data and str(folder / config.record.data))
    data_dir = data_folder(named_data)
    plans_dir = folder / config.record.plans if config.record.plans else data_dir / "plans"
    text, schedule = _plan(options, config, (folder, plans_dir), scenario)
    broker = config.broker(folder)
    alerts = config.alert_rules()
    speed = options.speed or 1.0
    settings = config.watch_settings()
    identity: dict[str, object] = {}
    if scenario is not None:
        settings = patient(settings, speed)
        identity = {"scenario": scenario.name, "seed": scenario.seed}
    source, interval_s = _source(config, scenario, speed)
    return start(
        Setup(
            source=source,
            schedule=schedule,
            schedule_toml=text,
            data_dir=data_dir,
            plans_dir=plans_dir,
            plan_is_named=options.schedule is not None,
            kiln=config.kiln.name,
            kiln_kind=config.kiln.kind,
            settings=settings,
            mode=Mode.LIVE if scenario is None else Mode.SIMULATION,
            page_mode=PageMode.LIVE if scenario is None else PageMode.SIMULATION,
            speed=speed,
            interval_s=interval_s,
            broker=broker,
            alerts=alerts,
            notify=config.notify_addresses(),
            host=options.host or config.page.host,
            port=config.page.port if options.port is None else options.port,
            host_names=tuple(config.page.names),
            page=config.page_rules(folder),
            begins_anew=options.new,
            identity=identity,
            configured_offsets_c={}
            if scenario is not None
            else {channel.name: channel.offset_c for channel in config.channels()},
            say=say,
        )
    )


def _scenario(name: str) -> Scenario:
    # A real firing needs none of the simulator.
    from simulator.scenario import load_scenario

    return load_scenario(name)


def _plan(
    options: argparse.Namespace,
    config: Config,
    folders: Iterable[Path],
    scenario: Scenario | None,
) -> tuple[str, Schedule]:
    """The plan's text and the plan: of the command line, the configuration, the scenario.

    A file that the configuration names is looked for in ``folders``.
    """
    named = options.schedule
    if named is None and config.watch.schedule is not None:
        beside = [folder / config.watch.schedule for folder in folders]
        named = str(next(filter(is_there, beside), config.watch.schedule))
    if named is not None:
        text, where = schedule_text(named)
        return text, parse_schedule(text, where)
    if scenario is None:
        raise InputError(
            "name the plan with --schedule, or as `schedule` under [watch] in the configuration"
        )
    return schedule_toml(scenario.schedule), scenario.schedule


def _source(config: Config, scenario: Scenario | None, speed: float) -> tuple[Source, float]:
    """Where the readings come from, and how many firing seconds lie between two of them."""
    channels = config.channels()
    interval_s = config.watch.interval_s
    if scenario is not None:
        from supervisor.service.simulated_rig import SimulatedRig

        interval_s = max(interval_s, interval_for(speed))
        return SimulatedRig(scenario, interval_s), interval_s
    if not channels:
        raise InputError(f"the configuration names no [[sensor]].\n\n{_NEEDS}")
    return open_rig(channels, interval_s=interval_s, mains_hz=config.watch.mains_hz), interval_s
