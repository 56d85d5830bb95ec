"""How hot a kiln may be that is through with its plan: no hotter than what is left of the plan."""

from __future__ import annotations

import pytest

from supervisor.core.events import Kind
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors.ceiling import Ceiling
from tests.core.firings import HOUR_S, as_planned, cooled, plan, raised, seen, swinging, told

FIVE_MINUTES_S = 300.0


def test_heat_that_stays_on_after_a_last_hold_on_the_way_down_is_told_far_below_the_peak() -> None:
    """Nothing that is left of the plan is hotter than that hold, give or take 25 °C between two
    thermocouples (ASTM E230, class 2 of type K: 9 °C at 1,250 °C; place and ageing besides)."""
    schedule = plan("150 1100 10", "200 900 30")
    points = as_planned(schedule)
    end_s, end_c = points[-1]
    # All elements on: common practice, no source.
    welded = [*points, (end_s + 1200.0, end_c + 160.0)]
    (first, *_) = raised(told(schedule, seen(welded)), Kind.HEAT_STUCK_ON)
    assert end_s < first.elapsed_s <= end_s + FIVE_MINUTES_S


@pytest.mark.parametrize("kind", ["electric", "gas"])
def test_a_cold_kiln_that_heats_when_its_plan_has_come_down_is_told_however_it_was_worked(
    kind: str,
) -> None:
    """A controller that swings looks like a hand; but nobody turns it up again at 100 °C. Whoever
    fires with gas may light it for the next load."""
    schedule = plan("150 600", "- 100")
    swung = swinging(as_planned(plan("150 600")), 12.0, 600.0)
    fallen = cooled(swung, 10.2 * HOUR_S)
    onset_s, onset_c = fallen[-1]
    assert onset_c < 100.0
    welded = [*fallen, (onset_s + 1200.0, onset_c + 130.0)]
    events = told(schedule, seen(welded), settings=WatchSettings(kiln_kind=kind))
    said = raised(events, Kind.HEAT_STUCK_ON)
    assert len(said) == (kind == "electric")
    assert all(onset_s < e.elapsed_s <= onset_s + FIVE_MINUTES_S for e in said)


def test_what_was_told_is_told_again_only_of_a_kiln_that_is_hotter_or_was_let_go() -> None:
    """Who fires with gas on above the top, told of it once, holds there (no source)."""
    ceiling = Ceiling()
    assert not ceiling.was_told(1200.0)
    ceiling.is_told(1190.0)
    ceiling.is_told(1219.0)
    ceiling.is_told(1211.0)
    assert ceiling.was_told(1214.0)
    assert not ceiling.was_told(1220.0)
    # Let go, and heated again.
    assert not ceiling.was_told(1200.0)
    assert not ceiling.was_told(1214.0)
