"""When the kiln is looked at, and what each reading counts in all the same."""

from __future__ import annotations

import random
from collections.abc import Iterable
from itertools import pairwise

import pytest

from supervisor.core.events import Event, Kind, State
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.watch import Watch
from supervisor.core.watch import watch as module
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.detectors.moment import Moment
from tests.core.firings import (
    Rig,
    as_planned,
    cooled,
    cut,
    interrupted,
    plan,
    raised,
    reached_s,
    seen,
    since,
    swinging,
)

SCHEDULE = plan("150 600 10", "100 1000 20", cone="06")
POINTS = as_planned(SCHEDULE)
EACH_SECOND = Rig(every_s=1.0)


class Counting(Watch):
    """A watch that remembers when it looked at the kiln."""

    def __init__(self) -> None:
        super().__init__(SCHEDULE, ("kiln",))
        self.looked_s: list[float] = []

    def _look(self, moment: Moment) -> list[Event]:
        self.looked_s.append(moment.elapsed_s)
        return super()._look(moment)


def fed(watch: Watch, readings: Iterable[Reading]) -> list[Event]:
    return [event for reading in readings for event in watch.feed(reading)]


@pytest.mark.parametrize(
    ("every_s", "look_s", "steady_look_s"),
    [
        (0.5, 8.5, 14.5),
        (1.0, 8.0, 14.0),
        (2.0, 8.0, 14.0),
        (2.5, 7.5, 12.5),
        (3.0, 6.0, 12.0),
        (5.0, 5.0, 10.0),
        (8.0, 8.0, 8.0),
        (30.0, 30.0, 30.0),
    ],
)
def test_a_quick_log_is_looked_at_every_few_seconds_and_a_slow_one_each_time(
    every_s: float, look_s: float, steady_look_s: float
) -> None:
    watch = Counting()
    fed(watch, seen(cut(POINTS, 3600.0), rig=Rig(every_s=every_s)))
    assert {b - a for a, b in pairwise(watch.looked_s)} == {look_s, steady_look_s}
    assert watch.looked_s[0] == 0.0


@pytest.mark.parametrize("slower_c_per_h", [0.0, -150.0])
def test_a_steady_climb_is_left_alone_for_longer_until_it_turns(slower_c_per_h: float) -> None:
    turn_s = reached_s(POINTS, 500.0)
    points = interrupted(POINTS, turn_s, 600.0, slower_c_per_h, 600.0)
    watch = Counting()
    events = fed(watch, seen(points, rig=EACH_SECOND))
    told_s = min(e.elapsed_s for e in raised(events, Kind.STALL) + raised(events, Kind.HEAT_LOST))
    waits = [(a, b - a) for a, b in pairwise(watch.looked_s)]
    # A rate that turns is seen after half a minute or so.
    turning = [wait_s for at_s, wait_s in waits if turn_s + 45.0 < at_s < told_s]
    assert max(turning) <= module.LOOK_S
    climbing = [wait_s for at_s, wait_s in waits if turn_s - 3600.0 < at_s < turn_s]
    assert sum(wait_s > module.LOOK_S for wait_s in climbing) > 0.7 * len(climbing)


def test_a_kiln_that_a_person_works_is_looked_at_as_often_as_ever() -> None:
    watch = Counting()
    points = swinging(POINTS, 15.0, 1500.0, every_s=60.0)
    fed(watch, seen(cut(points, 3 * 3600.0), rig=EACH_SECOND))
    late = [b - a for a, b in pairwise(watch.looked_s) if a > 5400.0]
    assert max(late) <= module.LOOK_S


def test_no_look_is_later_than_said_however_the_readings_come() -> None:
    dice, watch = random.Random(7), Counting()
    readings, elapsed_s = [], 0.0
    for _ in range(5000):
        readings.append(Reading(elapsed_s, {"kiln": 500.0 + dice.gauss(0.0, 0.4)}))
        elapsed_s += dice.uniform(0.9, 1.1)
    fed(watch, readings)
    longest_s = max(b - a for a, b in pairwise(watch.looked_s))
    # The next reading is expected as soon as the last one came, give or take the jitter.
    assert longest_s <= module.STEADY_LOOK_S + 0.2
    assert len(watch.looked_s) < 5000 / 4


