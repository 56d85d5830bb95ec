"""Laws that the watch and each of its detectors keep, whatever the readings.

The same list of checks is put to the whole watch and, one by one, to every detector.
"""

from __future__ import annotations

import copy
import json
import math
import tracemalloc
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from supervisor.core.events import Event, Kind, State
from supervisor.core.heatwork import CONE_NAMES
from supervisor.core.heatwork.integral import WORK_CAP
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.schedule import Schedule, starter, starter_names
from supervisor.core.schedule.model import BandChange
from supervisor.core.units import Unit
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.detectors.cones import Cones
from supervisor.core.watch.detectors.heat_lost import HeatLost
from supervisor.core.watch.detectors.heat_stuck_on import HeatStuckOn
from supervisor.core.watch.detectors.lagging import Lagging
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.opened_hot import OpenedHot
from supervisor.core.watch.detectors.overshoot import OverLimit, Overshoot
from supervisor.core.watch.detectors.phases import Phases
from supervisor.core.watch.detectors.progress import CoolToOpen
from supervisor.core.watch.detectors.sensors import NoReadings, SensorFaults
from supervisor.core.watch.detectors.stall import Stall
from supervisor.core.watch.detectors.uneven import Uneven
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.moves import Activity
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    CONDITIONS,
    HOUR_S,
    Rig,
    as_planned,
    cooled,
    cut,
    interrupted,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
)

CHANNELS = ("top", "bottom")
EVENTFUL = replace(
    plan("150 600 20", "150 1000 20", "- 800 10", "100 700", cone="06"),
    bands=(
        BandChange("chemical water", fastest_c_per_h=60.0),
        BandChange("quartz turns back", fastest_c_per_h=30.0),
    ),
)
Told = dict[str, list[Event]]


@cache
def eventful() -> tuple[Reading, ...]:
    """A firing in which nearly everything happens."""
    points = as_planned(EVENTFUL)
    points = interrupted(points, reached_s(points, 400.0), 1800.0)
    points = interrupted(points, reached_s(points, 800.0), 1200.0, -150.0, 900.0)
    # Then it climbs slowly for a while.
    slow_s, ends_s = reached_s(points, 830.0), reached_s(points, 960.0)
    after = [p for p in points if p[0] > ends_s]
    points = [*cut(points, slow_s), *cut(points, ends_s)[-1:], *after]
    points = [(s + 0.6 * (min(max(s, slow_s), ends_s) - slow_s), c) for s, c in points]
    points = [(s, c + (20.0 if 985.0 < c <= 1000.0 else 0.0)) for s, c in points]
    points = cooled(points, 1.5 * HOUR_S)
    # A door is opened hot and shut again; later the heat comes on by itself for a while.
    end_s, end_c = points[-1]
    points += [(end_s + 600.0, end_c - 180.0), (end_s + 4200.0, end_c - 200.0)]
    points = cooled(points, 0.5 * HOUR_S)
    end_s, end_c = points[-1]
    points = cooled([*points, (end_s + 1800.0, end_c + 60.0)], 18 * HOUR_S)
    top = seen(points, rig=Rig(every_s=10.0), seed=3)
    bottom = seen(points, rig=Rig(every_s=10.0, offset_c=-9.0), seed=4)
    readings = []
    for n, (a, b) in enumerate(zip(top, bottom, strict=True)):
        if 3000 <= n < 3040:
            continue
        faults = {"top": FaultCause.OPEN} if 1000 <= n < 1030 else {}
        top_c = None if faults else a.temps_c["kiln"]
        readings.append(
            Reading(a.elapsed_s, {"top": top_c, "bottom": b.temps_c["kiln"]}, faults, f"label {n}")
        )
    return tuple(readings)


def whole(readings: Iterable[Reading]) -> list[Event]:
    watch = Watch(EVENTFUL, CHANNELS, WatchSettings(limit_c=1010.0, uneven_c=5.0))
    return [event for reading in readings for event in watch.feed(reading)]


