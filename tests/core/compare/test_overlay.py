"""Compared firings as lines over one axis: where the plan is known, so is what the lines show."""

from __future__ import annotations

import math

import pytest

from supervisor.core.compare import Align, compared, planned_subject
from supervisor.core.compare.aligned import passings
from supervisor.core.compare.overlay import MOST_PLACES, overlaid
from tests.core.compare.test_compare import PLAN, fired, subject
from tests.core.firings import HOUR_S


def test_one_pass_finds_what_a_search_for_each_finds() -> None:
    trace = subject(fired()).trace
    temps = [20.0 + 7.0 * n for n in range(180)]
    since_s, until_s = 1800.0, 9 * HOUR_S
    start, end = trace.place(since_s), trace.place(until_s)
    found = passings(trace, temps, since_s, until_s)
    assert found == [trace.first_at(temp, start, end, rising=True) for temp in temps]
    assert found[0] == trace.at_s[start], "hotter already"
    assert found[-1] is None, "never so hot by then"


def test_by_temperature_a_line_is_the_rate_of_its_climb() -> None:
    [one] = compared(planned_subject(PLAN), [subject(fired())], Align.TEMPERATURE)
    overlay = overlaid([one])
    for rate_c_per_h, low_c, high_c in ((100.0, 120.0, 580.0), (150.0, 620.0, 1070.0)):
        places = [i for i, temp_c in enumerate(overlay.at) if low_c < temp_c < high_c]
        assert len(places) > 80
        plan, kiln = overlay.lines
        assert [plan[i] for i in places] == pytest.approx([rate_c_per_h] * len(places), rel=0.01)
        assert all(abs((kiln[i] or 0.0) - rate_c_per_h) < 12.0 for i in places)


@pytest.mark.parametrize("align", [Align.TIME, Align.PEAK])
def test_in_time_a_line_is_the_temperature_and_ends_with_its_readings(align: Align) -> None:
    usual, late = subject(fired(), "A"), subject(fired(wait_s=2 * HOUR_S))
    overlay = overlaid(compared(usual, [late], align))
    assert len(overlay.at) <= MOST_PLACES + 1
    steps = {round(b - a) for a, b in zip(overlay.at, overlay.at[1:], strict=False)}
    assert len(steps) == 1
    assert steps.pop() % 60 == 0
    hottest = [max(c for c in line if c is not None) for line in overlay.lines]
    assert hottest == pytest.approx([1205.0, 1205.0], abs=3.0)
    assert (overlay.at[0] == 0.0) is (align is Align.TIME)
    if align is Align.PEAK:
        assert overlay.lines[0][0] is None, "the one that waited has readings long before"
        assert overlay.lines[1][0] == pytest.approx(20.0, abs=5.0)


def test_what_has_no_peak_has_no_line() -> None:
    cold = subject([(0.0, 20.0), (HOUR_S, 21.0)], "B", schedule=None)
    overlay = overlaid(compared(subject(fired(), "A"), [cold], Align.TIME))
    assert set(overlay.lines[1]) == {None}
    assert set(overlay.by[0]) == {None}
    assert any(c is not None and math.isfinite(c) for c in overlay.lines[0])
