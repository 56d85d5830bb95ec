"""Units, events and places in TOML: the small parts that everything else leans on."""

from __future__ import annotations

import json
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.errors import InputError, PeerError, RecordError, RigError, SpyholeError
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.toml_places import line_of, parse_toml, shown
from supervisor.core.units import (
    Unit,
    c_from_f,
    difference_from_c,
    difference_to_c,
    f_from_c,
    from_c,
    show_difference,
    show_rate,
    show_temp,
    to_c,
)

TEMPS = st.floats(-300.0, 3000.0)


@pytest.mark.parametrize(
    ("temp_c", "temp_f"), [(-40.0, -40.0), (0.0, 32.0), (100.0, 212.0), (1222.0, 2231.6)]
)
def test_fahrenheit_is_as_defined(temp_c: float, temp_f: float) -> None:
    assert f_from_c(temp_c) == pytest.approx(temp_f)
    assert c_from_f(temp_f) == pytest.approx(temp_c)


@given(TEMPS, st.sampled_from(Unit))
def test_there_and_back_is_where_it_was(temp_c: float, unit: Unit) -> None:
    assert to_c(from_c(temp_c, unit), unit) == pytest.approx(temp_c, abs=1e-9)
    assert difference_to_c(difference_from_c(temp_c, unit), unit) == pytest.approx(temp_c, abs=1e-9)


@given(TEMPS, TEMPS)
def test_a_difference_has_no_zero_point(one_c: float, other_c: float) -> None:
    in_f = f_from_c(one_c) - f_from_c(other_c)
    assert difference_from_c(one_c - other_c, Unit.F) == pytest.approx(in_f, abs=1e-6)


def test_temperatures_are_shown_to_the_degree() -> None:
    assert show_temp(1222.4, Unit.C) == "1,222 °C"
    assert show_temp(1222.4, Unit.F) == "2,232 °F"
    assert show_difference(10.0, Unit.F) == "18 °F"
    assert show_rate(60.0, Unit.C) == "60 °C an hour"


def event(message: str = "x", time: str | None = None) -> Event:
    return Event(1.5, Kind.STALL, Severity.WARNING, State.RAISED, message, "top", time, {"a_c": 1})


@given(st.text(), st.none() | st.text())
def test_an_event_is_one_line_that_reads_back(message: str, time: str | None) -> None:
    line = event(message, time).to_json()
    assert "\n" not in line
    assert json.loads(line) == {
        "elapsed_s": 1.5,
        "time": time,
        "kind": "stall",
        "severity": "warning",
        "state": "raised",
        "channel": "top",
        "message": message,
        "data": {"a_c": 1},
    }


def test_an_event_with_no_number_is_never_written() -> None:
    bad = Event(float("nan"), Kind.STALL, Severity.INFO, State.RAISED, "x")
    with pytest.raises(ValueError, match="JSON"):
        bad.to_json()


def test_each_error_has_the_exit_code_of_what_can_be_done_about_it() -> None:
    assert InputError("x").exit_code == 1
    assert [e.exit_code for e in (RigError, PeerError, RecordError)] == [3, 3, 3]
    assert all(issubclass(e, SpyholeError) for e in (InputError, RigError, PeerError, RecordError))
    assert str(InputError("wrong", where="a.toml, line 2")) == "a.toml, line 2: wrong"


TEXT = """\
# a remark with rate in it
name = "rate"
[[step]]
rate = 1
[[step]]
note = '''
rate = 9
'''
rate = 2
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2),
        (("step", 0), 3),
        (("step", 0, "rate"), 4),
        (("step", 1), 5),
        (("step", 1, "rate"), 9),
        (("step", 2), None),
        (("rate",), None),
        ((), None),
    ],
)
def test_a_value_is_found_on_its_line(path: tuple[str | int, ...], line: int | None) -> None:
    assert line_of(TEXT, path) == line


@given(st.text(max_size=200))
def test_toml_is_read_as_python_reads_it_or_refused_in_a_sentence(text: str) -> None:
    try:
        expected = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises(InputError) as caught:
            parse_toml(text, "x.toml")
        assert str(caught.value).startswith("x.toml, line ")
    else:
        assert repr(parse_toml(text, "x.toml")) == repr(expected)


@given(st.one_of(st.text(), st.integers(), st.floats(), st.lists(st.text())))
def test_a_value_is_shown_short_and_printable(value: object) -> None:
    text = shown(value)
    assert len(text) <= 40
    assert text.isprintable()
