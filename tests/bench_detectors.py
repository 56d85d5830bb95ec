"""The watch beside one put together from libraries: ``python -m tests.bench_detectors``.

Prints figures of this machine; nothing is asserted. What the other one is stands in
``tests.bench_libraries``. It is timed twice on the same log, in turns with the watch: with a
detector for each condition that the watch tests at once, which is like for like, and with one
detector alone, which is the most that can be said for it: it would find one kind of fault.

Its thresholds are chosen for each condition as the lowest of a fine grid that stays silent in
this very firing, with this very noise, without its fault: a hindsight that nobody has. And, as
the watch has one setting for all kilns, that stays silent as well in other healthy firings in
which the watch is silent: of controllers alone, and of people too.

Needs ``pip install .[bench]``; says so where that is missing. Takes some minutes.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from importlib import import_module
from typing import TypeAlias

from simulator.run import simulate
from simulator.scenario import load_scenario
from simulator.scenario_model import Scenario
from simulator.truth import healthy, onset_s
from supervisor.core.events import Kind, State
from supervisor.core.readings import Reading
from supervisor.core.schedule import Timeline
from supervisor.core.watch import Watch, WatchSettings
from tests.bench_libraries import Libraries, Make, Shown, Signals, found_s, shown


@dataclass(frozen=True)
class Case:
    """A scenario, what the watch calls its fault, and by which conditions others may find it."""

    name: str
    scenario: str
    kinds: frozenset[Kind]
    conditions: tuple[str, ...]
    channels: int = 1


@dataclass(frozen=True)
class Found:
    """After how long a detector of the libraries finds the fault, and how its size was chosen."""

    what: str
    how: str
    delay_s: float


@dataclass(frozen=True)
class Result:
    """``alike`` and ``alone`` are how many times as long the libraries take."""

    told_s: float
    found: tuple[Found, ...]
    alike: float
    alone: float


COOLING = frozenset({Kind.FAST_COOLING})
STUCK_ON = frozenset({Kind.HEAT_STUCK_ON, Kind.OVERSHOOT})
CASES = (
    Case("stall", "stall", frozenset({Kind.STALL}), ("stall", "heat lost")),
    Case("stall", "stall", frozenset({Kind.STALL}), ("stall", "heat lost"), 3),
    Case("power cut", "power-cut", frozenset({Kind.HEAT_LOST}), ("stall", "heat lost")),
    Case("opened hot", "opened-hot", COOLING, ("opened hot", "too fast")),
    Case("damper left open", "damper-left-open", COOLING, ("opened hot", "too fast")),
    Case("relay welded", "relay-welded-at-the-end", STUCK_ON, ("stuck on", "overshoot")),
)
BY_CONTROLLERS = ("midfire", "bisque", "highfire", "lowfire", "slow-cool", "one-probe")
OTHERS = ("switches", "gas-by-hand", "wood", "candled", "warm-and-late")
HEALTHY = {f"healthy-{name}": name in BY_CONTROLLERS for name in BY_CONTROLLERS + OTHERS}
"""Whether a controller fires it by the plan, from cold: there the plan's clock is right, which is
all that the libraries have to go by."""
WATCHED = frozenset(
    {Kind.STALL, Kind.HEAT_LOST, Kind.HEAT_STUCK_ON, Kind.OVERSHOOT, Kind.UNEVEN}
    | {Kind.FAST_HEATING, Kind.FAST_COOLING}
)
PAGE_HINKLEY = tuple(10.0 ** (quarter / 4.0) for quarter in range(4, 25))
ADWIN = (0.05, 0.01, 1e-3, 1e-5, 1e-7, 1e-10, 1e-15, 1e-20, 1e-30)
ALL = "one setting for all kilns"
CONTROLLED = "one setting for controllers"
HINDSIGHT = "a setting for this firing"
ROUNDS = 4
Silent: TypeAlias = dict[tuple[str, str], set[int]]
NEVER_S = float("inf")


def detectors() -> dict[str, list[Make]]:
    """Each of river's detectors in the sizes of its grid, the liveliest first."""
    drift = import_module("river.drift")
    return {
        "Page-Hinkley": [
            partial(drift.PageHinkley, mode="up", threshold=size, delta=1.0)
            for size in PAGE_HINKLEY
        ],
        "ADWIN": [partial(drift.ADWIN, delta=delta) for delta in ADWIN],
    }


def watch_of(scenario: Scenario) -> Watch:
    settings = WatchSettings(kiln_kind=scenario.kiln.kind.value)
    return Watch(scenario.schedule, scenario.channels, settings)


def told_after_s(case: Case, scenario: Scenario, readings: list[Reading], began_s: float) -> float:
    """How long after the fault's beginning the watch tells of it."""
    watch = watch_of(scenario)
    for reading in readings:
        for event in watch.feed(reading):
            is_raised = event.kind in case.kinds and event.state is State.RAISED
            if is_raised and event.elapsed_s >= began_s:
                return event.elapsed_s - began_s
    return NEVER_S


def timed(readings: list[Reading], feed: Callable[[Reading], object]) -> float:
    begun_s = time.process_time()
    for reading in readings:
        feed(reading)
    return (time.process_time() - begun_s) / len(readings) * 1e6


