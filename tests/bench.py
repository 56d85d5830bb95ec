"""How fast the parts are that see every reading: ``python -m tests.bench``.

Prints figures of this machine; nothing is asserted. The firing is a mid-fire glaze that cools
by itself, one value a second (or in five, or in thirty), made up without physics.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from functools import partial
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from simulator.run import simulate, write_log
from simulator.scenario import load_scenario
from supervisor.commands.main import main as spyhole
from supervisor.core.heatwork import HeatWork
from supervisor.core.readings import Reading
from supervisor.core.schedule import starter
from supervisor.core.watch import Watch
from tests.core.firings import Rig, as_planned, cooled, seen

SCHEDULE = starter("midfire-glaze")
READINGS = 1_000_000


def firing(every_s: float = 1.0) -> list[Reading]:
    return list(seen(cooled(as_planned(SCHEDULE), 8 * 3600.0), rig=Rig(every_s=every_s)))


def timed(what: str, count: int, call: Callable[[], object]) -> None:
    begun_s = time.perf_counter()
    call()
    took_s = time.perf_counter() - begun_s
    print(f"{what:<48} {took_s:7.2f} s  {count / took_s:12,.0f} a second")


def heat_work(temps_c: list[float], every_s: float) -> None:
    work = HeatWork()
    for n in range(READINGS):
        work.add(n * every_s, temps_c[n % len(temps_c)])


def watch(readings: list[Reading], channels: tuple[str, ...]) -> Watch:
    watching = Watch(SCHEDULE, channels)
    for reading in readings:
        watching.feed(reading)
    return watching


def commands() -> None:
    """The commands that read a whole log, with their file and their words."""
    with TemporaryDirectory() as folder, redirect_stdout(StringIO()) as out, redirect_stderr(out):
        log, events = Path(folder) / "stall.csv", Path(folder) / "events.jsonl"
        with log.open("w", encoding="utf-8", newline="") as file:
            scenario = load_scenario("stall")
            count = write_log(simulate(scenario, 1.0), scenario.channels, file)
        lines = {
            "replay": ["replay", str(log), "--schedule", "midfire-glaze", "--events", str(events)],
            "heatwork": ["heatwork", str(log), "--json"],
        }
        with redirect_stdout(sys.__stdout__ or out):
            for name, words in lines.items():
                timed(f"spyhole {name}, a log of each second", count, partial(quietly, words))


def quietly(words: list[str]) -> None:
    with redirect_stdout(StringIO()):
        if spyhole(words):
            raise SystemExit(f"spyhole {' '.join(words)} failed")


def main() -> None:
    readings = firing()
    temps_c = [temp_c for r in readings if (temp_c := r.temps_c["kiln"]) is not None]
    dice = random.Random(1)
    for every_s in (1.0, 30.0, 120.0):
        timed(
            f"heat-work of all cones, a value each {every_s:g} s",
            READINGS,
            partial(heat_work, temps_c, every_s),
        )
    wild_c = [1200.0 + dice.gauss(0.0, 5.0) for _ in range(10_000)]
    timed(
        "heat-work of all cones, 5 °C of noise at 1,200 °C",
        READINGS,
        lambda: heat_work(wild_c, 1.0),
    )
    for every_s in (1.0, 5.0, 30.0):
        looks = firing(every_s)
        for channels in (("kiln",), ("a", "b", "c")):
            many = [Reading(r.elapsed_s, dict.fromkeys(channels, r.temps_c["kiln"])) for r in looks]
            timed(
                f"the whole watch, {len(channels)} channel(s), each {every_s:g} s",
                len(many),
                partial(watch, many, channels),
            )
    hot = watch(readings[:38_000], ("kiln",))
    timed(
        "a status with all forecasts, near the peak",
        200,
        lambda: [hot.status() for _ in range(200)],
    )
    commands()


if __name__ == "__main__":
    main()
