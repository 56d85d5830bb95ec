"""A channel that leaves the others is named, does not lead, and hides no good one."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.core.events import Event, Kind
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.watch import Watch
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.following import Following
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    at,
    cleared,
    cooled,
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

SCHEDULE = plan("150 600", "150 1000 30", cone="06")
POINTS = cooled(as_planned(SCHEDULE), 0.5 * HOUR_S)
ONSET_S = reached_s(POINTS, 800.0)
TOP_S = reached_s(POINTS, 999.0)
Change = Callable[[float, float], float | None]
RIGS = [Rig(every_s=1.0, noise_c=0.2), Rig(every_s=5.0), Rig(every_s=30.0, noise_c=1.5)]


@cache
def good(n: int, rig: Rig, from_s: float) -> list[Reading]:
    """One channel of the kiln, in a log that begins at ``from_s``."""
    own = Rig(rig.every_s, rig.noise_c, rig.resolution_c, 8.0 * n)
    return seen(since(POINTS, from_s), seed=n, rig=own)


def several(
    count: int, changes: Mapping[int, Change], rig: Rig = RIGS[1], from_s: float = 0.0
) -> list[Reading]:
    """So many channels of one kiln, some of them put through a change."""
    channels = [good(n, rig, from_s) for n in range(count)]
    readings = []
    for looks in zip(*channels, strict=True):
        temps_c: dict[str, float | None] = {}
        for n, look in enumerate(looks):
            value_c = look.temps_c["kiln"]
            assert value_c is not None
            change = changes.get(n)
            temps_c[f"c{n}"] = change(look.elapsed_s, value_c) if change else value_c
        readings.append(Reading(looks[0].elapsed_s, temps_c))
    return readings


def watched(readings: list[Reading], count: int) -> list[Event]:
    events = told(SCHEDULE, readings, channels=[f"c{n}" for n in range(count)])
    once_each(events)
    return events


def the_fault(events: list[Event], channel: str, cause: FaultCause) -> Event:
    """The one fault, standing to the end, and nothing else to worry about."""
    (fault,) = raised(events, Kind.SENSOR_FAULT)
    assert (fault.channel, fault.data["cause"]) == (channel, cause.value)
    assert cleared(events, Kind.SENSOR_FAULT) == []
    assert len(alarms(events)) == 1, alarms(events)
    return fault


def slips(to_part: float, over_s: float = 60.0) -> Change:
    """The probe slides out until it sees ``to_part`` of the kiln's heat."""

    def change(elapsed_s: float, value_c: float) -> float:
        out = -math.expm1(-max(elapsed_s - ONSET_S, 0.0) / (over_s / 3.0))
        return 20.0 + (value_c - 20.0) * (1.0 - (1.0 - to_part) * out)

    return change


@pytest.mark.parametrize("rig", RIGS)
@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("bad", [0, 1])
@pytest.mark.parametrize("to_part", [0.05, 0.4, 0.6, 0.8])
def test_a_probe_that_slips_out_is_named_and_not_taken_for_lost_heat(
    rig: Rig, count: int, bad: int, to_part: float
) -> None:
    from_s = 0.0 if rig.every_s >= 10.0 else ONSET_S - 1.5 * HOUR_S
    events = watched(several(count, {bad: slips(to_part)}, rig, from_s), count)
    faults = raised(events, Kind.SENSOR_FAULT)
    assert [fault.channel for fault in faults] == [f"c{bad}"]
    assert faults[0].data["cause"] in {"jump", "short"}
    assert 0.0 < faults[0].elapsed_s - ONSET_S <= 240.0
    assert len(alarms(events)) == 1, alarms(events)


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("bad", [0, 1])
def test_a_channel_that_never_leaves_the_shed_is_named_and_does_not_lead(
    count: int, bad: int
) -> None:
    dice = random.Random(3)
    dead: Change = lambda s, c: 18.0 + 0.02 * c + dice.gauss(0.0, 0.3)  # noqa: E731
    readings = several(count, {bad: dead})
    watch = Watch(SCHEDULE, tuple(f"c{n}" for n in range(count)))
    warm_s = reached_s(POINTS, 80.0)
    events: list[Event] = []
    for reading in readings:
        events += watch.feed(reading)
        if warm_s < reading.elapsed_s <= ONSET_S and reading.elapsed_s % 60.0 == 0.0:
            status = watch.status()
            good_c = reading.temps_c[f"c{1 - bad}"]
            assert status.temp_c is not None
            assert good_c is not None
            assert abs(status.temp_c - good_c) < 20.0
    once_each(events)
    fault = the_fault(events, f"c{bad}", FaultCause.SHORT)
    assert fault.elapsed_s <= reached_s(POINTS, 190.0)


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("bad", [0, 1])
@pytest.mark.parametrize("value_c", [888.8, 0.0, 400.0])
def test_a_constant_from_the_first_look_is_frozen_and_melts_no_cone(
    count: int, bad: int, value_c: float
) -> None:
    watch = Watch(SCHEDULE, tuple(f"c{n}" for n in range(count)))
    readings = several(count, {bad: lambda s, c: value_c})
    events = [event for reading in readings for event in watch.feed(reading)]
    once_each(events)
    fault = the_fault(events, f"c{bad}", FaultCause.FROZEN)
    assert fault.elapsed_s <= reached_s(POINTS, 60.0)
    assert set(watch.progress(f"c{bad}").work.values()) == {0.0}
    assert watch.progress(f"c{1 - bad}").cone is not None


