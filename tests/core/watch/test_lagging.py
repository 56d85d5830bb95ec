"""Late is information; a climb that dies away below its top is a warning, and no stall."""

from __future__ import annotations

import math

import pytest

from supervisor.core.events import Kind, Severity, State
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    cut,
    once_each,
    plan,
    raised,
    reached_s,
    seen,
    swinging,
    told,
)

PLAN = plan("100 600", "100 1000 10")


def dying(schedule_to_c: float, ends_c: float, constant_h: float) -> Points:
    """A kiln that climbs as planned to ``schedule_to_c`` and from there towards ``ends_c``."""
    before = [p for p in as_planned(PLAN) if p[1] <= schedule_to_c]
    from_s, from_c = before[-1]
    return before + [
        (
            from_s + 120.0 * n,
            ends_c - (ends_c - from_c) * math.exp(-120.0 * n / (constant_h * HOUR_S)),
        )
        for n in range(1, 240)
    ]


def test_a_kiln_that_gets_later_is_told_once_as_information() -> None:
    # Below 200 °C it may yet be candled, and is not late.
    events = told(PLAN, seen(as_planned(plan("100 250", "70 600", "70 1000 10"))))
    once_each(events)
    (late,) = raised(events, Kind.LAGGING)
    assert late.severity is Severity.INFO
    assert 1800.0 <= float(str(late.data["late_s"])) <= 2100.0
    assert alarms(events) == []


def test_the_tolerance_is_a_persons() -> None:
    readings = seen(as_planned(plan("70 600", "70 1000 10")))
    (late,) = raised(told(PLAN, readings, settings=WatchSettings(lagging_s=3600.0)), Kind.LAGGING)
    assert 3600.0 <= float(str(late.data["late_s"])) <= 3900.0


def test_a_kiln_that_is_late_but_keeps_its_pace_is_not_told() -> None:
    # It was held up for 20 minutes, and told of as that; then it goes on.
    events = told(PLAN, seen(as_planned(plan("100 300 20", "100 600", "100 1000 10"))))
    assert raised(events, Kind.LAGGING) == []


def test_a_first_step_that_goes_as_fast_as_it_can_saves_no_time() -> None:
    # In it the kiln goes twice as fast as the plan's clock takes it to: that is no plan.
    schedule = plan("- 400", "100 1000 10")
    points = as_planned(plan("400 400", "60 1000 10"))
    (late,) = raised(told(schedule, seen(points)), Kind.LAGGING)
    # With 60 °C/h of 100, half an hour is lost in 45 minutes of the plan: over 75 °C.
    assert late.elapsed_s == pytest.approx(reached_s(points, 475.0), abs=300.0)


@pytest.mark.parametrize(("crept_h", "is_late"), [(1.0, True), (4.0, False)])
def test_who_candles_does_it_for_hours_and_an_hours_creeping_is_a_slow_beginning(
    crept_h: float, is_late: bool
) -> None:
    crept = [(0.0, 20.0), (crept_h * HOUR_S, 20.0 + 20.0 * crept_h)]
    rest = [(crept[-1][0] + s, c) for s, c in as_planned(plan("80 600"), start_c=crept[-1][1])[1:]]
    events = told(PLAN, seen([*crept, *rest]))
    first = next(iter(raised(events, Kind.LAGGING)), None)
    by_200_s = crept[-1][0] + (200.0 - crept[-1][1]) / 80.0 * HOUR_S
    assert (first is not None and first.elapsed_s < by_200_s) is is_late


def test_a_shed_that_warms_makes_a_kiln_late_by_nothing() -> None:
    # Over six hours of a fine day the idle kiln comes up by 2 °C; then it is fired at a fifth less.
    day_s = 6 * HOUR_S
    fired = [(day_s + s, c) for s, c in as_planned(plan("85 600"), start_c=22.0)]
    events = told(PLAN, seen([(0.0, 20.0), *fired]))
    late = raised(events, Kind.LAGGING)
    # 15 °C/h less than planned make half an hour in some 280 °C.
    assert all(reached_s(fired, 280.0) < e.elapsed_s for e in late)
    assert len(late) == 1


