"""A kiln is fired by one of its zones, and nobody tells by which: cold, they stand far apart."""

from __future__ import annotations

import pytest

from supervisor.core.events import Event, Kind
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    cooled,
    plan,
    raised,
    seen,
)
from tests.core.firings import told as told_of_one

RIG = Rig(every_s=10.0, noise_c=0.2)


def told(schedule: Schedule, lead: Points, other: Points, kind: str | None = None) -> list[Event]:
    """What is said of two zones, of which the first one leads."""
    one, two = (seen(points, rig=RIG, seed=n) for n, points in enumerate((lead, other)))
    readings = [
        Reading(a.elapsed_s, {"top": a.temps_c["kiln"], "bottom": b.temps_c["kiln"]})
        for a, b in zip(one, two, strict=False)
    ]
    settings = WatchSettings(kiln_kind=kind, uneven_c=80.0)
    return told_of_one(schedule, readings, channels=("top", "bottom"), settings=settings)


@pytest.mark.parametrize(("held_min", "is_stall"), [(38, False), (120, True)])
def test_a_kiln_may_hold_by_a_zone_that_is_hotter_than_the_one_that_leads(
    held_min: int, *, is_stall: bool
) -> None:
    schedule = plan("65 120", "80 230 30", "130 600")
    bottom = as_planned(plan("65 120", "80 230"))
    held_s = bottom[-1][0] + 60.0 * held_min
    bottom += [(held_s, 230.0), (held_s + HOUR_S, 360.0)]
    top = [(s, 20.0 + 0.78 * (c - 20.0)) for s, c in bottom]
    said = raised(told(schedule, top, bottom, "electric"), Kind.STALL)
    assert bool(said) is is_stall


@pytest.mark.parametrize(("held_min", "is_stall"), [(50, False), (110, True)])
def test_a_kiln_may_hold_by_a_zone_that_is_colder_than_the_one_that_leads(
    held_min: int, *, is_stall: bool
) -> None:
    """The hottest has gone far past the hold, and step 2 has begun for it."""
    schedule = plan("65 80 60", "75 600")
    bottom = as_planned(plan("65 80"))
    begun_s = bottom[-1][0]
    held_s = begun_s + 60.0 * held_min
    bottom += [(begun_s + 600.0, 72.0), (held_s, 70.0), (held_s + HOUR_S, 145.0)]
    top = [(s, 20.0 + 1.75 * (c - 20.0)) for s, c in bottom]
    events = told(schedule, top, bottom, "electric")
    assert bool(raised(events, Kind.STALL)) is is_stall


@pytest.mark.parametrize(("fallen_c", "is_lost"), [(8.0, False), (45.0, True)])
def test_gas_is_turned_down_at_a_hold_by_a_colder_zone(fallen_c: float, *, is_lost: bool) -> None:
    """The flame that drove the climb goes, and the chamber falls back by what it climbed in some
    seven minutes (common practice, no source)."""
    schedule = plan("130 235 20", "125 885")
    bottom = as_planned(plan("130 235"))
    turned_s = bottom[-1][0]
    bottom += [(turned_s + 1200.0, 235.0 - 0.5 * fallen_c)]
    top = [(s, 20.0 + 1.65 * (c - 20.0)) for s, c in bottom[:-1]]
    top += [(turned_s + 240.0 + 10.0 * fallen_c, top[-1][1] - fallen_c)]
    top += [(turned_s + 1200.0, top[-1][1])]
    assert bool(raised(told(schedule, top, bottom, "gas"), Kind.HEAT_LOST)) is is_lost


@pytest.mark.parametrize(("apart_c", "is_end"), [(13.0, True), (0.0, False)])
def test_a_kiln_may_be_at_its_top_by_the_middle_of_its_zones(
    apart_c: float, *, is_end: bool
) -> None:
    """The one that leads is 23 °C below its top when the kiln is turned off: more than two
    thermocouples in one place differ by, unless another zone is nearer."""
    schedule = plan("200 600", "220 1030")
    fired = as_planned(plan("200 600", "220 1007"))
    top = cooled(fired, HOUR_S, constant_s=3 * HOUR_S)
    events = told(schedule, top, [(s, c + apart_c) for s, c in top], "electric")
    assert (alarms(events) == []) is is_end
    assert bool(raised(events, Kind.FIRING_FINISHED)) is is_end


@pytest.mark.parametrize(("down_to_c", "is_lost"), [(895.0, False), (840.0, True)])
def test_a_fire_that_went_far_past_its_hold_may_burn_down_to_it(
    down_to_c: float, *, is_lost: bool
) -> None:
    """Ours may stand in the flame's way: it is 42 °C above the hold when the stoker holds."""
    schedule = plan("105 885 45", "85 1190")
    climbed = as_planned(plan("105 885", "300 927"))
    top_s, top_c = climbed[-1]
    fallen_s = top_s + (top_c - down_to_c) / 150.0 * HOUR_S
    fired = [*climbed, (fallen_s, down_to_c), (fallen_s + 600.0, down_to_c)]
    settings = WatchSettings(kiln_kind="wood")
    events = told_of_one(schedule, seen(fired, rig=RIG), settings=settings)
    assert bool(raised(events, Kind.HEAT_LOST)) is is_lost