def test_a_lone_constant_that_is_hot_from_the_first_look_is_frozen() -> None:
    readings = [Reading(10.0 * n, {"kiln": 888.8}) for n in range(2000)]
    (fault,) = raised(told(SCHEDULE, readings), Kind.SENSOR_FAULT)
    assert fault.data["cause"] == "frozen"
    assert fault.elapsed_s <= 0.51 * HOUR_S


@pytest.mark.parametrize("count", [2, 3])
@pytest.mark.parametrize("bad", [0, 1])
def test_swapped_leads_are_named_long_before_frost(count: int, bad: int) -> None:
    events = watched(several(count, {bad: lambda s, c: 40.0 - c}), count)
    fault = raised(events, Kind.SENSOR_FAULT)[0]
    assert (fault.channel, fault.data["cause"]) == (f"c{bad}", "reversed")
    assert fault.elapsed_s <= reached_s(POINTS, 55.0)
    assert raised(events, Kind.STALL) == raised(events, Kind.HEAT_LOST) == []


def slowly_lit(begins_c: float, swapped: Change) -> list[Event]:
    """Of two channels of a kiln that stands for an hour before it heats, one is put through a
    change."""
    points = [(0.0, begins_c), (HOUR_S, begins_c), (5 * HOUR_S, begins_c + 200.0)]
    readings = [
        Reading(r.elapsed_s, {"c0": r.temps_c["kiln"], "c1": swapped(r.elapsed_s, q)})
        for r, q in ((r, r.temps_c["kiln"] or 0.0) for r in seen(points, rig=RIGS[1]))
    ]
    return raised(watched(readings, 2), Kind.SENSOR_FAULT)


def test_swapped_leads_are_seen_from_the_highest_of_their_first_minutes() -> None:
    # A box that comes into the shed colder than the kiln is.
    (fault,) = slowly_lit(20.0, lambda s, c: 40.0 - c - 24.0 * max(1.0 - s / 600.0, 0.0))
    assert (fault.channel, fault.data["cause"]) == ("c1", "reversed")
    assert fault.elapsed_s <= HOUR_S + 30.0 / 50.0 * HOUR_S


@pytest.mark.parametrize("count", [1, 2])
def test_a_kiln_that_cools_down_to_a_shed_in_frost_has_no_swapped_leads(count: int) -> None:
    schedule = plan("300 1000")
    fired = cooled(as_planned(schedule), 10 * HOUR_S, shed_c=-15.0, constant_s=4 * HOUR_S)
    # Its door is opened at last.
    fired = cooled(fired, 6 * HOUR_S, shed_c=-15.0, constant_s=0.5 * HOUR_S)
    names = tuple(f"c{n}" for n in range(count))
    watch = Watch(schedule, names)
    events = []
    for reading in seen([(s, c + 7.0) for s, c in fired], rig=Rig(every_s=30.0, noise_c=1.0)):
        events += watch.feed(
            Reading(reading.elapsed_s, dict.fromkeys(names, reading.temps_c["kiln"]))
        )
    assert raised(events, Kind.SENSOR_FAULT) == []


def test_leads_that_were_swapped_in_a_warm_kiln_are_called_so_when_it_heats() -> None:
    """First all one sees is a probe that has left the other."""
    named = slowly_lit(60.0, lambda s, c: 62.0 - c if s else c)
    assert [event.data["cause"] for event in named] == ["jump", "reversed"]
    assert {event.channel for event in named} == {"c1"}
    assert named[-1].elapsed_s <= HOUR_S + 30.0 / 50.0 * HOUR_S