def test_a_kiln_that_catches_up_is_told_so_long_before_it_is_on_time() -> None:
    points = as_planned(plan("85 600", "150 1000 10"))
    events = told(PLAN, seen(points))
    once_each(events)
    lag = [e for e in events if e.kind is Kind.LAGGING]
    assert [e.state for e in lag] == [State.RAISED, State.CLEARED]
    assert "no longer gets later" in lag[1].message
    # At 150 °C/h of 100 it makes good 7.5 minutes, a quarter of the tolerance, in 15.
    assert 300.0 < lag[1].elapsed_s - reached_s(points, 600.0) < 1800.0


def test_a_kiln_that_gets_later_again_is_told_again() -> None:
    points = as_planned(plan("70 500", "150 600", "70 1000 10"))
    lag = [e for e in told(PLAN, seen(points)) if e.kind is Kind.LAGGING]
    assert [e.state for e in lag[:3]] == [State.RAISED, State.CLEARED, State.RAISED]
    # 7.5 minutes, a quarter of the tolerance, are lost again in 17.5 of them.
    assert 600.0 < lag[2].elapsed_s - reached_s(points, 600.0) < 2400.0


def test_a_climb_that_dies_away_below_its_top_is_a_warning_and_no_stall() -> None:
    # So slowly that it is known to be dying long before it is all but dead.
    points = dying(700.0, 1000.0, 3.0)
    events = told(plan("100 600", "100 1200 10"), seen(points))
    once_each(events)
    warned = [e for e in raised(events, Kind.LAGGING) if e.severity is Severity.WARNING]
    (first,) = warned
    assert 960.0 <= float(str(first.data["ends_c"])) <= 1040.0
    assert "out of reach" in first.message
    before = [e for e in events if e.elapsed_s <= first.elapsed_s]
    assert raised(before, Kind.STALL) == raised(before, Kind.HEAT_LOST) == []


def test_a_plan_that_the_kiln_cant_keep_is_late_and_no_stall() -> None:
    fast = plan("300 600", "300 1000 10")
    events = told(fast, seen(as_planned(plan("90 600", "60 1000 10"))))
    assert alarms(events) == []
    assert raised(events, Kind.LAGGING)


def test_a_swinging_controller_is_not_late() -> None:
    assert raised(told(PLAN, seen(swinging(as_planned(PLAN), 5.0, 600.0))), Kind.LAGGING) == []


def test_a_natural_climb_is_never_late() -> None:
    schedule = plan("- 1000")
    points = as_planned(plan("60 1000"))
    assert reached_s(points, 900.0) > 12 * HOUR_S
    assert raised(told(schedule, seen(points)), Kind.LAGGING) == []


def test_a_climb_that_stays_late_ends_with_what_has_become_of_it() -> None:
    slow = told(PLAN, seen(as_planned(plan("70 600", "70 1000 10", "150 100"))))
    (over,) = [e for e in slow if e.kind is Kind.LAGGING and e.state is State.CLEARED]
    assert "past the hottest part of its plan" in over.message
    dies = told(plan("100 600", "100 1200 10"), seen(dying(700.0, 1000.0, 3.0)))
    cleared = [e for e in dies if e.kind is Kind.LAGGING and e.state is State.CLEARED]
    assert "its climb dies away, of which a warning tells" in cleared[0].message


def test_a_flame_that_candles_past_its_first_step_does_not_die_away() -> None:
    """By hand up to 120 °C, and then at 10 °C an hour until the ware is dry."""
    up = [(60.0 * n, 15.0 + 0.5 * n + 6.0 * math.sin(n / 15.0)) for n in range(210)]
    from_s, from_c = up[-1]
    candled = [
        (from_s + 60.0 * n, from_c + 0.17 * n + 3.0 * math.sin(n / 8.0)) for n in range(1, 120)
    ]
    readings = seen([*up, *candled], rig=Rig(every_s=10.0, noise_c=0.8))
    settings = WatchSettings(kiln_kind="gas")
    assert alarms(told(plan("90 120", "80 600"), readings, settings=settings)) == []


def test_ware_that_dries_for_longer_than_planned_has_no_climb_that_dies_away() -> None:
    schedule = plan("60 90 40", "80 600")
    planned = as_planned(schedule)
    begun_s = reached_s(planned, 90.0)
    creeps = [(begun_s + 1200.0 * n, 90.0 - 6.0 * 0.7**n + 4.0) for n in range(1, 12)]
    events = told(schedule, seen([*cut(planned, begun_s), *creeps]))
    assert [e.severity for e in raised(events, Kind.LAGGING)] == [Severity.INFO]
    assert alarms(events) == []