def test_a_silence_is_followed_by_a_look() -> None:
    watch = Counting()
    readings = seen(cut(POINTS, 1800.0), rig=EACH_SECOND)
    fed(watch, [r for r in readings if not 1001.0 < r.elapsed_s < 1200.0])
    assert 1200.0 in watch.looked_s


def test_the_status_between_two_looks_is_of_the_last_reading() -> None:
    watch, alone = Counting(), ChannelWork("kiln")
    for reading in seen(cut(POINTS, 1200.0), rig=EACH_SECOND):
        watch.feed(reading)
        alone.look(reading.elapsed_s, reading.temps_c["kiln"], None)
        status = watch.status()
        assert status.elapsed_s == reading.elapsed_s
        assert status.time == reading.time
        assert status.temp_c == status.channels[0].temp_c == alone.track.temp_c
        assert status.rate_c_per_h == (alone.track.rate_c_per_s or 0.0) * 3600.0
    assert len(watch.looked_s) < 250


def test_every_value_counts_in_the_heat_work() -> None:
    watch, alone = Counting(), ChannelWork("kiln")
    for reading in seen(POINTS, rig=EACH_SECOND):
        watch.feed(reading)
        alone.look(reading.elapsed_s, reading.temps_c["kiln"], None)
    assert watch.progress() == alone.work.progress()


def test_asking_for_the_status_changes_nothing() -> None:
    stall_s = reached_s(POINTS, 700.0)
    stalled = interrupted(POINTS, stall_s, 1800.0)
    stalled = cut(since(stalled, stall_s - 3600.0), stall_s + 5400.0)
    readings = seen(stalled, rig=EACH_SECOND)
    silent, asked = Watch(SCHEDULE, ("kiln",)), Watch(SCHEDULE, ("kiln",))
    said: list[Event] = []
    for reading in readings:
        said += asked.feed(reading)
        if reading.elapsed_s % 31.0 == 0.0:
            asked.status()
    assert said == fed(silent, readings)
    assert raised(said, Kind.STALL)


@pytest.mark.parametrize("after_s", range(6))
def test_a_broken_probe_is_told_at_the_reading_that_proves_it(after_s: int) -> None:
    broken_s = 3000.0 + after_s
    watch, track = Watch(SCHEDULE, ("kiln",)), ChannelTrack("kiln")
    proven_s = None
    told: list[Event] = []
    for reading in seen(cut(POINTS, 3100.0), rig=EACH_SECOND):
        elapsed_s, value_c, fault = reading.elapsed_s, reading.temps_c["kiln"], None
        if elapsed_s >= broken_s:
            value_c, fault = None, FaultCause.OPEN
        faults = {"kiln": fault} if fault else {}
        told += watch.feed(Reading(elapsed_s, {"kiln": value_c}, faults))
        track.look(elapsed_s, value_c, fault)
        if track.fault is not None and proven_s is None:
            proven_s = elapsed_s
    assert proven_s is not None
    assert [e.elapsed_s for e in raised(told, Kind.SENSOR_FAULT)] == [proven_s]


def test_another_channel_leads_from_that_reading_on() -> None:
    readings = [
        Reading(a.elapsed_s, {"a": a.temps_c["kiln"], "b": b.temps_c["kiln"]})
        for a, b in zip(
            seen(cut(POINTS, 3100.0), rig=EACH_SECOND),
            seen(cut(POINTS, 3100.0), rig=EACH_SECOND, seed=2),
            strict=True,
        )
    ]
    watch = Watch(SCHEDULE, ("a", "b"))
    for reading in readings:
        if reading.elapsed_s >= 3002.0:
            reading = Reading(
                reading.elapsed_s, {**reading.temps_c, "a": None}, {"a": FaultCause.OPEN}
            )
        told = watch.feed(reading)
        if reading.elapsed_s < 2990.0:
            continue
        status = watch.status()
        assert status.temp_c is not None
        if raised(told, Kind.SENSOR_FAULT):
            assert [channel.leads for channel in status.channels] == [False, True]
            return
    raise AssertionError("the broken probe was not told")