@pytest.mark.parametrize("resolution_c", [0.25, 1.0])
@pytest.mark.parametrize("bad", [0, 1])
def test_a_coarse_quiet_channel_that_freezes_in_a_climb_is_named_by_the_other(
    resolution_c: float, bad: int
) -> None:
    held: list[float] = []

    def freezes(elapsed_s: float, value_c: float) -> float:
        if elapsed_s >= ONSET_S:
            held.append(value_c)
        return held[0] if held else value_c

    rig = Rig(5.0, 0.1, resolution_c)
    fault = the_fault(watched(several(2, {bad: freezes}, rig), 2), f"c{bad}", FaultCause.FROZEN)
    assert 0.0 < fault.elapsed_s - ONSET_S <= 600.0


def cooling_slowly(stands_s: float, rig: Rig) -> tuple[float, list[Reading]]:
    """(since when, what three coarse channels show) of a big kiln that cools by 40 °C an hour; the
    first shows one value from then on, for so long."""
    points = cooled(as_planned(SCHEDULE), 12 * HOUR_S, constant_s=12 * HOUR_S)
    from_s = next(s for s, temp_c in points if s > TOP_S and temp_c < 520.0)
    looks = [seen(since(points, from_s - 2 * HOUR_S), seed=n, rig=rig) for n in range(3)]
    readings: list[Reading] = []
    for n, together in enumerate(zip(*looks, strict=True)):
        elapsed_s = together[0].elapsed_s
        if elapsed_s > from_s + HOUR_S:
            break
        temps_c = {f"c{i}": look.temps_c["kiln"] for i, look in enumerate(together)}
        if from_s < elapsed_s <= from_s + stands_s:
            temps_c["c0"] = readings[n - 1].temps_c["c0"]
        readings.append(Reading(elapsed_s, temps_c))
    return from_s, readings


def test_a_coarse_channel_that_stops_dead_in_a_slow_cooling_is_named_in_ten_minutes() -> None:
    from_s, readings = cooling_slowly(HOUR_S, Rig(2.0, 0.3, 1.0))
    fault = the_fault(watched(readings, 3), "c0", FaultCause.FROZEN)
    assert 0.0 < fault.elapsed_s - from_s <= 600.0


def test_a_coarse_channel_that_stands_for_some_minutes_is_not_frozen() -> None:
    _, readings = cooling_slowly(240.0, Rig(2.0, 0.3, 1.0))
    assert raised(watched(readings, 3), Kind.SENSOR_FAULT) == []


def test_a_zone_that_turns_later_than_the_others_is_not_frozen() -> None:
    """It climbed as they did, and stands at its height while they fall by 5 °C."""
    readings = []
    for n in range(1200):
        elapsed_s = 5.0 * n
        late_s = {"c0": 500.0, "c1": 0.0, "c2": 0.0}
        temps_c = {
            name: float(round(900.0 - 0.011 * max(2400.0 - elapsed_s, elapsed_s - 2400.0 - s, 0.0)))
            for name, s in late_s.items()
        }
        readings.append(Reading(elapsed_s, temps_c))
    events = told(plan("40 900", "40 700"), readings, channels=["c0", "c1", "c2"])
    assert raised(events, Kind.SENSOR_FAULT) == []


def without(readings: list[Reading], from_s: float, lasts_s: float) -> list[Reading]:
    """The same, had nobody looked for so long after ``from_s``."""
    return [r for r in readings if not from_s < r.elapsed_s <= from_s + lasts_s]


