"""A kiln that loses its heat is noticed within minutes; the planned end is not a loss."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.readings import Reading
from supervisor.core.schedule import parse_schedule, starter, starter_names
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors.falling import Fall
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    HOUR_S,
    PROBE_LAG_S,
    Points,
    Rig,
    about,
    alarms,
    as_planned,
    at,
    cleared,
    cooled,
    cut,
    interrupted,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    since,
    swinging,
    told,
)

FIVE_MINUTES_S = 300.0
LOGS = {
    "1 s": Rig(every_s=1.0, noise_c=0.4),
    "5 s": Rig(every_s=5.0, noise_c=0.7),
    "30 s in whole °F": Rig(every_s=30.0, noise_c=0.5, resolution_c=1.0 / 1.8),
}

RIG_OF_A_FIRE = Rig(every_s=10.0, noise_c=0.3)


def power_cut(points: Points, onset_s: float, for_s: float = HOUR_S) -> Points:
    """A kiln that cools as a small one does at first: its air with a time constant of 3 h."""
    return cooled(cut(points, onset_s), for_s, constant_s=3 * HOUR_S)


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize("at_c", [500.0, 700.0, 950.0])
@pytest.mark.parametrize("name", starter_names())
def test_a_power_cut_while_climbing_is_raised_within_5_minutes(
    name: str, at_c: float, log: str
) -> None:
    schedule = starter(name)
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    rig = LOGS[log]
    events = told(schedule, seen(about(power_cut(points, onset_s), onset_s, rig), rig=rig))
    once_each(events)
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert lost.severity is Severity.CRITICAL
    assert 0.0 < lost.elapsed_s - onset_s <= FIVE_MINUTES_S
    assert raised(events, Kind.STALL) == []
    assert len(alarms(events)) == 1


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize(("at_c", "hold_min"), [(600, 60), (890, 30), (1205, 45)])
def test_a_power_cut_in_a_hold_is_raised_within_5_minutes(
    at_c: int, hold_min: int, log: str
) -> None:
    schedule = plan(f"150 {at_c} {hold_min}", "60 1250 20")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c) + 0.5 * hold_min * 60.0
    rig = LOGS[log]
    events = told(schedule, seen(about(power_cut(points, onset_s), onset_s, rig), rig=rig))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - onset_s <= FIVE_MINUTES_S
    assert "where the plan holds" in lost.message


def test_a_cold_kiln_that_loses_its_heat_is_raised_before_a_quarter_of_an_hour() -> None:
    schedule = starter("midfire-glaze")
    points = as_planned(schedule)
    for at_c in (100.0, 200.0, 300.0):
        onset_s = reached_s(points, at_c)
        events = told(schedule, seen(power_cut(points, onset_s)))
        first = min(e.elapsed_s for e in events if e.severity is not Severity.INFO)
        assert 0.0 < first - onset_s <= 900.0, at_c


def test_power_that_comes_back_is_told_once() -> None:
    schedule = starter("midfire-glaze")
    points = as_planned(schedule)
    onset_s = reached_s(points, 750.0)
    fired = interrupted(points, onset_s, 1500.0, rate_c_per_h=-180.0, back_s=1200.0)
    events = told(schedule, seen(fired))
    once_each(events)
    (back,) = cleared(events, Kind.HEAT_LOST)
    assert 0.0 < back.elapsed_s - (onset_s + 1500.0) < 900.0
    assert raised(events, Kind.STALL) == []
    assert [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)] == [1, 2, 3, 4]
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_power_that_comes_back_in_a_hold_is_told_once() -> None:
    schedule = plan("150 900 120", "60 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, 900.0) + 1800.0
    fired = interrupted(points, onset_s, 900.0, rate_c_per_h=-150.0, back_s=900.0)
    events = told(schedule, seen(fired))
    once_each(events)
    assert len(raised(events, Kind.HEAT_LOST)) == len(cleared(events, Kind.HEAT_LOST)) == 1
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_power_cut_for_good_still_ends_with_a_kiln_that_may_be_opened() -> None:
    schedule = starter("midfire-glaze")
    points = as_planned(schedule)
    points = power_cut(points, reached_s(points, 1000.0), 20 * HOUR_S)
    events = told(schedule, seen(points, rig=Rig(every_s=30.0)))
    once_each(events)
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert cleared(events, Kind.HEAT_LOST) == []
    assert len(raised(events, Kind.COOL_TO_OPEN)) == 1


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize("name", starter_names())
def test_the_planned_end_is_not_a_loss_of_heat(name: str, log: str) -> None:
    schedule = starter(name)
    points = cooled(as_planned(schedule), 2 * HOUR_S, constant_s=4 * HOUR_S)
    rig = LOGS[log]
    peak_s = reached_s(points, schedule.peak_c - 1.0)
    events = told(schedule, seen(about(points, peak_s, rig), rig=rig))
    assert alarms(events) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def ended_early(early_s: float, offset_c: float) -> list[Event]:
    """A hold of 30 minutes that the kiln's own controller ends ``early_s`` before its plan."""
    schedule = plan("100 600", "60 1205 30")
    points = as_planned(schedule)
    points = cooled(cut(points, points[-1][0] - early_s), 2 * HOUR_S, constant_s=4 * HOUR_S)
    return told(schedule, seen(points, rig=Rig(offset_c=offset_c)))


@pytest.mark.parametrize("offset_c", [-14.0, -5.0, 0.0, 8.0])
def test_a_controller_that_counts_its_hold_two_minutes_shorter_is_not_a_loss(
    offset_c: float,
) -> None:
    events = ended_early(120.0, offset_c)
    assert raised(events, Kind.HEAT_LOST) == []
    assert len(raised(events, Kind.HOLD_DONE)) == 1
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_heat_that_goes_in_the_last_minutes_is_not_told_as_a_hold_well_done() -> None:
    (done,) = raised(ended_early(240.0, 0.0), Kind.HOLD_DONE)
    assert "before its planned hold" in done.message
    assert "if nobody has let it go" in done.message
    (whole,) = raised(ended_early(0.0, 0.0), Kind.HOLD_DONE)
    assert "is complete" in whole.message


