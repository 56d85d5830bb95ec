"""When who fires to the cone may end, by the heat-work of a kiln that keeps its plan."""

from __future__ import annotations

import pytest

from supervisor.core.heatwork import HeatWork, pack_around
from supervisor.core.phases import heatwork_of
from supervisor.core.schedule import Timeline
from supervisor.core.watch.fired_to import FiredTo
from tests.core.firings import plan

TIMELINE = Timeline(plan("120 1000", "60 1222 15"))
MADE = "6"


def minutes_down(target: str | None, looseness: float, kind: str | None) -> int | None:
    """After how many minutes of the plan it may be down, None if never."""
    fired, work = FiredTo(target), HeatWork()
    for minute in range(int(TIMELINE.total_s // 60.0) + 1):
        work.add(60.0 * minute, TIMELINE.at(60.0 * minute))
        short_c = fired.ends_short_c(TIMELINE, work, looseness, kind)
        if short_c > 0.0:
            # Who has named a cone may end earlier than planned by more.
            assert short_c == (18.0 if target is None else 36.0)
            return minute
    return None


def test_the_plan_makes_the_cone_that_it_is_for_where_it_names_none() -> None:
    assert heatwork_of(TIMELINE).cone == MADE
    for looseness, kind in ((1.0, "gas"), (0.2, "gas"), (0.0, "wood")):
        named = minutes_down(MADE, looseness, kind)
        assert named is not None
        assert minutes_down(None, looseness, kind) == named


@pytest.mark.parametrize(
    ("kind", "looseness", "by_hand"),
    [
        ("gas", 0.1, False),
        ("gas", 0.2, True),
        ("wood", 0.2, True),
        (None, 0.2, False),
        ("electric", 0.0, False),
        ("electric", 0.2, False),
        ("electric", 0.3, True),
    ],
)
def test_a_kiln_that_somebody_minds_is_fired_by_witness_cones(
    kind: str | None, looseness: float, *, by_hand: bool
) -> None:
    """By hand the guide may be down, when two thirds of its work are counted; else the target."""
    down = minutes_down(MADE, looseness, kind)
    assert down is not None
    downs_s = heatwork_of(TIMELINE).down_at_s
    guide, target, _ = pack_around(MADE)
    assert (60.0 * down < downs_s[guide]) is by_hand
    assert (60.0 * down >= downs_s[target]) is not by_hand


def test_an_electric_kiln_is_fired_to_no_cone_that_nobody_has_named() -> None:
    assert minutes_down(None, 0.2, "electric") is None
    assert minutes_down(None, 1.0, "electric") is None


def test_a_plan_that_makes_no_cone_is_fired_to_none() -> None:
    cold = Timeline(plan("100 500 30"))
    work = HeatWork()
    work.add(0.0, 20.0)
    assert FiredTo(None).ends_short_c(cold, work, 1.0, "gas") == 0.0
