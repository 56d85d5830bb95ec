"""What a plan does to the ware: its phases, its cautions, its heat-work and the hold it needs."""

from __future__ import annotations

import math

import pytest

from supervisor.core.heatwork import CONES, HeatWork
from supervisor.core.phases import BANDS, cautions_for, heatwork_of, hold_for, phases_of
from supervisor.core.schedule import Schedule, Timeline, parse_schedule, starter, starter_names
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.firings import HOUR_S, plan

CELSIUS = Words(Unit.C)


def bisque(*steps: str, kind: str = "bisque", atmosphere: str = "oxidation") -> Schedule:
    lines = ['name = "x"', f'kind = "{kind}"', f'atmosphere = "{atmosphere}"']
    for step in steps:
        rate, to = step.split()
        lines += ["[[step]]", f"rate = {rate}", f"to = {to}"]
    return parse_schedule("\n".join(lines))


def names(schedule: Schedule) -> list[str]:
    return [phase.band.name for phase in phases_of(schedule, Timeline(schedule))]


def test_a_bisque_goes_through_its_phases_in_order_of_time() -> None:
    assert names(bisque("60 1000", "100 20")) == [
        "drying",
        "chemical water",
        "quartz turns",
        "burning out",
        "quartz turns back",
        "cristobalite turns back",
        "opening",
    ]


def test_body_reduction_belongs_to_a_reduction_firing() -> None:
    assert "body reduction" in names(bisque("60 1280", kind="glaze", atmosphere="reduction"))
    assert "body reduction" not in names(bisque("60 1280", kind="glaze"))


def test_a_phase_has_the_times_and_the_rate_of_the_plan() -> None:
    schedule = bisque("100 1020")
    drying, *_ = phases_of(schedule, Timeline(schedule))
    assert (drying.start_s, drying.end_s) == pytest.approx((0.0, HOUR_S))
    assert drying.rate_c_per_h == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("steps", "band"),
    [
        (("150 200", "60 1000"), "drying"),
        (("60 400", "300 640", "60 1000"), "chemical water"),
        (("60 620", "400 950"), "burning out"),
        (("60 1000", "300 300", "50 100"), "quartz turns back"),
        (("60 1000", "80 300", "300 100"), "cristobalite turns back"),
    ],
)
def test_a_hurry_through_a_band_is_cautioned(steps: tuple[str, ...], band: str) -> None:
    schedule = bisque(*steps)
    cautions = cautions_for(schedule, Timeline(schedule), CELSIUS)
    assert any(f"“{band}”" in caution for caution in cautions), cautions


def test_a_gentle_plan_has_no_cautions() -> None:
    schedule = bisque("60 1000", "60 100")
    assert cautions_for(schedule, Timeline(schedule), CELSIUS) == []


def test_a_peak_above_the_kilns_limit_is_cautioned() -> None:
    schedule = starter("highfire-reduction")
    (caution,) = cautions_for(schedule, Timeline(schedule), CELSIUS, limit_c=1260.0)
    assert "1,260 °C" in caution
    assert "do not fire it in this kiln" in caution


@pytest.mark.parametrize(("cone", "words"), [("9", "reaches only"), ("2", "overfired")])
def test_a_cone_that_does_not_fit_the_peak_is_cautioned(cone: str, words: str) -> None:
    schedule = plan("100 1000", "60 1205 20", cone=cone)
    cautions = cautions_for(schedule, Timeline(schedule), CELSIUS)
    assert any(words in caution for caution in cautions), cautions


@pytest.mark.parametrize("name", starter_names())
def test_the_heat_work_of_a_plan_is_that_of_a_kiln_that_keeps_it_and_cools(name: str) -> None:
    timeline = Timeline(starter(name))
    work = HeatWork()
    for n in range(int((timeline.total_s + 2.0 * HOUR_S) // 10.0) + 1):
        after_s = max(n * 10.0 - timeline.total_s, 0.0)
        above_c = timeline.at(n * 10.0) - 20.0
        work.add(n * 10.0, 20.0 + above_c * math.exp(-after_s / (5.0 * HOUR_S)))
    exact = work.progress().work
    for cone, done in heatwork_of(timeline).work.items():
        assert done == pytest.approx(exact[cone], rel=0.01, abs=1e-4), cone


@pytest.mark.parametrize("cone", ["5", "6", "7"])
def test_the_hold_that_is_proposed_brings_the_cone_down(cone: str) -> None:
    schedule = plan("150 1090", "60 1195")
    hold_min = hold_for(cone, schedule, Timeline(schedule))
    assert hold_min is not None
    held = plan("150 1090", f"60 1195 {max(hold_min, 0.0):.6f}")
    work = heatwork_of(Timeline(held)).work[cone]
    assert work == pytest.approx(1.0, abs=0.01) if hold_min > 0.0 else work >= 1.0


def test_a_hold_of_days_is_not_proposed() -> None:
    schedule = plan("100 1000")
    assert hold_for("10", schedule, Timeline(schedule)) is None
    assert CONES["10"].rate_per_s(1000.0) * 48 * HOUR_S < 1.0


def test_every_band_names_its_source() -> None:
    for band in BANDS:
        assert len(band.source) > 10
        assert (band.to_c < band.from_c) is band.cooling
