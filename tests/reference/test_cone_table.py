"""Calculated cones against the published tables of temperature equivalents.

Each firing is fed to HeatWork as a kiln would: a straight climb from 25 °C, a value every ten
seconds, and the temperature is read off at the moment the cone is called down.

Sources:

* The Edward Orton Jr. Ceramic Foundation, *Temperature Equivalents for Orton Pyrometric Cones
  (°C), Cone Numbers 022-14* (2016), self-supporting and large cones at 60 and 150 °C/h, in
  ``cone-equivalents.csv`` beside this file.
* C. O. Fairchild and M. F. Peters, *Characteristics of pyrometric cones*, J. Am. Ceram. Soc. 9
  (11), 701-743, 1926: the figures at 20 °C/h, from memory. The cones of that time had other
  mixtures, so only a loose agreement can be asked. (``solve_cones.py`` lets their steps from 20
  to 150 °C/h pull a little; their temperatures are used here alone.)
* The text of the same chart on holds at a cone's own temperature, the hours from memory.
"""

from __future__ import annotations

import math
import statistics
from functools import cache
from importlib.resources import files

import pytest

from supervisor.core.heatwork import (
    CONE_NAMES,
    CONES,
    WHOLE_CONE_NAMES,
    HeatWork,
    seconds_of_hold,
)
from supervisor.core.units import c_from_f, f_from_c
from tests.reference import solve_cones

START_C = 25.0
PUBLISHED = solve_cones.published()
LARGE = solve_cones.published("large")
FAIRCHILD_PETERS_20_C = {
    cone: slow_c
    for cone, (slow_c, _) in solve_cones.FAIRCHILD_PETERS_C.items()
    if CONE_NAMES.index(cone) >= CONE_NAMES.index("08")
}
"""Cones 08 to 12 at 20 °C/h, °C, from memory (see above)."""


