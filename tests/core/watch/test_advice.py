"""What is said of each kind of kiln names its own likely causes, with the cautions it needs."""

from __future__ import annotations

import math
from functools import cache

import pytest

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors import advice
from supervisor.core.watch.settings import KILN_KINDS
from tests.core.firings import (
    HOUR_S,
    Rig,
    as_planned,
    cooled,
    cut,
    interrupted,
    plan,
    raised,
    reached_s,
    seen,
    told,
)

KINDS = (None, *KILN_KINDS)
PLAN = plan("150 600", "100 1205 60")
TABLES = (
    advice.CLIMB_STOPPED,
    advice.HEAT_LOST,
    advice.STUCK_ON,
    advice.COOLING_FAST,
    advice.LATE,
)


@cache
def all_that_goes_wrong(kind: str | None, units: Unit) -> tuple[Event, ...]:
    """Every alarm about the kiln's heat, each in a firing of its own."""
    settings = WatchSettings(units=units, kiln_kind=kind)
    planned = as_planned(PLAN)
    at_s = reached_s(planned, 800.0)
    shut = cooled(planned, 3 * HOUR_S, constant_s=6 * HOUR_S)
    in_hold = cut(planned, planned[-1][0] - 1500.0)
    dying = cut(planned, at_s)
    dying += [(at_s + 600.0 * n, 800.0 - 250.0 * math.expm1(-n / 15.0)) for n in range(1, 40)]
    logs = [
        interrupted(planned, at_s, HOUR_S),
        cooled(cut(planned, at_s), HOUR_S, constant_s=3 * HOUR_S),
        [*in_hold, (in_hold[-1][0] + 1200.0, in_hold[-1][1] + 50.0)],
        cooled(shut, HOUR_S, constant_s=0.6 * HOUR_S),
        dying,
    ]
    rig = Rig(every_s=30.0)
    return tuple(e for log in logs for e in told(PLAN, seen(log, rig=rig), settings=settings))


def test_every_table_has_words_for_every_kind_of_kiln() -> None:
    for table in TABLES:
        assert set(table) == set(KINDS)


@pytest.mark.parametrize("units", list(Unit))
@pytest.mark.parametrize("kind", KINDS)
def test_every_alarm_is_short_whole_and_says_where_to_look(kind: str | None, units: Unit) -> None:
    events = all_that_goes_wrong(kind, units)
    found = [e for e in events if e.state is State.RAISED and e.severity is not Severity.INFO]
    wanted = {Kind.STALL, Kind.HEAT_LOST, Kind.HEAT_STUCK_ON, Kind.FAST_COOLING, Kind.LAGGING}
    assert {e.kind for e in found} >= wanted
    for event in found:
        assert 60 <= len(event.message) <= 400, event.message
        assert event.message.endswith("."), event.message
        assert ".." not in event.message, event.message
        assert "look" in event.message, event.message


@pytest.mark.parametrize("kind", [None, "gas"])
def test_where_there_may_be_gas_its_smell_is_spoken_of(kind: str | None) -> None:
    for what in (Kind.STALL, Kind.HEAT_LOST):
        (first, *_) = raised(all_that_goes_wrong(kind, Unit.C), what)
        assert "smell gas" in first.message
        assert "air the room" in first.message


def test_what_is_live_is_an_electricians() -> None:
    events = all_that_goes_wrong("electric", Unit.C)
    for what in (Kind.STALL, Kind.HEAT_LOST, Kind.HEAT_STUCK_ON):
        (first, *_) = raised(events, what)
        assert "licensed electrician" in first.message


def test_a_hot_kiln_is_never_to_be_opened() -> None:
    for kind in KINDS:
        (first, *_) = raised(all_that_goes_wrong(kind, Unit.C), Kind.FAST_COOLING)
        assert "never opened" in first.message
