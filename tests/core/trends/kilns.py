"""Kilns that age from firing to firing, simulated; shared, for each costs its half second."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

from simulator.presets import kiln_spec
from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.core.review import Reviewer
from supervisor.core.trends import FiringPoint, point_of, usual_cooling

HOUR_S = 3600.0
EVERY_S = 60.0
LASTS_S = 20 * HOUR_S
"""By then even the latest of these firings has cooled to below 450 °C."""


@cache
def fired(
    ageing: tuple[float, ...], seed: int, *, scenario: str = "healthy-midfire", loads: bool = True
) -> tuple[FiringPoint, ...]:
    """The points of a studio kiln's firings, whose elements still give these parts of their power.

    Each has another load, mains a little low now and then, and noise of its own.
    """
    dice = Random(seed)
    plain = load_scenario(scenario)
    points: list[FiringPoint] = []
    for n, part in enumerate(ageing):
        kiln = kiln_spec("studio-electric").loaded(dice.uniform(0.8, 1.15) if loads else 1.0)
        one = replace(
            plain,
            kiln=replace(kiln, ageing=part, mains_sag=dice.uniform(0.0, 0.015) if loads else 0.0),
            seed=100 * seed + n,
            duration_s=LASTS_S,
        )
        reviewer = Reviewer(one.channels, one.schedule)
        for reading in simulate(one, EVERY_S):
            reviewer.feed(reading)
        points.append(
            point_of(
                f"firing {n + 1}",
                None,
                reviewer.trace,
                reviewer.facts(),
                usual=usual_cooling(points),
            )
        )
    return tuple(points)


def wearing(count: int, start: float = 0.885, by: float = 0.009) -> tuple[float, ...]:
    """Elements that lose a part of their power with each firing."""
    return tuple(round(start - by * n, 4) for n in range(count))


WORN = wearing(11)
STEADY = (0.86,) * 6
"""Behind in each firing, and no worse."""
NEW = (1.0,) * 3