@cache
def equivalents(rate_c_per_h: float, every_s: float = 10.0) -> dict[str, float]:
    """Cone -> temperature in °C at which it is called down in a straight climb."""
    work = HeatWork()
    top_s = (1500.0 - START_C) / rate_c_per_h * 3600.0
    for n in range(int(top_s // every_s) + 1):
        work.add(n * every_s, START_C + rate_c_per_h * n * every_s / 3600.0)
    return {
        cone: START_C + rate_c_per_h * down_s / 3600.0
        for cone, down_s in work.progress().down_at_s.items()
    }


def deviations(rate_c_per_h: float, column: int) -> dict[str, float]:
    """Cone -> calculated minus published equivalent in °C."""
    found = equivalents(rate_c_per_h)
    return {cone: found[cone] - temps[column] for cone, temps in PUBLISHED.items()}


def test_the_table_has_every_cone_in_order_of_hardness() -> None:
    assert tuple(PUBLISHED) == CONE_NAMES
    assert CONE_NAMES[:3] == ("022", "021", "020")
    assert CONE_NAMES[-2:] == ("13", "14")
    assert len(CONE_NAMES) == 38


@pytest.mark.parametrize(("rate_c_per_h", "column"), [(60.0, 0), (150.0, 1)])
@pytest.mark.parametrize("cone", CONE_NAMES)
def test_a_cone_goes_down_at_its_published_equivalent(
    cone: str, rate_c_per_h: float, column: int
) -> None:
    assert equivalents(rate_c_per_h)[cone] == pytest.approx(PUBLISHED[cone][column], abs=1.0)


@pytest.mark.parametrize(("rate_c_per_h", "column"), [(60.0, 0), (150.0, 1)])
def test_the_worst_deviation_is_the_one_that_the_docs_state(
    rate_c_per_h: float, column: int
) -> None:
    off = deviations(rate_c_per_h, column)
    assert 0.9 < max(abs(value) for value in off.values()) <= 1.0, off


@pytest.mark.parametrize(
    "rate_c_per_h", [10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 80.0, 108.0, 150.0, 200.0, 300.0, 400.0]
)
def test_harder_cones_go_down_later_at_every_rate(rate_c_per_h: float) -> None:
    assert tuple(equivalents(rate_c_per_h, every_s=30.0)) == CONE_NAMES


def test_a_faster_climb_needs_a_higher_temperature() -> None:
    rates = (10.0, 20.0, 60.0, 150.0, 400.0)
    for cone in CONE_NAMES:
        temps = [equivalents(rate)[cone] for rate in rates]
        assert temps == sorted(temps), cone


def test_the_rows_for_fahrenheit_are_the_same_cones() -> None:
    # The °F edition of the chart: 108 °F/h for cones 06, 6 and 10 (check at three points).
    for cone, temp_f in (("06", 1828.0), ("6", 2232.0), ("10", 2345.0)):
        found_c = equivalents(c_from_f(108.0) - c_from_f(0.0))[cone]
        assert f_from_c(found_c) == pytest.approx(temp_f, abs=2.0 * 1.8)


def test_the_shipped_table_is_what_the_script_makes() -> None:
    text = files("supervisor.core.heatwork").joinpath("cones.csv").read_text(encoding="utf-8")
    header, *lines = text.splitlines()
    assert header == "cone,a_ln_per_s,b_k,t0_k"
    shipped = [line.split(",") for line in lines]
    made = solve_cones.rows()
    assert [row[0] for row in shipped] == [row[0] for row in made]
    for row, made_row in zip(shipped, made, strict=True):
        # The last digits may differ with the version of the solver, the cone may not.
        for figure, made_figure in zip(row[1:], made_row[1:], strict=True):
            assert float(figure) == pytest.approx(float(made_figure), rel=5e-4), row


def test_the_script_moves_no_figure_by_more_than_its_slack() -> None:
    for cone, (slow_c, fast_c) in solve_cones.smoothed(PUBLISHED).items():
        assert abs(slow_c - PUBLISHED[cone][0]) <= solve_cones.SLACK_C + 1e-6
        assert abs(fast_c - PUBLISHED[cone][1]) <= solve_cones.SLACK_C + 1e-6


def test_softening_is_of_the_order_of_a_viscous_glass() -> None:
    # An apparent activation energy outside some hundred to a thousand kJ/mol, at the cone's own
    # temperature, would be no silicate melt (general glass practice, no source).
    for cone, (temp_c, _) in PUBLISHED.items():
        growth_per_k = CONES[cone].growth_per_c(temp_c)
        q_kj_per_mol = growth_per_k * (temp_c + 273.15) ** 2 * 8.314462618 / 1000.0
        assert 250.0 < q_kj_per_mol < 1500.0, cone


@pytest.mark.parametrize(("cones_up", "low_h", "high_h"), [(1, 0.4, 2.5), (2, 2.0, 7.0)])
def test_a_hold_at_a_cones_own_temperature_goes_on_maturing(
    cones_up: int, low_h: float, high_h: float
) -> None:
    # The chart's text: 1 to 2 h for the next cone, 4 to 6 h for two cones higher (hours from
    # memory). Cones do not stand equally far apart, so the median is asked, loosely.
    hours = []
    for place, name in enumerate(WHOLE_CONE_NAMES[:-cones_up]):
        higher = CONES[WHOLE_CONE_NAMES[place + cones_up]]
        work = HeatWork()
        top_c, rate_c_per_h = PUBLISHED[name][0], 60.0
        for n in range(int((top_c - 20.0) / rate_c_per_h * 60.0) + 1):
            work.add(n * 60.0, 20.0 + n * rate_c_per_h / 60.0)
        hold_s = seconds_of_hold(higher, work.work_of(higher.name), top_c)
        hours.append(math.inf if hold_s is None else hold_s / 3600.0)
    assert low_h < statistics.median(hours) < high_h


@pytest.mark.parametrize("cone", sorted(LARGE, key=CONE_NAMES.index))
@pytest.mark.parametrize(("rate_c_per_h", "column"), [(60.0, 0), (150.0, 1)])
def test_large_cones_stand_a_little_below_the_calculated_ones(
    cone: str, rate_c_per_h: float, column: int
) -> None:
    # The chart's large cones lie 0 to 7 °C below the self-supporting (one, 05 at 150 °C/h, 2 °C
    # above); with the 0.9 °C of our table this is what the calculation must show.
    over_c = equivalents(rate_c_per_h)[cone] - LARGE[cone][column]
    assert -3.0 <= over_c <= 8.0


def test_a_slow_firing_agrees_loosely_with_the_cones_of_1926() -> None:
    off = {cone: equivalents(20.0)[cone] - temp for cone, temp in FAIRCHILD_PETERS_20_C.items()}
    assert max(abs(value) for value in off.values()) <= 27.0, off
    assert math.sqrt(sum(value**2 for value in off.values()) / len(off)) <= 15.0, off
