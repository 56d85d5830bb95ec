"""What the thermocouple is expected to show: the plan kept, and as unsure as it is."""

from __future__ import annotations

from itertools import pairwise

import pytest

from supervisor.core.watch import Watch
from tests.core.firings import HOUR_S, as_planned, seen
from tests.core.watch.test_cone_forecast import FALL_S, QUIET, SCHEDULE, watched_until


def test_a_kiln_that_keeps_its_plan_is_expected_to_go_on_with_it() -> None:
    watch = watched_until(FALL_S - 3 * HOUR_S)
    ahead = watch.ahead()
    assert ahead is not None
    now_s = watch.status().elapsed_s
    kiln = {r.elapsed_s: r.temps_c["kiln"] for r in seen(as_planned(SCHEDULE), rig=QUIET)}
    compared = 0
    for in_s, temp_c, low_c, high_c in zip(
        ahead.in_s, ahead.temp_c, ahead.low_c, ahead.high_c, strict=True
    ):
        assert low_c <= temp_c <= high_c
        came_c = kiln.get(round((now_s + in_s) / QUIET.every_s) * QUIET.every_s)
        if came_c is not None:
            assert temp_c == pytest.approx(came_c, abs=8.0)
            compared += 1
    assert compared > 30
    assert ahead.in_s[0] == 0.0
    assert ahead.temp_c[0] == pytest.approx(watch.temp_c or 0.0, abs=0.1)
    assert all(later > earlier for earlier, later in pairwise(ahead.in_s))
    widths = [high_c - low_c for low_c, high_c in zip(ahead.low_c, ahead.high_c, strict=True)]
    assert widths[0] < 1.0, "now it is known"
    assert 1.0 < widths[3] < widths[7], "and the farther the less"


def test_nothing_is_expected_of_a_kiln_that_waits_and_little_after_the_end() -> None:
    assert Watch(SCHEDULE, ("kiln",)).ahead() is None
    ahead = watched_until(1e9).ahead()
    assert ahead is not None
    assert all(later <= earlier for earlier, later in pairwise(ahead.temp_c))
