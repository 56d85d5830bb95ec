"""A pause that the kiln makes good, or that its plan explains, is no stall; one that goes on is."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.pauses import Pauses
from supervisor.core.watch.detectors.slipped import Slipped
from supervisor.core.watch.detectors.stall import Stall
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    at,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    since,
    swinging,
    told,
)

QUARTER_S = 900.0
RIG = Rig()


def many(zones: list[Points], rig: Rig = RIG) -> tuple[list[Reading], tuple[str, ...]]:
    """What thermocouples in several zones see, and their names; the first leads."""
    names = ("top", "middle", "bottom", "door")[: len(zones)]
    logs = [seen(zone, seed=n + 1, rig=rig) for n, zone in enumerate(zones)]
    readings = [
        Reading(
            looks[0].elapsed_s,
            {name: look.temps_c["kiln"] for name, look in zip(names, looks, strict=True)},
        )
        for looks in zip(*logs, strict=False)
    ]
    return readings, names


def alone(schedule: Schedule, points: Points, kind: str) -> list[Event]:
    """What the detector alone says, shown a kiln free of noise."""
    follower = PlanFollower(schedule)
    moment = Moment(follower, Words(Unit.C), kiln_kind=kind)
    stall = Stall(Sensitivity())
    events: list[Event] = []
    for n in range(1, round(points[-1][0] / 10.0)):
        moment.elapsed_s = 10.0 * n
        temp_c = at(points, moment.elapsed_s)
        rate_c_per_h = (temp_c - at(points, moment.elapsed_s - 10.0)) * 360.0
        moment.see(temp_c, rate_c_per_h, 3.0, 0.05)
        follower.update(moment.elapsed_s, temp_c, rate_c_per_h, 0.05)
        if follower.step is not None:
            moment.habits.look(follower, moment.elapsed_s, temp_c, moment.moved_s, moment.moved_c)
            events += stall.feed(moment, heat_is_lost=False, heat_may_be_lost=False)
    return events


def turned_down(stands_s: float, seed: int) -> tuple[float, list[Event]]:
    """(since when it stands, events) of a kiln that comes to a slower climb at full pace and is
    turned down there: it falls back a little and stands, until walls and ware have come up."""
    schedule = plan("110 930", "60 1030 10")
    onset_s = reached_s(as_planned(schedule), 930.0)
    fired = [
        *since(cut(as_planned(schedule), onset_s), onset_s - 3 * HOUR_S),
        (onset_s + 150.0, 927.0),
        (onset_s + stands_s, 927.0),
        (onset_s + stands_s + HOUR_S, 987.0),
    ]
    return onset_s, told(schedule, seen(fired, seed=seed, rig=RIG))


@pytest.mark.parametrize("seed", range(3))
def test_a_kiln_that_is_turned_down_at_a_corner_to_a_slow_climb_may_stand_there(seed: int) -> None:
    _, events = turned_down(420.0, seed)
    assert raised(events, Kind.STALL) == []


@pytest.mark.parametrize("seed", range(3))
def test_one_that_stands_on_at_such_a_corner_is_told_within_a_quarter_of_an_hour(
    seed: int,
) -> None:
    onset_s, events = turned_down(1500.0, seed)
    assert 420.0 < raised(events, Kind.STALL)[0].elapsed_s - onset_s <= QUARTER_S


@pytest.mark.parametrize(("stands_s", "is_stall"), [(570.0, False), (1500.0, True)])
def test_a_flame_turned_down_far_by_hand_is_given_longer_at_its_corner(
    stands_s: float, is_stall: bool
) -> None:
    """Whoever turns it down from 120 °C an hour to 40 finds out by and by how far."""
    schedule = plan("100 600", "120 1100", "40 1200 30")
    planned = as_planned(schedule)
    onset_s = reached_s(planned, 1100.0)
    # A hand strays from the plan by 24 °C.
    by_hand = [
        (s, at(planned, s) - 12.0 * (1.0 - math.cos(math.tau * (onset_s - s) / 4800.0)))
        for s in range(0, int(onset_s), 60)
    ]
    stood = [(onset_s + 120.0, 1099.0), (onset_s + stands_s, 1098.0)]
    goes_on = [(onset_s + stands_s + HOUR_S, 1098.0 + 45.0)]
    readings = seen([*by_hand, *stood, *goes_on], rig=Rig(every_s=10.0, noise_c=0.5))
    events = raised(told(schedule, readings, settings=WatchSettings(kiln_kind="gas")), Kind.STALL)
    late = [e for e in events if e.elapsed_s > onset_s]
    assert bool(late) is is_stall
    assert all(e.elapsed_s - onset_s <= QUARTER_S for e in late[:1])


@pytest.mark.parametrize(("back_c_per_h", "is_stall"), [(28.0, False), (0.0, True)])
def test_what_is_missing_and_is_being_made_good_is_no_stall(
    back_c_per_h: float, is_stall: bool
) -> None:
    """The detector alone, shown a gas kiln free of noise that falls by 3 °C and climbs on."""
    schedule, kind = plan("60 1260 10"), "gas"
    points = [(0.0, 20.0), (12 * HOUR_S, 740.0), (12 * HOUR_S + 150.0, 737.0)]
    points.append((12 * HOUR_S + 600.0, 737.0 + back_c_per_h / 8.0))
    assert bool(raised(alone(schedule, points, kind), Kind.STALL)) is is_stall


@pytest.mark.parametrize(("back_c", "is_stall"), [(1.2, False), (-1.2, True)])
def test_a_kiln_that_fell_in_a_short_cut_of_the_mains_and_rises_again_is_no_stall(
    back_c: float, is_stall: bool
) -> None:
    """Free of noise, two minutes without heat, and how it goes on until six and a half."""
    schedule, kind = plan("115 910 20"), "electric"
    start_s = 6 * HOUR_S
    before = [(0.0, 20.0), (start_s, 20.0 + 6 * 115.0)]
    low_c = before[-1][1] - 1.6
    points = [*before, (start_s + 150.0, low_c), (start_s + 380.0, low_c + back_c)]
    assert bool(raised(alone(schedule, points, kind), Kind.STALL)) is is_stall


@pytest.mark.parametrize(("others_c_per_h", "is_stall"), [(240.0, False), (0.0, True)])
def test_a_pause_that_is_over_in_the_other_zones_is_no_stall_of_the_one_that_leads(
    others_c_per_h: float, is_stall: bool
) -> None:
    """A flame licks each probe for itself; the kiln climbs in all of its zones."""
    schedule = plan("120 1000 10")
    onset_s = reached_s(as_planned(schedule), 700.0)
    before = since(cut(as_planned(schedule), onset_s), onset_s - 3 * HOUR_S)
    goes_on_s = onset_s + 250.0
    lead = [*before, (goes_on_s + 200.0, 700.0), (goes_on_s + 500.0, 726.0)]
    other = [*before, (goes_on_s, 700.0), (goes_on_s + 500.0, 700.0 + others_c_per_h * 500 / 3600)]
    if is_stall:
        lead = other
    readings, names = many([lead, other, other, other])
    events = told(schedule, readings, channels=names)
    assert bool(raised(events, Kind.STALL)) is is_stall


def test_a_zone_that_falls_late_puts_the_stall_of_the_one_that_leads_off_no_further() -> None:
    schedule = plan("120 1200 10")
    onset_s = reached_s(as_planned(schedule), 900.0)
    before = since(cut(as_planned(schedule), onset_s), onset_s - 3 * HOUR_S)
    lead = [*before, (onset_s + HOUR_S / 2, 900.0)]
    other = [*before, (onset_s + 480.0, 916.0), (onset_s + HOUR_S / 2, 886.0)]
    readings, names = many([lead, other])
    settings = WatchSettings(kiln_kind="wood")
    events = told(schedule, readings, channels=names, settings=settings)
    assert raised(events, Kind.STALL)[0].elapsed_s - onset_s <= QUARTER_S + 120.0


def hangs_out(back_c: float) -> tuple[float, list[Event]]:
    """(since when it stands, events) of a lone thermocouple that falls by 70 °C within three
    minutes, comes back by ``back_c`` and hardly climbs from there."""
    schedule = plan("160 1090 10")
    onset_s = reached_s(as_planned(schedule), 380.0)
    stands_s = onset_s + 1200.0
    fired = [
        *cut(as_planned(schedule), onset_s),
        (onset_s + 180.0, 310.0),
        (stands_s, 310.0 + back_c),
        (stands_s + HOUR_S, 312.0 + back_c),
    ]
    return stands_s, told(schedule, seen(fired, rig=RIG))


def test_a_lone_thermocouple_that_may_have_slipped_tells_of_no_stall() -> None:
    _, events = hangs_out(15.0)
    assert raised(events, Kind.HEAT_LOST) != []
    assert raised(events, Kind.STALL) == []


def test_a_kiln_that_has_come_back_from_a_fall_may_stall_again() -> None:
    stands_s, events = hangs_out(60.0)
    assert raised(events, Kind.STALL)[-1].elapsed_s - stands_s <= QUARTER_S


def test_no_shut_kiln_falls_as_a_probe_that_slips() -> None:
    """A kiln without heat loses at first less than a fifth of its excess in an hour (common
    practice, no source), the smallest one nine times as much."""
    slipped = Slipped()
    assert not any(slipped.look(20.0 * n, 1200.0 - 250.0 / 180.0 * n, 20.0) for n in range(180))
    assert any(slipped.look(3600.0 + 20.0 * n, 600.0 - 15.0 * n, 20.0) for n in range(10))


def turning(own_more_c: float, stands_s: float = 0.0) -> tuple[float, list[Event]]:
    """(when it turns, events) of a kiln whose own thermocouple reads ``own_more_c`` more: it comes
    down by so much beyond the foot of its cooling, slowly, before it climbs."""
    schedule = plan("150 700", "40 604", "58 720 10")
    foot_s = reached_s(as_planned(schedule), 700.0) + 96.0 / 40.0 * HOUR_S
    turns_s = foot_s + own_more_c / 15.0 * HOUR_S
    fired = [
        *cut(as_planned(schedule), foot_s),
        (turns_s, 604.0 - own_more_c),
        (turns_s + stands_s + 1.0, 604.0 - own_more_c),
        (turns_s + stands_s + HOUR_S, 662.0 - own_more_c),
    ]
    return turns_s, told(schedule, seen(fired, rig=RIG))


@pytest.mark.parametrize("own_more_c", [0.0, 4.0, 8.0])
def test_a_kiln_that_comes_to_the_foot_of_its_cooling_later_by_its_own_thermocouple_is_not_stalled(
    own_more_c: float,
) -> None:
    _, events = turning(own_more_c)
    assert raised(events, Kind.STALL) == []


def test_one_that_stands_at_the_foot_is_told() -> None:
    turns_s, events = turning(4.0, stands_s=HOUR_S)
    # Ten minutes to get going again, and then those of a stall.
    assert raised(events, Kind.STALL)[0].elapsed_s - turns_s <= 600.0 + QUARTER_S


@pytest.mark.parametrize(
    ("top_c", "falls_c_per_h", "rig"),
    [
        (1249.0, 64.0, Rig(every_s=30.0, noise_c=0.6)),
        (1246.0, 45.0, Rig(every_s=10.0, noise_c=0.3)),
    ],
)
def test_a_big_kiln_let_go_some_degrees_below_its_top_has_not_stalled(
    top_c: float, falls_c_per_h: float, rig: Rig
) -> None:
    schedule = plan("100 1160", "60 1260")
    top_s = reached_s(as_planned(schedule), top_c)
    fired = [
        *since(cut(as_planned(schedule), top_s), top_s - 3 * HOUR_S),
        (top_s + HOUR_S, top_c - falls_c_per_h),
    ]
    events = told(schedule, seen(fired, rig=rig))
    assert raised(events, Kind.STALL) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_fire_that_has_kept_its_plan_for_hours_is_not_given_a_whole_charge() -> None:
    """It creeps at a fifth of its pace, and has never been seen to swing."""
    schedule = plan("70 1260 20")
    onset_s = reached_s(as_planned(schedule), 700.0)
    fired = cut(as_planned(schedule), onset_s)
    fired = [*since(fired, onset_s - 5 * HOUR_S), (onset_s + HOUR_S, 710.0)]
    readings = seen(fired, rig=Rig(every_s=10.0, noise_c=0.3))
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="wood"))
    assert 600.0 < raised(events, Kind.STALL)[0].elapsed_s - onset_s <= 840.0


def test_a_cold_kiln_that_a_switch_swings_is_not_given_the_patience_of_a_hand() -> None:
    """It swings by 8 °C twelve times an hour and more, and then creeps at an eighth of its pace."""
    schedule = plan("125 600", "180 1000 10")
    points = as_planned(schedule)
    onset_s = reached_s(points, 235.0)
    sways = swinging(cut(points, onset_s), 8.0, 260.0, every_s=10.0)
    fired = [*sways, (onset_s + HOUR_S, sways[-1][1] + 16.0)]
    events = told(schedule, seen(fired, rig=Rig(every_s=5.0)))
    late = [e for e in raised(events, Kind.STALL) if e.elapsed_s > onset_s]
    assert late[0].elapsed_s - onset_s <= QUARTER_S


def shown(minutes: int, moment: Moment, pauses: Pauses) -> None:
    """So many minutes of an even climb go by."""
    for _ in range(minutes):
        moment.elapsed_s += 60.0
        moment.moved_s = 60.0
        pauses.fade(moment)


def test_how_long_a_fire_may_pause_is_told_by_the_last_three_hours_once_they_were_watched() -> None:
    moment = Moment(PlanFollower(plan("100 1000")), Words(Unit.C), kiln_kind="wood", temp_c=700.0)
    pauses = Pauses()
    shown(170, moment, pauses)
    at_first_s = pauses.patience_s(moment)
    shown(20, moment, pauses)
    evenly_s = pauses.patience_s(moment)
    assert evenly_s < at_first_s <= QUARTER_S
    pauses.fell_short(moment.elapsed_s, 560.0, 1.0)
    assert evenly_s < pauses.patience_s(moment) < at_first_s
    moment.elapsed_s += 1000.0
    shown(1, moment, pauses)
    assert pauses.patience_s(moment) == at_first_s