def test_a_silence_is_reckoned_from_the_last_reading_and_not_from_the_last_look() -> None:
    watch = Counting()
    readings = seen(cut(POINTS, 1003.0), rig=EACH_SECOND)
    fed(watch, readings)
    assert watch.looked_s[-1] < readings[-1].elapsed_s
    told = watch.feed(Reading(1400.0, {"kiln": readings[-1].temps_c["kiln"]}))
    silent = raised(told, Kind.NO_READINGS)[0]
    assert silent.data["last_reading_s"] == readings[-1].elapsed_s
    assert silent.elapsed_s == readings[-1].elapsed_s + 120.0


def test_looking_less_often_finds_the_same_within_seconds(monkeypatch: pytest.MonkeyPatch) -> None:
    fallen = interrupted(POINTS, reached_s(POINTS, 500.0), 900.0, -300.0, 900.0)
    stalled = interrupted(fallen, reached_s(fallen, 800.0), 1800.0)
    whole = cooled(stalled, 2 * 3600.0)
    readings = seen(whole, rig=EACH_SECOND)
    often = Watch(SCHEDULE, ("kiln",))
    with monkeypatch.context() as patched:
        patched.setattr(module, "LOOK_S", 0.0)
        patched.setattr(module, "STEADY_LOOK_S", 0.0)
        each = fed(often, readings)
    now = fed(Watch(SCHEDULE, ("kiln",)), readings)
    assert [(e.kind, e.state, e.data.get("band")) for e in now] == [
        (e.kind, e.state, e.data.get("band")) for e in each
    ]
    assert {Kind.HEAT_LOST, Kind.STALL} <= {e.kind for e in now if e.state is State.RAISED}
    later_s = [a.elapsed_s - b.elapsed_s for a, b in zip(now, each, strict=True)]
    assert max(later_s) <= 60.0
    assert sum(later_s) / len(later_s) <= 10.0


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize("spike_c", [0.0, 660.0, 745.0, 1400.0])
def test_a_lone_spike_is_no_news_of_the_kiln(spike_c: float, every_s: float) -> None:
    # Where it climbs, in the midst of a stall, and after it.
    stall_s = reached_s(POINTS, 700.0)
    points = since(interrupted(POINTS, stall_s, 1800.0), stall_s - 5400.0)
    readings = seen(cut(points, stall_s + 5400.0), rig=Rig(every_s=every_s))
    plain = fed(Watch(SCHEDULE, ("kiln",)), readings)
    assert raised(plain, Kind.STALL)
    for spike_s in (stall_s - 900.0, stall_s + 150.0, stall_s + 2700.0):
        at = next(i for i, r in enumerate(readings) if r.elapsed_s >= spike_s)
        spiked = list(readings)
        spiked[at] = Reading(readings[at].elapsed_s, {"kiln": spike_c})
        events = fed(Watch(SCHEDULE, ("kiln",)), spiked)
        assert [(e.kind, e.state) for e in events] == [(e.kind, e.state) for e in plain]
        for with_it, without in zip(events, plain, strict=True):
            assert abs(with_it.elapsed_s - without.elapsed_s) <= module.STEADY_LOOK_S


def test_nothing_is_said_of_the_heat_while_the_values_are_beyond_belief() -> None:
    onset_s = reached_s(POINTS, 700.0)
    points = since(interrupted(POINTS, onset_s, 900.0), onset_s - 3600.0)
    readings = seen(cut(points, onset_s + 900.0), rig=EACH_SECOND)
    (stall,) = raised(fed(Watch(SCHEDULE, ("kiln",)), readings), Kind.STALL)
    spiked = [
        Reading(r.elapsed_s, {"kiln": 1400.0}) if r.elapsed_s == stall.elapsed_s else r
        for r in readings
    ]
    (later,) = raised(fed(Watch(SCHEDULE, ("kiln",)), spiked), Kind.STALL)
    assert 0.0 < later.elapsed_s - stall.elapsed_s <= module.LOOK_S