class Bench:
    """What stands before the detectors in the watch, so that one can be tried alone."""

    def __init__(self) -> None:
        self.works = tuple(ChannelWork(name) for name in CHANNELS)
        self.tracks = tuple(work.track for work in self.works)
        self.plan = PlanFollower(EVENTFUL)
        self.moment = Moment(self.plan, Words(Unit.C))
        self.last_s: float | None = None
        self.arrived = False

    def show(self, reading: Reading) -> bool:
        """Bring the moment up to date; false where the watch would pass the reading over."""
        elapsed_s = reading.elapsed_s
        if self.last_s is not None and not elapsed_s > self.last_s:
            return False
        moment = self.moment
        moment.elapsed_s, moment.time = elapsed_s, reading.time
        self.last_s = elapsed_s
        for work in self.works:
            name = work.track.name
            work.look(elapsed_s, reading.temps_c.get(name), reading.faults.get(name))
        self.arrived = any(track.is_current for track in self.tracks)
        lead = next((track for track in self.tracks if track.is_healthy), None)
        if lead is None or lead.temp_c is None or lead.rate_c_per_s is None:
            moment.see(None, 0.0, 0.0, 0.0)
            return True
        rate_sigma_c_per_h = lead.rate_sigma_c_per_s * 3600.0
        moment.see(
            lead.temp_c,
            lead.rate_c_per_s * 3600.0,
            rate_sigma_c_per_h,
            lead.temp_sigma_c,
            self.tracks.index(lead),
        )
        self.plan.update(elapsed_s, lead.temp_c, moment.rate_c_per_h, moment.sigma_c)
        moment.habits.look(self.plan, elapsed_s, lead.temp_c, moment.moved_s, moment.moved_c)
        return True


Feed = Callable[[Moment], list[Event]]
SENSITIVITY = Sensitivity()


def told_by(makes: Mapping[str, Callable[[Bench], Feed]], readings: Iterable[Reading]) -> Told:
    """What detectors say that stand side by side behind one bench."""
    bench = Bench()
    feeds = {name: make(bench) for name, make in makes.items()}
    told: Told = {name: [] for name in feeds}
    for reading in readings:
        if bench.show(reading):
            for name, feed in feeds.items():
                told[name] += feed(bench.moment)
    return told


def _stall(bench: Bench) -> Feed:
    stall = Stall(SENSITIVITY, EVENTFUL)
    return lambda moment: stall.feed(moment, heat_is_lost=False, heat_may_be_lost=False)


def _lagging(bench: Bench) -> Feed:
    lagging = Lagging(1800.0, SENSITIVITY)
    return lambda moment: lagging.feed(moment, is_stalled=False)


def _no_readings(bench: Bench) -> Feed:
    quiet = NoReadings(120.0)

    def feed(moment: Moment) -> list[Event]:
        events = quiet.due(moment)
        return events + (quiet.arrived(moment) if bench.arrived else [])

    return feed


def _cones(bench: Bench) -> Feed:
    cones = Cones("06", 1200.0)
    return lambda moment: [] if moment.temp_c is None else cones.feed(moment, bench.works[0])


def _phases(bench: Bench) -> Feed:
    phases = Phases(EVENTFUL)
    return lambda moment: phases.feed(moment, heat_is_lost=False)


def _cool(bench: Bench) -> Feed:
    cool = CoolToOpen(65.0)
    return lambda moment: cool.feed(moment, bench.tracks, None)


DETECTORS: Mapping[str, tuple[Callable[[Bench], Feed], Kind]] = {
    "stall": (_stall, Kind.STALL),
    "heat_lost": (lambda bench: HeatLost(SENSITIVITY).feed, Kind.HEAT_LOST),
    "overshoot": (lambda bench: Overshoot(10.0, SENSITIVITY).feed, Kind.OVERSHOOT),
    "heat_stuck_on": (lambda bench: HeatStuckOn(10.0, SENSITIVITY).feed, Kind.HEAT_STUCK_ON),
    "opened_hot": (lambda bench: OpenedHot(SENSITIVITY).feed, Kind.FAST_COOLING),
    "lagging": (_lagging, Kind.LAGGING),
    "over_limit": (lambda bench: OverLimit(1010.0).feed, Kind.OVER_LIMIT),
    "sensors": (lambda bench: SensorFaults(bench.tracks).feed, Kind.SENSOR_FAULT),
    "uneven": (lambda bench: Uneven(bench.tracks, 5.0).feed, Kind.UNEVEN),
    "no_readings": (_no_readings, Kind.NO_READINGS),
    "cones": (_cones, Kind.CONE_DOWN),
    "cool_to_open": (_cool, Kind.COOL_TO_OPEN),
    "phases": (_phases, Kind.PHASE_BEGUN),
    "hurries up": (_phases, Kind.FAST_HEATING),
    "hurries down": (_phases, Kind.FAST_COOLING),
}
KINDS: Mapping[str, Kind] = {
    **{name: kind for name, (_, kind) in DETECTORS.items()},
    "the watch": Kind.STEP_BEGUN,
}


