"""How late the live path is while films are made: ``python -m tests.bench_replay``.

The whole daemon in one process, the real driver over simulated chips, five looks a second; first by
itself, then with one film after the other asked for. Late is a look that begins after it was due,
and a reading that is through the watch and handed to the record after it was taken.
"""

from __future__ import annotations

import asyncio
import contextlib
import tempfile
import time
import urllib.request
from pathlib import Path
from statistics import median

from simulator.scenario import load_scenario, scenario_names
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.record.rows import Mode
from supervisor.service.keeper import Keeper
from supervisor.service.run import run
from supervisor.service.setup import Setup
from supervisor.service.simulated_rig import SimulatedRig

LOOKS_EVERY_S = 0.2
LASTS_S = 30.0


class Timed(SimulatedRig):
    """Notes by how much each look begins late, in milliseconds."""

    def __init__(self) -> None:
        super().__init__(load_scenario("healthy-midfire"), LOOKS_EVERY_S)
        self.late_ms: list[float] = []
        self._due_s = 0.0

    def due_s(self, after_s: float | None) -> float | None:
        due_s = super().due_s(after_s)
        self._due_s = due_s or 0.0
        return due_s

    def read(self, elapsed_s: float) -> Reading:
        self.late_ms.append((elapsed_s - self._due_s) * 1000.0)
        return super().read(elapsed_s)


def fetch(address: str) -> tuple[int, bytes]:
    with urllib.request.urlopen(address, timeout=30.0) as answer:
        return answer.status, answer.read()


async def ask_for_films(page: str) -> None:
    """Ask for one film after the other, for ever."""
    made = 0
    while True:
        for name in scenario_names():
            while (await asyncio.to_thread(fetch, f"{page}api/replays/scenario:{name}"))[0] == 202:
                await asyncio.sleep(0.3)
            made += 1
            print(f"  film {made}: {name}", flush=True)


def tell(what: str, late_ms: list[float], taken_ms: list[float]) -> None:
    for which, found in (("looks begin", late_ms), ("readings are through", taken_ms)):
        found = sorted(found)
        print(
            f"{what}, {which} late by: median {median(found):.1f} ms, 99 of 100 within "
            f"{found[int(len(found) * 0.99)]:.1f} ms, at most {found[-1]:.1f} ms ({len(found)})"
        )


async def main() -> None:
    rig = Timed()
    taken_ms: list[float] = []
    accept = Keeper.accept

    def timed_accept(keeper: Keeper, reading: Reading) -> None:
        accept(keeper, reading)
        taken_ms.append((keeper.clock.elapsed_s() - reading.elapsed_s) * 1000.0)

    Keeper.accept = timed_accept  # type: ignore[assignment,method-assign]
    plan = load_scenario("healthy-midfire").schedule
    page: asyncio.Future[str] = asyncio.get_running_loop().create_future()

    def say(line: str) -> None:
        if line.startswith("page: "):
            page.set_result(line.removeprefix("page: "))

    with tempfile.TemporaryDirectory() as folder:
        setup = Setup(
            source=rig,
            schedule=plan,
            schedule_toml=schedule_toml(plan),
            data_dir=Path(folder),
            mode=Mode.SIMULATION,
            interval_s=LOOKS_EVERY_S,
            say=say,
        )
        daemon = asyncio.create_task(run(setup))
        address = await page
        for what in ("alone", "while films are made"):
            films = asyncio.create_task(ask_for_films(address)) if what != "alone" else None
            await asyncio.sleep(2.0)
            rig.late_ms.clear()
            taken_ms.clear()
            await asyncio.sleep(LASTS_S)
            tell(what, rig.late_ms, taken_ms)
            if films is not None:
                films.cancel()
        begun = time.perf_counter()
        daemon.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await daemon
        print(f"ended in {time.perf_counter() - begun:.1f} s with a film half made")


if __name__ == "__main__":
    asyncio.run(main())
