"""The columns and the numbers of a log."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.log_format import LogFormat, meant, tame
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.units import Unit, c_from_f


@given(st.floats(-1e9, 1e9), st.floats(-300.0, 3000.0))
def test_seconds_and_celsius_come_back_exactly(elapsed_s: float, temp_c: float) -> None:
    cells = LogFormat(("kiln",)).cells(Reading(elapsed_s, {"kiln": temp_c}))
    assert [float(cell) for cell in cells] == [elapsed_s, temp_c]


@given(st.integers(-300 * 128, 3000 * 128))
def test_every_step_of_a_converter_can_be_told_in_fahrenheit(steps: int) -> None:
    # MAX31856 datasheet: 19 bits, 0.0078125 °C a step.
    temp_c = steps / 128.0
    cell = LogFormat(("kiln",), Unit.F).cells(Reading(0.0, {"kiln": temp_c}))[1]
    assert round(c_from_f(float(cell)) * 128.0) == steps
    assert len(cell.partition(".")[2]) <= 7


def test_columns_come_in_the_order_of_the_channels() -> None:
    log = LogFormat(("top", "low"), Unit.F, with_time=True, faulty=frozenset({"low", "top"}))
    assert log.header() == ["elapsed_s", "time", "top_f", "low_f", "top_fault", "low_fault"]
    reading = Reading(2.0, {"low": 0.0, "top": None}, {"top": FaultCause.OPEN}, "20:00")
    assert log.cells(reading) == ["2", "20:00", "", "32", "open", ""]
    assert log.cells(Reading(3.0, {"low": 0.0, "top": 1.0})) == ["3", "", "33.8", "32", "", ""]


def test_a_fault_is_never_left_out() -> None:
    with pytest.raises(ValueError, match="no column for a fault of top"):
        LogFormat(("top",)).cells(Reading(0.0, {"top": None}, {"top": FaultCause.OPEN}))


@pytest.mark.parametrize("name", ["=1+1", "+49", "-1", "@SUM(A1)", "\t=1", "\r=1", "'=1", "''-1"])
def test_no_channels_name_is_a_formula_in_a_spreadsheet(name: str) -> None:
    """The characters of OWASP's CSV Injection."""
    log = LogFormat((name,), faulty=frozenset({name}))
    assert log.header() == ["elapsed_s", f"'{name}_c", f"'{name}_fault"]
    assert [meant(cell) for cell in log.header()[1:]] == [f"{name}_c", f"{name}_fault"]


@given(st.text(alphabet="'=+-@ab\t"))
def test_a_tamed_cell_means_what_it_meant(text: str) -> None:
    assert meant(tame(text)) == text
    assert not tame(text).startswith(("=", "+", "-", "@", "\t", "\r"))
