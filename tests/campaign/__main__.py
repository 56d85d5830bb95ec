"""``python -m tests.campaign``: prove that the daemon survives what sheds do to computers."""

from __future__ import annotations

import argparse
import os
import platform
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from tests.campaign import clients, disk, kills, outages, soak, spi, torn, wall_clock, weight
from tests.campaign.outcome import Outcome, Progress, table
from tests.campaign.shed import MissingError

Part = Callable[[Progress, Path], Outcome]

PARTS: Mapping[str, Part] = {
    "kills": kills.run,
    "torn": torn.run,
    "outages": outages.run,
    "disk": disk.run,
    "wall-clock": wall_clock.run,
    "spi": spi.run,
    "clients": clients.run,
    "soak": soak.run,
    "weight": weight.run,
}
SMALL: Mapping[str, Part] = {
    "kills": partial(kills.run, kills=20, firings=2, hours=4.0),
    "torn": partial(torn.run, runs=30),
    "outages": partial(outages.run, outages=10, firings=2, hours=3.0),
    "disk": partial(disk.run, full=4, refusing=2, read_only=1, silent=1),
    "wall-clock": partial(wall_clock.run, steps=10),
    "spi": partial(spi.run, hours=3.0, looks=500),
    "clients": partial(clients.run, minutes=0.5),
    "soak": partial(soak.run, days=8.0, speed=8640.0),
    "weight": partial(weight.run, minutes=1.0),
}
LANES = (
    ("soak",),
    ("kills", "torn", "spi"),
    ("outages", "disk", "wall-clock", "clients"),
    ("weight",),
)
"""What goes on at the same time: two lanes that keep a core busy, two that hardly do."""

_HELP = """\
Starts the real daemon as a process, with a simulated kiln under the real driver and a real
Mosquitto, and does to it what sheds do: kill -9, broker outages, full and read-only disks, steps
of the wall clock, bad wires, clients that hang, a month without a pause. Prints a table in
Markdown. Ends with 1 when a promise is broken. Needs Mosquitto; the disks need root and
e2fsprogs, the wall clock libfaketime (Debian: mosquitto, e2fsprogs, faketime). All parts together
take about twenty minutes on two cores that have nothing else to do.
"""


def main() -> int:
    """Run what is asked for; the exit code."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.campaign",
        description=_HELP,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("part", nargs="*", help=f"one or more of {', '.join(PARTS)}; default: all")
    parser.add_argument("--out", metavar="FILE", help="write the table there as well")
    parser.add_argument("--small", action="store_true", help="small numbers, to see that it works")
    parser.add_argument("--one-by-one", action="store_true", help="one part after the other")
    parser.add_argument("--work", metavar="DIR", help="work there and leave everything there")
    options = parser.parse_args()
    wanted = tuple(options.part) or tuple(PARTS)
    for name in wanted:
        if name not in PARTS:
            parser.error(f"there is no part “{name}”; there are {', '.join(PARTS)}")
    began_s = time.monotonic()
    if options.work is None:
        # Not in memory, where no byte is ever written to a disk.
        with tempfile.TemporaryDirectory(prefix="spyhole-campaign-", dir="/var/tmp") as work:
            outcomes = _run_all(wanted, Path(work), options.small, options.one_by_one)
    else:
        outcomes = _run_all(wanted, Path(options.work), options.small, options.one_by_one)
    text = f"{table(outcomes)}\n{_made(options.small, time.monotonic() - began_s)}\n"
    print(text)
    if options.out is not None:
        Path(options.out).write_text(text, encoding="utf-8")
    return 1 if any(one.broken for one in outcomes) else 0


def _run_all(
    wanted: tuple[str, ...], work: Path, is_small: bool, one_by_one: bool
) -> list[Outcome]:
    lanes = [tuple(part for part in lane if part in wanted) for lane in LANES]
    if one_by_one:
        lanes = [wanted]
    with ThreadPoolExecutor(len(lanes)) as pool:
        runs = [pool.submit(_run_lane, lane, work, is_small) for lane in lanes]
        found = {name: outcome for one in runs for name, outcome in one.result().items()}
    return [found[name] for name in PARTS if name in found]


def _run_lane(lane: tuple[str, ...], work: Path, is_small: bool) -> dict[str, Outcome]:
    return {name: _run_part(name, work / name, is_small) for name in lane}


def _run_part(name: str, folder: Path, is_small: bool) -> Outcome:
    began_s = time.monotonic()
    say = partial(_say, name)
    say("begins")
    try:
        outcome = (SMALL if is_small else PARTS)[name](say, folder)
    except MissingError as error:
        outcome = Outcome(name, not_run=str(error))
    except Exception as error:
        # A part that could not be carried through proves nothing: that is no pass.
        traceback.print_exc()
        outcome = Outcome(name)
        outcome.breaks(f"it could not be carried through: {type(error).__name__}: {error}")
    say(f"{outcome.verdict} after {time.monotonic() - began_s:,.0f} s")
    return outcome


_SAYING = threading.Lock()


def _say(name: str, line: str) -> None:
    with _SAYING:
        print(f"{name:>10}: {line}", file=sys.stderr, flush=True)


def _made(is_small: bool, took_s: float) -> str:
    how = ", small numbers" if is_small else ""
    return (
        f"Made on {datetime.now(tz=UTC):%Y-%m-%d} in {took_s / 60.0:.0f} minutes{how}: "
        f"{os.cpu_count()} cores ({platform.machine()}), Linux {platform.release()}, Python "
        f"{platform.python_version()}."
    )


if __name__ == "__main__":
    sys.exit(main())