def test_a_controller_that_holds_back_may_count_its_hold_from_ten_degrees_below() -> None:
    schedule = plan("100 600", "60 1205 30")
    fired = as_planned(plan("100 600", "60 1196", "30 1205 12"))
    events = told(schedule, seen(cooled(fired, 2 * HOUR_S, constant_s=4 * HOUR_S)))
    assert alarms(events) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_shut_off_in_the_middle_of_the_last_hold_is_a_loss() -> None:
    assert len(raised(ended_early(900.0, 0.0), Kind.HEAT_LOST)) == 1


def test_a_kiln_shut_off_a_few_degrees_below_the_last_top_has_ended_its_plan() -> None:
    schedule = plan("100 600", "150 1000")
    points = cooled(as_planned(plan("100 600", "150 990")), 2 * HOUR_S, constant_s=4 * HOUR_S)
    events = told(schedule, seen(points))
    assert alarms(events) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_dip_below_a_hold_after_a_free_cooling_is_not_a_loss() -> None:
    schedule = plan("150 1205 10", "- 1030 40", "70 780")
    planned = as_planned(schedule)
    drop_end_s = next(s for s, c in planned if s > 30_000.0 and c == 1030.0)
    for under_c in (3.0, 8.0, 13.0):
        dipped = [
            *[p for p in planned if p[0] <= drop_end_s],
            (drop_end_s + 180.0, 1030.0 - under_c),
            (drop_end_s + 900.0, 1030.0),
            *[p for p in planned if p[0] > drop_end_s + 900.0],
        ]
        assert alarms(told(schedule, seen(since(dipped, drop_end_s - 3 * HOUR_S)))) == [], under_c


def test_heat_that_does_not_come_back_after_a_free_cooling_is_a_loss() -> None:
    schedule = plan("150 1205 10", "- 1030 40", "70 780")
    planned = as_planned(schedule)
    drop_end_s = next(s for s, c in planned if s > 30_000.0 and c == 1030.0)
    (lost,) = raised(told(schedule, seen(power_cut(planned, drop_end_s))), Kind.HEAT_LOST)
    assert lost.elapsed_s - drop_end_s < 600.0


@pytest.mark.parametrize("period_s", [60.0, 300.0, 600.0, 1200.0])
def test_a_controller_that_swings_by_5_degrees_loses_no_heat(period_s: float) -> None:
    schedule = plan("80 120 60", "100 600 60", "60 1000 60")
    points = swinging(as_planned(schedule), 5.0, period_s, every_s=min(20.0, period_s / 12))
    assert raised(told(schedule, seen(points)), Kind.HEAT_LOST) == []


@pytest.mark.parametrize("kind", ["electric", "gas"])
@pytest.mark.parametrize(("swing_c", "period_s"), [(4.0, 300.0), (6.0, 600.0), (6.0, 900.0)])
def test_a_coarse_controller_that_goes_on_swinging_loses_no_heat(
    swing_c: float, period_s: float, kind: str
) -> None:
    """It falls for minutes, steeply and straight, and as long each time."""
    points = swinging(as_planned(plan("60 120 30", "60 600")), swing_c, period_s, every_s=5.0)
    rig = Rig(every_s=5.0, noise_c=0.4)
    events = told(
        plan("60 120 30", "60 1000"),
        seen(points, rig=rig, seed=3),
        settings=WatchSettings(kiln_kind=kind),
    )
    assert raised(events, Kind.HEAT_LOST) == []


def test_the_message_says_where_to_look_and_warns_of_gas() -> None:
    schedule = starter("midfire-glaze")
    points = as_planned(schedule)
    onset_s = reached_s(points, 750.0)
    (lost,) = raised(told(schedule, seen(power_cut(points, onset_s))), Kind.HEAT_LOST)
    for word in ("losing heat", "climbs", "breaker", "door", "gas"):
        assert word in lost.message
    fallen_c = lost.data["fallen_c"]
    assert isinstance(fallen_c, float)
    assert 0.0 < fallen_c < 30.0


STEADY = plan("100 600", "150 1100 10")


def lost_after(points: Points, onset_s: float, *, every_s: float = 5.0) -> list[float]:
    """How long after the onset a loss of heat is told of the steady plan, in seconds."""
    rig = Rig(every_s=every_s)
    lost = raised(told(STEADY, seen(about(points, onset_s, rig), rig=rig)), Kind.HEAT_LOST)
    return [e.elapsed_s - onset_s for e in lost]


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize("at_c", [900.0, 1000.0])
def test_a_kiln_turned_down_for_a_pause_has_not_lost_its_heat(at_c: float, every_s: float) -> None:
    planned = as_planned(STEADY)
    onset_s = reached_s(planned, at_c)
    slower = [(60.0, 1.8), (120.0, 3.4), (180.0, 4.8), (240.0, 6.0), (360.0, 6.0)]
    points = cut(planned, onset_s) + [(onset_s + s, at_c - c) for s, c in slower]
    late_s = 360.0 + 6.0 / 150.0 * HOUR_S
    points += [(s + late_s, c) for s, c in planned if s > onset_s]
    rig = Rig(every_s=every_s)
    points = about(points, onset_s, rig)
    for seed in (1, 2, 3):
        readings = seen(points, rig=rig, seed=seed)
        events = told(STEADY, readings, settings=WatchSettings(kiln_kind="gas"))
        assert raised(events, Kind.HEAT_LOST) == [], seed


@pytest.mark.parametrize("every_s", [1.0, 10.0])
@pytest.mark.parametrize("at_c", [500.0, 700.0, 950.0])
def test_a_power_cut_in_a_controlled_climb_is_told_within_3_minutes(
    at_c: float, every_s: float
) -> None:
    onset_s = reached_s(as_planned(STEADY), at_c)
    (after_s,) = lost_after(power_cut(as_planned(STEADY), onset_s), onset_s, every_s=every_s)
    assert 0.0 < after_s <= 180.0


