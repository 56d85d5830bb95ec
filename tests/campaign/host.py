"""The real daemon on a rig that is worse, or lasts longer, than the command line can ask for.

``python -m tests.campaign.host ORDER.json``: everything but the source of readings is what
``spyhole watch`` runs. ORDER.json names a rig of ``RIGS`` and what ``Order`` has.
"""

from __future__ import annotations

import asyncio
import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from simulator.scenario import Scenario, load_scenario
from supervisor.commands.service import patient
from supervisor.core.readings import Source
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.record.rows import Mode
from supervisor.service.run import run
from supervisor.service.setup import Setup
from supervisor.service.terminal import say
from tests.campaign.bad_wires import BadWires
from tests.campaign.one_after_the_other import OneAfterTheOther
from tests.campaign.shed import KILN
from web.models import Mode as PageMode

RIGS: Mapping[str, Callable[[Scenario, float, Path], Source]] = {
    "bad wires": BadWires,
    "one after the other": OneAfterTheOther,
}


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be watched, and how fast. ``tally`` is a file for the rig's own counts."""

    rig: str
    scenario: str
    data: str
    tally: str
    broker_port: int
    speed: float
    interval_s: float

    def write(self, path: Path) -> Path:
        """Write it for the process that it is for."""
        path.write_text(json.dumps(asdict(self)), encoding="utf-8")
        return path


def main(path: Path) -> None:
    """Watch until told to stop."""
    order = Order(**json.loads(path.read_text(encoding="utf-8")))
    scenario = load_scenario(order.scenario)
    asyncio.run(
        run(
            Setup(
                source=RIGS[order.rig](scenario, order.interval_s, Path(order.tally)),
                schedule=scenario.schedule,
                schedule_toml=schedule_toml(scenario.schedule),
                data_dir=Path(order.data),
                kiln=KILN,
                settings=patient(WatchSettings(), order.speed),
                mode=Mode.SIMULATION,
                page_mode=PageMode.SIMULATION,
                speed=order.speed,
                interval_s=order.interval_s,
                broker=BrokerSettings("127.0.0.1", order.broker_port),
                identity={"scenario": scenario.name, "seed": scenario.seed},
                say=say,
            )
        )
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