@pytest.mark.parametrize("resolution_c", [0.25, 1.0])
def test_a_value_shown_twice_before_a_long_silence_is_not_frozen(resolution_c: float) -> None:
    readings = several(3, {}, Rig(5.0, 0.1, resolution_c), TOP_S - HOUR_S)
    # The hold ends in the silence, so that the first value after it is beyond what was expected.
    from_s, to_s = TOP_S + 1500.0, TOP_S + 1900.0
    shown_twice_s = [
        now.elapsed_s
        for before, now in pairwise(readings)
        if before.temps_c["c0"] == now.temps_c["c0"] and from_s < now.elapsed_s < to_s
    ]
    assert len(shown_twice_s) > 10
    for silent_s in shown_twice_s[:: len(shown_twice_s) // 6]:
        events = watched(without(readings, silent_s, 900.0), 3)
        assert raised(events, Kind.SENSOR_FAULT) == [], silent_s


@pytest.mark.parametrize("bad", [0, 1])
def test_a_swing_that_is_over_after_a_long_silence_is_no_fall(bad: int) -> None:
    def swings(elapsed_s: float, value_c: float) -> float:
        """A zone that gains on the others for the ten minutes before nobody looks."""
        gained_c = 0.06 * max(elapsed_s - ONSET_S + 600.0, 0.0)
        return value_c + gained_c if elapsed_s <= ONSET_S else value_c

    readings = without(several(3, {bad: swings}), ONSET_S, 1800.0)
    assert raised(watched(readings, 3), Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("swing_c", [10.0, 25.0])
def test_swings_that_cross_accuse_nobody(count: int, swing_c: float) -> None:
    channels = []
    for n in range(count):
        swung = swinging(POINTS, swing_c * (-1.0) ** n, 900.0)
        # A cold kiln has nothing to swing with.
        hot = [(s, c if at(POINTS, s) > 150.0 else at(POINTS, s)) for s, c in swung]
        channels.append(seen(hot, seed=n))
    readings = [
        Reading(looks[0].elapsed_s, {f"c{n}": r.temps_c["kiln"] for n, r in enumerate(looks)})
        for looks in zip(*channels, strict=True)
    ]
    events = watched(readings, count)
    assert raised(events, Kind.SENSOR_FAULT) == []
    assert raised(events, Kind.UNEVEN) == []


@pytest.mark.parametrize("dip_c", [20.0, 45.0])
@pytest.mark.parametrize("for_s", [60.0, 180.0])
def test_a_look_through_the_plug_out_accuses_nobody(dip_c: float, for_s: float) -> None:
    def looked_at(elapsed_s: float, value_c: float) -> float:
        since_s = (elapsed_s - HOUR_S) % HOUR_S
        dipped = (
            -math.expm1(-since_s / 30.0) if since_s < for_s else math.exp(-(since_s - for_s) / 30.0)
        )
        return value_c - dip_c * dipped * (elapsed_s > HOUR_S)

    for bad in (0, 1):
        events = watched(several(2, {bad: looked_at}), 2)
        assert raised(events, Kind.SENSOR_FAULT) == []
        assert raised(events, Kind.UNEVEN) == []


def test_a_door_that_all_channels_see_is_no_sensors_fault() -> None:
    """A fall of 300 °C within a minute, seen by all, by one half as far."""
    opened = [(s, c - 300.0 * min(max(s - ONSET_S, 0.0) / 60.0, 1.0)) for s, c in POINTS]
    opened += [(ONSET_S + t, 800.0 - 5.0 * t) for t in (0.0, 30.0, 60.0)]
    opened.sort()
    half = [(s, c + 150.0 * min(max(s - ONSET_S, 0.0) / 60.0, 1.0)) for s, c in opened]
    for pair in ((opened, half), (half, opened)):
        looks = [seen(points, seed=n) for n, points in enumerate(pair)]
        readings = [
            Reading(a.elapsed_s, {"c0": a.temps_c["kiln"], "c1": b.temps_c["kiln"]})
            for a, b in zip(*looks, strict=True)
        ]
        assert raised(watched(readings, 2), Kind.SENSOR_FAULT) == []


def test_a_power_cut_is_told_though_one_zone_falls_far_more_slowly() -> None:
    fast = interrupted(POINTS, ONSET_S, 1800.0, -250.0, 900.0)
    slow = interrupted(POINTS, ONSET_S, 1800.0, -40.0, 900.0)
    for pair in ((fast, slow), (slow, fast)):
        looks = [seen(points, seed=n) for n, points in enumerate(pair)]
        readings = [
            Reading(a.elapsed_s, {"c0": a.temps_c["kiln"], "c1": b.temps_c["kiln"]})
            for a, b in zip(*looks, strict=True)
        ]
        lost = raised(watched(readings, 2), Kind.HEAT_LOST)
        assert lost
        assert 0.0 < lost[0].elapsed_s - ONSET_S <= 600.0


def test_most_channels_that_move_at_once_are_right() -> None:
    """A step of 150 °C in one look, of all but one channel, is not electrical."""
    stepped: Change = lambda s, c: c + 150.0 * (s >= ONSET_S)  # noqa: E731
    tracks = tuple(ChannelTrack(f"c{n}") for n in range(3))
    following = Following(tracks)
    for reading in several(3, {0: stepped, 2: stepped}):
        for track in tracks:
            track.look(reading.elapsed_s, reading.temps_c[track.name], None)
        following.update(reading.elapsed_s)
        if ONSET_S < reading.elapsed_s < ONSET_S + 60.0:
            assert [track.fault for track in tracks] == [None, None, None]


VALUES = st.one_of(
    st.none(), st.floats(-60.0, 1600.0), st.sampled_from([20.0, 20.1, 700.0, 888.8, math.nan])
)


@settings(max_examples=80, deadline=None)
@given(
    st.integers(2, 4),
    st.lists(
        st.tuples(
            st.sampled_from([0.5, 5.0, 30.0, 120.0, 4000.0]),
            st.lists(VALUES, min_size=4, max_size=4),
        ),
        max_size=60,
    ),
)
def test_any_stream_is_survived_by_channels_side_by_side(
    count: int, looks: list[tuple[float, list[float | None]]]
) -> None:
    names = tuple(f"c{n}" for n in range(count))
    watch = Watch(SCHEDULE, names)
    elapsed_s, events = 0.0, []
    for since_s, values in looks:
        elapsed_s += since_s
        # Each look stands for a minute of looks, so that something can come of it.
        for n in range(5):
            events += watch.feed(
                Reading(elapsed_s + n * since_s, dict(zip(names, values, strict=False)))
            )
        elapsed_s += 4.0 * since_s
    once_each(events)
    status = watch.status()
    assert status.temp_c is None or math.isfinite(status.temp_c)


def beside_others(course: Points, *, others_c: float = 800.0, noise_c: float = 0.3) -> ChannelTrack:
    """The channel that goes ``course`` from ``others_c`` down, in °C, beside two that stand."""
    dice = random.Random(5)
    tracks = tuple(ChannelTrack(f"c{n}") for n in range(3))
    following = Following(tracks)
    for n in range(int(course[-1][0] // 5.0)):
        elapsed_s = 5.0 * n
        for i, track in enumerate(tracks):
            value_c = others_c + (at(course, elapsed_s) if i == 0 else 0.0)
            track.look(elapsed_s, value_c + dice.gauss(0.0, noise_c), None)
        following.update(elapsed_s)
        if tracks[0].fault is not None:
            break
    assert [track.fault for track in tracks[1:]] == [None, None]
    return tracks[0]


@pytest.mark.parametrize(
    ("c_per_min", "for_min", "fault"),
    # A zone without heat loses up to 3 °C a minute on its neighbours, for as long as it likes;
    # a probe that slides out by 70 °C within 5 minutes is no zone.
    [(2.7, 60.0, None), (14.0, 5.0, FaultCause.JUMP)],
)
def test_a_fall_beside_the_others_is_a_zones_up_to_3_degrees_a_minute(
    c_per_min: float, for_min: float, fault: FaultCause | None
) -> None:
    fallen_c = -c_per_min * for_min
    begun_s, ended_s = 600.0, 600.0 + 60.0 * for_min
    course = [(0.0, 0.0), (begun_s, 0.0), (ended_s, fallen_c), (ended_s + 600.0, fallen_c)]
    assert beside_others(course, others_c=600.0).fault is fault


@pytest.mark.parametrize(("then_c", "fault"), [(78.0, None), (115.0, FaultCause.JUMP)])
def test_a_fall_half_as_deep_again_as_one_that_was_made_good_is_the_kilns_own_way(
    then_c: float, fault: FaultCause | None
) -> None:
    swing = [(0.0, 0.0), (900.0, 0.0), (990.0, -64.0), (1020.0, -64.0), (1110.0, 0.0)]
    then = [(2100.0, 0.0), (2190.0, -then_c), (2790.0, -then_c)]
    assert beside_others([*swing, *then]).fault is fault
    # Of a kiln that was not seen to swing so, the lesser fall is a probe that slips.
    assert beside_others([(0.0, 0.0), *then]).fault is FaultCause.JUMP


@pytest.mark.parametrize("to_part", [0.4, 0.5])
def test_a_probe_that_slips_out_of_a_cold_kiln_is_named(to_part: float) -> None:
    """At 125 °C there are no 50 °C to fall by so much as that."""
    onset_s = reached_s(POINTS, 125.0)

    def change(elapsed_s: float, value_c: float) -> float:
        out = -math.expm1(-max(elapsed_s - onset_s, 0.0) / 40.0)
        return 20.0 + (value_c - 20.0) * (1.0 - (1.0 - to_part) * out)

    readings = [r for r in several(2, {0: change}) if r.elapsed_s < onset_s + HOUR_S]
    (fault,) = raised(watched(readings, 2), Kind.SENSOR_FAULT)
    assert (fault.channel, fault.data["cause"]) == ("c0", "jump")
    assert 0.0 < fault.elapsed_s - onset_s <= 300.0
