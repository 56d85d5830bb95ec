"""How a firing ends where our thermocouple and the kiln's own do not agree, and where heat stays.

The courses are our own, and so are the differences between two thermocouples; how far two may
differ is common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import Activity, Watch, WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    at,
    cooled,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

SHORT_HOLD = plan("150 580", "100 1164", "70 1274 5")
LONG_HOLD = plan("150 580", "100 1164", "70 1274 30")
CRYSTALS = plan("150 580", "100 1164", "60 1274 20", "- 1100 60", "70 1060 60", "80 1090 40")
RIG = Rig(every_s=10.0, noise_c=0.3)


def falls(points: Points, from_s: float, rate_c_per_h: float, for_s: float = 3 * HOUR_S) -> Points:
    """The points up to ``from_s``, and then a kiln without heat that falls ``rate_c_per_h``."""
    before = cut(points, from_s)
    last_c = before[-1][1]
    constant_s = (last_c - 300.0) / rate_c_per_h * HOUR_S
    return before + [
        (from_s + 60.0 * n, 300.0 + (last_c - 300.0) * math.exp(-60.0 * n / constant_s))
        for n in range(1, int(for_s // 60.0))
    ]


def off(points: Points, apart_c: float) -> Points:
    """What a thermocouple reads that is ``apart_c`` above the kiln's own at 1,270 °C."""
    return [(s, c + apart_c * c / 1270.0) for s, c in points]


def answers(events: list[Event], from_s: float) -> list[Event]:
    """What says that the firing has ended or heat is lost."""
    ends = [*raised(events, Kind.HEAT_LOST), *raised(events, Kind.FIRING_FINISHED)]
    return [event for event in ends if event.elapsed_s >= from_s]


@pytest.mark.parametrize("schedule", [SHORT_HOLD, LONG_HOLD], ids=["5 min", "30 min"])
@pytest.mark.parametrize("gap_c", [4.0, 8.0, 12.0, 16.0, 20.0, 24.0, 40.0])
@pytest.mark.parametrize("rate_c_per_h", [200.0, 400.0])
def test_a_kiln_that_falls_away_below_its_top_has_ended_or_lost_its_heat(
    schedule: Schedule, gap_c: float, rate_c_per_h: float
) -> None:
    planned = as_planned(schedule)
    from_s = reached_s(planned, 1274.0 - gap_c)
    events = told(schedule, seen(falls(planned, from_s, rate_c_per_h), rig=RIG))
    (answer,) = answers(events, from_s)
    assert answer.elapsed_s - from_s < 360.0
    assert raised(events, Kind.STALL) == []


def test_what_ends_short_of_its_top_is_told_with_the_difference() -> None:
    planned = as_planned(SHORT_HOLD)
    from_s = reached_s(planned, 1264.0)
    events = told(SHORT_HOLD, seen(falls(planned, from_s, 250.0), rig=RIG))
    (end,) = raised(events, Kind.FIRING_FINISHED)
    assert end.severity is Severity.INFO
    assert end.data["short_c"] == pytest.approx(10.0, abs=2.0)
    assert "cones" in end.message
    assert "power or flame" in end.message


def test_a_long_hold_that_was_not_held_is_no_end() -> None:
    planned = as_planned(LONG_HOLD)
    from_s = reached_s(planned, 1264.0)
    events = told(LONG_HOLD, seen(falls(planned, from_s, 250.0), rig=RIG))
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert raised(events, Kind.FIRING_FINISHED) == []


@pytest.mark.parametrize("apart_c", [-22.0, -18.0, -12.0, -6.0, 6.0, 12.0, 18.0])
def test_drops_and_holds_are_followed_by_a_thermocouple_that_reads_otherwise(
    apart_c: float,
) -> None:
    points = off(cooled(as_planned(CRYSTALS), 3 * HOUR_S), apart_c)
    settings = WatchSettings(overshoot_c=20.0)
    events = told(CRYSTALS, seen(points, rig=RIG), settings=settings)
    assert alarms(events) == []
    steps = [event.data["step"] for event in raised(events, Kind.STEP_BEGUN)]
    assert steps == [1, 2, 3, 4, 5, 6]
    (end,) = raised(events, Kind.FIRING_FINISHED)
    assert abs(end.elapsed_s - as_planned(CRYSTALS)[-1][0]) < 900.0


