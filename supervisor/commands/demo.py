"""``spyhole demo``: a simulated firing, speeded up, with page and broker; no set-up."""

from __future__ import annotations

import argparse
import asyncio
import tempfile
from pathlib import Path

from simulator.scenario import Scenario, load_scenario, scenario_names
from supervisor.commands.numbers import port_number, seed_number, speed_number
from supervisor.commands.service import describe_page, interval_for, patient
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.messaging.broker import EmbeddedBroker
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.record.rows import Mode
from supervisor.service.run import run as run_service
from supervisor.service.setup import Setup
from supervisor.service.simulated_rig import SimulatedRig
from supervisor.service.terminal import say
from web.models import Mode as PageMode

_SCENARIO = "tripped-breaker"
_SPEED = 120.0


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Fires a simulated kiln and watches it as a real one: its thermocouples are read through "
        "the driver that runs on a Pi, the page is served, alerts go out over MQTT. Nothing real "
        "is touched, and unless --data is given nothing is kept."
    )
    parser.epilog = f"scenarios: {', '.join(scenario_names())}"
    parser.add_argument("--scenario", default=_SCENARIO, help=f"what happens; default: {_SCENARIO}")
    parser.add_argument(
        "--speed",
        type=speed_number,
        default=_SPEED,
        metavar="X",
        help=f"firing seconds per second, 1 to 3600; default: {_SPEED:.0f}",
    )
    parser.add_argument(
        "--seed", type=seed_number, help="another draw of noise; default: the scenario's"
    )
    describe_page(parser)
    parser.add_argument(
        "--mqtt-port", type=port_number, default=0, metavar="N", help="port of the demo's broker"
    )


def run(options: argparse.Namespace) -> int:
    scenario = load_scenario(options.scenario)
    if options.seed is not None:
        scenario = scenario.with_seed(options.seed)
    if options.data is not None:
        asyncio.run(_demo(options, scenario, Path(options.data)))
        return 0
    with tempfile.TemporaryDirectory(prefix="spyhole-demo-") as scratch:
        asyncio.run(_demo(options, scenario, Path(scratch)))
    return 0


async def _demo(options: argparse.Namespace, scenario: Scenario, data_dir: Path) -> None:
    interval_s = interval_for(options.speed)
    kind = scenario.kiln.kind.value
    say(f"{scenario.title}: {options.speed:g} times as fast as a real firing")
    async with EmbeddedBroker(port=options.mqtt_port) as broker:
        setup = Setup(
            source=SimulatedRig(scenario, interval_s),
            schedule=scenario.schedule,
            schedule_toml=schedule_toml(scenario.schedule),
            data_dir=data_dir,
            kiln="demo kiln",
            kiln_kind=kind,
            settings=patient(
                WatchSettings(units=scenario.schedule.units, kiln_kind=kind), options.speed
            ),
            mode=Mode.SIMULATION,
            page_mode=PageMode.SIMULATION,
            speed=options.speed,
            interval_s=interval_s,
            broker=BrokerSettings(broker.host, broker.port, speaks_5=False),
            host=options.host or "127.0.0.1",
            port=8017 if options.port is None else options.port,
            identity={"scenario": scenario.name, "seed": scenario.seed},
            say=say,
        )
        await run_service(setup)