def all_told(readings: Iterable[Reading]) -> Told:
    """What each detector says, and what the watch does."""
    readings = tuple(readings)
    makes = {name: make for name, (make, _) in DETECTORS.items()}
    return {**told_by(makes, readings), "the watch": whole(readings)}


@cache
def of_the_eventful() -> Told:
    return all_told(eventful())


def lines(events: Iterable[Event]) -> list[str]:
    return [event.to_json() for event in events]


@pytest.mark.parametrize("name", KINDS)
def test_it_has_something_to_say_of_an_eventful_firing(name: str) -> None:
    assert raised(of_the_eventful()[name], KINDS[name])


def test_the_same_readings_give_the_same_events_byte_for_byte() -> None:
    again = whole(eventful())
    assert lines(again) == lines(of_the_eventful()["the watch"])


@pytest.mark.parametrize("name", DETECTORS)
def test_a_detector_says_the_same_alone_byte_for_byte(name: str) -> None:
    # Only while the climb is suspected to stall nothing is learnt of its habits, which lost heat
    # is judged by.
    heeded = {"heat_lost": ("stall",)}.get(name, ())
    makes = {one: DETECTORS[one][0] for one in (*heeded, name)}
    alone = told_by(makes, eventful())[name]
    assert lines(alone) == lines(of_the_eventful()[name])


def test_readings_are_left_as_they_were() -> None:
    before = copy.deepcopy(eventful())
    all_told(eventful())
    assert eventful() == before


@pytest.mark.parametrize("name", KINDS)
def test_what_is_raised_is_cleared_at_most_once(name: str) -> None:
    once_each(of_the_eventful()[name])


def test_the_wall_clock_changes_labels_only() -> None:
    other = [
        replace(r, time=f"1970-01-01T00:00:{n % 60:02}+00:00") for n, r in enumerate(eventful())
    ]
    for name, events in all_told(other).items():
        plain = [replace(event, time=None) for event in of_the_eventful()[name]]
        assert [replace(event, time=None) for event in events] == plain, name


@pytest.mark.parametrize("name", KINDS)
def test_events_come_in_order_of_time(name: str) -> None:
    # What was due in a silence is dated back to the moment at which it was due.
    times = [e.elapsed_s for e in of_the_eventful()[name] if e.kind is not Kind.NO_READINGS]
    assert times == sorted(times)


@pytest.mark.parametrize("elapsed_s", [0.0, 1e6])
def test_a_single_reading_is_nothing_to_speak_of(elapsed_s: float) -> None:
    nothing: Told = {name: [] for name in KINDS}
    assert all_told([Reading(elapsed_s, {"top": 900.0, "bottom": 890.0})]) == nothing
    assert all_told([Reading(elapsed_s, {})]) == nothing
    assert all_told([]) == nothing


def test_the_kinds_that_come_and_go_are_the_documented_ones() -> None:
    events = of_the_eventful()["the watch"]
    assert {event.kind for event in events if event.state is State.CLEARED} == CONDITIONS


def test_looking_at_the_status_changes_nothing() -> None:
    watch = Watch(EVENTFUL, CHANNELS, WatchSettings(limit_c=1010.0, uneven_c=5.0))
    events = []
    for n, reading in enumerate(eventful()):
        events += watch.feed(reading)
        if n % 50 == 0:
            watch.status()
            watch.progress()
            watch.progress("bottom")
    assert lines(events) == lines(of_the_eventful()["the watch"])


def test_a_copy_taken_midway_goes_on_as_the_original() -> None:
    readings = eventful()
    watch = Watch(EVENTFUL, CHANNELS)
    for reading in readings[:2500]:
        watch.feed(reading)
    twin = copy.deepcopy(watch)
    for reading in readings[2500:5000]:
        assert lines(watch.feed(reading)) == lines(twin.feed(reading))
    assert watch.status() == twin.status()


def test_memory_does_not_grow_with_the_firing() -> None:
    watch = Watch(starter("midfire-glaze"), ("kiln",))
    readings = seen([(0.0, 20.0), (10 * HOUR_S, 22.0)], rig=Rig(every_s=1.0))
    for reading in readings[:6000]:
        watch.feed(reading)
    tracemalloc.start()
    try:
        before, _ = tracemalloc.get_traced_memory()
        for reading in readings[6000:]:
            watch.feed(reading)
        after, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert after - before < 20_000


