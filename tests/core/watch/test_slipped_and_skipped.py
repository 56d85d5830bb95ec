"""A lone probe that slips out within a minute, a fall that stays, and a hold that is not held.

The courses are our own; how fast a probe falls that is pulled out, and how far a kiln may climb
past a hold, is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    at,
    chilled,
    cooled,
    plan,
    seen,
    told,
)

PLAN = plan("120 600", "150 1040 15")
OFTEN = Rig(every_s=2.0, noise_c=0.3)
SELDOM = Rig(every_s=30.0, noise_c=0.3)
MINUTE_S = 60.0


def fallen(to_part: float, within_s: float) -> tuple[Points, float]:
    """The plan, on the way up in which a lone probe falls to a part of its temperature; when."""
    points = as_planned(PLAN)
    fell_s = 4.0 * HOUR_S
    up = [(s, c) for s, c in points if s < fell_s]
    from_c = at(points, fell_s)
    low_s = fell_s + within_s
    end_s = low_s + 2 * HOUR_S
    return [
        *up,
        (fell_s, from_c),
        (low_s, to_part * from_c),
        (end_s, to_part * at(points, end_s)),
    ], fell_s


def said(points: Points, kind: str = "electric", rig: Rig = OFTEN) -> list[Event]:
    return warned(told(PLAN, seen(points, rig=rig), settings=WatchSettings(kiln_kind=kind)))


def warned(events: list[Event]) -> list[Event]:
    raised = [event for event in events if event.state is State.RAISED]
    return [event for event in raised if event.severity is not Severity.INFO]


@pytest.mark.parametrize("rig", [OFTEN, SELDOM], ids=["2 s", "30 s"])
@pytest.mark.parametrize("within_s", [10.0, 45.0, 75.0])
@pytest.mark.parametrize("to_part", [0.3, 0.6, 0.75])
def test_a_lone_probe_that_slips_out_is_told_however_quickly(
    to_part: float, within_s: float, rig: Rig
) -> None:
    points, fell_s = fallen(to_part, within_s)
    alarmed = said(points, rig=rig)
    assert alarmed
    first = alarmed[0]
    assert first.kind in (Kind.SENSOR_FAULT, Kind.HEAT_LOST)
    assert 0.0 < first.elapsed_s - fell_s < 5 * MINUTE_S


def test_a_fall_that_stays_is_told_by_how_deep_it_is() -> None:
    points, fell_s = fallen(0.85, 75.0)
    event = next(e for e in said(points, rig=SELDOM) if e.kind is Kind.HEAT_LOST)
    assert event.elapsed_s - fell_s < 5 * MINUTE_S
    assert "below where it was" in event.message


def test_a_look_that_is_made_good_is_none() -> None:
    points = as_planned(PLAN)
    assert said(chilled(points, 4.0 * HOUR_S, 60.0), "gas") == []


HELD = plan("100 900 60", "135 1050 5")


def driven_through(rate_c_per_h: float, held_s: float = 0.0) -> tuple[Points, float]:
    """The climb, so much of the hold, and on at another pace; when it leaves the hold."""
    climb_s = 880.0 / 100.0 * HOUR_S
    left_s = climb_s + held_s
    points = [(0.0, 20.0), (climb_s, 900.0)]
    if held_s:
        points.append((left_s, 900.0))
    return [*points, (left_s + 140.0 / rate_c_per_h * HOUR_S, 1040.0)], left_s


def test_a_hold_that_is_skipped_is_not_told() -> None:
    """Somebody has put the controller a step further: it climbs by the pace of that."""
    points, _ = driven_through(135.0)
    events = told(HELD, seen(points), settings=WatchSettings(kiln_kind="electric"))
    assert not [e for e in events if e.kind in (Kind.OVERSHOOT, Kind.HOLD_DONE)]


@pytest.mark.parametrize("kind", ["electric", None])
@pytest.mark.parametrize("rate_c_per_h", [80.0, 100.0])
def test_a_hold_that_is_driven_through_is_told(rate_c_per_h: float, kind: str | None) -> None:
    points, left_s = driven_through(rate_c_per_h)
    events = told(HELD, seen(points), settings=WatchSettings(kiln_kind=kind))
    over = next(e for e in events if e.kind is Kind.OVERSHOOT)
    above_15_s = 15.0 / rate_c_per_h * HOUR_S
    assert abs(over.elapsed_s - left_s - above_15_s) < 3 * MINUTE_S
    assert not [e for e in events if e.kind is Kind.HOLD_DONE]
    cleared = [e for e in events if e.kind is Kind.OVERSHOOT][1]
    assert "left that hold behind" in cleared.message


@pytest.mark.parametrize("kind", ["electric", "gas", None])
def test_heat_that_stays_on_in_a_hold_is_not_the_next_climb(kind: str | None) -> None:
    """It climbs at eleven times the pace of the next step."""
    points, left_s = driven_through(1500.0, held_s=20 * MINUTE_S)
    alarmed = warned(told(HELD, seen(points), settings=WatchSettings(kiln_kind=kind)))
    assert alarmed
    assert 0.0 < alarmed[0].elapsed_s - left_s < 3 * MINUTE_S


def test_two_spikes_in_a_row_that_do_not_agree_are_no_climb() -> None:
    """Of a kiln that was let go long ago, looked at each half minute."""
    points = cooled(as_planned(PLAN), 10 * HOUR_S, constant_s=4 * HOUR_S)
    readings = seen(points, rig=SELDOM)
    for place, spike_c in ((-40, 12.0), (-39, 56.0)):
        one = readings[place]
        value_c = one.temps_c["kiln"]
        assert value_c is not None
        readings[place] = replace(one, temps_c={"kiln": value_c + spike_c})
    assert warned(told(PLAN, readings, settings=WatchSettings(kiln_kind="electric"))) == []
