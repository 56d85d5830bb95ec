"""The one sentence about the firing draws its lines where the page draws them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.units import Unit
from supervisor.core.watch.cone_forecast import ConeForecast
from supervisor.core.watch.moves import Activity
from supervisor.core.watch.sentence import ON_TIME_S, STILL_C_PER_H, sentence
from supervisor.core.watch.status import ConeStatus, PlanStatus, WatchStatus
from supervisor.core.watch.wording import Words


def said(rate_c_per_h: float, late_s: float) -> str:
    plan = PlanStatus(1, 2, Activity.CLIMBING, 600.0, 0.0, 0.0, late_s, 3600.0, 0.0)
    status = WatchStatus(7200.0, None, 400.0, rate_c_per_h, (), plan, ())
    return sentence(status, Words(Unit.C), lambda elapsed_s: None)


def test_three_minutes_and_five_degrees_an_hour_are_the_lines() -> None:
    assert (ON_TIME_S, STILL_C_PER_H) == (180.0, 5.0)


@pytest.mark.parametrize(
    ("rate_c_per_h", "verb"),
    [(4.9, "Standing"), (-4.9, "Standing"), (5.1, "Climbing"), (-5.1, "Cooling")],
)
def test_a_kiln_that_hardly_moves_stands(rate_c_per_h: float, verb: str) -> None:
    assert said(rate_c_per_h, 0.0).startswith(verb)


@pytest.mark.parametrize(
    ("late_s", "words"),
    [
        (179.0, "on plan"),
        (-179.0, "on plan"),
        (181.0, "3 minutes behind plan"),
        (-181.0, "3 minutes ahead of plan"),
    ],
)
def test_a_kiln_is_on_plan_within_three_minutes(late_s: float, words: str) -> None:
    assert words in said(60.0, late_s)


@pytest.mark.parametrize(
    ("in_s", "words"),
    [
        (43_199.0, "Cone 6 about 00:00, by calculation."),
        (43_200.0, "Cone 6 about 00:00, in 12 h, by calculation."),
        (81_720.0, "Cone 6 about 00:00, in 23 h, by calculation."),
    ],
)
def test_a_time_that_may_be_taken_for_one_that_has_passed_tells_how_long_it_is_still(
    in_s: float, words: str
) -> None:
    forecast = ConeForecast(in_s, None, None, None, None, None)
    cone = ConeStatus("6", "target", 0.0, None, forecast)
    plan = PlanStatus(1, 2, Activity.CLIMBING, 600.0, 0.0, 0.0, 0.0, 3600.0, 0.0)
    status = WatchStatus(7200.0, None, 400.0, 60.0, (), plan, (cone,))
    assert sentence(status, Words(Unit.C), lambda elapsed_s: "00:00").endswith(words)
    stalled = replace(status, plan=replace(plan, ends_in_s=None))
    assert "Cone" not in sentence(stalled, Words(Unit.C), lambda elapsed_s: "00:00")