@pytest.mark.parametrize("every_s", [1.0, 10.0])
def test_a_slow_steady_fall_is_told_once_it_is_deep(every_s: float) -> None:
    onset_s = reached_s(as_planned(STEADY), 800.0)
    points = [*cut(as_planned(STEADY), onset_s), (onset_s + 2 * HOUR_S, 720.0)]
    rig = Rig(every_s=every_s)
    (lost,) = raised(told(STEADY, seen(about(points, onset_s, rig), rig=rig)), Kind.HEAT_LOST)
    assert onset_s < lost.elapsed_s <= onset_s + 2700.0
    temp_c = lost.data["temp_c"]
    assert isinstance(temp_c, float)
    assert 770.0 < temp_c < 790.0


@pytest.mark.parametrize(("atmosphere", "count"), [("reduction", 0), ("oxidation", 1)])
def test_a_dip_of_9_degrees_is_a_loss_but_in_body_reduction(atmosphere: str, count: int) -> None:
    schedule = parse_schedule(
        f'name = "x"\natmosphere = "{atmosphere}"\n'
        "[[step]]\nrate = 150\nto = 800\n[[step]]\nrate = 80\nto = 1250\n"
    )
    planned = as_planned(schedule)
    dips = interrupted(planned, reached_s(planned, 900.0), 240.0, -135.0, 900.0)
    events = told(schedule, seen(dips), settings=WatchSettings(kiln_kind="gas"))
    assert len(raised(events, Kind.HEAT_LOST)) == count


@pytest.mark.parametrize("every_s", [1.0, 5.0, 10.0])
@pytest.mark.parametrize("at_c", [800.0, 1000.0])
def test_a_gust_of_cold_air_on_the_probe_is_not_told(at_c: float, every_s: float) -> None:
    onset_s = reached_s(as_planned(STEADY), at_c)
    gust = [(0.0, 0.0), (30.0, -12.0), (60.0, -12.0), (90.0, 0.0)]
    rig = Rig(every_s=every_s)
    points = cut(about(as_planned(STEADY), onset_s, rig), onset_s + HOUR_S)
    readings = [
        replace(r, temps_c={"kiln": (r.temps_c["kiln"] or 0.0) + at(gust, r.elapsed_s - onset_s)})
        for r in seen(points, rig=rig)
    ]
    assert alarms(told(STEADY, readings, settings=WatchSettings(kiln_kind="gas"))) == []


def test_with_one_channel_it_says_that_a_slipped_probe_looks_the_same() -> None:
    onset_s = reached_s(as_planned(STEADY), 800.0)
    points = power_cut(as_planned(STEADY), onset_s)
    one = seen(points)
    two = [
        Reading(a.elapsed_s, {**a.temps_c, "other": b.temps_c["kiln"]})
        for a, b in zip(one, seen(points, seed=2), strict=True)
    ]
    (alone,) = raised(told(STEADY, one), Kind.HEAT_LOST)
    (both,) = raised(told(STEADY, two, channels=("kiln", "other")), Kind.HEAT_LOST)
    assert "probe that has slipped looks the same" in alone.message
    assert "slipped" not in both.message


