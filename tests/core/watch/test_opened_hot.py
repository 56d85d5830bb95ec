"""A kiln that falls faster than a shut one is told; its own cooling, of any kiln, is not."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, parse_schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    LOGS,
    OFTEN,
    Points,
    Rig,
    about,
    alarms,
    as_planned,
    at,
    cooled,
    cooled_to,
    cut,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    since,
    told,
)

PLAN = plan("150 600", "100 1205 20")
PLANNED_S = as_planned(PLAN)[-1][0]
TEN_MINUTES_S = 600.0


def fast(points: Points, log: str) -> list[Event]:
    points = about(points, PLANNED_S, LOGS[log])
    events = told(PLAN, seen(points, rig=LOGS[log]))
    once_each(events)
    return raised(events, Kind.FAST_COOLING)


def shut_down_to(temp_c: float, constant_h: float) -> Points:
    """A kiln that cools shut, by itself, down to ``temp_c``."""
    return cooled_to(as_planned(PLAN), temp_c, constant_h * HOUR_S)


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize("temp_c", [900.0, 650.0, 400.0, 250.0, 222.0])
def test_a_door_opened_hot_is_told_within_10_minutes(temp_c: float, log: str) -> None:
    points = shut_down_to(temp_c, 6.0)
    onset_s = points[-1][0]
    (first, *_) = fast(cooled(points, HOUR_S, constant_s=0.6 * HOUR_S), log)
    assert first.severity is Severity.WARNING
    assert 0.0 < first.elapsed_s - onset_s <= TEN_MINUTES_S
    assert "much faster" in first.message


@pytest.mark.parametrize("log", LOGS)
@pytest.mark.parametrize("temp_c", [900.0, 500.0])
def test_open_vents_are_told_within_10_minutes(temp_c: float, log: str) -> None:
    points = shut_down_to(temp_c, 6.0)
    onset_s = points[-1][0]
    (first, *_) = fast(cooled(points, 2 * HOUR_S, constant_s=2.2 * HOUR_S), log)
    assert 0.0 < first.elapsed_s - onset_s <= TEN_MINUTES_S


@pytest.mark.parametrize(
    ("steps", "constant_h"),
    [
        (("150 600", "100 1205 20"), 3.0),
        (("150 600", "100 1205 20"), 5.0),
        (("150 600", "100 1205 20"), 10.0),
        (("250 600", "400 1000 10"), 1.8),
        (("250 600", "700 1000"), 1.2),
    ],
)
def test_a_shut_kiln_is_never_told(steps: tuple[str, ...], constant_h: float) -> None:
    """What climbs in a hurry has little in it, and cools in a hurry (common practice)."""
    schedule = plan(*steps)
    points = cooled(as_planned(schedule), 20 * HOUR_S, constant_s=constant_h * HOUR_S)
    events = told(schedule, seen(points, rig=Rig(every_s=10.0, noise_c=0.7)))
    assert [e for e in raised(events, Kind.FAST_COOLING) if e.data["band"] is None] == []


def test_hot_air_that_cools_down_to_its_walls_first_is_not_told() -> None:
    end_s = as_planned(PLAN)[-1][0]
    points = as_planned(PLAN) + [
        (
            end_s + 60.0 * n,
            20.0 + 60.0 * math.exp(-n / 6.0) + 1125.0 * math.exp(-n / 300.0),
        )
        for n in range(1, 600)
    ]
    assert alarms(told(PLAN, seen(points))) == []


def test_a_look_through_a_spyhole_is_not_told() -> None:
    points = shut_down_to(700.0, 5.0)
    at_s, at_c = points[-1]
    points += [(at_s + 40.0, at_c - 35.0), (at_s + 120.0, at_c - 35.0), (at_s + 240.0, at_c - 9.0)]
    assert alarms(told(PLAN, seen(cooled(points, 3 * HOUR_S), rig=OFTEN))) == []


def test_a_look_through_a_spyhole_as_the_hold_ends_is_not_told() -> None:
    schedule = plan("150 600", "100 1205 20", "100 900")
    end_s = reached_s(as_planned(schedule), 1204.9) + 1205.0
    points = [*cut(as_planned(schedule), end_s), (end_s + 20.0, 1175.0), (end_s + 60.0, 1175.0)]
    points += [(end_s + 120.0, 1200.0), (end_s + 3 * HOUR_S, 905.0)]
    assert alarms(told(schedule, seen(points, rig=OFTEN))) == []


@pytest.mark.parametrize("period_s", [200.0, 330.0])
def test_a_slow_hum_on_the_wires_teaches_no_slow_cooling(period_s: float) -> None:
    # What is seen each half minute of mains hum beats within minutes. By the half of it that
    # seems to fall less the kiln's own cooling would be learned too slow.
    points = shut_down_to(250.0, 5.0)
    hums = [
        (s, c + 3.0 * math.sin(2.0 * math.pi * s / period_s))
        for s in (20.0 * n for n in range(int(points[-1][0] // 20.0)))
        for c in (at(points, s),)
    ]
    assert fast(hums, "30 s") == []


@pytest.mark.parametrize("opened_c", [195.0, 140.0])
def test_below_200_degrees_a_kiln_is_opened_by_and_by(opened_c: float) -> None:
    points = cooled(shut_down_to(opened_c, 5.0), HOUR_S, constant_s=0.5 * HOUR_S)
    assert alarms(told(PLAN, seen(points))) == []


def test_heat_that_goes_in_a_slow_cooling_is_told() -> None:
    schedule = plan("150 600", "100 1205 20", "60 900")
    points = as_planned(schedule)
    onset_s = points[-1][0] - 3 * HOUR_S
    points = cooled(cut(points, onset_s), HOUR_S, constant_s=4 * HOUR_S)
    (first,) = raised(told(schedule, seen(points)), Kind.FAST_COOLING)
    assert 0.0 < first.elapsed_s - onset_s <= TEN_MINUTES_S


def test_a_plan_that_cools_fast_is_kept_without_a_word() -> None:
    schedule = parse_schedule(
        'name = "x"\n[[step]]\nrate = 150\nto = 1000\n[[step]]\nrate = 500\nto = 300\n'
    )
    events = told(schedule, seen(as_planned(schedule)))
    assert raised(events, Kind.FAST_COOLING) == []


@pytest.mark.parametrize("every_s", [1.0, 5.0, 10.0])
@pytest.mark.parametrize("temp_c", [900.0, 400.0])
def test_a_gust_through_a_spyhole_of_a_cooling_kiln_is_not_told(
    temp_c: float, every_s: float
) -> None:
    points = shut_down_to(temp_c, 6.0)
    onset_s = points[-1][0]
    gust = [(0.0, 0.0), (40.0, -40.0), (100.0, -40.0), (180.0, 0.0)]
    rig = Rig(every_s=every_s)
    points = cooled(points, HOUR_S, constant_s=6 * HOUR_S)
    readings = [
        replace(r, temps_c={"kiln": (r.temps_c["kiln"] or 0.0) + at(gust, r.elapsed_s - onset_s)})
        for r in seen(about(points, PLANNED_S, rig), rig=rig)
    ]
    assert alarms(told(PLAN, readings)) == []


def beside(points: Points, change: Callable[[float], float]) -> list[Reading]:
    """Two zones; the one that leads is off by ``change(elapsed_s)``."""
    rows = zip(seen(points), seen(points, seed=2), strict=True)
    return [
        Reading(
            top.elapsed_s,
            {
                "top": (top.temps_c["kiln"] or 0.0) + change(top.elapsed_s),
                "bottom": (bottom.temps_c["kiln"] or 0.0) - 4.0,
            },
        )
        for top, bottom in rows
    ]


@pytest.mark.parametrize("temp_c", [900.0, 640.0, 400.0])
def test_zones_that_fall_alike_are_told_before_a_look_through_a_plug_would_be_over(
    temp_c: float,
) -> None:
    points = shut_down_to(temp_c, 6.0)
    onset_s = points[-1][0]
    points = cooled(points, HOUR_S, constant_s=0.6 * HOUR_S)
    both = told(PLAN, beside(points, lambda _: 0.0), channels=("top", "bottom"))
    (first, *_) = raised(both, Kind.FAST_COOLING)
    assert 0.0 < first.elapsed_s - onset_s < 120.0


@pytest.mark.parametrize("deep_c", [20.0, 40.0])
@pytest.mark.parametrize("temp_c", [900.0, 400.0])
def test_a_gust_at_one_zone_of_two_is_not_told(temp_c: float, deep_c: float) -> None:
    points = shut_down_to(temp_c, 6.0)
    onset_s = points[-1][0]
    points = cooled(points, HOUR_S, constant_s=6 * HOUR_S)
    gust = [(0.0, 0.0), (40.0, -deep_c), (100.0, -deep_c), (180.0, 0.0)]
    readings = beside(points, lambda s: at(gust, s - onset_s))
    assert alarms(told(PLAN, readings, channels=("top", "bottom"))) == []


@pytest.mark.parametrize("log", LOGS)
def test_a_hand_that_ends_its_hold_later_by_its_own_count_is_not_told(log: str) -> None:
    last_s, last_c = as_planned(PLAN)[-1]
    points = [*as_planned(PLAN), (last_s + 900.0, last_c)]
    # Hot air and elements come down to the walls first, from when the heat is off.
    for first_c in (0.0, 15.0):
        after = [
            (s, c - first_c * -math.expm1(-(s - last_s - 900.0) / 240.0))
            for s, c in cooled(points, 6 * HOUR_S, constant_s=5 * HOUR_S)[len(points) :]
        ]
        rig = LOGS[log]
        events = told(PLAN, seen(about(points + after, last_s, rig), rig=rig))
        (finished,) = raised(events, Kind.FIRING_FINISHED)
        assert finished.elapsed_s < last_s + 300.0
        assert alarms(events) == []


@pytest.mark.parametrize("log", LOGS)
def test_a_kiln_opened_at_the_very_end_of_its_hold_is_told_within_10_minutes(log: str) -> None:
    points = as_planned(PLAN)
    onset_s = points[-1][0]
    (first, *_) = fast(cooled(points, HOUR_S, constant_s=0.6 * HOUR_S), log)
    assert 0.0 < first.elapsed_s - onset_s <= TEN_MINUTES_S


def test_a_door_opened_soon_after_a_corner_of_a_slow_cooling_is_told() -> None:
    schedule = plan("150 1000 10", "120 900", "85 600")
    points = as_planned(schedule)
    # Ten minutes of hold, 100 °C at 120 °C/h, and then a quarter of an hour of the next step.
    onset_s = reached_s(points, 1000.0) + 600.0 + 3000.0 + 850.0
    before = cut(points, onset_s)
    last_c = before[-1][1]
    # The controller heats against it after some minutes.
    opened = [*before, (onset_s + 240.0, last_c - 27.0), (onset_s + 3600.0, last_c - 100.0)]
    (told_of,) = fast_of(schedule, opened)
    assert 0.0 < told_of.elapsed_s - onset_s <= 600.0


ELECTRIC = WatchSettings(kiln_kind="electric")


def fast_of_electric(schedule: Schedule, points: Points) -> list[Event]:
    rig = Rig(every_s=10.0, noise_c=0.4)
    return raised(told(schedule, seen(points, rig=rig), settings=ELECTRIC), Kind.FAST_COOLING)


@pytest.mark.parametrize("quicker", [2.0, 2.6])
def test_a_kept_kiln_whose_fall_quickens_soon_after_its_end_is_told(quicker: float) -> None:
    """A shut kiln falls ever more slowly (Newton's law of cooling)."""
    points = shut_down_to(1120.0, 3.8)
    onset_s = points[-1][0]
    (told_of, *_) = fast_of_electric(
        PLAN, cooled(points, HOUR_S, constant_s=3.8 * HOUR_S / quicker)
    )
    assert 0.0 < told_of.elapsed_s - onset_s <= 300.0


def test_a_controller_that_is_done_later_with_a_slow_cooling_is_not_told() -> None:
    """By ours it is over 12 °C sooner: then the kiln falls as it was kept, and then by itself."""
    schedule = plan("150 600", "120 1205 20", "70 780", "- 100")
    points = as_planned(plan("150 600", "120 1205 20", "70 768"))
    assert fast_of_electric(schedule, cooled(points, HOUR_S, constant_s=3.0 * HOUR_S)) == []


def test_a_look_through_a_spyhole_quickens_no_fall() -> None:
    points = shut_down_to(1060.0, 4.0)
    at_s, at_c = points[-1]
    for n in range(1, 7):
        out_c = 20.0 if n in (3, 4) else 0.0
        points.append((at_s + 60.0 * n, at_c - 4.3 * n - out_c))
    assert fast_of_electric(PLAN, cooled(points, HOUR_S, constant_s=4.0 * HOUR_S)) == []


def test_a_slow_cooling_that_was_kept_for_minutes_has_its_corner_behind_it() -> None:
    """A damper is opened, and the controller heats against it: 16 °C in four minutes, at 45 °C an
    hour by the plan."""
    schedule = plan("150 600", "120 1119 14", "142 1031", "45 848")
    points = cut(as_planned(schedule), as_planned(schedule)[-1][0] - 3.9 * HOUR_S)
    onset_s, onset_c = points[-1]
    for after_s, lost_c in ((60.0, 6.0), (120.0, 11.5), (240.0, 16.5), (360.0, 18.5)):
        points.append((onset_s + after_s, onset_c - lost_c))
    points.append((onset_s + HOUR_S, onset_c - 45.0))
    assert onset_c > 1017.0
    (told_of,) = fast_of_electric(schedule, points)
    assert 0.0 < told_of.elapsed_s - onset_s <= TEN_MINUTES_S


def test_a_kiln_that_was_let_cool_before_is_known_when_it_is_opened_as_its_plan_ends() -> None:
    """Down from the top with a time constant of six hours and a half; opened soon after the end
    of a slow cooling, it loses its heat more than three times as fast."""
    schedule = plan("150 600", "195 1205 20", "- 1040 60", "33 990")
    points = as_planned(plan("150 600", "195 1205 20"))
    points = cooled(points, 2940.0, constant_s=6.5 * HOUR_S)
    for hold_s, to_c in ((3600.0, points[-1][1]), (50.0 / 33.0 * HOUR_S, 990.0)):
        points = [*points, (points[-1][0] + hold_s, to_c)]
    points = cooled(points, 480.0, constant_s=6.5 * HOUR_S)
    onset_s = points[-1][0]
    (told_of, *_) = fast_of(schedule, cooled(points, HOUR_S, constant_s=1.9 * HOUR_S))
    assert 0.0 < told_of.elapsed_s - onset_s <= TEN_MINUTES_S


def test_a_kiln_that_was_let_cool_before_falls_no_faster_at_first_when_it_is_let_go_again() -> None:
    """Opened at the very moment at which the hold on its way down ends: what would be the first
    fall of a small kiln of fibre is none of one that is known."""
    schedule = plan("150 600", "195 1205 20", "- 940 20")
    points = cooled(
        as_planned(plan("150 600", "195 1205 20")), 1.65 * HOUR_S, constant_s=6.5 * HOUR_S
    )
    points = [*points, (points[-1][0] + 1500.0, points[-1][1])]
    onset_s = points[-1][0]
    (told_of, *_) = fast_of(schedule, cooled(points, HOUR_S, constant_s=1.9 * HOUR_S))
    assert 0.0 < told_of.elapsed_s - onset_s <= TEN_MINUTES_S


def fast_of(schedule: Schedule, points: Points) -> list[Event]:
    return raised(told(schedule, seen(points)), Kind.FAST_COOLING)


def test_a_light_kiln_that_climbs_in_a_hurry_cools_in_one() -> None:
    schedule = plan("210 300", "360 1000 5")
    points = cooled(as_planned(schedule), HOUR_S, constant_s=1.1 * HOUR_S)
    told_of = [e for e in fast_of(schedule, points) if e.data["band"] is None]
    assert told_of == []


@pytest.mark.parametrize(
    ("steps", "lag_s", "count"),
    [
        (("300 300", "500 980"), 0.0, 0),
        (("300 300", "500 980"), 300.0, 0),
        (("150 300", "300 980 10"), 300.0, 0),
        (("100 980",), 0.0, 1),
        (("300 300", "500 1250"), 0.0, 1),
    ],
)
def test_a_lid_that_is_lifted_for_raku_is_no_news(
    steps: tuple[str, ...], lag_s: float, count: int
) -> None:
    """Nor behind a thick sheath; at stoneware's heat it is no raku."""
    schedule = plan(*steps)
    fired = as_planned(schedule)
    last_s, top_c = fired[-1]
    lifted = [
        *fired,
        (last_s + 60.0 + lag_s / 5.0, top_c - 20.0),
        (last_s + 300.0 + lag_s, top_c - 360.0),
        (last_s + 1800.0 + lag_s, top_c - 580.0),
    ]
    events = told(schedule, seen(lifted, rig=Rig(every_s=5.0)))
    assert len([said for said in alarms(events) if "raised" in said]) == count


def test_the_first_fall_of_a_small_kiln_of_fibre_is_that_of_a_shut_one() -> None:
    points = as_planned(PLAN)
    end_s = points[-1][0]
    # 160 °C go with elements and hot air, most of it in twenty minutes; the walls take hours.
    fallen = [
        (end_s + s, 20.0 + 1025.0 * math.exp(-s / (5 * HOUR_S)) + 160.0 * math.exp(-s / 1200.0))
        for s in range(60, int(4 * HOUR_S), 60)
    ]
    told_of = [e for e in fast_of(PLAN, [*points, *fallen]) if e.data["band"] is None]
    assert told_of == []


def test_a_flame_that_is_turned_off_leaves_the_hot_faces_to_cool_down_to_the_walls() -> None:
    """By a hundred degrees in five minutes, of a kiln of hard brick, and a noisy probe."""
    schedule = plan("110 600", "125 1100", "60 1210")
    points = as_planned(schedule)
    end_s = points[-1][0]
    fallen = [
        (end_s + s, 20.0 + 1030.0 * math.exp(-s / (9 * HOUR_S)) + 160.0 * math.exp(-s / 300.0))
        for s in range(30, int(3 * HOUR_S), 30)
    ]
    readings = seen([*points, *fallen], rig=Rig(every_s=15.0, noise_c=2.0), seed=0)
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    assert [e for e in raised(events, Kind.FAST_COOLING) if e.data["band"] is None] == []


@pytest.mark.parametrize(("climbs_s", "count"), [(1.5 * HOUR_S, 0), (6 * HOUR_S, 1)])
def test_where_a_plan_says_no_pace_raku_is_told_by_how_fast_the_kiln_went(
    climbs_s: float, count: int
) -> None:
    lifted = [
        (0.0, 20.0),
        (climbs_s, 980.0),
        (climbs_s + 60.0, 960.0),
        (climbs_s + 300.0, 620.0),
        (climbs_s + 1800.0, 400.0),
    ]
    assert len(alarms(told(plan("- 980"), seen(lifted, rig=Rig(every_s=5.0))))) == count


def test_a_fast_kiln_that_has_cooled_and_then_falls_as_if_it_was_opened_is_told() -> None:
    points = cooled(as_planned(plan("300 300", "500 980")), 2 * HOUR_S, constant_s=3 * HOUR_S)
    last_s, last_c = points[-1]
    assert last_c < 600.0
    slipped = [*points, (last_s + 90.0, last_c - 190.0), (last_s + 1800.0, last_c - 200.0)]
    schedule = plan("300 300", "500 980")
    (found,) = [e for e in fast_of(schedule, slipped) if e.elapsed_s > last_s]
    assert found.elapsed_s - last_s <= TEN_MINUTES_S


def test_a_fast_fall_that_the_plan_asks_for_is_as_steep_at_first_as_a_kilns_own() -> None:
    """Who has no controller follows such a step by letting the kiln go; common practice."""
    schedule = plan("150 600", "100 1150 20", "310 1000", "60 800")
    fired = as_planned(plan("150 600", "100 1150 20"))
    end_s = fired[-1][0]
    # A kiln of fibre: hot air and elements first, within ten minutes.
    fallen = [
        (end_s + s, 20.0 + 1030.0 * math.exp(-s / (4 * HOUR_S)) + 100.0 * math.exp(-s / 400.0))
        for s in range(30, 900, 30)
    ]
    assert fast_of(schedule, [*fired, *fallen]) == []


def test_the_fall_after_heat_that_was_stuck_on_is_a_first_fall_again() -> None:
    """A relay that welds holds the kiln up for an hour, and what follows is a shut kiln's fall:
    steepest at first (Newton's law of cooling, with hot air and elements before the walls)."""
    points = cooled(as_planned(PLAN), 0.4 * HOUR_S, constant_s=5 * HOUR_S)
    at_s, at_c = points[-1]
    points.append((at_s + 1.5 * HOUR_S, at_c + 15.0))
    off_s, off_c = points[-1]
    points += [
        (off_s + s, 20.0 + (off_c - 70.0) * math.exp(-s / (5 * HOUR_S)) + 50.0 * math.exp(-s / 700))
        for s in range(60, int(2 * HOUR_S), 60)
    ]
    events = told(PLAN, seen(points), settings=WatchSettings(kiln_kind="electric"))
    assert len(raised(events, Kind.HEAT_STUCK_ON)) == 1
    assert [e for e in raised(events, Kind.FAST_COOLING) if e.data["band"] is None] == []


def test_a_door_opened_in_a_guarded_band_that_does_not_tell_it_is_told_below_it() -> None:
    """The quartz band ends at 530 °C: too few degrees of it are left to judge a pace by."""
    schedule = parse_schedule(
        'name = "x"\nkind = "glaze"\n[[step]]\nrate = 150\nto = 600\n'
        "[[step]]\nrate = 100\nto = 1205\nhold_min = 20\n"
    )
    points = shut_down_to(548.0, 5.0)
    onset_s = points[-1][0]
    opened = about(cooled(points, 0.5 * HOUR_S, constant_s=0.9 * HOUR_S), PLANNED_S, Rig(1.0, 0.5))
    (first, *_) = [e for e in fast_of(schedule, opened) if e.elapsed_s > onset_s]
    assert first.elapsed_s - onset_s <= TEN_MINUTES_S


def test_a_kiln_that_is_stoked_on_after_its_end_falls_anew_between_its_charges() -> None:
    """Each fall after a climb of some minutes is a first one: fire and air before the walls."""
    points = cooled(as_planned(PLAN), 900.0, constant_s=4 * HOUR_S)
    for _ in range(4):
        at_s, at_c = points[-1]
        points += [(at_s + 420.0, at_c + 30.0), (at_s + 780.0, at_c + 4.0)]
    events = told(PLAN, seen(points), settings=WatchSettings(kiln_kind="wood"))
    assert [e for e in raised(events, Kind.FAST_COOLING) if e.data["band"] is None] == []


def test_a_door_beside_the_channel_that_leads_is_told_of_the_next_one() -> None:
    """Another channel that leads and stands higher is no climb of the kiln."""
    points = shut_down_to(510.0, 5.0)
    onset_s, onset_c = points[-1]
    begun_s = PLANNED_S - 3 * HOUR_S
    beside = cooled([*points, (onset_s + 60.0, onset_c - 25.0)], HOUR_S, constant_s=0.35 * HOUR_S)
    others = [cooled(points, HOUR_S + 60.0, constant_s=hours * HOUR_S) for hours in (1.4, 2.0)]
    names = ("top", "middle", "bottom")
    rows = [seen(since(zone, begun_s), rig=Rig(5.0, 0.8), seed=n) for n, zone in enumerate(others)]
    top = seen(since(beside, begun_s), rig=Rig(5.0, 0.8), seed=7)
    readings = [
        Reading(
            zones[0].elapsed_s, {n: z.temps_c["kiln"] for n, z in zip(names, zones, strict=True)}
        )
        for zones in zip(top, *rows, strict=True)
    ]
    events = told(PLAN, readings, channels=names)
    found = [e for e in raised(events, Kind.FAST_COOLING) if e.elapsed_s > onset_s]
    assert found[0].elapsed_s - onset_s <= TEN_MINUTES_S
