"""Falls between the charges of a fire are learned; one that is no more of them is known sooner."""

from __future__ import annotations

import pytest

from supervisor.core.events import Kind
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.detectors.charges import Charges
from tests.core.firings import HOUR_S, Points, Rig, cleared, plan, raised, seen, told


def stoked(charge_s: float = 240.0, burnt_s: float = 90.0) -> Charges:
    """Twenty charges, each of which lets the fire fall by 4 °C before the next."""
    charges = Charges()
    for n in range(20):
        charges.made_good(charge_s * n, 3.0 + n % 2, burnt_s - n)
    return charges


def test_a_fall_that_lasts_twice_as_long_must_be_a_fifth_deeper_and_7_degrees() -> None:
    charges = stoked(burnt_s=180.0)
    assert charges.missed_c(5000.0, 350.0) is None
    assert charges.missed_c(5000.0, 360.0) == 7.0
    charges.made_good(5000.0, 8.0, 60.0)
    assert charges.missed_c(5000.0, 360.0) == pytest.approx(9.6)
    assert stoked(burnt_s=90.0).missed_c(5000.0, 290.0) is None, "a stoke may be late"


@pytest.mark.parametrize("since_h", [0.5, 2.5])
def test_few_charges_say_nothing_nor_do_those_of_hours_ago(since_h: float) -> None:
    charges = stoked()
    now_s = 20 * 240.0 + since_h * HOUR_S
    assert (charges.missed_c(now_s, 900.0) is None) == (since_h > 2.0)
    few = Charges()
    for n in range(11):
        few.made_good(300.0 * n, 4.0, 60.0)
    assert few.missed_c(3500.0, 900.0) is None


def fire(charges: int, charge_s: float = 420.0) -> Points:
    """A wood fire: each charge lifts it by 18 °C and lets it fall by 4 °C in the last minute."""
    points = [(0.0, 20.0), (4 * HOUR_S, 500.0)]
    for _ in range(charges):
        at_s, at_c = points[-1]
        points += [(at_s + charge_s - 70.0, at_c + 18.0), (at_s + charge_s, at_c + 14.0)]
    return points


@pytest.mark.parametrize(("for_s", "count"), [(70.0, 0), (130.0, 0), (1200.0, 1)])
def test_a_fire_that_goes_out_is_told_before_it_has_fallen_by_11_degrees(
    for_s: float, count: int
) -> None:
    points = fire(24)
    out_s, out_c = points[-1]
    # The next charge comes late, or none does.
    points.append((out_s + for_s, out_c - for_s * 110.0 / HOUR_S))
    points.append((points[-1][0] + 300.0, points[-1][1] + 18.0))
    settings = WatchSettings(kiln_kind="wood")
    readings = seen(points, rig=Rig(every_s=5.0))
    lost = raised(told(plan("120 1000"), readings, settings=settings), Kind.HEAT_LOST)
    assert len(lost) == count
    for event in lost:
        fallen_c = event.data["fallen_c"]
        assert isinstance(fallen_c, float)
        assert 7.0 < fallen_c < 13.0
        assert event.elapsed_s - out_s <= 330.0


@pytest.mark.parametrize("at_c", [300.0, 700.0])
@pytest.mark.parametrize(("late_s", "fallen_c"), [(250.0, 15.0), (280.0, 13.0)])
def test_a_stoke_that_is_late_once_is_no_lost_heat(
    at_c: float, late_s: float, fallen_c: float
) -> None:
    """Its charges lift the kiln by 16 °C in three minutes, and burn down by 7 in the next two."""
    points = [(0.0, 20.0), ((at_c - 100.0) / 100.0 * HOUR_S, at_c - 100.0)]
    while points[-1][1] < at_c:
        at_s, from_c = points[-1]
        points += [(at_s + 180.0, from_c + 16.0), (at_s + 300.0, from_c + 9.0)]
    burns_s, top_c = points[-2]
    points[-1] = (burns_s + late_s, top_c - fallen_c)
    points += [(burns_s + late_s + 180.0, top_c + 5.0), (burns_s + late_s + 300.0, top_c - 2.0)]
    settings = WatchSettings(kiln_kind="wood")
    events = told(plan("100 1000"), seen(points, rig=Rig(every_s=5.0)), settings=settings)
    assert raised(events, Kind.HEAT_LOST) == []


def saw(charges: int, fall_c: float, charge_s: float = 480.0) -> Points:
    """A probe near the flame: each charge lifts it in two minutes, and burns down in six; the kiln
    climbs by 90 °C an hour."""
    points = [(0.0, 20.0), (4 * HOUR_S, 500.0)]
    for _ in range(charges):
        at_s, at_c = points[-1]
        points.append((at_s + 0.25 * charge_s, at_c + fall_c + 90.0 * charge_s / HOUR_S))
        points.append((at_s + charge_s, at_c + 90.0 * charge_s / HOUR_S))
    return points


@pytest.mark.parametrize("fall_c", [20.0, 35.0, 50.0])
def test_what_a_fire_makes_good_with_each_charge_is_told_twice_at_most_and_then_learned(
    fall_c: float,
) -> None:
    settings = WatchSettings(kiln_kind="wood")
    readings = seen(saw(40, fall_c), rig=Rig(every_s=10.0))
    events = told(plan("90 1200"), readings, settings=settings)
    lost, over = raised(events, Kind.HEAT_LOST), cleared(events, Kind.HEAT_LOST)
    assert len(lost) <= 2
    assert all(b.elapsed_s - a.elapsed_s < 480.0 for a, b in zip(lost, over, strict=True))


@pytest.mark.parametrize("fall_c", [20.0, 35.0])
def test_a_fire_that_goes_out_is_told_however_it_swung_before(fall_c: float) -> None:
    points = saw(30, fall_c)
    out_s, out_c = points[-1]
    points.append((out_s + HOUR_S, out_c - 200.0))
    settings = WatchSettings(kiln_kind="wood")
    readings = seen(points, rig=Rig(every_s=10.0))
    lost = raised(told(plan("90 1200"), readings, settings=settings), Kind.HEAT_LOST)
    after = [event.elapsed_s - out_s for event in lost if event.elapsed_s > out_s]
    # The last charge had burnt down by then as it always did.
    assert len(after) == 1
    assert 0.0 < after[0] <= 420.0
