"""A hold that is ended before its time, and the planned cooling that is kept after it."""

from __future__ import annotations

import pytest

from supervisor.core.events import Kind
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    cleared,
    cooled,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

TOP_C = 1212.0
UP = ("115 120", "135 600", "155 1100", f"80 {TOP_C:.0f} 60")
SLOWLY = plan(*UP, "250 1050", "55 780")
HELD = plan(*UP, "- 1050 60", "- 700")
ELECTRIC = WatchSettings(kiln_kind="electric")


def let_go_early() -> tuple[Points, float]:
    """Fired to its top and held for a quarter of an hour; and when that ends."""
    top_s = reached_s(as_planned(SLOWLY), TOP_C - 0.1)
    ends_s = top_s + 900.0
    return cut(as_planned(SLOWLY), ends_s), ends_s


@pytest.mark.parametrize("rate_c_per_h", [40.0, 55.0, 80.0])
def test_after_a_hold_that_was_cut_short_the_planned_cooling_is_watched(
    rate_c_per_h: float,
) -> None:
    schedule = plan(*UP, "250 1050", f"{rate_c_per_h:.0f} 780")
    points, ends_s = let_go_early()
    slow_s = ends_s + (TOP_C - 1050.0) / 250.0 * HOUR_S
    opened_s, opened_c = slow_s + 2.5 * HOUR_S, 1050.0 - 2.5 * rate_c_per_h
    points += [(slow_s, 1050.0), (opened_s, opened_c), (opened_s + HOUR_S, opened_c - 180.0)]
    events = told(schedule, seen(points, rig=Rig(every_s=10.0)), settings=ELECTRIC)
    (lost,) = raised(events, Kind.HEAT_LOST)
    (over,) = cleared(events, Kind.HEAT_LOST)
    assert ends_s < lost.elapsed_s <= ends_s + 300.0
    assert slow_s < over.elapsed_s <= slow_s + 2700.0
    (fast,) = raised(events, Kind.FAST_COOLING)
    assert 0.0 < fast.elapsed_s - opened_s <= 600.0


def test_after_a_hold_that_was_cut_short_a_hold_on_the_way_down_is_one() -> None:
    points, ends_s = let_go_early()
    held_s = ends_s + 0.7 * HOUR_S
    points += [(held_s, 1050.0), (held_s + HOUR_S, 1049.0), (held_s + 2.0 * HOUR_S, 900.0)]
    events = told(HELD, seen(points, rig=Rig(every_s=10.0)), settings=ELECTRIC)
    (over,) = cleared(events, Kind.HEAT_LOST)
    assert held_s < over.elapsed_s <= held_s + 2100.0
    steps = [e.elapsed_s for e in raised(events, Kind.STEP_BEGUN) if e.data["step"] == 6]
    assert steps
    assert steps[0] > held_s


@pytest.mark.parametrize("constant_h", [3.0, 8.0, 13.0])
def test_a_kiln_that_has_lost_its_heat_in_a_hold_keeps_no_planned_cooling(
    constant_h: float,
) -> None:
    points = cooled(let_go_early()[0], 6 * HOUR_S, constant_s=constant_h * HOUR_S)
    events = told(SLOWLY, seen(points, rig=Rig(every_s=10.0)), settings=ELECTRIC)
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert cleared(events, Kind.HEAT_LOST) == []


def test_what_is_shut_off_in_the_midst_of_its_climb_keeps_none_however_slowly_it_falls() -> None:
    climbed = cut(as_planned(SLOWLY), reached_s(as_planned(SLOWLY), 950.0))
    last_s, last_c = climbed[-1]
    points = [*climbed, (last_s + 600.0, last_c - 25.0), (last_s + 3.0 * HOUR_S, last_c - 160.0)]
    events = told(SLOWLY, seen(points, rig=Rig(every_s=10.0)), settings=ELECTRIC)
    assert raised(events, Kind.HEAT_LOST)
    assert [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)] == [1, 2, 3]


@pytest.mark.parametrize(("rate_c_per_h", "count"), [(55.0, 1), (40.0, 0), (64.0, 0)])
def test_who_fires_down_from_a_hold_that_was_cut_short_keeps_that_pace(
    rate_c_per_h: float, count: int
) -> None:
    """A flame that dies at the top falls as slowly, but at a pace of its own."""
    points, ends_s = let_go_early()
    points += [(ends_s + 3.0 * HOUR_S, TOP_C - 3.0 * rate_c_per_h)]
    settings = WatchSettings(kiln_kind="gas")
    events = told(plan(*UP, "55 780"), seen(points, rig=Rig(every_s=10.0)), settings=settings)
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert lost.elapsed_s > ends_s
    assert len(cleared(events, Kind.HEAT_LOST)) == count
