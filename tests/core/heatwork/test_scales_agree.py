"""Heat-work is the same whether a person thinks in °C or in °F."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.heatwork import CONE_NAMES, HeatWork
from supervisor.core.phases import heatwork_of
from supervisor.core.schedule import Timeline, parse_schedule
from supervisor.core.units import Unit, f_from_c, to_c

STEPS = st.lists(
    st.tuples(st.floats(40.0, 300.0), st.floats(300.0, 1350.0), st.floats(0.0, 90.0)),
    min_size=1,
    max_size=5,
)


def written(steps: list[tuple[float, float, float]], unit: Unit) -> str:
    lines = ['name = "x"', f'units = "{unit.value}"']
    for rate, to, hold_min in steps:
        rate, to = (rate * 1.8, f_from_c(to)) if unit is Unit.F else (rate, to)
        lines += ["[[step]]", f"rate = {rate!r}", f"to = {to!r}", f"hold_min = {hold_min!r}"]
    return "\n".join(lines)


@given(STEPS)
def test_a_plan_in_either_scale_is_worth_the_same(steps: list[tuple[float, float, float]]) -> None:
    one, other = (heatwork_of(Timeline(parse_schedule(written(steps, unit)))).work for unit in Unit)
    for cone in CONE_NAMES:
        assert other[cone] == pytest.approx(one[cone], rel=1e-3, abs=1e-7), cone


@given(st.lists(st.floats(400.0, 1350.0), min_size=2, max_size=20))
def test_a_log_in_either_scale_is_worth_the_same(temps_c: list[float]) -> None:
    celsius, fahrenheit = HeatWork(), HeatWork()
    for n, temp_c in enumerate(temps_c):
        celsius.add(n * 300.0, temp_c)
        fahrenheit.add(n * 300.0, to_c(f_from_c(temp_c), Unit.F))
    one, other = celsius.progress().work, fahrenheit.progress().work
    for cone in CONE_NAMES:
        assert other[cone] == pytest.approx(one[cone], rel=1e-3, abs=1e-7), cone