def test_a_plateau_near_the_top_counts_from_when_the_kiln_came_up_to_it() -> None:
    points = off(as_planned(LONG_HOLD), -20.0)
    top_s = reached_s(as_planned(LONG_HOLD), 1274.0)
    watch = Watch(LONG_HOLD, ("kiln",))
    for reading in seen(cut(points, top_s + 1500.0), rig=RIG):
        watch.feed(reading)
    now = watch.status().plan
    assert now.activity is Activity.HOLDING
    assert now.held_s == pytest.approx(1500.0, abs=300.0)


def test_a_kiln_that_stands_far_below_its_top_has_stalled_within_a_quarter_of_an_hour() -> None:
    planned = as_planned(LONG_HOLD)
    from_s = reached_s(planned, 1214.0)
    points = [*cut(planned, from_s), (from_s + 2 * HOUR_S, 1214.0)]
    events = told(LONG_HOLD, seen(points, rig=RIG))
    (stall,) = raised(events, Kind.STALL)
    assert stall.elapsed_s - from_s < 900.0


def test_a_thermocouple_that_reads_higher_sees_no_heat_stuck_on() -> None:
    fast = plan("150 580", "120 1200 20")
    points = off(cooled(as_planned(fast), HOUR_S), 23.0)
    assert raised(told(fast, seen(points, rig=RIG)), Kind.HEAT_STUCK_ON) == []


def stands(fallen_c: float, for_s: float, rate_c_per_h: float = 0.0) -> tuple[Points, float]:
    """A kiln that was let go, fell by ``fallen_c`` and then moves at ``rate_c_per_h``."""
    points = falls(as_planned(SHORT_HOLD), as_planned(SHORT_HOLD)[-1][0], 250.0)
    from_s = next(s for s, c in points if s > as_planned(SHORT_HOLD)[-1][0] and c < 1274 - fallen_c)
    before = cut(points, from_s)
    there_c = before[-1][1]
    return [*before, (from_s + for_s, there_c + rate_c_per_h * for_s / HOUR_S)], from_s


@pytest.mark.parametrize("rate_c_per_h", [0.0, -4.0])
def test_a_kiln_that_stands_hot_after_its_end_is_still_heated(rate_c_per_h: float) -> None:
    points, from_s = stands(270.0, HOUR_S, rate_c_per_h)
    settings = WatchSettings(kiln_kind="electric")
    events = told(SHORT_HOLD, seen(points, rig=RIG), settings=settings)
    (stuck,) = raised(events, Kind.HEAT_STUCK_ON)
    assert stuck.severity is Severity.CRITICAL
    assert stuck.elapsed_s - from_s < 720.0
    assert "does not cool" in stuck.message


@pytest.mark.parametrize("rate_c_per_h", [-35.0, -60.0])
def test_who_fires_down_or_has_a_well_lined_kiln_is_left_in_peace(rate_c_per_h: float) -> None:
    points, _ = stands(60.0, 6 * HOUR_S, rate_c_per_h)
    events = told(SHORT_HOLD, seen(points, rig=RIG), settings=WatchSettings(kiln_kind="electric"))
    assert alarms(events) == []


def test_what_comes_back_by_a_few_degrees_in_minutes_does_not_stand() -> None:
    """As where a damper is pushed in while the kiln cools."""
    falling, from_s = stands(500.0, 1.0)
    there_c = falling[-1][1]
    back_c = there_c + 3.0
    points = [*falling, (from_s + 180.0, back_c), (from_s + 480.0, back_c)]
    points.append((from_s + HOUR_S, back_c - 60.0))
    events = told(SHORT_HOLD, seen(points, rig=RIG), settings=WatchSettings(kiln_kind="gas"))
    assert alarms(events) == []


def test_a_top_that_somebody_holds_longer_is_left_in_peace_for_a_while() -> None:
    planned = as_planned(SHORT_HOLD)
    last_s, last_c = planned[-1]
    points = cooled([*planned, (last_s + 2400.0, last_c)], 2 * HOUR_S)
    assert alarms(told(SHORT_HOLD, seen(points, rig=RIG))) == []


def test_heat_that_stays_is_cleared_when_the_kiln_cools() -> None:
    points, _ = stands(270.0, HOUR_S)
    events = told(
        SHORT_HOLD,
        seen(cooled(points, HOUR_S), rig=RIG),
        settings=WatchSettings(kiln_kind="electric"),
    )
    stuck = [event for event in events if event.kind is Kind.HEAT_STUCK_ON]
    assert [event.state.value for event in stuck] == ["raised", "cleared"]
    assert "no longer stands" in stuck[1].message