def eased(
    points: Points, onset_s: float, dip_c: float, sinks_s: float, for_s: float = 1500.0
) -> Points:
    """The kiln falls by ``dip_c``, ever more slowly, stands until ``for_s`` and goes on later."""
    before = cut(points, onset_s)
    onset_c = before[-1][1]
    count = int(for_s // 10.0)
    after = [
        (onset_s + 10.0 * n, onset_c - dip_c * -math.expm1(-10.0 * n / sinks_s))
        for n in range(1, count + 1)
    ]
    low_c = after[-1][1]
    later = [(s + for_s, c + low_c - onset_c) for s, c in points if s > onset_s]
    return before + after + later


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize(
    ("at_c", "dip_c", "sinks_s"), [(180.0, 6.0, 90.0), (290.0, 3.5, 60.0), (530.0, 4.0, 60.0)]
)
def test_a_controller_that_is_paused_dips_and_bends_and_has_lost_no_heat(
    at_c: float, dip_c: float, sinks_s: float, log: str
) -> None:
    schedule = plan("130 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    fired = cut(eased(points, onset_s, dip_c, sinks_s), onset_s + 2 * HOUR_S)
    events = told(schedule, seen(about(fired, onset_s, LOGS[log]), rig=LOGS[log]))
    assert raised(events, Kind.HEAT_LOST) == []


@pytest.mark.parametrize("log", LOGS)
def test_a_hot_kiln_that_falls_back_less_steeply_than_it_climbed_is_told_within_5_minutes(
    log: str,
) -> None:
    schedule = plan("160 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, 480.0)
    # Walls and ware are heavy, and the chamber falls with them from the third minute on.
    fired = interrupted(points, onset_s, HOUR_S, -110.0)
    readings = seen(about(fired, onset_s, LOGS[log]), rig=LOGS[log])
    first = raised(told(schedule, readings), Kind.HEAT_LOST)[0]
    assert 120.0 < first.elapsed_s - onset_s <= FIVE_MINUTES_S


@pytest.mark.parametrize("every_s", [1.0, 5.0])
def test_a_plug_taken_out_of_an_electric_kiln_is_no_lost_heat(every_s: float) -> None:
    schedule = plan("100 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, 780.0)
    for_s = 60.0
    fired = interrupted(points, onset_s, for_s, -25.0 * HOUR_S / for_s, 90.0)
    rig = Rig(every_s=every_s)
    events = told(schedule, seen(about(fired, onset_s, rig), rig=rig))
    assert raised(events, Kind.HEAT_LOST) == []


@pytest.mark.parametrize("between_s", [140.0, 150.0, 240.0])
def test_two_looks_one_soon_after_the_other_are_no_lost_heat(between_s: float) -> None:
    schedule = plan("150 600", "100 1100 90")
    points = as_planned(schedule)
    hold_s = points[-1][0] - 3600.0
    points = cut(points, hold_s)
    for look_s, chill_c in ((hold_s, 15.0), (hold_s + between_s, 22.0)):
        points += [
            (look_s + 1.0, 1100.0),
            *(
                (look_s + 20.0 + s, 1100.0 - chill_c * math.exp(-s / 40.0))
                for s in range(0, 100, 10)
            ),
        ]
    points += [(hold_s + 1800.0, 1100.0)]
    readings = seen(points, rig=Rig(every_s=10.0, noise_c=0.15))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="electric"))
    assert raised(events, Kind.HEAT_LOST) == []


@pytest.mark.parametrize(("for_s", "count"), [(75.0, 0), (900.0, 1)])
def test_a_look_into_a_gas_kiln_that_stands_already_begins_when_the_plug_is_out(
    for_s: float, count: int
) -> None:
    schedule = plan("145 870 10")
    points = as_planned(schedule)
    stands_s = reached_s(points, 385.0)
    stood = [(stands_s + 60.0, 384.0), (stands_s + 330.0, 383.8)]
    fallen_c = for_s * 400.0 / HOUR_S
    onset_s = stood[-1][0]
    fallen = [(onset_s + for_s, 383.8 - fallen_c), (onset_s + for_s + 120.0, 384.0)]
    later = [(s + 1200.0 + for_s, c) for s, c in points if s > stands_s]
    rig = Rig(every_s=1.0, noise_c=0.4)
    readings = seen([*cut(points, stands_s), *stood, *fallen, *later], rig=rig)
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    lost = [e.elapsed_s - onset_s for e in raised(events, Kind.HEAT_LOST)]
    assert [after_s <= FIVE_MINUTES_S for after_s in lost] == [True] * count


@pytest.mark.parametrize(("sinks_c", "count"), [(18.0, 0), (60.0, 1)])
def test_a_fire_that_dries_ware_is_held_to_give_or_take_25_degrees(
    sinks_c: float, count: int
) -> None:
    schedule = plan("85 145 120", "100 1000")
    points = [(0.0, 20.0), (5300.0, 145.0), (6000.0, 149.0)]
    points += [(6000.0 + 1900.0, 149.0 - sinks_c), (6000.0 + 3600.0, 149.0 - sinks_c)]
    events = told(
        schedule, seen(points, rig=RIG_OF_A_FIRE), settings=WatchSettings(kiln_kind="wood")
    )
    assert len(raised(events, Kind.HEAT_LOST)) == count


def test_a_door_that_is_left_open_is_told_though_it_begins_as_a_draught() -> None:
    schedule = plan("100 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, 780.0)
    fired = [*cut(points, onset_s), (onset_s + 60.0, 755.0), (onset_s + 1800.0, 640.0)]
    (lost,) = raised(told(schedule, seen(fired)), Kind.HEAT_LOST)
    assert lost.elapsed_s - onset_s <= FIVE_MINUTES_S


def test_a_first_step_in_a_hurry_does_not_make_a_cold_kiln_slow_to_be_told() -> None:
    schedule = plan("- 120", "165 1000 10")
    points = [(0.0, 20.0), (400.0, 120.0), (1920.0, 189.7)]
    fired = cooled(points, HOUR_S, constant_s=2900.0)
    (lost,) = raised(told(schedule, seen(fired)), Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - 1920.0 <= FIVE_MINUTES_S


def test_a_hand_that_was_ahead_of_its_plan_is_told_of_a_power_cut_in_5_minutes() -> None:
    schedule = plan("75 260", "90 640", "150 1000 10")
    corners = [(0.0, 20.0), (11_520.0, 260.0), (26_720.0, 640.0)]
    # A person at switches wanders about the plan, and is ahead of it at last.
    for n in range(1, 7):
        last_s, last_c = corners[-1]
        corners.append((last_s + 900.0, last_c + (22.5 if n % 2 else 57.5)))
    last_s, last_c = corners[-1]
    onset_s = last_s + 600.0
    corners.append((onset_s, last_c + 38.0))
    fired = cooled(corners, HOUR_S, constant_s=4 * HOUR_S)
    events = told(schedule, seen(fired, rig=Rig(every_s=15.0, noise_c=1.0)))
    lost = [e for e in raised(events, Kind.HEAT_LOST) if e.elapsed_s > onset_s]
    assert lost[0].elapsed_s - onset_s <= FIVE_MINUTES_S


def test_a_kiln_that_cools_on_a_little_before_it_climbs_again_has_lost_no_heat() -> None:
    schedule = plan("150 630", "100 600", "100 715 10")
    points = as_planned(schedule)
    turns_s = reached_s(points, 630.0) + 30.0 / 100.0 * HOUR_S
    later = [(s + 576.0, c) for s, c in points if s > turns_s]
    # The kiln's own thermocouple reads 8 °C more, and comes to the foot of the step later.
    fired = [*cut(points, turns_s), (turns_s + 288.0, 592.0), (turns_s + 576.0, 600.0), *later]
    assert raised(told(schedule, seen(fired)), Kind.HEAT_LOST) == []


@pytest.mark.parametrize("log", ["1 s", "5 s"])
@pytest.mark.parametrize("at_c", [620.0, 950.0])
@pytest.mark.parametrize("dip_c", [7.0, 14.0])
def test_a_look_beside_the_only_thermocouple_of_a_kept_kiln_is_no_lost_heat(
    dip_c: float, at_c: float, log: str
) -> None:
    schedule = plan("80 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    # The plug is out for two minutes: the probe is chilled by its own lag, and comes back by it.
    looked = []
    for n in range(1, 84):
        out_s = min(5.0 * n, 120.0)
        chill = -math.expm1(-out_s / 40.0) * math.exp((out_s - 5.0 * n) / 40.0)
        looked.append((onset_s + 5.0 * n, at(points, onset_s + 5.0 * n) - dip_c * chill))
    fired = cut(points, onset_s) + looked + since(points, onset_s + 420.0)
    fired = cut(fired, onset_s + 0.5 * HOUR_S)
    events = told(schedule, seen(about(fired, onset_s, LOGS[log]), rig=LOGS[log]))
    assert raised(events, Kind.HEAT_LOST) == []


def test_a_controller_that_swings_widely_is_told_of_twice_and_not_with_each_swing() -> None:
    schedule = plan("100 1000 10")
    points = as_planned(schedule)
    from_s, to_s = reached_s(points, 500.0), reached_s(points, 750.0)
    swung = [p for p in swinging(points, 10.0, 480.0, every_s=10.0) if from_s < p[0] < to_s]
    fired = cut(points, from_s) + swung
    onset_s = fired[-1][0]
    events = told(schedule, seen(cooled(fired, HOUR_S, constant_s=3 * HOUR_S)))
    lost = raised(events, Kind.HEAT_LOST)
    swings = [e for e in lost if e.elapsed_s < onset_s - 60.0]
    assert len(swings) == 2, alarms(events)
    # What is no swing is told as soon.
    assert lost[-1].elapsed_s - onset_s <= FIVE_MINUTES_S


def test_a_kiln_that_climbs_in_a_great_hurry_and_falls_back_as_fast_is_told_in_4_minutes() -> None:
    schedule = plan("600 1000 5")
    points = as_planned(schedule)
    onset_s = reached_s(points, 850.0)
    fired = interrupted(points, onset_s, 900.0, -640.0)
    readings = seen(fired, rig=Rig(every_s=1.0))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    assert 0.0 < raised(events, Kind.HEAT_LOST)[0].elapsed_s - onset_s <= 240.0


@pytest.mark.parametrize("log", LOGS)
def test_a_flame_that_goes_out_under_a_cold_raku_kiln_is_told_in_5_minutes(log: str) -> None:
    """It falls back by two thirds of what it climbed, ever more, once it has risen on a little."""
    schedule = plan("320 300", "580 985 5")
    points = as_planned(schedule)
    onset_s = reached_s(points, 185.0)
    falls_back = [(0, 0.0), (50, 2.7), (80, 2.6), (110, 1.6), (140, -0.1), (170, -2.0)]
    falls_back += [(200, -4.2), (230, -6.3), (260, -8.2), (290, -10.0), (320, -11.6), (900, -36.0)]
    out = [(onset_s + s, 185.0 + c) for s, c in falls_back]
    readings = seen(cut(points, onset_s) + out[1:], rig=LOGS[log])
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    assert 0.0 < raised(events, Kind.HEAT_LOST)[0].elapsed_s - onset_s <= FIVE_MINUTES_S


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize("at_c", [160.0, 250.0])
def test_a_cold_kiln_on_its_way_that_loses_its_heat_is_told_within_5_minutes(
    at_c: float, log: str
) -> None:
    schedule = plan("130 600", "150 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    # Heavy ware: it falls back by less than it climbed.
    fired = interrupted(points, onset_s, 1800.0, -90.0)
    settings = WatchSettings(kiln_kind="electric")
    events = told(schedule, seen(fired, rig=LOGS[log]), settings=settings)
    assert 0.0 < raised(events, Kind.HEAT_LOST)[0].elapsed_s - onset_s <= FIVE_MINUTES_S


@pytest.mark.parametrize(
    ("dip_c", "sinks_s", "count"), [(17.0, 160.0, 0), (200.0, 3000.0, 1), (280.0, 3000.0, 1)]
)
def test_a_hand_that_turns_a_switch_down_makes_a_fall_that_bends(
    dip_c: float, sinks_s: float, count: int
) -> None:
    schedule = plan("120 1000 10")
    corners = [(0.0, 20.0)]
    # A person at switches wanders about the plan.
    for n in range(14):
        last_s, last_c = corners[-1]
        corners.append((last_s + 1800.0, last_c + (10.0 if n % 2 else 110.0)))
    onset_s, onset_c = corners[-1]
    fired = eased([*corners, (onset_s + HOUR_S, onset_c)], onset_s, dip_c, sinks_s, 900.0)
    readings = seen(cut(fired, onset_s + 900.0), rig=LOGS["5 s"])
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="electric"))
    lost = [e.elapsed_s - onset_s for e in raised(events, Kind.HEAT_LOST) if e.elapsed_s > onset_s]
    assert [after_s <= FIVE_MINUTES_S for after_s in lost] == [True] * count


def dips(points: Points, first_s: float, dip_c: float, count: int) -> Points:
    """A tap that is turned down every twenty minutes, for one: the kiln dips, and makes it good."""
    for n in range(count):
        high_s = first_s + 1200.0 * n
        high_c, back_s = at(points, high_s), high_s + 320.0
        dip = [(high_s, high_c), (high_s + 80.0, high_c - dip_c), (back_s, at(points, back_s))]
        before = [p for p in points if p[0] < high_s]
        points = [*before, *dip, *(p for p in points if p[0] > back_s)]
    return points


@pytest.mark.parametrize("dip_c", [2.0, 7.0])
def test_a_fall_that_is_straight_and_outlasts_a_kiln_s_dips_is_told_however_deep_those_were(
    dip_c: float,
) -> None:
    """None of which is told."""
    schedule = plan("80 1260 10")
    planned = as_planned(schedule)
    onset_s = reached_s(planned, 1000.0)
    points = dips(planned, onset_s - 3 * HOUR_S, dip_c, 8)
    fired = cut(interrupted(points, onset_s, 1800.0, -150.0), onset_s + 1800.0)
    settings = WatchSettings(kiln_kind="gas")
    events = told(schedule, seen(fired, rig=LOGS["5 s"]), settings=settings)
    (lost, *_) = raised(events, Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - onset_s <= 200.0


@pytest.mark.parametrize("steps", [("150 900 60", "150 1200"), ("150 900", "55 1000")])
@pytest.mark.parametrize(
    ("kind", "dip_c", "sinks_s", "is_lost"),
    [
        ("gas", 14.0, 200.0, False),
        ("gas", 280.0, 3000.0, True),
        ("electric", 8.5, 150.0, False),
        ("electric", 16.0, 200.0, True),
        ("electric", 280.0, 3000.0, True),
    ],
)
def test_gas_that_is_turned_down_at_a_corner_falls_back_by_what_it_climbed_with(
    steps: tuple[str, str], dip_c: float, sinks_s: float, kind: str, *, is_lost: bool
) -> None:
    """In seven minutes; a controller that settles an electric kiln, in four."""
    schedule = plan(*steps)
    planned = as_planned(schedule)
    onset_s = reached_s(planned, 899.0)
    fired = eased(planned, onset_s, dip_c, sinks_s, 1200.0)
    readings = seen(cut(fired, onset_s + 1200.0), rig=LOGS["5 s"])
    events = told(schedule, readings, settings=WatchSettings(kiln_kind=kind))
    lost = [e.elapsed_s - onset_s for e in raised(events, Kind.HEAT_LOST)]
    assert [after_s <= 1.3 * FIVE_MINUTES_S for after_s in lost] == [True] * is_lost


@pytest.mark.parametrize(("hold_min", "count"), [(60, 1), (15, 0)])
def test_a_long_hold_on_the_way_down_that_the_kiln_falls_through_is_a_loss(
    hold_min: int, count: int
) -> None:
    schedule = plan("150 1205 10", f"250 1065 {hold_min}")
    planned = as_planned(schedule)
    foot_s = planned[-1][0] - 60.0 * hold_min
    fired = interrupted(planned, foot_s, HOUR_S, -350.0)
    lost = raised(told(schedule, seen(cut(fired, foot_s + HOUR_S))), Kind.HEAT_LOST)
    assert [e.elapsed_s - foot_s <= FIVE_MINUTES_S for e in lost] == [True] * count


@pytest.mark.parametrize(("falls_c", "count"), [(9.0, 0), (30.0, 1)])
def test_a_kiln_that_dries_by_hand_may_fall_by_ten_degrees_as_it_is_turned_down(
    falls_c: float, count: int
) -> None:
    """A burner is turned up and down by hand while the ware dries, between 80 and 140 °C."""
    schedule = plan("90 120 30", "90 600")
    rises = [(0.0, 15.0), (4000.0, 65.0), (7600.0, 80.0), (11_200.0, 92.0), (14_800.0, 98.0)]
    up = [(15_200.0, 112.0), (15_600.0, 124.0), (15_900.0, 126.0)]
    down = [(15_900.0 + 60.0 * falls_c, 126.0 - falls_c)]
    on = [(down[-1][0] + 1800.0, down[-1][1] + 6.0)]
    readings = seen([*rises, *up, *down, *on], rig=Rig(every_s=10.0))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    assert len(raised(events, Kind.HEAT_LOST)) == count
    assert raised(events, Kind.STALL) == []
    assert [e for e in raised(events, Kind.LAGGING) if e.severity is Severity.WARNING] == []


def test_nobody_has_turned_down_a_kiln_that_falls_through_a_hold_on_its_way_down() -> None:
    """A gas kiln, which may fall back as a climb ends, falls to a hold without heat, and on."""
    schedule = plan("150 1205 10", "150 1062 90", "150 900")
    planned = as_planned(plan("150 1205 10", "150 1062"))
    foot_s = planned[-1][0]
    fired = [*planned, (foot_s + 0.5 * HOUR_S, 1062.0 - 55.0)]
    readings = seen(fired, rig=LOGS["5 s"])
    (lost,) = raised(
        told(schedule, readings, settings=WatchSettings(kiln_kind="gas")), Kind.HEAT_LOST
    )
    below_s = foot_s + 15.0 / 110.0 * HOUR_S
    assert lost.elapsed_s - below_s <= FIVE_MINUTES_S


def test_lost_heat_is_not_over_where_the_kiln_falls_past_the_next_hold_as_well() -> None:
    schedule = plan("150 1205 10", "150 1062 90", "150 1033 60", "- 300")
    planned = as_planned(plan("150 1205 10", "150 1062"))
    foot_s = planned[-1][0]
    fired = [*planned, (foot_s + 1.6 * HOUR_S, 1062.0 - 1.6 * 110.0)]
    events = told(
        schedule,
        seen(fired, rig=LOGS["5 s"]),
        settings=WatchSettings(kiln_kind="electric"),
    )
    (lost,), (over,) = raised(events, Kind.HEAT_LOST), cleared(events, Kind.HEAT_LOST)
    assert lost.elapsed_s - foot_s <= 1200.0
    # From there the plan lets it cool.
    assert float(str(over.data["temp_c"])) < 1033.0 - 50.0


def test_a_controller_that_catches_a_slow_kiln_at_its_foot_may_let_it_sink_a_little_below() -> None:
    """It settles 4 °C below the hold, as it does behind a thick lining."""
    schedule = plan("150 1205 10", "- 1104 30", "100 1082 60")
    held = [*as_planned(plan("150 1205 10"))]
    end_s = held[-1][0]
    held += [(end_s + 2400.0, 1104.0), (end_s + 4200.0, 1104.0)]
    caught = [
        (end_s + 4200.0 + s, 1078.0 + 26.0 * math.exp(-s / 900.0)) for s in range(60, 3600, 60)
    ]
    readings = seen([*held, *caught], rig=LOGS["5 s"])
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="electric"))
    assert raised(events, Kind.HEAT_LOST) == []


def test_a_big_kiln_that_sinks_slowly_from_some_degrees_below_its_top_has_ended() -> None:
    schedule = plan("100 600", "60 1260")
    points = as_planned(schedule)
    onset_s = reached_s(points, 1253.0)
    fired = [*cut(points, onset_s), (onset_s + 240.0, 1248.0), (onset_s + HOUR_S, 1208.0)]
    events = told(schedule, seen(about(fired, onset_s, Rig()), rig=Rig()))
    assert alarms(events) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def lagged(points: Points, lag_s: float) -> Points:
    """What a probe of that lag shows of a kiln, each five seconds."""
    shown_c = points[0][1]
    shown = [(points[0][0], shown_c)]
    for n in range(1, int((points[-1][0] - points[0][0]) // 5.0) + 1):
        at_s = points[0][0] + 5.0 * n
        shown_c += -math.expm1(-5.0 / lag_s) * (at(points, at_s) - shown_c)
        shown.append((at_s, shown_c))
    return shown


def seen_twice(points: Points, every_s: float) -> list[Reading]:
    """Two thermocouples that read the same, each with its own noise."""
    one, two = (seen(points, rig=Rig(every_s=every_s), seed=seed) for seed in (1, 2))
    return [
        Reading(a.elapsed_s, {**a.temps_c, "other": b.temps_c["kiln"]})
        for a, b in zip(one, two, strict=True)
    ]


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize(("kind", "within_s"), [("electric", 112.0), ("gas", 120.0)])
def test_a_cut_that_several_probes_see_in_a_kept_climb_is_told_within_2_minutes(
    kind: str, within_s: float, every_s: float
) -> None:
    onset_s = reached_s(as_planned(STEADY), 900.0)
    points = since(power_cut(as_planned(STEADY), onset_s, 900.0), onset_s - HOUR_S)
    readings = seen_twice(lagged(points, PROBE_LAG_S), every_s)
    settings = WatchSettings(kiln_kind=kind)
    events = told(STEADY, readings, settings=settings, channels=("kiln", "other"))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 60.0 < lost.elapsed_s - onset_s <= within_s


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize("at_c", [700.0, 950.0])
@pytest.mark.parametrize(("for_s", "fell_c_per_h"), [(40.0, 700.0), (50.0, 280.0)])
def test_mains_that_flicker_for_some_seconds_are_no_lost_heat(
    for_s: float, fell_c_per_h: float, at_c: float, every_s: float
) -> None:
    onset_s = reached_s(as_planned(STEADY), at_c)
    points = since(as_planned(STEADY), onset_s - HOUR_S)
    # A small kiln falls by 700 °C an hour, and at full power comes back as fast.
    points = cut(interrupted(points, onset_s, for_s, -fell_c_per_h, 60.0), onset_s + 900.0)
    readings = seen_twice(lagged(points, PROBE_LAG_S), every_s)
    events = told(STEADY, readings, channels=("kiln", "other"))
    assert raised(events, Kind.HEAT_LOST) == []


@pytest.mark.parametrize(
    ("temp_c", "rate_c_per_h", "bent"),
    [(175.0, -105.0, True), (175.0, -160.0, False), (700.0, -105.0, False), (700.0, -75.0, True)],
)
def test_a_cold_kiln_that_is_paused_has_bent_sooner_than_a_hot_one(
    temp_c: float, rate_c_per_h: float, bent: bool
) -> None:
    moment = Moment(PlanFollower(STEADY), Words(Unit.C), elapsed_s=140.0, temp_c=temp_c)
    moment.rate_c_per_h, moment.habits.looseness = rate_c_per_h, 0.0
    fall = Fall()
    # It has fallen by 6 °C in 140 s, 154 °C an hour in the mean.
    moment.moved_c, moment.moved_s = -6.0, 140.0
    assert fall.add(moment, temp_c, 0.0)
    assert fall.has_bent(moment) is bent


def told_when(points: Points, every_s: float, channels: int, kind: str) -> list[float]:
    """When a loss of heat is told of the steady plan, as one or two probes of usual lag see it."""
    readings = seen_twice(lagged(points, PROBE_LAG_S), every_s)
    names = ("kiln", "other")[:channels]
    readings = [Reading(r.elapsed_s, {name: r.temps_c[name] for name in names}) for r in readings]
    events = told(STEADY, readings, settings=WatchSettings(kiln_kind=kind), channels=names)
    return [event.elapsed_s for event in raised(events, Kind.HEAT_LOST)]


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize(
    ("kind", "channels"), [("electric", 1), ("electric", 2), ("gas", 1), ("gas", 2)]
)
def test_a_kept_kiln_that_falls_faster_than_any_pause_is_told_within_2_minutes(
    kind: str, channels: int, every_s: float
) -> None:
    onset_s = reached_s(as_planned(STEADY), 800.0)
    points = since(as_planned(STEADY), onset_s - HOUR_S)
    # A small kiln of fibre and elements loses nearly twice as fast as it climbed.
    points = cut(interrupted(points, onset_s, 900.0, -280.0), onset_s + 900.0)
    (at_s,) = told_when(points, every_s, channels, kind)
    # Into a gas kiln people look: a lone probe may be chilled by a plug that is out.
    most_s = 140.0 if (kind, channels) == ("gas", 1) else 115.0
    assert 60.0 < at_s - onset_s <= most_s


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("at_c", [700.0, 900.0])
def test_a_pause_that_takes_all_heat_away_for_a_minute_is_no_lost_heat(
    at_c: float, channels: int, every_s: float
) -> None:
    before = as_planned(STEADY)
    onset_s = reached_s(before, at_c)
    # It falls as fast as it climbed, then walls and ware hold it, and it is caught.
    falls = [(60.0, 2.5), (90.0, 3.3), (150.0, 4.0), (240.0, 4.4), (900.0, 4.4)]
    points = cut(before, onset_s) + [(onset_s + s, at_c - c) for s, c in falls]
    points = since(points, onset_s - HOUR_S)
    assert told_when(points, every_s, channels, "electric") == []


def test_a_kiln_falls_back_from_the_climb_that_it_made_last() -> None:
    moment = Moment(PlanFollower(STEADY), Words(Unit.C), temp_c=900.0)
    moment.habits.looseness = 0.0
    plain = []
    for climbed_c_per_h in (150.0, 300.0):
        fall = Fall()
        moment.elapsed_s, moment.rate_c_per_h = 20.0, climbed_c_per_h
        moment.moved_s, moment.moved_c = 20.0, climbed_c_per_h / 180.0
        fall.see_climb(moment)
        assert not fall.add(moment, 900.0, 0.0)
        moment.elapsed_s, moment.rate_c_per_h = 90.0, -220.0
        moment.moved_s, moment.moved_c = 70.0, -4.2
        assert fall.add(moment, 900.0, 0.0)
        fall.look(moment, 900.0, 150.0, is_on_its_way=True)
        plain.append(fall.is_plain(moment, 900.0))
    assert plain == [True, False]


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize(("at_c", "constant_h"), [(840.0, 8.5), (620.0, 10.0), (1000.0, 11.0)])
def test_a_kept_kiln_that_falls_as_slowly_as_the_best_lined_do_is_told_within_6_minutes(
    at_c: float, constant_h: float, log: str
) -> None:
    schedule = plan("165 1050 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    fired = cooled(cut(points, onset_s), HOUR_S, constant_s=constant_h * HOUR_S)
    events = told(schedule, seen(about(fired, onset_s, LOGS[log]), rig=LOGS[log]))
    first = raised(events, Kind.HEAT_LOST)[0]
    assert 120.0 < first.elapsed_s - onset_s <= FIVE_MINUTES_S + 60.0


@pytest.mark.parametrize(("ambient_c", "count"), [(20.0, 1), (130.0, 0)])
def test_what_is_colder_than_the_shed_loses_no_heat(ambient_c: float, count: int) -> None:
    # It is no kiln that shows so: swapped leads, or a probe that hangs outside.
    schedule = plan("60 600")
    points = [(0.0, 20.0), (1.75 * HOUR_S, 125.0), (2.75 * HOUR_S, 25.0)]
    settings = WatchSettings(kiln_kind="electric", ambient_c=ambient_c)
    events = told(schedule, seen(points), settings=settings)
    assert len(raised(events, Kind.HEAT_LOST)) == count


@pytest.mark.parametrize("first", ["90 400", "90 622"])
def test_at_a_corner_to_a_faster_climb_a_fall_is_as_plain_as_anywhere(first: str) -> None:
    """Nobody takes any heat away there."""
    schedule = plan(first, "140 890")
    points = as_planned(schedule)
    corner_s = reached_s(points, float(first.split()[1]))

    def delay_s(after_s: float) -> float:
        onset_s = corner_s + after_s
        fired = since(cut(points, onset_s), onset_s - 3 * HOUR_S)
        fired.append((onset_s + 600.0, fired[-1][1] - 200.0 / 6.0))
        events = told(
            schedule, seen(fired, rig=LOGS["5 s"]), settings=WatchSettings(kiln_kind="gas")
        )
        (lost,) = raised(events, Kind.HEAT_LOST)
        return lost.elapsed_s - onset_s

    assert delay_s(300.0) <= delay_s(4000.0) + 10.0


@pytest.mark.parametrize("at_c", [220.0, 280.0, 330.0])
@pytest.mark.parametrize("swing_c", [0.0, 1.0])
def test_a_cold_fire_that_nobody_stokes_is_told_when_it_has_lost_fifteen_degrees(
    at_c: float, swing_c: float
) -> None:
    schedule = plan("60 400", "120 1240 20")
    points = as_planned(schedule)
    onset_s = reached_s(points, at_c)
    burns = since(cut(points, onset_s), onset_s - 2 * HOUR_S)
    if swing_c:
        burns = swinging(burns, swing_c, 600.0)
    fired = [*burns, (onset_s + HOUR_S, burns[-1][1] - 80.0)]
    events = told(schedule, seen(fired), settings=WatchSettings(kiln_kind="wood"))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 13.0 <= float(str(lost.data["fallen_c"])) <= 16.0


def test_what_falls_after_a_hold_that_is_done_has_lost_its_heat_before_it_climbs_on() -> None:
    """The flame goes out two minutes after the hold, by our count, was over."""
    schedule = plan("150 630 60", "110 1000 10")
    planned = as_planned(schedule)
    onset_s = reached_s(planned, 630.0) + HOUR_S + 120.0
    held = [*cut(planned, onset_s - 120.0), (onset_s, 630.0)]
    fired = [*held, (onset_s + 120.0, 622.0), (onset_s + 1200.0, 600.0)]
    events = told(schedule, seen(fired, rig=LOGS["5 s"]), settings=WatchSettings(kiln_kind="gas"))
    (lost,) = raised(events, Kind.HEAT_LOST)
    assert 0.0 < lost.elapsed_s - onset_s <= 500.0


@pytest.mark.parametrize(("lost_c", "count"), [(24.0, 1), (8.0, 0)])
def test_a_drying_hold_that_sags_and_goes_on_sagging_has_lost_its_heat(
    lost_c: float, count: int
) -> None:
    """The mains go in a hold that swings by some degrees: 15 °C in half an hour and 24 in an
    hour, which no power cut of a hot kiln would look like."""
    schedule = plan("40 100 120", "60 300", "100 1230 10")
    planned = as_planned(schedule)
    held_s = reached_s(planned, 99.9)
    wild = [(600.0 * n, planned[0][1] + 40.0 * n / 6.0 + 2.5 * (n % 2)) for n in range(12)]
    swings = [(held_s + 300.0 * n, 100.0 + 1.5 * (-1) ** n) for n in range(1, 9)]
    onset_s = swings[-1][0]
    after = [(0.25, 0.45), (0.5, 0.6), (1.0, 1.0)]
    fallen = [(onset_s + part_h * HOUR_S, 101.5 - part * lost_c) for part_h, part in after]
    fired = [*wild, *swings, *fallen]
    events = told(
        schedule,
        seen(fired, rig=Rig(every_s=5.0, noise_c=0.5)),
        settings=WatchSettings(kiln_kind="electric"),
    )
    lost = raised(events, Kind.HEAT_LOST)
    assert [e.elapsed_s - onset_s <= 1800.0 for e in lost] == [True] * count
