"""What a draught takes off a thermocouple comes back: no climb, and no heat that is lost."""

from __future__ import annotations

import pytest

from supervisor.core.events import Kind
from supervisor.core.readings import Reading
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors.chill import Chill
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.wording import Words
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    as_planned,
    at,
    cooled,
    cut,
    plan,
    raised,
    reached_s,
    seen,
    since,
    told,
)

PLAN = plan("120 600", "100 1220 20")
LOOK_S = 10.0


def moved(chill: Chill, rate_c_per_h: float, for_s: float) -> float:
    """How far the kiln moves at that rate, by what the chill leaves of it, in °C."""
    moment = Moment(PlanFollower(PLAN), Words(Unit.C))
    moment.moved_s, moment.moved_c = LOOK_S, rate_c_per_h * LOOK_S / HOUR_S
    return sum(chill.moved_c(moment) for _ in range(round(for_s / LOOK_S)))


def test_what_was_lost_within_a_minute_comes_back_and_no_more() -> None:
    chill = Chill()
    moved(chill, -100.0, HOUR_S)
    # 10 °C beyond the usual fall; of 15 °C that come back in two minutes the rest is a climb.
    assert moved(chill, -700.0, 60.0) == pytest.approx(-11.7, abs=0.1)
    assert moved(chill, 450.0, 120.0) == pytest.approx(15.0 - 8.5, abs=1.5)


def test_what_a_probe_lost_from_one_reading_to_the_next_comes_back() -> None:
    chill = Chill()
    moved(chill, -100.0, HOUR_S)
    jump = Moment(PlanFollower(PLAN), Words(Unit.C))
    jump.jumped_c = -12.0
    assert chill.moved_c(jump) == 0.0
    assert moved(chill, 450.0, 100.0) == pytest.approx(12.5 - 12.0, abs=1.0)
    assert moved(chill, 360.0, 100.0) == pytest.approx(10.0)
    jump.jumped_c = -200.0
    chill.moved_c(jump)
    assert moved(chill, 360.0, 100.0) == pytest.approx(10.0)


def test_what_falls_fast_for_long_was_let_go_and_gives_nothing_back() -> None:
    chill = Chill()
    moved(chill, -100.0, HOUR_S)
    moved(chill, -700.0, 300.0)
    assert moved(chill, 360.0, 100.0) == pytest.approx(10.0)


def test_a_shut_kiln_that_falls_as_usual_loses_nothing_that_comes_back() -> None:
    chill = Chill()
    for rate_c_per_h in (-400.0, -330.0, -270.0, -220.0):
        moved(chill, rate_c_per_h, 600.0)
    assert moved(chill, 180.0, 200.0) == pytest.approx(10.0)


def looked(points: Points, onset_s: float, for_s: float, dip_c: float, back_s: float) -> Points:
    """The points, with a plug out at ``onset_s`` for so long: the probe's surroundings are cooler
    by ``dip_c``, and come back within ``back_s``."""
    look = [
        (onset_s, at(points, onset_s)),
        (onset_s + 2.0, at(points, onset_s) - dip_c),
        (onset_s + for_s, at(points, onset_s + for_s) - dip_c),
        (onset_s + for_s + back_s, at(points, onset_s + for_s + back_s)),
    ]
    return cut(points, onset_s - 1.0) + look + since(points, onset_s + for_s + back_s + 1.0)


def near_the_end(points: Points, every_s: float) -> list[Reading]:
    """What a rig that is switched on at 1,150 °C sees of them."""
    begun_s = reached_s(as_planned(PLAN), 1150.0)
    return [r for r in seen(points, rig=Rig(every_s=every_s)) if r.elapsed_s > begun_s]


@pytest.mark.parametrize("every_s", [1.0, 5.0, 15.0])
@pytest.mark.parametrize("dip_c", [8.0, 15.0, 30.0])
def test_a_look_into_a_kiln_that_cools_is_no_heat_that_is_stuck_on(
    dip_c: float, every_s: float
) -> None:
    fired = cooled(as_planned(PLAN), 8 * HOUR_S)
    for cooled_h in (2.0, 4.0, 6.0):
        look_s = fired[-1][0] - 8 * HOUR_S + cooled_h * HOUR_S
        points = cut(looked(fired, look_s, 45.0, dip_c, 20.0), look_s + HOUR_S)
        events = told(PLAN, near_the_end(points, every_s))
        assert raised(events, Kind.HEAT_STUCK_ON) == []


@pytest.mark.parametrize("every_s", [1.0, 5.0])
def test_a_relay_that_welds_after_a_look_is_told(every_s: float) -> None:
    fired = cut(cooled(as_planned(PLAN), 3 * HOUR_S), as_planned(PLAN)[-1][0] + 2.0 * HOUR_S)
    onset_s, onset_c = fired[-1]
    points = looked(fired, onset_s - 600.0, 40.0, 12.0, 20.0)
    points.append((onset_s + HOUR_S, onset_c + 120.0))
    (stuck,) = raised(told(PLAN, near_the_end(points, every_s)), Kind.HEAT_STUCK_ON)
    assert 0.0 < stuck.elapsed_s - onset_s <= 300.0


@pytest.mark.parametrize("kind", ["electric", "gas", None])
@pytest.mark.parametrize("every_s", [1.0, 5.0, 15.0])
@pytest.mark.parametrize(("dip_c", "for_s"), [(8.0, 50.0), (14.0, 40.0), (25.0, 30.0)])
def test_a_look_beside_a_lone_probe_on_the_way_up_is_no_lost_heat(
    dip_c: float, for_s: float, every_s: float, kind: str | None
) -> None:
    climb = as_planned(PLAN)
    for look_c in (450.0, 800.0, 1100.0):
        look_s = reached_s(climb, look_c)
        points = looked(since(climb, look_s - HOUR_S), look_s, for_s, dip_c, 15.0)
        readings = seen(cut(points, look_s + 900.0), rig=Rig(every_s=every_s))
        events = told(PLAN, readings, settings=WatchSettings(kiln_kind=kind))
        assert raised(events, Kind.HEAT_LOST) == [], look_c
