"""A kept kiln that runs ahead of its plan in a climb is critical; one that comes back is not."""

from __future__ import annotations

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    at,
    cleared,
    cut,
    interrupted,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

PLAN = plan("70 125 60", "110 620", "150 1205 20")
POINTS = as_planned(PLAN)
CLIMBS_S = reached_s(POINTS, 125.0) + HOUR_S


def events_of(
    points: Points, kind: str | None = "electric", schedule: Schedule = PLAN
) -> list[Event]:
    rig = Rig(every_s=5.0, noise_c=0.5)
    events = told(schedule, seen(points, rig=rig), settings=WatchSettings(kiln_kind=kind))
    once_each(events)
    return events


def runs(onset_s: float, rate_c_per_h: float, for_s: float) -> Points:
    before = cut(POINTS, onset_s)
    last_c = before[-1][1]
    return [*before, (onset_s + for_s, last_c + rate_c_per_h * for_s / HOUR_S)]


@pytest.mark.parametrize(
    ("onset_s", "rate_c_per_h"),
    [(CLIMBS_S - 300.0, 400.0), (CLIMBS_S, 400.0), (reached_s(POINTS, 300.0), 300.0)],
)
def test_a_relay_that_welds_on_the_way_is_told(onset_s: float, rate_c_per_h: float) -> None:
    events = events_of(runs(onset_s, rate_c_per_h, HOUR_S))
    (ahead,) = raised(events, Kind.HEAT_STUCK_ON)
    assert ahead.severity is Severity.CRITICAL
    assert "where its plan climbs 110 °C an hour" in ahead.message
    assert ahead.elapsed_s - onset_s <= 900.0
    assert ahead.data["planned_rate_c_per_h"] == 110.0
    assert isinstance(ahead.data["ahead_c"], float)
    assert 25.0 <= ahead.data["ahead_c"] < 60.0


def test_it_is_over_when_the_kiln_climbs_as_planned_again() -> None:
    onset_s = reached_s(POINTS, 300.0)
    fired = runs(onset_s, 300.0, 1500.0)
    end_s, end_c = fired[-1]
    events = events_of([*fired, (end_s + 2 * HOUR_S, end_c + 220.0)])
    (over,) = cleared(events, Kind.HEAT_STUCK_ON)
    assert 300.0 <= over.elapsed_s - end_s <= 600.0
    assert over.message.startswith("The kiln no longer climbs faster than its plan")


def test_a_kiln_that_runs_on_past_its_top_is_told_anew_and_not_said_to_have_eased() -> None:
    events = events_of(runs(reached_s(POINTS, 1000.0), 400.0, HOUR_S))
    first, second, *_ = raised(events, Kind.HEAT_STUCK_ON)
    over = cleared(events, Kind.HEAT_STUCK_ON)[0]
    assert first.elapsed_s < over.elapsed_s <= second.elapsed_s
    assert over.message.startswith("The climb is over by the plan, and a kiln that heats on is")
    assert second.elapsed_s - over.elapsed_s <= 600.0


def test_a_kiln_that_comes_back_to_its_line_after_a_power_cut_is_not_told() -> None:
    """The controller's clock has gone on: it gives all it has until the kiln is where it would
    be."""
    onset_s = reached_s(POINTS, 400.0)
    fallen = interrupted(POINTS, onset_s, 900.0, -200.0)
    back_s, back_c = onset_s + 900.0, at(fallen, onset_s + 900.0)
    line_c = at(POINTS, back_s + 1200.0)
    rest = [p for p in POINTS if p[0] > back_s + 1200.0]
    fired = [*cut(fallen, back_s), (back_s + 1200.0, line_c), *rest]
    assert (line_c - back_c) * 3.0 > 1.5 * 110.0
    assert raised(events_of(fired), Kind.HEAT_STUCK_ON) == []


@pytest.mark.parametrize("short_c", [-18.0, 18.0])
def test_a_corner_that_the_controller_takes_elsewhere_is_none(short_c: float) -> None:
    """Its own thermocouple reads so much more or less than ours."""
    corner_s = reached_s(POINTS, 620.0 - short_c)
    before = cut(POINTS, corner_s)
    fired = [*before, (corner_s + 3 * HOUR_S, before[-1][1] + 450.0)]
    assert raised(events_of(fired), Kind.HEAT_STUCK_ON) == []


@pytest.mark.parametrize("kind", ["gas", "wood"])
def test_what_burns_is_climbed_on_by_hand(kind: str) -> None:
    fired = runs(reached_s(POINTS, 300.0), 300.0, HOUR_S)
    assert raised(events_of(fired, kind), Kind.HEAT_STUCK_ON) == []


def test_a_fast_climb_that_goes_on_past_the_corner_to_a_slower_one_is_none_yet() -> None:
    """A cooler zone by which the kiln is fired has not come to the corner."""
    schedule = plan("150 600", "180 900", "70 1205 20")
    points = as_planned(schedule)
    corner_s = reached_s(points, 900.0)
    fired = [*cut(points, corner_s), (corner_s + 1150.0, 957.0), (corner_s + 3 * HOUR_S, 1140.0)]
    assert raised(events_of(fired, schedule=schedule), Kind.HEAT_STUCK_ON) == []


@pytest.mark.parametrize(("rate_c_per_h", "count"), [(120.0, 0), (300.0, 1)])
def test_who_has_left_out_a_step_by_hand_is_in_the_next_one(
    rate_c_per_h: float, count: int
) -> None:
    schedule = plan("40 105 120", "60 615", "115 930 25")
    points = as_planned(schedule)
    onset_s = reached_s(points, 105.0) + 2.0 * HOUR_S
    points = cut(points, onset_s)
    points = [*points, (onset_s + 300.0 / rate_c_per_h * HOUR_S, 405.0)]
    assert len(raised(events_of(points, schedule=schedule), Kind.HEAT_STUCK_ON)) == count


def test_a_switch_that_is_turned_up_is_none_however_near_to_the_plan_the_kiln_was() -> None:
    """Each switch climbs fast at first and then ever more slowly: the plan is their mean."""
    schedule = plan("60 110", "65 300", "70 520", "85 780", "45 1220")
    points, now_s, now_c = [(0.0, 20.0)], 0.0, 20.0
    for to_c, rates in (
        (110.0, (75, 65, 55, 50)),
        (300.0, (90, 80, 70, 62, 56, 50)),
        (520.0, (95, 86, 78, 72, 66, 60, 55, 50)),
        (780.0, (136, 120, 106, 95, 86, 78, 72, 66, 60)),
        (1000.0, (140, 126, 114, 103, 94, 86, 78)),
    ):
        for rate_c_per_h in (*rates, *[rates[-1]] * 20):
            if now_c < to_c:
                now_s, now_c = now_s + 1500.0, now_c + rate_c_per_h * 1500.0 / HOUR_S
                points.append((now_s, now_c))
    assert raised(events_of(points, schedule=schedule), Kind.HEAT_STUCK_ON) == []
