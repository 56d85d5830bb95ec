"""Falls that two thermocouples see: a flame that goes out, and one that is chilled beside another.

The courses are our own; how far a flame heats a probe beside it is common practice, no source.
"""

from __future__ import annotations

import pytest

from supervisor.core.events import Event
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from tests.core.firings import (
    HOUR_S,
    Points,
    Rig,
    alarms,
    as_planned,
    chilled,
    cooled,
    plan,
    seen,
    told,
)

PLAN = plan("130 600", "135 1145", "80 1220 25")
ZONES = ("top", "bottom")
OFTEN = Rig(every_s=5.0, noise_c=0.3)


def events_of(schedule: Schedule, top: Points, bottom: Points, rig: Rig = OFTEN) -> list[Event]:
    readings = [
        Reading(one.elapsed_s, {"top": one.temps_c["kiln"], "bottom": other.temps_c["kiln"]})
        for one, other in zip(seen(top, rig=rig), seen(bottom, seed=2, rig=rig), strict=True)
    ]
    return told(schedule, readings, channels=ZONES, settings=WatchSettings(kiln_kind="gas"))


def flame_out(drop_c: float) -> Points:
    """The plan, at the end of which the flame no longer heats the probe."""
    points = as_planned(PLAN)
    end_s, end_c = points[-1]
    points = [*points, (end_s + 25.0, end_c - drop_c)]
    return cooled(points, 2 * HOUR_S, constant_s=4 * HOUR_S)


@pytest.mark.parametrize("drop_c", [20.0, 50.0, 80.0])
def test_a_flame_that_goes_out_at_the_end_chills_all_probes(drop_c: float) -> None:
    schedule = plan("130 600", "135 1145", "80 1220 25", "- 985")
    assert alarms(events_of(schedule, flame_out(drop_c), flame_out(0.6 * drop_c))) == []


@pytest.mark.parametrize("chill_c", [14.0, 25.0])
@pytest.mark.parametrize("constant_h", [5.0, 2.5])
def test_a_probe_that_is_chilled_beside_one_that_cools_as_ever_is_no_open_kiln(
    constant_h: float, chill_c: float
) -> None:
    """Though that one cools faster, as the zone at the door does."""
    shut = cooled(as_planned(PLAN), 9 * HOUR_S, constant_s=5 * HOUR_S)
    bottom = cooled(as_planned(PLAN), 9 * HOUR_S, constant_s=constant_h * HOUR_S)
    look_s = shut[-1][0] - 5 * HOUR_S
    assert alarms(events_of(PLAN, chilled(shut, look_s, chill_c), bottom)) == []