def test_a_dip_on_the_way_to_the_top_that_looked_like_the_end_is_taken_back() -> None:
    planned = as_planned(SHORT_HOLD)
    from_s = reached_s(planned, 1262.0)
    low = (from_s + 420.0, 1240.0)
    points = [
        *cut(planned, from_s - 300.0),
        (from_s, at(planned, from_s - 300.0)),
        low,
        (low[0] + 600.0, 1240.0),
    ]
    points += [(low[0] + 600.0 + 60.0 * n, 1240.0 + 1.2 * n) for n in range(1, 28)]
    end_s = points[-1][0] + 300.0
    points = cooled([*points, (end_s, 1274.0)], HOUR_S)
    watch = Watch(SHORT_HOLD, ("kiln",))
    events = [event for reading in seen(points, rig=RIG) for event in watch.feed(reading)]
    assert raised(events, Kind.HEAT_STUCK_ON) == []
    assert raised(events, Kind.FIRING_FINISHED)[-1].elapsed_s > end_s
    assert watch.status().plan.activity is Activity.FINISHED


@pytest.mark.parametrize("constant_h", [3.0, 6.0])
def test_a_kiln_that_creeps_on_after_its_hold_seemed_done_ends_when_it_falls(
    constant_h: float,
) -> None:
    schedule = plan("150 580", "100 1085", "53 1185 15")
    fired = cut(as_planned(schedule), reached_s(as_planned(schedule), 1168.0))
    for after_min, temp_c in ((6.0, 1164.0), (19.0, 1166.0), (40.0, 1178.0)):
        fired.append((reached_s(as_planned(schedule), 1168.0) + 60.0 * after_min, temp_c))
    watch = Watch(schedule, ("kiln",))
    points = cooled(fired, 3 * HOUR_S, constant_s=constant_h * HOUR_S)
    events = [event for reading in seen(points, rig=RIG) for event in watch.feed(reading)]
    assert alarms(events) == []
    assert watch.status().plan.activity is Activity.FINISHED


@pytest.mark.parametrize(
    ("cone", "top_c", "count"),
    [("6", 1225.0, 0), ("9", 1225.0, 0), ("10", 1225.0, 1), ("6", 1195.0, 0), ("7", 1195.0, 1)],
)
@pytest.mark.parametrize("kind", ["gas", "electric"])
def test_who_fires_by_hand_ends_when_the_cone_is_down_and_not_by_the_clock(
    kind: str, cone: str, top_c: float, count: int
) -> None:
    """Ours may read a cone less than the witness cones, by which a person goes, and 9 °C less
    beside that (ASTM E230, class 2 of type K at 1,250 °C)."""
    schedule = plan("120 1000", "60 1225 120", cone=cone)
    corners = [(0.0, 20.0)]
    # A person wanders about the plan.
    while corners[-1][1] < top_c:
        last_s, last_c = corners[-1]
        more_c = 10.0 if len(corners) % 2 else 90.0
        corners.append((last_s + 1800.0, min(last_c + more_c, top_c)))
    corners.append((corners[-1][0] + 1500.0, top_c))
    fired = cooled(corners, HOUR_S, constant_s=4 * HOUR_S)
    events = told(schedule, seen(fired, rig=RIG), settings=WatchSettings(kiln_kind=kind))
    end_s = corners[-1][0]
    lost = [e for e in raised(events, Kind.HEAT_LOST) if e.elapsed_s > end_s]
    assert len(lost) == count
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1 - count


@pytest.mark.parametrize(
    ("kind", "cone", "count"),
    [("gas", "6", 0), ("gas", "8", 1), ("electric", "8", 1)],
)
def test_a_kiln_that_keeps_its_plan_may_be_fired_to_the_cone_as_well(
    kind: str, cone: str, count: int
) -> None:
    schedule = plan("120 1000", "60 1235 60", cone=cone)
    planned = as_planned(schedule)
    end_s = reached_s(planned, 1234.0) + 900.0
    fired = cooled(cut(planned, end_s), HOUR_S, constant_s=4 * HOUR_S)
    events = told(schedule, seen(fired, rig=RIG), settings=WatchSettings(kiln_kind=kind))
    assert len(raised(events, Kind.HEAT_LOST)) == count
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1 - count


