"""Steps, holds, the end, the opening, cones and overshoot are told at the right time."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from supervisor.core.events import Kind, Severity, State
from supervisor.core.heatwork import HeatWork, pack_around
from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES
from supervisor.core.readings import Reading
from supervisor.core.schedule import Timeline, starter, starter_names
from supervisor.core.units import Unit
from supervisor.core.watch import Activity, Watch, WatchSettings
from tests.core.firings import (
    HOUR_S,
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
    swinging,
    told,
)

STEP_WITHIN_S = 600.0
"""A step is told by its climb, which takes minutes to show after a hold; ten are allowed."""
HOLD_WITHIN_S = 240.0


@pytest.mark.parametrize("every_s", [1.0, 5.0, 30.0])
@pytest.mark.parametrize("name", starter_names())
def test_steps_and_holds_are_told_in_order_and_in_time(name: str, every_s: float) -> None:
    schedule = starter(name)
    timeline = Timeline(schedule)
    points = cooled(as_planned(schedule), HOUR_S)
    events = told(schedule, seen(points, rig=Rig(every_s=every_s)))
    begun = raised(events, Kind.STEP_BEGUN)
    assert [e.data["step"] for e in begun] == list(range(1, len(schedule.steps) + 1))
    for event, step in zip(begun, timeline.steps, strict=True):
        assert abs(event.elapsed_s - step.start_s) <= STEP_WITHIN_S + 240.0 * (step.index == 0)
    held = [step for step in timeline.steps if step.hold_s > 0.0]
    done = raised(events, Kind.HOLD_DONE)
    assert [e.data["step"] for e in done] == [step.index + 1 for step in held]
    for event, step in zip(done, held, strict=True):
        assert abs(event.elapsed_s - step.end_s) <= HOLD_WITHIN_S, step
    (finished,) = raised(events, Kind.FIRING_FINISHED)
    if schedule.steps[-1].rate_c_per_h is None:
        # A kiln that cools by itself crawls towards the end: near is there.
        assert abs(at(points, finished.elapsed_s) - schedule.steps[-1].to_c) <= 6.0
    else:
        assert abs(finished.elapsed_s - timeline.total_s) <= HOLD_WITHIN_S
    order = [e.kind for e in events if e.kind in (Kind.STEP_BEGUN, Kind.FIRING_FINISHED)]
    assert order[-1] is Kind.FIRING_FINISHED


@pytest.mark.parametrize("offset_c", [-15.0, -8.0, 8.0])
@pytest.mark.parametrize("name", starter_names())
def test_a_probe_that_reads_off_the_kilns_own_follows_all_the_same(
    name: str, offset_c: float
) -> None:
    schedule = starter(name)
    points = cooled(as_planned(schedule), HOUR_S)
    events = told(schedule, seen(points, rig=Rig(offset_c=offset_c)))
    assert alarms(events) == []
    steps = [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)]
    assert steps == list(range(1, len(schedule.steps) + 1))
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_a_probe_15_degrees_high_is_told_as_overshoot_and_nothing_else() -> None:
    for name in starter_names():
        schedule = starter(name)
        points = cooled(as_planned(schedule), HOUR_S)
        events = told(schedule, seen(points, rig=Rig(every_s=10.0, offset_c=15.0)))
        once_each(events)
        assert {e.kind for e in events if e.severity is not Severity.INFO} == {Kind.OVERSHOOT}


@pytest.mark.parametrize(("start_c", "step"), [(80.0, 1), (300.0, 2), (700.0, 3)])
def test_a_warm_start_skips_what_lies_below(start_c: float, step: int) -> None:
    schedule = starter("midfire-glaze")
    fired = plan("130 600", "160 1090", "60 1205 35")
    if start_c < 120.0:
        fired = schedule
    if start_c > 600.0:
        fired = plan("160 1090", "60 1205 35")
    events = told(schedule, seen(as_planned(fired, start_c=start_c, wait_s=1800.0)))
    assert alarms(events) == []
    assert [e.data["step"] for e in raised(events, Kind.STEP_BEGUN)] == list(range(step, 5))
    assert len(raised(events, Kind.FIRING_FINISHED)) == 1


def test_an_idle_kiln_is_waited_for() -> None:
    schedule = starter("lowfire-glaze")
    watch = Watch(schedule, ("kiln",))
    for reading in seen([(0.0, 20.0), (8 * HOUR_S, 17.0)], rig=Rig(every_s=10.0)):
        assert watch.feed(reading) == []
    assert watch.status().plan.activity is Activity.WAITING
    assert watch.status().plan.begun_s is None


def test_a_log_that_begins_in_a_hold_joins_it() -> None:
    schedule = starter("midfire-slow-cool")
    points = [(s - 37_500.0, c) for s, c in as_planned(schedule) if s >= 37_500.0]
    hold = Timeline(schedule).steps[3]
    assert hold.reach_s < 37_500.0 < hold.end_s - 600.0
    events = told(schedule, seen([(0.0, 1205.0), *points]))
    assert alarms(events) == []
    assert raised(events, Kind.STEP_BEGUN)[0].data["step"] == 4


def test_the_status_says_how_late_the_kiln_is() -> None:
    schedule = plan("100 600", "100 1000")
    watch = Watch(schedule, ("kiln",))
    for reading in seen(cut(as_planned(plan("80 600", "80 1000")), 6 * HOUR_S)):
        watch.feed(reading)
    status = watch.status().plan
    assert status.activity is Activity.CLIMBING
    assert status.late_s == pytest.approx(6 * HOUR_S - 4.8 * HOUR_S, abs=300.0)
    assert status.ends_in_s == pytest.approx((1000.0 - 500.0) / 100.0 * HOUR_S, abs=300.0)


def test_a_kiln_that_does_not_climb_ends_nowhere_until_it_climbs_again() -> None:
    schedule = plan("100 600", "100 1000")
    stops_s = 4 * HOUR_S
    points = interrupted(as_planned(schedule), stops_s, HOUR_S)
    watch = Watch(schedule, ("kiln",))
    ends: dict[bool, set[bool]] = {True: set(), False: set()}
    is_stalled = False
    for reading in seen(cut(points, stops_s + 2 * HOUR_S), rig=Rig(every_s=10.0)):
        for event in watch.feed(reading):
            if event.kind is Kind.STALL:
                is_stalled = event.state is State.RAISED
        if reading.elapsed_s > HOUR_S:
            ends[is_stalled].add(watch.status().plan.ends_in_s is None)
    assert ends == {True: {True}, False: {False}}
    ahead = watch.ahead()
    assert ahead is not None
    assert max(ahead.temp_c) == pytest.approx(1000.0, abs=5.0)


def test_cool_enough_to_open_is_told_once() -> None:
    schedule = starter("bisque")
    points = cooled(as_planned(schedule), 20 * HOUR_S)
    events = told(schedule, seen(points, rig=Rig(every_s=10.0)))
    (opened,) = raised(events, Kind.COOL_TO_OPEN)
    cool_s = next(s for s, c in points if s > 60_000.0 and c < 65.0)
    assert abs(opened.elapsed_s - cool_s) < 600.0
    assert alarms(events) == []


def test_a_cold_kiln_is_not_called_cool_enough() -> None:
    schedule = plan("100 250 10")
    points = cooled(as_planned(schedule), 20 * HOUR_S)
    assert raised(told(schedule, seen(points, rig=Rig(every_s=10.0))), Kind.COOL_TO_OPEN) == []


OPENING = plan("150 600", "150 1000 30", cone="06")
OPENED = cooled(as_planned(OPENING), 22 * HOUR_S)
"""Below 65 °C about 16 h after the peak."""


def cooling(change: Callable[[float, float], float | None]) -> list[Reading]:
    """Two channels that cool; the top is what ``change(elapsed_s, value_c)`` makes of it."""
    readings = []
    for reading in seen(OPENED, rig=Rig(every_s=10.0)):
        value_c = reading.temps_c["kiln"]
        assert value_c is not None
        temps_c = {"top": change(reading.elapsed_s, value_c), "bottom": value_c - 3.0}
        readings.append(Reading(reading.elapsed_s, temps_c))
    return readings


def test_a_channel_that_cannot_be_believed_is_named_before_the_kiln_is_opened() -> None:
    broken_s = reached_s(OPENED, 900.0)
    readings = cooling(lambda s, c: None if s >= broken_s else c)
    events = told(OPENING, readings, channels=("top", "bottom"))
    (opened,) = raised(events, Kind.COOL_TO_OPEN)
    assert "“top” can't be believed: feel for heat there" in opened.message
    assert "“bottom”" not in opened.message
    well = told(OPENING, cooling(lambda s, c: c), channels=("top", "bottom"))
    (opened,) = raised(well, Kind.COOL_TO_OPEN)
    assert "believed" not in opened.message


def test_one_hot_channel_keeps_the_kiln_shut() -> None:
    readings = cooling(lambda s, c: 90.0 + 0.2 * (c - 90.0) if c < 90.0 else c)
    events = told(OPENING, readings, channels=("bottom", "top"))
    assert raised(events, Kind.COOL_TO_OPEN) == []


def pulled_out(points: Points, onset_s: float, for_s: float) -> Points:
    """A probe that is drawn out of the kiln in a quarter of an hour, and left out."""
    return [*cut(points, onset_s), (onset_s + 900.0, 24.0), (onset_s + for_s, 22.0)]


@pytest.mark.parametrize("for_s", [2 * HOUR_S, 10 * HOUR_S])
def test_a_probe_pulled_out_in_mid_firing_is_no_cool_kiln(for_s: float) -> None:
    points = as_planned(OPENING)
    points = pulled_out(points, reached_s(points, 800.0), for_s)
    events = told(OPENING, seen(points, rig=Rig(every_s=10.0)))
    assert raised(events, Kind.HEAT_LOST)
    assert raised(events, Kind.COOL_TO_OPEN) == []


def test_a_probe_pulled_out_past_the_peak_is_no_cool_kiln() -> None:
    points = pulled_out(OPENED, as_planned(OPENING)[-1][0] + HOUR_S, 10 * HOUR_S)
    events = told(OPENING, seen(points, rig=Rig(every_s=10.0)))
    assert raised(events, Kind.FIRING_FINISHED)
    assert raised(events, Kind.COOL_TO_OPEN) == []


def test_a_heat_loss_is_hours_old_before_the_kiln_is_called_cool() -> None:
    # A small kiln of fibre, cut off at 500 °C: cold within three hours.
    points = as_planned(OPENING)
    onset_s = reached_s(points, 500.0)
    points = cooled(cut(points, onset_s), 6 * HOUR_S, constant_s=HOUR_S)
    events = told(OPENING, seen(points, rig=Rig(every_s=10.0)))
    (lost,) = raised(events, Kind.HEAT_LOST)
    (opened,) = raised(events, Kind.COOL_TO_OPEN)
    assert 4 * HOUR_S <= opened.elapsed_s - lost.elapsed_s <= 4 * HOUR_S + 60.0


@pytest.mark.parametrize("name", starter_names())
def test_cones_are_called_when_their_heat_work_is_complete(name: str) -> None:
    schedule = starter(name)
    assert schedule.target_cone is not None
    points = cooled(as_planned(schedule), 2 * HOUR_S)
    # The probe follows the kiln half a minute late, so do its cones.
    work = HeatWork()
    for n in range(int(points[-1][0] // 10.0)):
        work.add(n * 10.0, at(points, n * 10.0 - 30.0))
    true_s = work.progress().down_at_s
    events = told(schedule, seen(points))
    once_each(events)
    called = {str(e.data["cone"]): e for e in raised(events, Kind.CONE_DOWN)}
    guide, target, guard = pack_around(schedule.target_cone)
    assert list(called) == [guide, target]
    assert guard not in true_s
    for cone, event in called.items():
        assert abs(float(str(event.data["down_at_s"])) - true_s[cone]) < 120.0
        assert 0.0 <= event.elapsed_s - float(str(event.data["down_at_s"])) <= 60.0
        assert "witness" in event.message
    near = {str(e.data["cone"]): e for e in raised(events, Kind.CONE_NEAR)}
    for cone in (guide, target):
        ahead_s = true_s[cone] - near[cone].elapsed_s
        assert 12 * 60.0 <= ahead_s <= 30 * 60.0, cone


def test_a_plan_without_a_target_calls_the_cones_as_they_come() -> None:
    schedule = plan("200 600", "60 700")
    events = told(schedule, seen(as_planned(schedule)))
    once_each(events)
    down = raised(events, Kind.CONE_DOWN)
    assert [e.data["cone"] for e in down] == ["022", "021", "020", "019"]


@pytest.mark.parametrize("rate_c_per_h", [30, 60, 150])
def test_without_a_target_only_the_next_cone_is_called_near(rate_c_per_h: int) -> None:
    schedule = plan("200 600", f"{rate_c_per_h} 900")
    events = told(schedule, seen(as_planned(schedule)))
    once_each(events)
    assert len(raised(events, Kind.CONE_DOWN)) >= 8
    awaited: list[object] = []
    fallen: list[object] = []
    for event in events:
        cone = event.data.get("cone")
        if event.kind is Kind.CONE_DOWN:
            fallen.append(cone)
        elif event.kind is Kind.CONE_NEAR and event.state is State.CLEARED:
            awaited.remove(cone)
        elif event.kind is Kind.CONE_NEAR:
            awaited.append(cone)
            names = list(WHOLE_CONE_NAMES)
            assert cone == next(name for name in names if name not in fallen)
        assert len(awaited) <= 1


def test_a_kiln_that_settles_at_its_top_goes_on_being_near_its_cone() -> None:
    # The climb ends in a dip of 4 °C, steeper for a moment than a cone may cool.
    schedule = plan("150 900", "60 990 60", cone="06")
    points = as_planned(schedule)
    top_s = reached_s(points, 989.9)
    last_s = points[-1][0]
    dip = [(top_s + 240.0, 986.0), (top_s + 480.0, 990.0), (last_s, 990.0)]
    events = told(schedule, seen([*cut(points, top_s), *dip]))
    once_each(events)
    called = [e.data["cone"] for e in raised(events, Kind.CONE_NEAR)]
    assert called.count("06") == 1
    lost = [e for e in cleared(events, Kind.CONE_NEAR) if "not expected" in e.message]
    assert lost == []


def test_a_cone_that_will_not_fall_after_all_is_taken_back() -> None:
    schedule = plan("150 900", "60 1100", cone="06")
    points = as_planned(schedule)
    points = cooled(cut(points, reached_s(points, 987.0)), 2 * HOUR_S)
    events = told(schedule, seen(points))
    once_each(events)
    near = [e.data["cone"] for e in raised(events, Kind.CONE_NEAR)]
    assert "06" in near
    (lost,) = [e for e in cleared(events, Kind.CONE_NEAR) if e.data["cone"] == "06"]
    assert "not expected" in lost.message
    assert 600.0 <= lost.elapsed_s - reached_s(as_planned(schedule), 987.0) <= 1200.0


@pytest.mark.parametrize("every_s", [1.0, 10.0, 30.0])
@pytest.mark.parametrize("rate_c_per_h", [20.0, 60.0, 200.0])
def test_an_overshoot_is_raised_within_3_minutes_of_15_degrees(
    rate_c_per_h: float, every_s: float
) -> None:
    schedule = plan("150 900", "60 1000 60")
    points: Points = [*as_planned(plan("150 900", "60 1000"))]
    last_s = points[-1][0]
    points.append((last_s + 40.0 / rate_c_per_h * HOUR_S, 1040.0))
    over_s = last_s + 15.0 / rate_c_per_h * HOUR_S
    rig = Rig(every_s=every_s)
    events = told(schedule, seen(about(points, last_s, rig), rig=rig))
    (over,) = raised(events, Kind.OVERSHOOT)
    assert last_s < over.elapsed_s <= over_s + 180.0
    assert over.severity is Severity.WARNING


def test_an_overshoot_is_cleared_when_the_kiln_is_back() -> None:
    schedule = plan("150 900 120", "60 1000 10")
    top_s = reached_s(as_planned(schedule), 900.0)
    points = [
        *cut(as_planned(schedule), top_s),
        (top_s + 600.0, 920.0),
        (top_s + 1800.0, 900.0),
        *[p for p in as_planned(schedule) if p[0] > top_s + 1800.0],
    ]
    events = told(schedule, seen(points))
    once_each(events)
    assert len(raised(events, Kind.OVERSHOOT)) == len(cleared(events, Kind.OVERSHOOT)) == 1
    assert len(alarms(events)) == 2


@pytest.mark.parametrize(("kind", "told_times"), [("wood", 1), ("electric", 6)])
def test_a_fire_that_swings_above_its_top_is_told_once_and_not_with_each_charge(
    kind: str, told_times: int
) -> None:
    schedule = plan("100 1000 120")
    top_s = as_planned(plan("100 1000"))[-1][0]
    swings = [(top_s + 300.0 * n, 1000.0 + (25.0 if n % 2 else -5.0)) for n in range(1, 2 * 6)]
    stays = [(top_s + HOUR_S, 1000.0), (top_s + 2 * HOUR_S, 1000.0)]
    points = [*as_planned(plan("100 1000")), *swings, *stays]
    events = told(schedule, seen(points), settings=WatchSettings(kiln_kind=kind))
    assert len(raised(events, Kind.OVERSHOOT)) == told_times
    assert len(cleared(events, Kind.OVERSHOOT)) == told_times


def test_a_kiln_within_its_tolerance_is_not_over() -> None:
    for over_c in (5.0, 8.0):
        schedule = plan("150 900 60")
        fired = plan(f"150 {900 + over_c} 50")
        events = told(schedule, seen(cooled(as_planned(fired), HOUR_S)))
        assert raised(events, Kind.OVERSHOOT) == []


def test_the_kilns_own_limit_is_critical() -> None:
    schedule = plan("150 900")
    settings = WatchSettings(limit_c=880.0)
    points = cooled(as_planned(schedule), HOUR_S)
    events = told(schedule, seen(points), settings=settings)
    once_each(events)
    (over,) = raised(events, Kind.OVER_LIMIT)
    assert over.severity is Severity.CRITICAL
    assert len(cleared(events, Kind.OVER_LIMIT)) == 1


def test_a_log_says_its_words_in_the_scale_of_its_settings() -> None:
    schedule = plan("100 600")
    settings = WatchSettings(units=Unit.F)
    events = told(schedule, seen(as_planned(schedule)), settings=settings)
    assert "180 °F an hour to 1,112 °F" in events[0].message


@pytest.mark.parametrize(
    ("steps", "over_c", "count"),
    [
        (("150 900 60", "60 1000 10"), 13.0, 0),
        (("150 900 60", "60 1000 10"), 19.0, 1),
        (("150 900 60",), 13.0, 1),
    ],
)
def test_at_a_top_on_the_way_half_as_much_again_is_allowed_and_not_at_the_peak(
    steps: tuple[str, ...], over_c: float, count: int
) -> None:
    schedule = plan(*steps)
    planned = as_planned(schedule)
    top_s = reached_s(planned, 900.0)
    points = [
        *cut(planned, top_s),
        (top_s + 600.0, 900.0 + over_c),
        (top_s + 2400.0, 900.0 + over_c),
        (top_s + 3000.0, 900.0),
        *[p for p in planned if p[0] > top_s + 3000.0],
    ]
    assert len(raised(told(schedule, seen(points)), Kind.OVERSHOOT)) == count


@pytest.mark.parametrize(("rate_c_per_h", "count"), [(100.0, 0), (25.0, 1)])
def test_a_hold_on_the_way_that_is_climbed_out_of_is_passed_and_not_overshot(
    rate_c_per_h: float, count: int
) -> None:
    schedule = plan("150 600 120", "100 1000 10")
    planned = as_planned(schedule)
    top_s = reached_s(planned, 600.0)
    points = [
        *cut(planned, top_s),
        (top_s + 1200.0, 600.0),
        (top_s + 1200.0 + 30.0 / rate_c_per_h * HOUR_S, 630.0),
        (top_s + 1200.0 + 30.0 / rate_c_per_h * HOUR_S + 3600.0, 730.0),
    ]
    assert len(raised(told(schedule, seen(points)), Kind.OVERSHOOT)) == count


def test_who_climbs_out_of_a_hold_in_fits_and_starts_has_passed_it() -> None:
    """A flame swings the kiln by 3 °C in seven minutes, so that its climb of 30 °C an hour seems
    to stop again and again."""
    schedule = plan("40 95 360", "40 580")
    # Up to the hold by fits and starts as well.
    points = [(0.0, 20.0), (2700.0, 60.0), (4500.0, 60.0), (7200.0, 80.0), (9000.0, 80.0)]
    points += [(foot_s := 10800.0, 95.0), (foot_s + 1800.0, 95.0)]
    points.append((foot_s + 1800.0 + 1.2 * HOUR_S, 131.0))
    swung = swinging(points, 3.0, 420.0)
    events = told(schedule, seen(swung), settings=WatchSettings(kiln_kind="gas"))
    assert raised(events, Kind.OVERSHOOT) == []


def test_a_hold_whose_time_is_over_can_not_be_overshot_by_the_climb_after_it() -> None:
    """It has crept up by 14 °C in its four hours, and goes on so."""
    schedule = plan("65 95 240", "120 600")
    points = as_planned(plan("65 95"))
    foot_s = points[-1][0]
    points += [(foot_s + 4 * HOUR_S, 109.0), (foot_s + 4.25 * HOUR_S, 114.0)]
    events = told(schedule, seen(points))
    assert len(raised(events, Kind.HOLD_DONE)) == 1
    assert raised(events, Kind.OVERSHOOT) == []


def test_an_end_of_a_step_that_ours_is_known_to_read_above_is_not_overshot() -> None:
    schedule = plan("150 600 20", "100 900", "60 1000 10")
    points = [(s, c + 20.0 * min(c / 600.0, 1.0)) for s, c in as_planned(schedule)]
    early = [point for point in points if point[1] < 1000.0]
    (over,) = raised(told(schedule, seen(early)), Kind.OVERSHOOT)
    assert over.data["top_c"] == 600.0


@pytest.mark.parametrize(("rate_c_per_h", "count"), [(75.0, 0), (120.0, 1)])
def test_a_kept_kiln_that_goes_on_past_a_hold_faster_than_by_its_plan_is_above_it(
    rate_c_per_h: float, count: int
) -> None:
    schedule = plan("75 610", "100 955 20", "75 1215 10")
    points = as_planned(schedule)
    hold_s = reached_s(points, 955.0)
    points = [*cut(points, hold_s), (hold_s + 100.0 / rate_c_per_h * HOUR_S, 1055.0)]
    events = told(schedule, seen(points), settings=WatchSettings(kiln_kind="electric"))
    above = raised(events, Kind.OVERSHOOT)
    assert len(above) == count
    for event in above:
        assert event.elapsed_s - hold_s < 15.0 / rate_c_per_h * HOUR_S + 180.0
