"""Somebody looks into the kiln every quarter of an hour: simulated firings in which all is well."""

from __future__ import annotations

from dataclasses import replace

import pytest

from simulator.draw import draw_firing
from supervisor.core.events import Severity, State
from supervisor.core.watch import Watch
from supervisor.fleet.course import LiveCourse
from supervisor.fleet.judge import is_so
from supervisor.fleet.trial import as_owned


@pytest.mark.parametrize(
    ("seed", "looks_per_h"),
    [(127, 4.721381958792167), (78, 4.425296143545973), (109, 2.2013053692569704)],
)
def test_looks_through_the_plug_are_told_as_nothing_else(seed: int, looks_per_h: float) -> None:
    drawn = draw_firing(seed)
    scenario = replace(drawn, operation=replace(drawn.operation, looks_per_h=looks_per_h))
    watch = Watch(scenario.schedule, scenario.channels, as_owned(scenario))
    live = LiveCourse(scenario)
    events = [event for reading in live.readings() for event in watch.feed(reading)]
    warned = [e for e in events if e.state is State.RAISED and e.severity is not Severity.INFO]
    assert [e.message for e in warned if not is_so(e, live.course)] == []
