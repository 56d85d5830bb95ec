"""A thermocouple that can't be believed is named, with its cause, and hides no good one."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest

from supervisor.core.events import Event, Kind, Severity
from supervisor.core.its90 import read_as_c
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.schedule import starter
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.channel import ChannelTrack
from tests.core.firings import (
    HOUR_S,
    OFTEN,
    PLAIN,
    Points,
    Rig,
    about,
    alarms,
    as_planned,
    at,
    cleared,
    cooled,
    cut,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    since,
    told,
)

SCHEDULE = plan("150 600", "150 1000 30", cone="06")
POINTS = cooled(as_planned(SCHEDULE), 0.5 * HOUR_S)
ONSET_S = reached_s(POINTS, 700.0)
CHANNELS = ("top", "bottom")
Change = Callable[[float, float | None], float | None]


def changed(readings: list[Reading], change: Change, channel: str = "kiln") -> list[Reading]:
    """The readings with one channel's values put through ``change(elapsed_s, value)``."""
    return [
        replace(r, temps_c={**r.temps_c, channel: change(r.elapsed_s, r.temps_c[channel])})
        for r in readings
    ]


@cache
def pair(apart_c: float = -12.0, from_s: float = 0.0) -> list[Reading]:
    """Two good channels; the bottom reads ``apart_c`` beside the top."""
    points = since(POINTS, from_s)
    top = seen(points, seed=1)
    bottom = seen(points, seed=101, rig=Rig(offset_c=apart_c))
    return [
        Reading(a.elapsed_s, {"top": a.temps_c["kiln"], "bottom": b.temps_c["kiln"]})
        for a, b in zip(top, bottom, strict=True)
    ]


def late_pair() -> list[Reading]:
    """The good channels in a log that begins an hour and a half before the onset."""
    return pair(from_s=ONSET_S - 1.5 * HOUR_S)


def after(value: float | None, *, until_s: float = float("inf")) -> Change:
    """From the onset on nothing but ``value``."""
    return lambda s, c: value if ONSET_S <= s < until_s else c


def frozen() -> Change:
    held: list[float] = []

    def change(elapsed_s: float, value_c: float | None) -> float | None:
        if elapsed_s < ONSET_S or value_c is None:
            return value_c
        held.append(value_c)
        return held[0]

    return change


def only_fault(events: list[Event], cause: FaultCause) -> Event:
    """The one sensor fault, which is of this cause and the only thing to worry about."""
    once_each(events)
    (fault,) = raised(events, Kind.SENSOR_FAULT)
    assert fault.data["cause"] == cause.value
    live = cause is FaultCause.VOLTAGE
    assert fault.severity is (Severity.CRITICAL if live else Severity.WARNING)
    return fault


Said = Callable[[float], FaultCause | None]


def reported(said: Said) -> list[Reading]:
    """A good pair, of which the hardware says ``said(seconds since the onset)`` of the top."""
    readings = []
    for reading in late_pair():
        since_s = reading.elapsed_s - ONSET_S
        cause = said(since_s) if since_s >= 0.0 else None
        if cause is not None:
            temps_c = {**reading.temps_c, "top": None}
            reading = replace(reading, temps_c=temps_c, faults={"top": cause})
        readings.append(reading)
    return readings


def faults_of(events: list[Event]) -> list[tuple[str, object, Severity]]:
    once_each(events)
    faults = [e for e in events if e.kind is Kind.SENSOR_FAULT]
    return [(e.state.value, e.data["cause"], e.severity) for e in faults]


def test_an_open_probe_that_comes_to_touch_an_element_is_told_at_once() -> None:
    said: Said = lambda s: FaultCause.OPEN if s < 1800.0 else FaultCause.VOLTAGE  # noqa: E731
    events = told(SCHEDULE, reported(said), channels=CHANNELS)
    assert faults_of(events) == [
        ("raised", "open", Severity.WARNING),
        ("cleared", "open", Severity.WARNING),
        ("raised", "voltage", Severity.CRITICAL),
    ]
    _, gone, live = (e for e in events if e.kind is Kind.SENSOR_FAULT)
    assert gone.elapsed_s == live.elapsed_s
    assert 0.0 <= live.elapsed_s - (ONSET_S + 1800.0) <= 5.0
    assert "isolator" in live.message


def test_a_voltage_that_goes_is_cleared_as_critical_and_still_wants_an_electrician() -> None:
    said: Said = lambda s: FaultCause.VOLTAGE if s < 1800.0 else None  # noqa: E731
    events = told(SCHEDULE, reported(said), channels=CHANNELS)
    assert faults_of(events) == [
        ("raised", "voltage", Severity.CRITICAL),
        ("cleared", "voltage", Severity.CRITICAL),
    ]
    (gone,) = cleared(events, Kind.SENSOR_FAULT)
    assert "electrician" in gone.message


