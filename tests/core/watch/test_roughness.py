"""A channel whose noise grows for a while is rough, and its kiln does nothing new.

How long and how rough is our own; that relays and welders do so is common practice, no source.
"""

from __future__ import annotations

import random

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.roughness import Roughness
from tests.core.firings import (
    HOUR_S,
    Rig,
    alarms,
    as_planned,
    cooled,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

PLAN = plan("110 600", "125 1020 20", cone="06")
POINTS = as_planned(PLAN)


def rough(
    readings: list[Reading], from_s: float, for_s: float, noise_c: float, seed: int
) -> list[Reading]:
    """The same with so much more noise for a while."""
    dice = random.Random(seed)
    return [
        Reading(r.elapsed_s, {"kiln": (r.temps_c["kiln"] or 0.0) + dice.gauss(0.0, noise_c)})
        if from_s <= r.elapsed_s < from_s + for_s
        else r
        for r in readings
    ]


def events_of(readings: list[Reading]) -> list[Event]:
    return told(PLAN, readings, settings=WatchSettings(kiln_kind="electric"))


@pytest.mark.parametrize("at_c", [500.0, 900.0, 1018.0])
@pytest.mark.parametrize("for_s", [120.0, 900.0])
@pytest.mark.parametrize(("every_s", "noise_c"), [(5.0, 3.0), (10.0, 3.0), (10.0, 8.0)])
def test_a_burst_of_noise_is_no_news_of_the_kiln(
    every_s: float, noise_c: float, for_s: float, at_c: float
) -> None:
    """But for one in six, whose first values lie as those of a kiln do that falls."""
    points = cut(POINTS, reached_s(POINTS, at_c) + HOUR_S)
    readings = seen(points, rig=Rig(every_s=every_s, noise_c=0.5))
    bursts = [rough(readings, reached_s(POINTS, at_c), for_s, noise_c, seed) for seed in range(6)]
    assert sum(len(alarms(events_of(burst))) > 0 for burst in bursts) <= 1


def test_heat_that_is_lost_in_a_burst_of_noise_is_told() -> None:
    onset_s = reached_s(POINTS, 800.0)
    points = cooled(cut(POINTS, onset_s), HOUR_S, constant_s=4.0 * HOUR_S)
    readings = seen(points, rig=Rig(every_s=10.0, noise_c=0.5))
    events = events_of(rough(readings, onset_s - 300.0, HOUR_S, 5.0, 1))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - onset_s < 600.0


def variances(*surprises: tuple[float, float], back_c: float | None = None) -> list[float | None]:
    """What is said of values that should all be 500 °C, of which each is followed by ``back_c``."""
    roughness = Roughness()
    said = []
    for elapsed_s, off_c in surprises:
        said.append(roughness.look(elapsed_s, 500.0 + off_c, off_c, 10.0))
        if back_c is not None:
            roughness.comes_back(back_c)
    return said


def test_values_to_both_sides_of_the_gate_are_noise() -> None:
    first, second, third = variances((0.0, 8.0), (10.0, -8.0), (20.0, 8.0))
    assert first is None
    assert second is None
    assert third == 32.0


def test_values_that_come_back_and_go_again_are_noise() -> None:
    three = ((0.0, 8.0), (20.0, 8.0), (40.0, 8.0))
    assert variances(*three, back_c=501.0)[-1] == 32.0
    # One that has hardly come back is on its way, and so are those that follow one another.
    assert variances(*three, back_c=506.0) == [None] * 3
    assert variances(*three) == [None] * 3


def test_a_look_that_was_followed_long_after_another_is_no_noise() -> None:
    """A filter that has followed a chill is surprised once more, to the other side."""
    roughness = Roughness()
    for begun_s in (0.0, 1200.0):
        assert roughness.look(begun_s, 487.0, -13.0, 30.0) is None
        assert roughness.look(begun_s + 30.0, 480.0, -20.0, 30.0) is None
        assert roughness.look(begun_s + 60.0, 493.0, 18.0, 30.0) is None
        roughness.comes_back(499.0)


def test_what_is_long_ago_and_what_is_far_off_is_forgotten() -> None:
    assert variances((0.0, 8.0), (20.0, -8.0), (180.0, 8.0))[-1] is None
    assert variances((0.0, 8.0), (20.0, -40.0), (40.0, -8.0), (50.0, 8.0))[-1] is None
