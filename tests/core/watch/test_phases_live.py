"""The phases of the ware as they come, and hurries told live just where the plan is cautioned."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.phases import phases_of
from supervisor.core.phases.bands import bands_of
from supervisor.core.phases.pace import Paces
from supervisor.core.phases.passage import paces_of
from supervisor.core.readings import Reading
from supervisor.core.schedule import (
    Atmosphere,
    FiringKind,
    Schedule,
    Step,
    Timeline,
    parse_schedule,
    starter,
    starter_names,
)
from supervisor.core.schedule.model import BandChange, BandName
from supervisor.core.units import Unit
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.phases import Phases
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    at,
    cleared,
    cooled,
    once_each,
    raised,
    reached_s,
    seen,
    swinging,
    told,
)

HURRIES = (Kind.FAST_HEATING, Kind.FAST_COOLING)


def bisque(*steps: str) -> Schedule:
    """A bisque from steps as ``"rate to"``."""
    lines = ['name = "x"', 'kind = "bisque"', 'target_cone = "06"']
    for step in steps:
        rate, to = step.split()
        lines += ["[[step]]", f"rate = {rate}", f"to = {to}"]
    return parse_schedule("\n".join(lines))


def hurried(events: list[Event]) -> set[str]:
    """The bands that were told as crossed too fast."""
    return {str(e.data["band"]) for kind in HURRIES for e in raised(events, kind)}


def cautioned(schedule: Schedule) -> set[str]:
    return {
        str(pace.band.name) for pace in paces_of(schedule, Timeline(schedule)) if pace.worst > 1.0
    }


def cautioned_without_its_corners(schedule: Schedule, corner_c: float) -> set[str]:
    """What a probe that lags would caution of: it never sees the outermost degrees of a plan."""
    timeline = Timeline(schedule)
    low_c, high_c = timeline.start_c + corner_c, schedule.peak_c - corner_c
    paces = Paces(bands_of(schedule))
    for at_s, temp_c in timeline.points(every_s=60.0):
        if low_c <= temp_c <= high_c:
            paces.feed(at_s, temp_c)
    return {str(pace.band.name) for pace in paces.of if pace.worst > 1.0}


def reaching_further(schedule: Schedule, by_c: float) -> Schedule:
    """The plan with each of its turns, and its end, so much further out."""
    steps, from_c = list(schedule.steps), Timeline(schedule).start_c
    tops = [from_c, *(step.to_c for step in steps)]
    for n, step in enumerate(schedule.steps):
        climbs = step.to_c > tops[n]
        if n + 1 == len(steps) or (tops[n + 2] > step.to_c) != climbs:
            steps[n] = replace(step, to_c=step.to_c + (by_c if climbs else -by_c))
    return replace(schedule, steps=tuple(steps))


def as_read(schedule: Schedule, off_c: float) -> Schedule:
    """The plan as a thermocouple that is so far off sees it kept."""
    steps = tuple(replace(step, to_c=step.to_c + off_c) for step in schedule.steps)
    return replace(schedule, steps=steps)


def begun(events: list[Event]) -> list[str]:
    return [str(e.data["band"]) for e in raised(events, Kind.PHASE_BEGUN)]


def exactly(schedule: Schedule, points: Points, every_s: float = 20.0) -> list[Event]:
    """What the detector says of a kiln that is known without any noise."""
    follower = PlanFollower(schedule)
    moment = Moment(follower, Words(schedule.units))
    phases = Phases(schedule)
    events: list[Event] = []
    last_s, last_c = 0.0, points[0][1]
    times = {n * every_s for n in range(int(points[-1][0] // every_s) + 1)}
    for at_s in sorted(times | {s for s, _ in points}):
        temp_c = at(points, at_s)
        since_s = at_s - last_s
        moment.elapsed_s = at_s
        rate_c_per_h = (temp_c - last_c) / since_s * HOUR_S if since_s else 0.0
        moment.see(temp_c, rate_c_per_h, 0.0, 0.0)
        follower.update(at_s, temp_c, moment.rate_c_per_h, 0.0)
        events += phases.feed(moment, heat_is_lost=False)
        last_s, last_c = at_s, temp_c
    once_each(events)
    return events


CLIMB = st.lists(
    st.tuples(
        st.sampled_from([40.0, 90.0, 100.0, 130.0, 170.0, 180.0, 250.0, 400.0, 800.0, None]),
        st.floats(15.0, 500.0),
        st.sampled_from([0.0, 0.0, 600.0, 3600.0]),
    ),
    min_size=1,
    max_size=6,
)
FALL = st.lists(
    st.tuples(
        st.sampled_from([40.0, 110.0, 150.0, 160.0, 220.0, 320.0, 700.0, None]),
        st.floats(15.0, 500.0),
        st.sampled_from([0.0, 0.0, 1800.0]),
    ),
    max_size=5,
)


@st.composite
def schedules(draw: st.DrawFn) -> Schedule:
    """Plans that go up and then down, in pieces, with and without holds and rates."""
    steps, temp_c = [], 20.0
    for rate, rise_c, hold_s in draw(CLIMB):
        temp_c = min(temp_c + rise_c, 1290.0)
        steps.append(Step(temp_c, rate, hold_s))
    for rate, fall_c, hold_s in draw(FALL):
        temp_c = max(temp_c - fall_c, 30.0)
        steps.append(Step(temp_c, rate, hold_s))
    return Schedule(
        name="made up",
        steps=tuple(steps),
        kind=draw(st.sampled_from(FiringKind)),
        atmosphere=draw(st.sampled_from(Atmosphere)),
        bands=draw(
            st.sampled_from(
                [
                    (),
                    (BandChange("drying", fastest_c_per_h=60.0),),
                    (BandChange("own", 300.0, 330.0, 90.0), BandChange("own2", 700.0, 500.0, 90.0)),
                ]
            )
        ),
    )


@settings(max_examples=100, deadline=None)
@given(schedules())
@example(bisque("105 400", "170 1000", "300 20"))
def test_a_kiln_that_keeps_its_plan_is_too_fast_just_where_the_plan_is_cautioned(
    schedule: Schedule,
) -> None:
    # At the edge itself a curve drawn in pieces decides; that is no disagreement.
    paces = paces_of(schedule, Timeline(schedule))
    assume(all(abs(pace.worst - 1.0) > 1e-3 for pace in paces))
    assume(cautioned_without_its_corners(schedule, 0.5) == cautioned(schedule))
    events = exactly(schedule, Timeline(schedule).points(every_s=60.0))
    assert hurried(events) == cautioned(schedule)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(schedules(), st.integers(1, 9))
def test_a_noisy_probe_in_such_a_kiln_says_the_same(schedule: Schedule, seed: int) -> None:
    paces = paces_of(schedule, Timeline(schedule))
    assume(all(not 0.85 < pace.worst < 1.25 for pace in paces))
    # A stretch that is just long enough to count at all is none to a probe that lags.
    assume(cautioned_without_its_corners(schedule, 6.0) == cautioned(schedule))
    # Nor need it be to one that reads a little high or low, or is behind a fall that ends there,
    # and one that just is not may be.
    for off_c in (-3.0, 6.0):
        assume(cautioned(reaching_further(schedule, off_c)) == cautioned(schedule))
        assume(cautioned(as_read(schedule, off_c)) == cautioned(schedule))
    # Heat that is lost by design, where the plan ends in a fall that no shut kiln makes.
    events = told(schedule, seen(as_planned(schedule), rig=Rig(every_s=10.0), seed=seed))
    once_each(events)
    if not raised(events, Kind.HEAT_LOST):
        assert hurried(events) == cautioned(schedule)


@pytest.mark.parametrize("name", starter_names())
def test_each_phase_of_a_starter_begins_once_and_when_it_is_planned(name: str) -> None:
    schedule = starter(name)
    timeline = Timeline(schedule)
    events = told(schedule, seen(as_planned(schedule)))
    planned = {str(phase.band.name): phase.start_s for phase in phases_of(schedule, timeline)}
    heard = {str(e.data["band"]): e.elapsed_s for e in raised(events, Kind.PHASE_BEGUN)}
    assert len(begun(events)) == len(set(begun(events)))
    assert set(planned) <= set(heard)
    for band, start_s in planned.items():
        assert heard[band] == pytest.approx(start_s, abs=900.0), band


def test_the_phases_of_a_bisque_that_cools_come_in_order() -> None:
    events = told(bisque("90 1000"), seen(cooled(as_planned(bisque("90 1000")), 20 * HOUR_S)))
    assert begun(events) == [
        "drying",
        "chemical water",
        "quartz turns",
        "burning out",
        "quartz turns back",
        "cristobalite turns back",
        "opening",
    ]
    assert alarms(events) == []


def test_a_warm_start_is_told_of_the_phase_that_it_is_in() -> None:
    schedule = bisque("90 1000")
    events = told(schedule, seen(as_planned(schedule, start_c=480.0, wait_s=900.0)))
    assert begun(events)[0] == "chemical water"
    assert BandName.DRYING not in begun(events)


def test_the_hold_at_the_peak_is_a_phase_of_a_glaze() -> None:
    events = told(starter("midfire-glaze"), seen(as_planned(starter("midfire-glaze"))))
    assert begun(events)[-2:] == ["melting", "levelling"]


def test_a_phase_says_what_happens_and_what_to_do() -> None:
    events = told(starter("bisque"), seen(as_planned(starter("bisque"))))
    first = raised(events, Kind.PHASE_BEGUN)[0]
    assert first.severity is Severity.INFO
    for words in ("“drying”", "20 °C to 120 °C", "100 °C an hour", "steam", "vents open"):
        assert words in first.message


def test_wet_ware_heated_fast_is_told_before_it_bursts() -> None:
    schedule = bisque("60 120", "90 1000")
    points = as_planned(bisque("220 300"))
    events = told(schedule, seen(points))
    (fast,) = [e for e in raised(events, Kind.FAST_HEATING) if e.data["band"] == "drying"]
    assert fast.severity is Severity.WARNING
    assert fast.elapsed_s < reached_s(points, 80.0)
    assert fast.data["rate_c_per_h"] == pytest.approx(220.0, rel=0.05)
    for words in ("100 °C an hour", "Turn down", "open the vents"):
        assert words in fast.message


def test_a_lid_opened_at_quartz_is_told_before_it_is_through() -> None:
    schedule = bisque("90 1000")
    points = as_planned(schedule)
    end_s = points[-1][0]
    points += [(end_s + 4 * HOUR_S, 610.0), (end_s + 4.4 * HOUR_S, 450.0)]
    points += [(end_s + 9 * HOUR_S, 300.0)]
    events = told(schedule, seen(points))
    once_each(events)
    (fast,) = raised(events, Kind.FAST_COOLING)
    assert fast.data["band"] == "quartz turns back"
    assert fast.elapsed_s < end_s + (4 + 0.4 * 60 / 160) * HOUR_S
    assert "close damper, vents and peeps" in fast.message
    (over,) = cleared(events, Kind.FAST_COOLING)
    assert "behind" in over.message


def test_a_kiln_that_is_turned_down_is_told_as_no_longer_too_fast() -> None:
    schedule = bisque("90 1000")
    points = as_planned(bisque("90 440", "300 500", "60 640"))
    events = told(schedule, seen(points))
    once_each(events)
    assert hurried(events) == {"chemical water"}
    (over,) = cleared(events, Kind.FAST_HEATING)
    assert "no longer too fast" in over.message
    assert over.elapsed_s < reached_s(points, 560.0)


def test_a_swinging_controller_does_not_hurry() -> None:
    for name in ("bisque", "midfire-glaze"):
        for period_s in (300.0, 600.0, 1200.0):
            points = swinging(as_planned(starter(name)), 5.0, period_s)
            assert hurried(told(starter(name), seen(points))) == set(), (name, period_s)


@pytest.mark.parametrize("constant_h", [3.5, 5.0, 9.0])
def test_a_shut_kiln_that_cools_by_itself_below_its_peak_is_no_hurry(constant_h: float) -> None:
    schedule = starter("midfire-glaze")
    points = cooled(as_planned(schedule), 3.0 * HOUR_S, constant_s=constant_h * HOUR_S)
    points = [p for p in points if p[0] < as_planned(schedule)[-1][0] or p[1] > 620.0]
    assert hurried(told(schedule, seen(points))) == set()


@pytest.mark.parametrize("gap_s", [700.0, 3600.0])
@pytest.mark.parametrize("from_c", [60.0, 460.0, 545.0])
def test_a_gap_in_the_readings_is_no_hurry(from_c: float, gap_s: float) -> None:
    # The kiln climbs on in the dark, and fast.
    schedule = bisque("90 1000")
    points = as_planned(schedule)
    onset_s = reached_s(points, from_c)
    readings = [r for r in seen(points) if r.elapsed_s < onset_s]
    after = [
        Reading(onset_s + gap_s + 5.0 * n, {"kiln": from_c + 70.0 + 90.0 / HOUR_S * 5.0 * n})
        for n in range(700)
    ]
    assert hurried(told(schedule, [*readings, *after])) == set()


def test_another_probe_taking_over_is_no_hurry() -> None:
    schedule = bisque("90 1000")
    top = seen(as_planned(schedule))
    change_s = reached_s(as_planned(schedule), 500.0)
    readings = [
        Reading(
            r.elapsed_s,
            {
                "top": r.temps_c["kiln"] if r.elapsed_s < change_s else None,
                "low": None if r.temps_c["kiln"] is None else r.temps_c["kiln"] + 45.0,
            },
        )
        for r in top
        if r.elapsed_s > change_s - 300.0
    ]
    assert hurried(told(schedule, readings, channels=("top", "low"))) == set()


def test_a_power_cut_speaks_of_lost_heat_and_not_of_fast_cooling() -> None:
    schedule = starter("bisque")
    points = as_planned(schedule)
    points = [p for p in points if p[0] <= reached_s(points, 700.0)]
    events = told(schedule, seen(cooled(points, 5 * HOUR_S, constant_s=3 * HOUR_S)))
    assert len(raised(events, Kind.HEAT_LOST)) == 1
    assert raised(events, Kind.FAST_COOLING) == []


def test_a_band_that_the_schedule_leaves_out_is_not_told() -> None:
    schedule = replace(
        bisque("90 440", "300 640", "90 1000"),
        bands=(
            BandChange("chemical water", is_left_out=True),
            BandChange("quartz turns", at_any_rate=True),
        ),
    )
    events = told(schedule, seen(as_planned(schedule)))
    assert hurried(events) == set() == cautioned(schedule)
    assert "chemical water" not in begun(events)
    assert "quartz turns" in begun(events)


def test_messages_speak_the_potters_scale() -> None:
    schedule = replace(bisque("220 1000", "400 100"), units=Unit.F)
    events = exactly(schedule, as_planned(schedule))
    spoken = [e for e in events if e.kind in (*HURRIES, Kind.PHASE_BEGUN)]
    assert {e.state for e in spoken} == {State.RAISED, State.CLEARED}
    assert len(spoken) > 12
    for event in spoken:
        assert "°F" in event.message
        assert "°C" not in event.message
        assert len(event.message) <= 400
        assert event.message.endswith(".")