def test_another_cause_is_told_when_it_has_lasted() -> None:
    said: Said = lambda s: FaultCause.OPEN if s < 1800.0 else FaultCause.BUS  # noqa: E731
    events = told(SCHEDULE, reported(said), channels=CHANNELS)
    assert [what[:2] for what in faults_of(events)] == [
        ("raised", "open"),
        ("cleared", "open"),
        ("raised", "bus"),
    ]
    bus = raised(events, Kind.SENSOR_FAULT)[-1]
    assert 30.0 <= bus.elapsed_s - (ONSET_S + 1800.0) <= 45.0


def test_causes_that_take_turns_are_told_once() -> None:
    turns = (FaultCause.OPEN, FaultCause.SHORT)
    said: Said = lambda s: turns[int(s / 5.0) % 2] if s < 1800.0 else None  # noqa: E731
    events = told(SCHEDULE, reported(said), channels=CHANNELS)
    assert [what[0] for what in faults_of(events)] == ["raised", "cleared"]
    assert raised(events, Kind.SENSOR_FAULT)[0].elapsed_s - ONSET_S <= 60.0


@pytest.mark.parametrize("first", [0, 1])
def test_a_voltage_that_comes_and_goes_among_other_causes_is_told_and_kept(first: int) -> None:
    turns = (FaultCause.OPEN, FaultCause.VOLTAGE)
    said: Said = lambda s: turns[(int(s / PLAIN.every_s) + first) % 2] if s < 1800.0 else None  # noqa: E731
    events = told(SCHEDULE, reported(said), channels=CHANNELS)
    assert faults_of(events) == [
        ("raised", "voltage", Severity.CRITICAL),
        ("cleared", "voltage", Severity.CRITICAL),
    ]
    assert raised(events, Kind.SENSOR_FAULT)[0].elapsed_s - ONSET_S <= 60.0


def test_swapped_leads_hide_no_voltage() -> None:
    swapped: Change = lambda s, c: None if c is None else 40.0 - c  # noqa: E731
    readings = [
        replace(r, temps_c={**r.temps_c, "top": None}, faults={"top": FaultCause.VOLTAGE})
        if r.elapsed_s >= ONSET_S
        else r
        for r in changed(pair(), swapped, "top")
    ]
    events = told(SCHEDULE, readings, channels=CHANNELS)
    assert [what[1] for what in faults_of(events)] == ["reversed", "reversed", "voltage"]


@pytest.mark.parametrize("cause", [FaultCause.OPEN, FaultCause.SHORT, FaultCause.VOLTAGE])
def test_a_fault_that_the_hardware_reports_is_raised_within_a_minute(cause: FaultCause) -> None:
    readings = [
        replace(r, temps_c={**r.temps_c, "top": None}, faults={"top": cause})
        if r.elapsed_s >= ONSET_S
        else r
        for r in late_pair()
    ]
    events = told(SCHEDULE, readings, channels=CHANNELS)
    fault = only_fault(events, cause)
    assert fault.channel == "top"
    assert 0.0 <= fault.elapsed_s - ONSET_S <= 60.0
    assert len(alarms(events)) == 1


