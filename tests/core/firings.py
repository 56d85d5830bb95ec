"""Made-up logs: a kiln's temperature as corners of a broken line, seen by a noisy probe.

Knows nothing of physics; what a kiln does is written down corner by corner, so that a test can
say exactly when something happened. Points are (elapsed_s, temp_c) in order of time.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, Timeline, parse_schedule
from supervisor.core.watch import Watch, WatchSettings

Points = list[tuple[float, float]]

HOUR_S = 3600.0
PROBE_LAG_S = 30.0


def plan(*steps: str, units: str = "C", cone: str | None = None) -> Schedule:
    """A schedule from steps as ``"rate to hold_min"``; a rate of ``-`` is natural.

    >>> [step.to_c for step in plan("100 600", "- 1000 20").steps]
    [600.0, 1000.0]
    """
    lines = ['name = "made up"', f'units = "{units}"']
    if cone is not None:
        lines.append(f'target_cone = "{cone}"')
    for step in steps:
        rate, to, *hold = step.split()
        lines += ["[[step]]", f"to = {to}"]
        lines += [] if rate == "-" else [f"rate = {rate}"]
        lines += [f"hold_min = {hold[0]}"] if hold else []
    return parse_schedule("\n".join(lines), "made-up.toml")


def as_planned(schedule: Schedule, *, start_c: float = 20.0, wait_s: float = 0.0) -> Points:
    """A kiln that keeps its plan to the second, switched on after ``wait_s``."""
    begin = [(0.0, start_c)] if wait_s > 0.0 else []
    return begin + [
        (wait_s + at_s, temp_c)
        for at_s, temp_c in Timeline(schedule, start_c=start_c).points(every_s=120.0)
    ]


def at(points: Points, elapsed_s: float) -> float:
    """The temperature at ``elapsed_s``; the first before, the last after the points."""
    place = bisect_right(points, (elapsed_s, math.inf))
    if place == 0:
        return points[0][1]
    if place == len(points):
        return points[-1][1]
    (from_s, from_c), (to_s, to_c) = points[place - 1], points[place]
    return from_c + (to_c - from_c) * (elapsed_s - from_s) / (to_s - from_s)


def reached_s(points: Points, temp_c: float) -> float:
    """When the kiln first comes up to ``temp_c``."""
    for (from_s, from_c), (to_s, to_c) in pairwise(points):
        if from_c <= temp_c <= to_c and to_c > from_c:
            return from_s + (temp_c - from_c) / (to_c - from_c) * (to_s - from_s)
    raise AssertionError(f"the kiln never comes up to {temp_c} °C")


def cut(points: Points, elapsed_s: float) -> Points:
    """The points up to ``elapsed_s``, with a corner there."""
    return [p for p in points if p[0] < elapsed_s] + [(elapsed_s, at(points, elapsed_s))]


def since(points: Points, elapsed_s: float) -> Points:
    """The points from ``elapsed_s`` on: a log that was begun only then."""
    begun_s = max(elapsed_s, points[0][0])
    return [(begun_s, at(points, begun_s))] + [p for p in points if p[0] > begun_s]


def about(points: Points, onset_s: float, rig: Rig, before_s: float = 1.5 * HOUR_S) -> Points:
    """What a rig sees of a firing to which something happens at ``onset_s``.

    All of it before; one that looks oftener than each 10 s sees the last hours before.
    """
    return points if rig.every_s >= 10.0 else since(points, onset_s - before_s)


def interrupted(
    points: Points, onset_s: float, for_s: float, rate_c_per_h: float = 0.0, back_s: float = 0.0
) -> Points:
    """The kiln drifts at ``rate_c_per_h`` for ``for_s`` and then goes on, all later.

    It is back at the temperature of the onset after another ``back_s``.
    """
    before = cut(points, onset_s)
    onset_c = before[-1][1]
    drifted = [(onset_s + for_s, onset_c + rate_c_per_h * for_s / HOUR_S)]
    if back_s > 0.0:
        drifted.append((onset_s + for_s + back_s, onset_c))
    late_s = for_s + back_s
    return before + drifted + [(s + late_s, c) for s, c in points if s > onset_s]


def cooled(
    points: Points, for_s: float, shed_c: float = 20.0, constant_s: float = 18000.0
) -> Points:
    """The points, and then a kiln that cools by itself for ``for_s``."""
    last_s, last_c = points[-1]
    count = int(for_s // 60.0)
    return points + [
        (last_s + 60.0 * n, shed_c + (last_c - shed_c) * math.exp(-60.0 * n / constant_s))
        for n in range(1, count + 1)
    ]


def cooled_to(points: Points, to_c: float, constant_s: float, shed_c: float = 20.0) -> Points:
    """The points, and then a kiln that cools by itself down to ``to_c``."""
    for_s = constant_s * math.log((points[-1][1] - shed_c) / (to_c - shed_c))
    return cooled(points, for_s, shed_c, constant_s)


def chilled(points: Points, at_s: float, chill_c: float) -> Points:
    """The points, with a plug out at ``at_s``, which takes so much off for some two minutes."""
    chill = [(0.0, 0.0), (40.0, -chill_c), (75.0, -chill_c), (150.0, 0.0)]
    # In corners of its own, so that the chill is as quick as it is.
    times_s = sorted({s for s, _ in points} | {at_s + s for s, _ in chill})
    return [(s, at(points, s) + at(chill, s - at_s)) for s in times_s]


def swinging(points: Points, swing_c: float, period_s: float, every_s: float = 20.0) -> Points:
    """The points with the swing of a controller that is set too lively."""
    end_s = points[-1][0]
    times = [every_s * n for n in range(int(end_s // every_s) + 1)]
    return [(s, at(points, s) + swing_c * math.sin(2 * math.pi * s / period_s)) for s in times]


@dataclass(frozen=True, slots=True)
class Rig:
    """How a kiln is looked at; ``resolution_c`` is the step to which values are rounded."""

    every_s: float = 10.0
    noise_c: float = 0.4
    resolution_c: float | None = None
    offset_c: float = 0.0


PLAIN = Rig()
OFTEN = Rig(every_s=5.0)
"""For what is over within a minute or two."""
LOGS = {
    "1 s": Rig(every_s=1.0, noise_c=0.4),
    "5 s": Rig(every_s=5.0, noise_c=0.7),
    "30 s": Rig(every_s=30.0, noise_c=0.8),
}
"""Rigs that look ever more seldom."""


def seen(
    points: Points, *, rig: Rig = PLAIN, seed: int = 1, channel: str = "kiln"
) -> list[Reading]:
    """What a probe with a lag of 30 s reads of the points, from the first of them on."""
    dice = random.Random(seed)
    every_s = rig.every_s
    kept = -math.expm1(-every_s / PROBE_LAG_S)
    readings = []
    probe_c = points[0][1]
    place = 0
    for n in range(math.ceil(points[0][0] / every_s), int(points[-1][0] // every_s) + 1):
        elapsed_s = n * every_s
        while place + 2 < len(points) and points[place + 1][0] <= elapsed_s:
            place += 1
        (from_s, from_c), (to_s, to_c) = points[place], points[place + 1]
        over_s = to_s - from_s
        part = min(max((elapsed_s - from_s) / over_s, 0.0), 1.0) if over_s > 0.0 else 1.0
        probe_c += kept * (from_c + part * (to_c - from_c) - probe_c)
        value_c = probe_c + rig.offset_c + dice.gauss(0.0, rig.noise_c)
        if rig.resolution_c is not None:
            value_c = round(value_c / rig.resolution_c) * rig.resolution_c
        readings.append(Reading(elapsed_s, {channel: value_c}))
    return readings


def told(
    schedule: Schedule,
    readings: Iterable[Reading],
    *,
    channels: Sequence[str] = ("kiln",),
    settings: WatchSettings | None = None,
) -> list[Event]:
    """All that a new watch has to say about the readings."""
    watch = Watch(schedule, tuple(channels), settings)
    return [event for reading in readings for event in watch.feed(reading)]


def raised(events: Iterable[Event], kind: Kind) -> list[Event]:
    """The events of one kind that say that something has come."""
    return [e for e in events if e.kind is kind and e.state is State.RAISED]


def cleared(events: Iterable[Event], kind: Kind) -> list[Event]:
    """The events of one kind that say that something has gone."""
    return [e for e in events if e.kind is kind and e.state is State.CLEARED]


def alarms(events: Iterable[Event]) -> list[str]:
    """What a person would be fetched for, as short lines that a failing test can show."""
    return [
        f"{e.elapsed_s / HOUR_S:.3f} h {e.kind} {e.state}: {e.message}"
        for e in events
        if e.severity is not Severity.INFO
    ]


def once_each(events: Iterable[Event]) -> None:
    """Assert that no condition is raised while it stands, or cleared while it doesn't."""
    standing: set[tuple[Kind, str | None, object]] = set()
    for event in events:
        which = (event.kind, event.channel, event.data.get("cone", event.data.get("band")))
        if event.state is State.CLEARED:
            assert which in standing, f"cleared but never raised: {event}"
            standing.remove(which)
        elif event.kind in CONDITIONS:
            assert which not in standing, f"raised twice: {event}"
            standing.add(which)


CONDITIONS = frozenset(
    {
        Kind.STALL,
        Kind.HEAT_LOST,
        Kind.OVERSHOOT,
        Kind.OVER_LIMIT,
        Kind.LAGGING,
        Kind.HEAT_STUCK_ON,
        Kind.UNEVEN,
        Kind.SENSOR_FAULT,
        Kind.NO_READINGS,
        Kind.CONE_NEAR,
        Kind.LAGGING,
        Kind.HEAT_STUCK_ON,
        Kind.FAST_HEATING,
        Kind.FAST_COOLING,
    }
)
"""The kinds that come and go, by ``DEVELOPERS.md``; written out here on purpose."""