@pytest.mark.parametrize(("hold_min", "count"), [(60, 1), (30, 1), (20, 0)])
def test_a_controller_that_has_much_of_its_hold_to_go_has_not_ended_by_the_cone(
    hold_min: int, count: int
) -> None:
    """It ends by its clock, and its cone was down by calculation as the hold began."""
    schedule = plan("120 1000", f"60 1235 {hold_min}", cone="6")
    planned = as_planned(schedule)
    end_s = reached_s(planned, 1234.0) + 900.0
    fired = cooled(cut(planned, end_s), HOUR_S, constant_s=4 * HOUR_S)
    events = told(schedule, seen(fired, rig=RIG), settings=WatchSettings(kiln_kind="electric"))
    assert len(raised(events, Kind.HEAT_LOST)) == count
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1 - count


def test_a_kiln_that_stands_far_above_the_foot_of_a_cooling_is_held_there() -> None:
    """Ours may read up to 25 °C more than the kiln's own; no kiln stands without heat."""
    schedule = plan("120 1220", "300 1110 120", "165 1075 90")
    corners = [(0.0, 20.0), (10.4 * HOUR_S, 1242.0)]
    for after_h, temp_c in ((0.4, 1132.0), (2.0, 1132.0), (0.25, 1098.0), (1.5, 1097.0)):
        corners.append((corners[-1][0] + after_h * HOUR_S, temp_c))
    fired = cooled(corners, HOUR_S, constant_s=8 * HOUR_S)
    events = told(schedule, seen(fired, rig=RIG), settings=WatchSettings(kiln_kind="electric"))
    assert raised(events, Kind.HEAT_LOST) == []
    drop, last = raised(events, Kind.HOLD_DONE)
    assert abs(drop.elapsed_s - 12.8 * HOUR_S) < 600.0
    assert abs(last.elapsed_s - 14.55 * HOUR_S) < 600.0


def test_a_hold_on_the_way_down_counts_down_to_its_foot() -> None:
    """A kiln that comes down more slowly than planned is taken to hold a little above the foot."""
    schedule = plan("120 1220 20", "300 1050 60", "- 700")
    corners = [(0.0, 20.0), (10 * HOUR_S, 1220.0), (10.4 * HOUR_S, 1220.0)]
    for after_s, temp_c in ((1.74 * HOUR_S, 1046.0), (HOUR_S, 1045.0), (2 * HOUR_S, 845.0)):
        corners.append((corners[-1][0] + after_s, temp_c))
    events = told(schedule, seen(corners, rig=RIG), settings=WatchSettings(kiln_kind="electric"))
    assert raised(events, Kind.HEAT_LOST) == []
    assert len(raised(events, Kind.HOLD_DONE)) == 2


@pytest.mark.parametrize("hotter_c", [0.0, 15.0])
def test_a_kept_kiln_may_be_fired_by_a_hotter_zone_whose_hold_began_before(hotter_c: float) -> None:
    """The zone that leads comes up to it for most of the hold, which ends when that one's does."""
    schedule = plan("60 250", "125 1100", "95 1222 15")
    climb = cut(as_planned(schedule), reached_s(as_planned(schedule), 1206.0))
    top_s = climb[-1][0]
    leads = [*climb, (top_s + 540.0, 1216.5), (top_s + 900.0, 1214.5), (top_s + 1500.0, 1150.0)]
    other_c = 1206.0 + hotter_c
    other = [(s, c + hotter_c) for s, c in climb]
    other += [(top_s + 540.0, max(other_c, 1217.0)), (top_s + 900.0, max(other_c, 1215.0))]
    other += [(top_s + 1500.0, 1152.0)]
    readings = [
        Reading(a.elapsed_s, {"top": a.temps_c["kiln"], "bottom": b.temps_c["kiln"]})
        for a, b in zip(seen(leads, seed=1), seen(other, seed=2), strict=True)
    ]
    settings = WatchSettings(kiln_kind="electric")
    events = told(schedule, readings, channels=("top", "bottom"), settings=settings)
    assert len(raised(events, Kind.HEAT_LOST)) == (hotter_c == 0.0)
    assert len(raised(events, Kind.FIRING_FINISHED)) == (hotter_c > 0.0)
