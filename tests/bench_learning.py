"""What looking back costs, and how often trends are right: ``python -m tests.bench_learning``.

Prints figures of this machine; nothing is asserted. The first part is a firing of 30 hours, three
channels, a reading a second. The second fires simulated kilns of which some wear and some do
not, each with another load, mains that sag and noise of its own, and says when it was warned: it
takes a quarter of an hour (``--kilns 3`` less).
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from functools import partial

from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.core.defects import DefectKind, trace_defects
from supervisor.core.readings import Reading
from supervisor.core.refit import course_of, refit, suggestions
from supervisor.core.refit.again import about
from supervisor.core.review import Reviewer
from supervisor.core.trends import FiringPoint, Trend, TrendKind, trends_of
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.trends.kilns import fired

WEAR = (0.007, 0.004)
"""Parts of full power that are lost with each firing."""
FIRINGS = 16
_LOST = 0.9
"""A last climb at this part of its planned rate is lost."""


def timed(what: str, call: Callable[[], object]) -> None:
    begun_s = time.perf_counter()
    call()
    print(f"{what:<56} {time.perf_counter() - begun_s:7.2f} s")


def take_in(reviewer: Reviewer, readings: list[Reading]) -> None:
    for reading in readings:
        reviewer.feed(reading)


def looking_back() -> None:
    scenario = load_scenario("healthy-midfire")
    readings: list[Reading] = list(simulate(scenario, 1.0))
    for every in (1, 10):
        reviewer = Reviewer(scenario.channels, scenario.schedule)
        some = readings[::every]
        timed(
            f"taking in {len(some):,} readings of 3 channels",
            partial(take_in, reviewer, some),
        )
        timed("the facts of them", reviewer.facts)
    words = Words(Unit.C)
    facts = reviewer.facts()
    traced = trace_defects(facts, tuple(DefectKind), words)
    timed("all defects traced", lambda: trace_defects(facts, tuple(DefectKind), words))
    course = course_of(reviewer.trace, facts)
    assert course is not None
    head = about("x", facts, scenario.schedule, Unit.C)
    fitted = refit(course, head)
    timed(f"a plan of {len(course.up)} points", lambda: refit(course, head))
    timed("what to change", lambda: suggestions(fitted, facts, words, traced=traced))


def climb_of(points: tuple[FiringPoint, ...]) -> Trend | None:
    return next((one for one in trends_of(points) if one.kind is TrendKind.CLIMB), None)


def first_warned(points: tuple[FiringPoint, ...]) -> tuple[int, Trend] | None:
    """The firing after which the climb was first worth a warning, and what was said then."""
    for count in range(1, len(points) + 1):
        climb = climb_of(points[:count])
        if climb is not None and climb.is_worth_a_warning:
            return count, climb
    return None


def first_lost(points: tuple[FiringPoint, ...]) -> int | None:
    """The first firing whose last climb was a tenth slower than planned."""
    for count, point in enumerate(points, start=1):
        heating = point.heating
        if heating is None or heating.last_c_per_h is None or not heating.last_planned_c_per_h:
            continue
        if heating.last_c_per_h < _LOST * heating.last_planned_c_per_h:
            return count
    return None


def kilns(count: int) -> None:
    for part in (0.95, 0.86):
        steady = [first_warned(fired((part,) * 10, 100 + seed)) for seed in range(count)]
        print(
            f"{count} kilns that keep {100 * part:.0f} % of their power through 10 firings: "
            f"{sum(one is not None for one in steady)} warned"
        )
    for wear in WEAR:
        ahead: list[int] = []
        held = missed = 0
        for seed in range(count):
            ageing = tuple(round(0.885 - wear * n, 4) for n in range(FIRINGS))
            points = fired(ageing, 200 + seed)
            warned, lost = first_warned(points), first_lost(points)
            if lost is None:
                continue
            if warned is None:
                missed += 1
                continue
            at, climb = warned
            ahead.append(lost - at)
            if climb.forecast is not None:
                latest = climb.forecast.latest
                held += climb.forecast.earliest - 1 <= lost <= (latest or FIRINGS) + 1
        if ahead:
            print(
                f"{len(ahead) + missed} kilns that lose {100 * wear:.1f} % each firing: {missed} "
                f"never warned, {sum(one > 0 for one in ahead)} warned before the last climb was "
                f"lost, {statistics.median(ahead):.0f} firings ahead (median; least "
                f"{min(ahead)}); {held} forecasts held"
            )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kilns", type=int, default=12, help="simulated kilns of each kind")
    options = parser.parse_args()
    looking_back()
    kilns(options.kilns)


if __name__ == "__main__":
    main()
