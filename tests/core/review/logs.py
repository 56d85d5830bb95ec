"""Made-up firings to look back on, each known to the minute. Readings each 30 s."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.review import FiringFacts, Remark, review
from supervisor.core.schedule import FiringKind, Schedule, parse_schedule
from supervisor.core.watch import Watch, WatchSettings
from tests.core.firings import HOUR_S, Points, Rig, as_planned, cooled, plan, seen

RIG = Rig(every_s=30.0, noise_c=0.3)
GLAZE = replace(plan("80 120 20", "150 1090", "60 1205 30", cone="6"), kind=FiringKind.GLAZE)
"""A plan that ends hot, as most do."""


def fired(
    schedule: Schedule = GLAZE, *, wait_s: float = 0.0, cools_s: float = 15 * HOUR_S
) -> Points:
    """The plan kept to the second, and a shut kiln that cools."""
    return cooled(as_planned(schedule, wait_s=wait_s), cools_s)


def looked_back(
    points: Points,
    schedule: Schedule | None = GLAZE,
    *,
    remarks: Sequence[Remark] = (),
    looks: Sequence[Observation] = (),
    settings: WatchSettings | None = None,
    seed: int = 1,
) -> FiringFacts:
    """The facts of what one probe saw of the points, with what the watch told of it."""
    readings = seen(points, rig=RIG, seed=seed)
    return looked_back_on(readings, ("kiln",), schedule, remarks, looks, settings)


def looked_back_on(
    readings: Sequence[Reading],
    channels: tuple[str, ...],
    schedule: Schedule | None = GLAZE,
    remarks: Sequence[Remark] = (),
    looks: Sequence[Observation] = (),
    settings: WatchSettings | None = None,
) -> FiringFacts:
    events = []
    if schedule is not None:
        watch = Watch(schedule, channels, settings)
        events = [event for reading in readings for event in watch.feed(reading)]
    return review(
        channels, readings, schedule, settings, events=events, remarks=remarks, looks=looks
    )


def made(text: str) -> Schedule:
    return parse_schedule(text, "made-up.toml")