@pytest.mark.parametrize("value_c", [None, 5000.0, -200.0, float("nan"), float("inf")])
def test_an_open_probe_is_raised_within_a_minute(value_c: float | None) -> None:
    events = told(SCHEDULE, changed(late_pair(), after(value_c), "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.OPEN)
    assert fault.channel == "top"
    assert 0.0 <= fault.elapsed_s - ONSET_S <= 60.0
    assert len(alarms(events)) == 1


def test_a_shorted_probe_is_raised_within_a_minute() -> None:
    dice = random.Random(1)
    shed: Change = lambda s, c: 24.0 + dice.gauss(0.0, 0.3) if s >= ONSET_S else c  # noqa: E731
    events = told(SCHEDULE, changed(late_pair(), shed, "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.SHORT)
    assert fault.channel == "top"
    assert fault.elapsed_s - ONSET_S <= 60.0
    assert len(alarms(events)) == 1


def test_a_probe_that_jumps_is_not_a_kiln_that_does() -> None:
    jumped: Change = lambda s, c: None if c is None else c + 90.0 * (s >= ONSET_S)  # noqa: E731
    events = told(SCHEDULE, changed(late_pair(), jumped, "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.JUMP)
    assert fault.elapsed_s - ONSET_S <= 60.0
    assert raised(events, Kind.OVERSHOOT) == []
    assert raised(events, Kind.HEAT_LOST) == []
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_frozen_probe_is_raised_within_10_minutes() -> None:
    events = told(SCHEDULE, changed(late_pair(), frozen(), "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.FROZEN)
    assert 0.0 < fault.elapsed_s - ONSET_S <= 600.0
    assert raised(events, Kind.STALL) == []


def test_swapped_leads_are_seen_as_the_kiln_heats() -> None:
    swapped: Change = lambda s, c: None if c is None else 40.0 - c  # noqa: E731
    events = told(SCHEDULE, changed(pair(), swapped, "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.REVERSED)
    assert fault.elapsed_s < HOUR_S
    assert "swapped" in fault.message
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


@pytest.mark.parametrize(("begins_c", "until_c"), [(32.0, 12.0), (45.0, 20.0)])
def test_swapped_leads_of_a_lone_probe_in_a_warm_shed_are_seen_before_frost(
    begins_c: float, until_c: float
) -> None:
    readings = seen([(0.0, begins_c), (2 * HOUR_S, begins_c - 90.0)])
    fault = only_fault(told(SCHEDULE, readings), FaultCause.REVERSED)
    fell_s = (begins_c - until_c) / 45.0 * HOUR_S
    assert abs(fault.elapsed_s - fell_s) <= 120.0


@pytest.mark.parametrize(("falls_c", "count"), [(44.0, 1), (36.0, 0)])
def test_a_probe_that_falls_by_nearly_all_of_its_warmth_at_once_is_shorted(
    falls_c: float, count: int
) -> None:
    """In a kiln at 75 °C no draught takes so much from a sheathed probe within five seconds."""
    short: Change = lambda s, c: c if c is None or s < 4000.0 else c - falls_c  # noqa: E731
    schedule = plan("50 100 120", "80 600")
    both = [
        replace(r, temps_c={"top": r.temps_c["kiln"], "bottom": r.temps_c["kiln"]})
        for r in seen(cut(as_planned(schedule), 4300.0), rig=OFTEN)
    ]
    events = told(schedule, changed(both, short, "top"), channels=("top", "bottom"))
    faults = [e for e in raised(events, Kind.SENSOR_FAULT) if e.elapsed_s < 4060.0]
    assert len(faults) == count
    # As long as it reads so, it is not believed again.
    assert cleared(events, Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize(("second_c", "count"), [(-120.0, 0), (120.0, 1)])
def test_two_spikes_in_a_row_to_either_side_are_no_jump(second_c: float, count: int) -> None:
    spikes = {6000.0: 100.0, 6030.0: second_c}
    spiky: Change = lambda s, c: None if c is None else c + spikes.get(s, 0.0)  # noqa: E731
    readings = seen(cut(POINTS, 7200.0), rig=Rig(every_s=30.0))
    events = told(SCHEDULE, changed(readings, spiky))
    assert len(raised(events, Kind.SENSOR_FAULT)) == count


def test_swapped_leads_of_a_kiln_that_dries_slowly_are_seen_soon_below_frost() -> None:
    """At 30 °C an hour, from 12 °C."""
    readings = seen([(0.0, 12.0), (3 * HOUR_S, -78.0)])
    fault = only_fault(told(SCHEDULE, readings), FaultCause.REVERSED)
    frost_s = 12.0 / 30.0 * HOUR_S
    assert 0.0 <= fault.elapsed_s - frost_s <= 300.0


def test_swapped_leads_are_seen_from_where_they_began_and_not_from_a_spike_before() -> None:
    falls = seen([(0.0, 22.0), (2 * HOUR_S, -62.0)], rig=OFTEN)
    readings = [replace(falls[0], temps_c={"kiln": 12.0}), *falls[1:]]
    with_spike, without = (
        only_fault(told(SCHEDULE, logged), FaultCause.REVERSED).elapsed_s
        for logged in (readings, falls)
    )
    assert abs(with_spike - without) <= 120.0


@pytest.mark.parametrize(("shed_c", "constant_s"), [(0.0, 120.0), (-5.0, 1200.0), (-5.0, 7200.0)])
def test_a_probe_or_a_kiln_that_cools_in_a_cold_shed_has_no_swapped_leads(
    shed_c: float, constant_s: float
) -> None:
    """A probe carried out of a warm room, and a warm kiln in frost: both slow down."""
    cools = cooled([(0.0, 24.0)], 6 * HOUR_S, shed_c=shed_c + 6.0, constant_s=constant_s)
    assert raised(told(SCHEDULE, seen(cools)), Kind.SENSOR_FAULT) == []


def wrong_type(s_from: float, s_until: float, then: Change) -> list[Reading]:
    """The top is a type S on an input for K: its own converter says so for a while."""
    wrong: Change = lambda _s, c: None if c is None else read_as_c("S", "K", c, 25.0)  # noqa: E731
    before = changed(pair(), wrong, "top")
    afterwards = changed(pair(), then, "top")
    return [
        replace(early, temps_c={**early.temps_c, "top": None}, faults={"top": FaultCause.TYPE})
        if s_from <= early.elapsed_s < s_until
        else (early if early.elapsed_s < s_from else late)
        for early, late in zip(before, afterwards, strict=True)
    ]


def test_a_wrong_type_is_not_believed_again_when_its_converter_has_forgotten_it() -> None:
    """After a restart of the rig the evidence has to be gathered anew."""
    wrong: Change = lambda _s, c: None if c is None else read_as_c("S", "K", c, 25.0)  # noqa: E731
    found_s = reached_s(POINTS, 300.0)
    events = told(
        SCHEDULE, wrong_type(found_s, found_s + 1800.0, wrong), channels=("bottom", "top")
    )
    faults = [e for e in events if e.kind is Kind.SENSOR_FAULT and e.channel == "top"]
    named = next(e for e in faults if e.data["cause"] == "type")
    assert named.elapsed_s - found_s <= 60.0
    assert "the letter on the probe" in named.message
    assert [e for e in faults if e.elapsed_s > named.elapsed_s] == []


def test_a_wrong_type_that_was_put_right_is_believed_again() -> None:
    found_s = reached_s(POINTS, 300.0)
    mended_s = found_s + 1800.0
    events = told(
        SCHEDULE, wrong_type(found_s, mended_s, lambda _s, c: c), channels=("bottom", "top")
    )
    (well,) = [e for e in cleared(events, Kind.SENSOR_FAULT) if e.data["cause"] == "type"]
    assert 0.0 < well.elapsed_s - mended_s <= 900.0


def test_a_fault_that_goes_is_cleared() -> None:
    gone_s = ONSET_S + 600.0
    readings = changed(late_pair(), after(None, until_s=gone_s), "top")
    events = told(SCHEDULE, readings, channels=CHANNELS)
    once_each(events)
    (well,) = cleared(events, Kind.SENSOR_FAULT)
    assert well.channel == "top"
    assert 0.0 < well.elapsed_s - gone_s <= 120.0
    assert len(alarms(events)) == 2


def test_wires_that_fail_again_and_again_do_not_blind_the_watch_to_the_end() -> None:
    """For a minute and a half in eighteen no chip answers; what comes in between is right."""
    readings = [
        Reading(r.elapsed_s, dict.fromkeys(CHANNELS), dict.fromkeys(CHANNELS, FaultCause.BUS))
        if r.elapsed_s % 1080.0 >= 990.0
        else r
        for r in pair()
    ]
    events = told(SCHEDULE, readings, channels=CHANNELS)
    once_each(events)
    assert {e.kind for e in events if e.severity is not Severity.INFO} == {Kind.SENSOR_FAULT}
    spells = int(readings[-1].elapsed_s // 1080.0)
    assert len(cleared(events, Kind.SENSOR_FAULT)) >= len(CHANNELS) * (spells - 1)
    assert raised(events, Kind.FIRING_FINISHED)


@pytest.mark.parametrize("period_s", [10.0, 20.0, 60.0])
def test_a_loose_terminal_is_not_told_at_every_touch(period_s: float) -> None:
    readings = [
        replace(r, temps_c={**r.temps_c, "top": None}, faults={"top": FaultCause.OPEN})
        if ONSET_S <= r.elapsed_s < ONSET_S + 5400.0 and r.elapsed_s // period_s % 2
        else r
        for r in late_pair()
    ]
    events = told(SCHEDULE, readings, channels=CHANNELS)
    once_each(events)
    assert 1 <= len(raised(events, Kind.SENSOR_FAULT)) <= 2
    assert len(cleared(events, Kind.SENSOR_FAULT)) == len(raised(events, Kind.SENSOR_FAULT))
    assert {e.kind for e in events if e.severity is not Severity.INFO} == {Kind.SENSOR_FAULT}


def test_a_lone_spike_is_passed_over() -> None:
    for spike_c in (0.0, 1400.0, 760.0, float("nan"), 1e9):
        spiked: Change = lambda s, c, v=spike_c: v if s % 610.0 == 0.0 and s > 60.0 else c  # type: ignore[misc]  # noqa: E731
        assert alarms(told(SCHEDULE, changed(seen(POINTS), spiked))) == [], spike_c


@pytest.mark.parametrize("apart_c", [-25.0, 0.0, 25.0])
def test_another_channel_stands_in_for_the_lead_without_false_alarm(apart_c: float) -> None:
    readings = changed(pair(apart_c, ONSET_S - 1.5 * HOUR_S), after(None), "top")
    watch = Watch(SCHEDULE, CHANNELS)
    events, led = [], []
    for reading in readings:
        events += watch.feed(reading)
        status = watch.status() if reading.elapsed_s % 60.0 == 0.0 else None
        if status is not None and status.temp_c is not None:
            led.append((reading.elapsed_s, status.temp_c))
    assert [e.kind for e in events if e.severity is not Severity.INFO] == [Kind.SENSOR_FAULT]
    assert [c.leads for c in watch.status().channels] == [False, True]
    jumps = [abs(to_c - from_c) for (_, from_c), (_, to_c) in pairwise(led[1:])]
    assert max(jumps) < 8.0
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1
    assert [e.data["cone"] for e in raised(events, Kind.CONE_DOWN)][:1] == ["07"]


@pytest.mark.parametrize("cooler_c", [40.0, -40.0])
def test_a_zone_that_stands_in_for_the_lead_comes_as_near_to_it_as_radiation_brings_it(
    cooler_c: float,
) -> None:
    """What flows between zones, as sigma (T1^4 - T2^4), grows with what walls let through, which is
    as the excess over a room at 20 °C."""
    top = seen(since(POINTS, ONSET_S - HOUR_S), seed=1)

    def fourth(temp_c: float) -> float:
        return (temp_c + 273.15) ** 4

    flow = fourth(700.0) - fourth(700.0 - cooler_c)
    readings = []
    for reading in top:
        hot_c = reading.temps_c["kiln"]
        assert hot_c is not None
        cold_c = (fourth(hot_c) - flow * (hot_c - 20.0) / 680.0) ** 0.25 - 273.15
        top_c = hot_c if reading.elapsed_s < ONSET_S else None
        readings.append(replace(reading, temps_c={"top": top_c, "bottom": cold_c}))
    watch = Watch(SCHEDULE, CHANNELS)
    events: list[Event] = []
    off_c = []
    for reading, whole in zip(readings, top, strict=True):
        events += watch.feed(reading)
        status, true_c = watch.status(), whole.temps_c["kiln"]
        if true_c is not None and reading.elapsed_s > ONSET_S and true_c > 950.0:
            assert status.temp_c is not None
            off_c.append(abs(status.temp_c - true_c))
    assert max(off_c) < 0.15 * abs(cooler_c)
    wrong = {e.kind for e in events if e.severity is not Severity.INFO} - {Kind.UNEVEN}
    assert wrong == {Kind.SENSOR_FAULT}


def test_the_last_channel_to_fail_sends_the_potter_to_the_kiln() -> None:
    (fault,) = raised(told(SCHEDULE, changed(seen(POINTS), after(None))), Kind.SENSOR_FAULT)
    assert "look at the kiln itself" in fault.message


def silent(for_s: float, *, empty_every_s: float | None) -> list[Reading]:
    """A rig that gives nothing for a while: no readings at all, or readings without values."""
    quiet: list[Reading] = []
    for reading in seen(POINTS):
        if not ONSET_S <= reading.elapsed_s < ONSET_S + for_s:
            quiet.append(reading)
        elif empty_every_s is not None and reading.elapsed_s % empty_every_s == 0.0:
            quiet.append(Reading(reading.elapsed_s, {"kiln": None}))
    return quiet


@pytest.mark.parametrize("empty_every_s", [None, 5.0, 60.0])
def test_no_readings_is_raised_at_its_due_time_however_it_is_found(
    empty_every_s: float | None,
) -> None:
    events = told(SCHEDULE, silent(HOUR_S, empty_every_s=empty_every_s))
    once_each(events)
    (quiet,) = raised(events, Kind.NO_READINGS)
    last_s = max(r.elapsed_s for r in seen(POINTS) if r.elapsed_s < ONSET_S)
    assert quiet.elapsed_s == last_s + 120.0
    assert quiet.data["silent_s"] == (120.0 if empty_every_s else HOUR_S + PLAIN.every_s)
    assert quiet.severity is Severity.CRITICAL
    (heard,) = cleared(events, Kind.NO_READINGS)
    assert 0.0 <= heard.elapsed_s - (ONSET_S + HOUR_S) <= 60.0


def test_what_was_due_between_readings_carries_no_readings_label() -> None:
    labelled = [replace(r, time=f"label {r.elapsed_s}") for r in silent(HOUR_S, empty_every_s=None)]
    events = told(SCHEDULE, labelled)
    (quiet,) = raised(events, Kind.NO_READINGS)
    assert quiet.time is None
    assert all(e.time == f"label {e.elapsed_s}" for e in events if e is not quiet)


def test_a_silence_shorter_than_two_minutes_is_no_silence() -> None:
    assert alarms(told(SCHEDULE, silent(110.0, empty_every_s=None))) == []


@pytest.mark.parametrize("every_s", [60.0, 120.0])
def test_a_log_kept_at_minutes_is_not_silent(every_s: float) -> None:
    assert alarms(told(SCHEDULE, seen(POINTS, rig=Rig(every_s=every_s)))) == []


def test_a_log_kept_every_five_minutes_is_called_silent_but_once() -> None:
    # Nothing is known of its pace at the second reading.
    events = told(SCHEDULE, seen(POINTS, rig=Rig(every_s=300.0)))
    once_each(events)
    assert [e.elapsed_s for e in raised(events, Kind.NO_READINGS)] == [120.0]


def test_the_firing_goes_on_after_a_silence() -> None:
    for for_s in (600.0, HOUR_S):
        events = told(SCHEDULE, silent(for_s, empty_every_s=None))
        assert [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)] == [1, 2]
        assert len(raised(events, Kind.FIRING_FINISHED)) == 1
        assert {e.kind for e in events if e.severity is not Severity.INFO} == {Kind.NO_READINGS}


@pytest.mark.parametrize("resolution_c", [1.0, 1.0 / 1.8, 5.0])
@pytest.mark.parametrize("every_s", [1.0, 30.0])
def test_a_coarse_probe_in_a_long_hold_is_not_frozen(every_s: float, resolution_c: float) -> None:
    schedule = plan("150 600 240", "150 900 10")
    rig = Rig(every_s=every_s, noise_c=0.05, resolution_c=resolution_c)
    assert alarms(told(schedule, seen(as_planned(schedule), rig=rig))) == []


def test_a_kiln_idle_overnight_is_not_frozen() -> None:
    schedule = starter("bisque")
    rig = Rig(every_s=10.0, noise_c=0.2, resolution_c=0.25)
    assert alarms(told(schedule, seen(as_planned(schedule, wait_s=10 * HOUR_S), rig=rig))) == []


def jumped(onset_s: float, by_c: Callable[[float], float], until_s: float = float("inf")) -> Change:
    """Between two times the value is off by what ``by_c`` says of the time since."""

    def change(elapsed_s: float, value_c: float | None) -> float | None:
        if value_c is None or not onset_s <= elapsed_s < until_s:
            return value_c
        return value_c + by_c(elapsed_s - onset_s)

    return change


def beside(readings: list[Reading], points: Points, rig: Rig = PLAIN) -> list[Reading]:
    """The readings with another, good channel."""
    return [
        replace(r, temps_c={**r.temps_c, "other": o.temps_c["kiln"]})
        for r, o in zip(readings, seen(points, seed=9, rig=rig), strict=True)
    ]


def sticks(onset_s: float) -> Change:
    """From the onset on the value of the onset."""
    held: list[float] = []

    def change(elapsed_s: float, value_c: float | None) -> float | None:
        if elapsed_s >= onset_s and value_c is not None:
            held.append(value_c)
        return held[0] if held else value_c

    return change


def first_worry(events: list[Event]) -> Event:
    return next(e for e in events if e.severity is not Severity.INFO)


@pytest.mark.parametrize("every_s", [1.0, 5.0, 15.0, 30.0])
@pytest.mark.parametrize("alone", [True, False])
def test_a_value_half_way_hides_no_jump(every_s: float, alone: bool) -> None:
    """Falls by 60 °C in one look and by 500 more in the next."""
    rig = Rig(every_s=every_s)
    onset_s = ONSET_S - ONSET_S % every_s
    half = jumped(onset_s, lambda s: -60.0 if s < every_s else -560.0)
    points = since(POINTS, onset_s - 1.5 * HOUR_S)
    readings = changed(seen(points, rig=rig), half)
    if not alone:
        readings = beside(readings, points, rig)
    events = told(SCHEDULE, readings, channels=("kiln",) if alone else ("kiln", "other"))
    first = raised(events, Kind.SENSOR_FAULT)[0]
    assert 0.0 < first.elapsed_s - onset_s <= 60.0
    assert raised(events, Kind.HEAT_LOST) == []


def test_a_lid_lifted_for_raku_moves_both_channels_at_whatever_pace_they_are_looked_at() -> None:
    """A small kiln falls by 250 °C in half a minute then (common practice, no source)."""
    schedule = plan("700 960")
    climbed = cut(as_planned(schedule), 4500.0)
    readings = [
        Reading(s, {"top": at(climbed, s), "bottom": at(climbed, s) + 20.0})
        for s in (30.0 * n for n in range(150))
    ]
    top_c = at(climbed, 4470.0)
    for n, fallen_c in enumerate((8.0, 57.0, 153.0, 280.0, 370.0, 463.0, 526.0)):
        # The lower one, nearer to the cold floor, had climbed on a little less.
        temps_c = {"top": top_c - fallen_c, "bottom": top_c + 14.0 - 0.95 * fallen_c}
        readings.append(Reading(4500.0 + 30.0 * n, temps_c))
    events = told(schedule, readings, channels=("top", "bottom"))
    assert raised(events, Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize("alone", [True, False])
def test_a_short_is_not_forgiven_when_the_kiln_has_climbed_as_far(alone: bool) -> None:
    """The short reads 500 °C too low; in three hours the kiln climbs by 500 °C."""
    schedule = plan("150 1200", "- 1250")
    points = since(as_planned(schedule), 2.5 * HOUR_S)
    onset_s = reached_s(points, 600.0)
    readings = changed(seen(points), jumped(onset_s, lambda s: -500.0))
    if not alone:
        readings = beside(readings, points)
    events = told(schedule, readings, channels=("kiln",) if alone else ("kiln", "other"))
    (fault,) = raised(events, Kind.SENSOR_FAULT)
    assert fault.elapsed_s - onset_s <= 60.0
    assert cleared(events, Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize("alone", [True, False])
def test_a_channel_that_comes_back_to_its_level_is_believed_again(alone: bool) -> None:
    off = jumped(ONSET_S, lambda s: -300.0, ONSET_S + 1200.0)
    readings = changed(seen(POINTS) if alone else late_pair(), off, "kiln" if alone else "top")
    events = told(SCHEDULE, readings, channels=("kiln",) if alone else CHANNELS)
    only_fault(events, FaultCause.JUMP)
    (well,) = cleared(events, Kind.SENSOR_FAULT)
    assert 0.0 < well.elapsed_s - (ONSET_S + 1200.0) <= 180.0


@pytest.mark.parametrize("share", [0.4, 0.7])
def test_an_erratic_channel_is_told_once_for_hours_of_it(share: float) -> None:
    dice = random.Random(6)
    wild = jumped(ONSET_S, lambda s: dice.choice([-400.0, 300.0, -150.0]) * (dice.random() < share))
    schedule = plan("150 600", "150 1000 180")
    events = told(schedule, changed(seen(as_planned(schedule)), wild))
    once_each(events)
    faults = [e for e in events if e.kind is Kind.SENSOR_FAULT]
    assert [e.state.value for e in faults] == ["raised"]
    assert 0.0 < faults[0].elapsed_s - ONSET_S <= 600.0


@pytest.mark.parametrize("every_s", [1.0, 5.0, 30.0, 120.0])
@pytest.mark.parametrize("odd_c", [1e9, -1e9, float("nan"), None, 1400.0])
def test_one_garbled_look_in_twenty_is_passed_over(every_s: float, odd_c: float | None) -> None:
    garbled: Change = lambda s, c: odd_c if round(s / every_s) % 20 == 7 else c  # noqa: E731
    rig = Rig(every_s=every_s)
    readings = changed(seen(about(POINTS, ONSET_S, rig), rig=rig), garbled)
    assert alarms(told(SCHEDULE, readings)) == []


def test_a_channel_that_is_garbled_at_every_other_look_is_named() -> None:
    garbled: Change = lambda s, c: 1e9 if s >= ONSET_S and s % 10.0 == 0.0 else c  # noqa: E731
    events = told(SCHEDULE, changed(late_pair(), garbled, "top"), channels=CHANNELS)
    fault = only_fault(events, FaultCause.OPEN)
    assert 0.0 < fault.elapsed_s - ONSET_S <= 300.0
    assert cleared(events, Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize(
    "rig",
    [
        Rig(every_s=0.5, noise_c=0.1, resolution_c=1.0 / 128.0),
        Rig(every_s=5.0, noise_c=0.1, resolution_c=1.0 / 128.0),
        Rig(every_s=10.0, noise_c=0.4, resolution_c=0.25),
        Rig(every_s=30.0, noise_c=0.4, resolution_c=0.25),
        Rig(every_s=60.0, noise_c=0.5, resolution_c=0.1),
    ],
)
@pytest.mark.parametrize("at_hold", [False, True])
def test_a_lone_channel_that_freezes_is_named_within_10_minutes(rig: Rig, at_hold: bool) -> None:
    schedule = plan("150 600 120", "150 1000 30")
    planned = as_planned(schedule)
    onset_s = reached_s(planned, 600.0) + 1800.0 if at_hold else reached_s(planned, 400.0)
    points = about(cut(planned, onset_s + HOUR_S), onset_s, rig)
    fault = first_worry(told(schedule, changed(seen(points, rig=rig), sticks(onset_s))))
    assert (fault.kind, fault.data.get("cause")) == (Kind.SENSOR_FAULT, "frozen")
    assert 0.0 < fault.elapsed_s - onset_s <= 600.0


@pytest.mark.parametrize("resolution_c", [0.25, 1.0])
def test_a_lone_quiet_coarse_channel_that_freezes_in_a_climb_is_no_stall(
    resolution_c: float,
) -> None:
    rig = Rig(noise_c=0.05, resolution_c=resolution_c)
    fault = first_worry(told(SCHEDULE, changed(seen(POINTS, rig=rig), sticks(ONSET_S))))
    assert (fault.kind, fault.data.get("cause")) == (Kind.SENSOR_FAULT, "frozen")
    assert 0.0 < fault.elapsed_s - ONSET_S <= 600.0


@pytest.mark.parametrize(("every_s", "stands_s"), [(15.0, 200.0), (10.0, 360.0)])
def test_the_height_of_a_charge_is_no_frozen_probe(every_s: float, stands_s: float) -> None:
    """A probe in whole degrees: steeply up with a charge, some minutes at its height, and down
    again until the next."""
    schedule = plan("150 600", "100 1200 20")
    down_s = 240.0 + stands_s
    charge = [(240.0, 34.2), (down_s, 34.2), (down_s + 160.0, 24.0), (down_s + 460.0, 8.0)]
    points = cut(as_planned(schedule), reached_s(as_planned(schedule), 900.0))
    for _ in range(6):
        at_s, at_c = points[-1]
        points += [(at_s + s, at_c + c) for s, c in charge]
    settings = WatchSettings(kiln_kind="wood")
    readings = seen(points, rig=Rig(every_s=every_s, noise_c=0.05, resolution_c=1.0))
    assert raised(told(schedule, readings, settings=settings), Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize("resolution_c", [0.1, 0.25, 1.0, 5.0])
@pytest.mark.parametrize("noise_c", [0.02, 0.1, 0.3])
def test_a_steady_coarse_channel_at_night_is_not_frozen(
    resolution_c: float, noise_c: float
) -> None:
    schedule = starter("bisque")
    points = [(0.0, 21.0), (5 * HOUR_S, 18.4), (9 * HOUR_S, 17.6)]
    rig = Rig(every_s=20.0, noise_c=noise_c, resolution_c=resolution_c)
    for seed in (1, 2, 3):
        events = told(schedule, seen(points, rig=rig, seed=seed))
        assert raised(events, Kind.SENSOR_FAULT) == []


def test_a_channel_logged_at_its_own_slow_pace_is_not_open() -> None:
    slow: Change = lambda s, c: None if s % 60.0 else c  # noqa: E731
    assert alarms(told(SCHEDULE, changed(pair(), slow, "bottom"), channels=CHANNELS)) == []


@pytest.mark.parametrize("every_s", [1.0, 5.0, 30.0, 60.0])
def test_a_first_value_that_is_a_spike_is_no_jump(every_s: float) -> None:
    # What it makes of its first value is known in the first hour.
    until_s = POINTS[-1][0] if every_s >= 5.0 else HOUR_S
    good = seen(cut(POINTS, until_s), rig=Rig(every_s=every_s))
    for spike_c in (-40.0, 100.0, 140.0):
        readings = [replace(good[0], temps_c={"kiln": spike_c}), *good[1:]]
        assert raised(told(SCHEDULE, readings), Kind.SENSOR_FAULT) == [], spike_c


@pytest.mark.parametrize("every_s", [1.0, 5.0, 10.0])
@pytest.mark.parametrize("spike_c", [1400.0, 250.0])
def test_a_spike_that_follows_a_value_beyond_the_gate_is_no_jump(
    spike_c: float, every_s: float
) -> None:
    onset_s = ONSET_S - ONSET_S % every_s

    def odd(elapsed_s: float, value_c: float | None) -> float | None:
        if elapsed_s == onset_s and value_c is not None:
            return value_c - 14.0
        return spike_c if elapsed_s == onset_s + every_s else value_c

    rig = Rig(every_s=every_s)
    readings = changed(seen(about(POINTS, onset_s, rig), rig=rig), odd)
    assert alarms(told(SCHEDULE, readings)) == []


def test_at_a_minutes_pace_two_values_that_agree_are_taken_up() -> None:
    schedule = plan("150 600", "150 1100 10")
    onset_s = 60.0 * round(reached_s(as_planned(schedule), 900.0) / 60.0)
    points = cooled(cut(as_planned(schedule), onset_s), HOUR_S, constant_s=3 * HOUR_S)
    track = ChannelTrack("kiln")
    taken = {}
    for reading in seen(points, rig=Rig(every_s=60.0)):
        since_s = reading.elapsed_s - onset_s
        taken[since_s] = track.look(reading.elapsed_s, reading.temps_c["kiln"], None)
        if since_s == 120.0:
            assert (track.rate_c_per_s or 0.0) < 0.0
    assert taken[60.0] is None
    assert taken[120.0] is not None
    (lost,) = raised(told(schedule, seen(points, rig=Rig(every_s=60.0))), Kind.HEAT_LOST)
    assert lost.elapsed_s - onset_s <= 240.0


GOES_DOWN = cooled(as_planned(plan("150 600", "100 1205 20")), 3 * HOUR_S)
COLDER_S = GOES_DOWN[-1][0] - 2 * HOUR_S
FINE_RIGS = [
    Rig(every_s=1.0, noise_c=0.3, resolution_c=0.25),
    Rig(every_s=10.0, noise_c=0.3, resolution_c=0.25),
    Rig(every_s=5.0, noise_c=0.05, resolution_c=0.25),
    Rig(every_s=30.0, noise_c=0.3, resolution_c=0.25),
]


@pytest.mark.parametrize("rig", [*FINE_RIGS, Rig(every_s=5.0, noise_c=0.05, resolution_c=1.0)])
def test_a_lone_channel_that_freezes_as_the_kiln_cools_is_named_within_10_minutes(
    rig: Rig,
) -> None:
    schedule = plan("150 600", "100 1205 20")
    points = about(cut(GOES_DOWN, COLDER_S + HOUR_S), COLDER_S, rig, before_s=2.5 * HOUR_S)
    readings = changed(seen(points, rig=rig), sticks(COLDER_S))
    fault = first_worry(told(schedule, readings))
    assert (fault.kind, fault.data.get("cause")) == (Kind.SENSOR_FAULT, "frozen")
    assert 0.0 < fault.elapsed_s - COLDER_S <= 600.0


@pytest.mark.parametrize("rig", FINE_RIGS)
def test_a_lone_channel_of_a_kiln_held_on_its_way_down_is_not_frozen(rig: Rig) -> None:
    schedule = plan("150 600", "100 1205 20")
    points = cut(GOES_DOWN, COLDER_S)
    held_c = points[-1][1] - 2.0
    points += [(COLDER_S + 60.0, held_c), (COLDER_S + HOUR_S, held_c)]
    points = about(points, COLDER_S, rig, before_s=2.5 * HOUR_S)
    assert raised(told(schedule, seen(points, rig=rig)), Kind.SENSOR_FAULT) == []


@pytest.mark.parametrize("ticks_s", [(0.987, 0.993), (1.004, 0.996), (0.4, 1.6), (1.98, 2.02)])
def test_a_short_is_named_however_the_clock_ticks(ticks_s: tuple[float, float]) -> None:
    """A live clock gives no whole seconds; the channel may not be followed to where it has gone."""
    dice = random.Random(4)
    track, elapsed_s, last_s = ChannelTrack("kiln"), 0.0, 2400.0
    for n in range(5000):
        elapsed_s += ticks_s[n % 2]
        climbed_c = 300.0 + elapsed_s * 100.0 / HOUR_S if elapsed_s < last_s else 19.3
        track.look(elapsed_s, climbed_c + dice.gauss(0.0, 0.24), None)
        if track.fault is not None:
            break
    assert track.fault is FaultCause.SHORT
    assert elapsed_s - last_s < 30.0
