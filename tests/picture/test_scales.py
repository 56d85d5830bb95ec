"""Axes have few, round marks."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from supervisor.picture.scales import Axis, hour_step, marks, temp_step


@given(st.floats(1.0, 5000.0), st.integers(2, 12))
def test_marks_of_temperature_are_not_too_many_nor_too_few(span: float, most: int) -> None:
    step = temp_step(span, most)
    count = len(marks(0.0, span, step))
    assert most / 3.0 <= count <= most + 1


@given(st.floats(1 / 60, 20_000.0), st.integers(4, 20))
def test_marks_of_hours_are_not_too_many(hours: float, most: int) -> None:
    step = hour_step(hours, most)
    assert 1 <= len(marks(0.0, hours, step)) <= most + 1
    assert hours < 2.0 or step > hours / most / 4.0


@given(st.floats(-50.0, 50.0), st.floats(1.0, 2000.0), st.floats(0.0, 1.0))
def test_an_axis_keeps_its_ends_and_its_proportions(low: float, span: float, part: float) -> None:
    axis = Axis(low, low + span, 400.0, 100.0)
    assert (axis.place(low), axis.place(low + span)) == (400.0, 100.0)
    assert abs(axis.place(low + part * span) - (400.0 - 300.0 * part)) < 1e-6