def prepared(name: str, channels: int) -> tuple[Scenario, Callable[[], Signals]]:
    """The scenario seen by so many of its channels, and what makes the libraries' side of it."""
    scenario = load_scenario(name)
    scenario = replace(scenario, sensors=scenario.sensors[:channels])
    plan = Timeline(scenario.schedule, scenario.ambient_c)
    count = len(scenario.sensors)
    return scenario, partial(Signals, scenario.schedule, plan, scenario.start_delay_s, count)


def silent(log: Shown) -> Silent:
    """The sizes of each kind of detector that stay silent in a log, by kind and condition."""
    return {
        (what, name): {n for n, make in enumerate(sizes) if found_s(make, series) == NEVER_S}
        for what, sizes in detectors().items()
        for name, series in log.items()
    }


@cache
def healthy_logs(channels: int) -> dict[str, Silent]:
    """The sizes that are silent in each of the healthy firings in which the watch is silent."""
    logs, left_out = {}, []
    for name in HEALTHY:
        scenario, signals = prepared(name, channels)
        readings = list(simulate(scenario, 1.0))
        watch = watch_of(scenario)
        if any(event.kind in WATCHED for reading in readings for event in watch.feed(reading)):
            left_out.append(name)
        else:
            logs[name] = silent(shown(signals(), readings))
    print(f"{channels} channel(s): {len(logs)} healthy firings in which the watch is silent")
    print(f"  it warns in {', '.join(left_out) or 'no other'}: those are left out")
    return logs


def chosen(what: str, logs: Sequence[Silent]) -> dict[str, Make]:
    """The liveliest size for each condition that is silent in all of the logs."""
    picked = {}
    sizes = detectors()[what]
    for kind, name in logs[0]:
        if kind == what:
            left = set.intersection(*(log[what, name] for log in logs if (what, name) in log))
            if left:
                picked[name] = sizes[min(left)]
    return picked


def compare(case: Case) -> Result:
    """Print the comparison for one fault."""
    scenario, signals = prepared(case.scenario, case.channels)
    readings = list(simulate(scenario, 1.0))
    began_s = onset_s(scenario)
    assert began_s is not None
    every = healthy_logs(case.channels)
    twin = silent(shown(signals(), simulate(healthy(scenario), 1.0)))
    chances = {
        ALL: [twin, *every.values()],
        CONTROLLED: [twin, *(log for name, log in every.items() if HEALTHY[name])],
        HINDSIGHT: [twin],
    }
    faulty = shown(signals(), readings)
    told_s = told_after_s(case, scenario, readings, began_s)
    print(f"{case.name}, {case.channels} channel(s), {len(readings):,} readings a second apart")
    print(f"  the watch: found {minutes(told_s)}")
    found = []
    for what in detectors():
        for how, logs in chances.items():
            picked = chosen(what, logs)
            delays_s = {
                name: found_s(picked[name], faulty[name], began_s) - began_s
                for name in case.conditions
                if name in picked
            }
            if not delays_s:
                print(f"  {what}, {how}: no size of the grid is silent")
                continue
            best = min(delays_s, key=lambda name: delays_s[name])
            found.append(Found(what, how, delays_s[best]))
            print(f"  {what}, {how}: found {minutes(delays_s[best])} (by “{best}”)")
    page_hinkley = detectors()["Page-Hinkley"][-1]
    all_of_them = dict.fromkeys(faulty, page_hinkley)
    watch_us = all_us = one_us = NEVER_S
    for _ in range(ROUNDS):
        watch_us = min(watch_us, timed(readings, watch_of(scenario).feed))
        all_us = min(all_us, timed(readings, Libraries(signals(), all_of_them).feed))
        alone = Libraries(signals(), {case.conditions[0]: page_hinkley})
        one_us = min(one_us, timed(readings, alone.feed))
    print(f"  {'the whole watch':<38} {watch_us:6.1f} µs a reading")
    for count, took_us in ((len(faulty), all_us), (1, one_us)):
        what = f"filterpy and river, {count} detector(s)"
        print(f"  {what:<38} {took_us:6.1f} µs a reading, {took_us / watch_us:.1f} times as long")
    return Result(told_s, tuple(found), all_us / watch_us, one_us / watch_us)


def minutes(delay_s: float) -> str:
    return "never" if delay_s == NEVER_S else f"after {delay_s / 60.0:.1f} min"


def main() -> int:
    try:
        import_module("filterpy.kalman")
        import_module("river.drift")
    except ImportError as error:
        print(f"{error.name} is not installed: pip install '.[bench]'", file=sys.stderr)
        return 1
    results = [compare(case) for case in CASES]
    print()
    print(f"like for like: at least {min(r.alike for r in results):.1f} times as fast")
    print(f"beside one detector alone: at least {min(r.alone for r in results):.1f} times as fast")
    for how in (ALL, CONTROLLED, HINDSIGHT):
        earlier = [
            r.told_s < min((f.delay_s for f in r.found if f.how == how), default=NEVER_S)
            for r in results
        ]
        print(f"{how}: the watch is earlier in {sum(earlier)} of {len(earlier)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