ODD = st.one_of(
    st.none(),
    st.floats(-60.0, 1550.0),
    st.sampled_from([math.nan, math.inf, -math.inf, 1e9, -1e9, 0.0, 20.0, 700.0, 700.0, 1000.0]),
)
READINGS = st.lists(
    st.builds(
        Reading,
        elapsed_s=st.one_of(
            st.floats(0.0, 200_000.0),
            st.sampled_from([math.nan, math.inf, -math.inf, -1.0, 1e9, 1e300, 0.0, 60.0, 60.0]),
        ),
        temps_c=st.dictionaries(st.sampled_from(["top", "bottom", "stranger"]), ODD),
        faults=st.dictionaries(
            st.sampled_from(["top", "bottom", "x"]), st.sampled_from(FaultCause)
        ),
    ),
    max_size=40,
)
SCHEDULES = st.sampled_from([EVENTFUL, plan("- 1000"), *(starter(n) for n in starter_names())])


def is_sound(events: list[Event]) -> None:
    """Whatever is told can be written, read and believed."""
    once_each(events)
    for event in events:
        assert json.loads(event.to_json())["message"] == event.message
        assert math.isfinite(event.elapsed_s)
        assert event.state is State.RAISED or event.kind in CONDITIONS


@settings(max_examples=80, deadline=None)
@given(READINGS, SCHEDULES)
@example([Reading(0.0, {"top": 700.0}), Reading(math.nan, {"top": 700.0})], EVENTFUL)
def test_any_stream_of_readings_is_survived(readings: list[Reading], schedule: Schedule) -> None:
    watch = Watch(schedule, CHANNELS, WatchSettings(limit_c=1200.0))
    is_sound([event for reading in readings for event in watch.feed(reading)])
    watch.status()


LEGS = st.lists(
    st.tuples(
        st.sampled_from([1.0, 5.0, 30.0, 60.0, 119.0, 3600.0]),
        st.integers(1, 40),
        st.floats(-600.0, 600.0),
        st.sampled_from(["good", "good", "good", "blank", "open", "spike", "frozen", "back"]),
    ),
    min_size=1,
    max_size=25,
)


@settings(max_examples=60, deadline=None)
@given(LEGS, SCHEDULES, st.floats(0.0, 1200.0))
def test_any_firing_of_any_rig_is_survived_and_repeats_itself(
    legs: list[tuple[float, int, float, str]], schedule: Schedule, start_c: float
) -> None:
    elapsed_s, temp_c = 0.0, start_c
    readings: list[Reading] = []
    for every_s, count, rate_c_per_h, rig in legs:
        held_c = temp_c
        for n in range(count):
            elapsed_s += every_s
            temp_c = min(max(temp_c + rate_c_per_h * every_s / 3600.0, 0.0), 1400.0)
            noise_c = 0.3 * math.sin(1e4 * elapsed_s + n)
            value_c: float | None = temp_c + noise_c
            if rig == "blank":
                value_c = None
            elif rig == "spike" and n % 7 == 3:
                value_c = 1e9
            elif rig == "frozen":
                value_c = held_c
            faults = {"top": FaultCause.OPEN} if rig == "open" else {}
            shown_s = elapsed_s - 200.0 if rig == "back" else elapsed_s
            temps_c = {"top": None if faults else value_c, "bottom": temp_c - noise_c}
            readings.append(Reading(shown_s, temps_c, faults))
    one, other = Watch(schedule, CHANNELS), Watch(schedule, CHANNELS)
    events = [event for reading in readings for event in one.feed(reading)]
    is_sound(events)
    again = []
    for reading in readings:
        again += other.feed(reading)
        other.status()
    assert lines(again) == lines(events)
    assert all(0.0 <= done <= WORK_CAP for done in one.progress().work.values())
    assert tuple(one.progress().work) == CONE_NAMES
    status = one.status()
    assert status.temp_c is None or math.isfinite(status.temp_c)
    assert status.plan.activity in Activity


def test_time_that_goes_back_or_stands_still_is_passed_over() -> None:
    woven = []
    for reading in eventful():
        woven += [reading, reading, replace(reading, elapsed_s=reading.elapsed_s - 500.0)]
    assert lines(whole(woven)) == lines(of_the_eventful()["the watch"])


def test_a_missing_channel_is_a_channel_without_a_value() -> None:
    readings = eventful()
    blank = [replace(r, temps_c={"top": None, "bottom": r.temps_c["bottom"]}) for r in readings]
    missing = [replace(r, temps_c={"bottom": r.temps_c["bottom"]}) for r in readings]
    assert lines(whole(missing)) == lines(whole(blank))
