"""A kiln that falls to a hold on the way down: caught by its controller, or heated past it."""

from __future__ import annotations

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

TOP_C, HOLD_C = 1205.0, 1040.0
SCHEDULE = plan("120 150", "150 1100", f"60 {TOP_C:.0f} 20", f"- {HOLD_C:.0f} 60", "80 800")


def dropped(*then: tuple[float, float]) -> tuple[Points, float]:
    """Fired, held and let fall to 3 °C below the hold; then corners in minutes from there."""
    fired = as_planned(SCHEDULE)
    ends_s = reached_s(fired, TOP_C - 0.1) + 1200.0
    low_c = HOLD_C - 3.0
    low_s = ends_s + (TOP_C - low_c) / 240.0 * HOUR_S
    points = [*cut(fired, ends_s), (low_s, low_c)]
    return points + [(low_s + 60.0 * after_min, temp_c) for after_min, temp_c in then], low_s


def told_of(points: Points, rig: Rig, offset_c: float = 0.0) -> list[Event]:
    shifted = [(s, c + offset_c) for s, c in points]
    return told(SCHEDULE, seen(shifted, rig=rig), settings=WatchSettings(kiln_kind="electric"))


@pytest.mark.parametrize("every_s", [1.0, 10.0, 30.0])
@pytest.mark.parametrize("rate_c_per_h", [80.0, 160.0, 250.0])
def test_a_relay_that_welds_as_the_kiln_is_caught_is_told_in_5_minutes(
    rate_c_per_h: float, every_s: float
) -> None:
    stands_min, on_min = 2.0, 90.0
    high_c = HOLD_C - 3.0 + rate_c_per_h * on_min / 60.0
    points, low_s = dropped((stands_min, HOLD_C - 3.0), (stands_min + on_min, high_c))
    events = told_of(points, Rig(every_s=every_s, noise_c=0.5))
    above_s = low_s + 60.0 * stands_min + 8.0 / rate_c_per_h * HOUR_S
    (stuck,) = raised(events, Kind.HEAT_STUCK_ON)
    assert 0.0 < stuck.elapsed_s - above_s <= (300.0 if rate_c_per_h > 100.0 else 600.0)


@pytest.mark.parametrize("offset_c", [-15.0, 0.0, 15.0])
@pytest.mark.parametrize("over_c", [3.0, 8.0])
def test_a_controller_that_comes_up_past_its_hold_and_settles_is_none(
    over_c: float, offset_c: float
) -> None:
    low_c = HOLD_C - 5.0
    points, _ = dropped(
        (3.0, low_c),
        (7.0, HOLD_C + 0.7 * over_c),
        (10.0, HOLD_C + over_c),
        (25.0, HOLD_C),
        (60.0, HOLD_C),
    )
    events = told_of(points, Rig(every_s=5.0, noise_c=0.5), offset_c)
    assert raised(events, Kind.HEAT_STUCK_ON) == []
