"""What the watch says is whole sentences for a potter, in the potter's own scale."""

from __future__ import annotations

import re

import pytest

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.phases import BANDS, cautions_for
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.schedule import Schedule, Timeline, parse_schedule
from supervisor.core.sensor_checks import SENSOR_CHECKS
from supervisor.core.units import Unit
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.wording import Words, show_duration
from tests.core.firings import (
    HOUR_S,
    Rig,
    as_planned,
    cooled,
    cut,
    interrupted,
    reached_s,
    seen,
    told,
)

TEXTS = {
    "C": """\
name = "in °C"
units = "C"
target_cone = "06"
[[step]]
rate = 90
to = 600
hold_min = 20
note = "Slow: wet ware."
[[step]]
rate = 150
to = 1000
hold_min = 20
[[step]]
to = 800
hold_min = 10
[[step]]
rate = 100
to = 700
""",
    "F": """\
name = "in °F"
units = "F"
target_cone = "06"
[[step]]
rate = 162
to = 1112
hold_min = 20
note = "Slow: wet ware."
[[step]]
rate = 270
to = 1832
hold_min = 20
[[step]]
to = 1472
hold_min = 10
[[step]]
rate = 180
to = 1292
""",
}


def everything(schedule: Schedule) -> list[Event]:
    """Events of every kind that the watch has."""
    points = as_planned(schedule)
    points = interrupted(points, reached_s(points, 400.0), 1800.0)
    points = interrupted(points, reached_s(points, 800.0), 1200.0, -150.0, 900.0)
    points = [(s, c + (20.0 if 985.0 < c <= 1000.0 else 0.0)) for s, c in points]
    points = cooled(points, 18 * HOUR_S)
    settings = WatchSettings(units=schedule.units, limit_c=1010.0)
    readings = seen(points, rig=Rig(every_s=10.0))
    events = told(schedule, readings[:2000] + readings[2060:], settings=settings)
    for cause in FaultCause:
        broken = [Reading(r.elapsed_s, {"kiln": None}, {"kiln": cause}) for r in readings[100:200]]
        events += told(schedule, readings[:100] + broken + readings[200:260], settings=settings)
    fading = cooled(cut(points, reached_s(points, 987.0)), HOUR_S)
    return events + told(schedule, seen(fading), settings=settings)


@pytest.fixture(scope="module", params=["C", "F"])
def said(request: pytest.FixtureRequest) -> tuple[str, list[Event]]:
    unit: str = request.param
    return unit, everything(parse_schedule(TEXTS[unit]))


def test_every_kind_is_said(said: tuple[str, list[Event]]) -> None:
    _, events = said
    not_yet = {Kind.LAGGING, Kind.HEAT_STUCK_ON, Kind.FAST_HEATING, Kind.FAST_COOLING}
    not_yet |= {Kind.UNEVEN, Kind.PHASE_BEGUN, Kind.TREND}
    assert {event.kind for event in events} >= set(Kind) - not_yet


def test_every_message_is_whole_sentences(said: tuple[str, list[Event]]) -> None:
    _, events = said
    for message in {event.message for event in events}:
        assert re.match(r"[A-Z]", message), message
        assert message.endswith("."), message
        assert ".." not in message, message
        assert "  " not in message, message
        assert not re.search(r"None|nan|inf\b|[{}]|_|-\d", message), message
        assert 20 <= len(message) <= 400, message


def test_every_alarm_says_what_to_go_and_look_at(said: tuple[str, list[Event]]) -> None:
    _, events = said
    for event in events:
        if event.state is State.RAISED and event.severity is not Severity.INFO:
            words = ("look", "check", "switch it off", "move the box", "swapped")
            assert any(word in event.message for word in words), event.message


def test_a_plan_in_fahrenheit_is_spoken_of_in_fahrenheit(said: tuple[str, list[Event]]) -> None:
    unit, events = said
    other = {"C": "°F", "F": "°C"}[unit]
    assert any(f"°{unit}" in event.message for event in events)
    assert [event.message for event in events if other in event.message] == []


def test_both_scales_tell_of_the_same_events() -> None:
    celsius, fahrenheit = (everything(parse_schedule(text)) for text in TEXTS.values())
    assert [(e.kind, e.state, e.channel) for e in celsius] == [
        (e.kind, e.state, e.channel) for e in fahrenheit
    ]
    for one, other in zip(celsius, fahrenheit, strict=True):
        assert other.elapsed_s == pytest.approx(one.elapsed_s, abs=30.0)


def test_every_message_that_names_a_cone_says_that_the_witness_cone_decides(
    said: tuple[str, list[Event]],
) -> None:
    _, events = said
    for event in events:
        if event.kind in (Kind.CONE_NEAR, Kind.CONE_DOWN) and event.state is State.RAISED:
            assert "witness cones decide" in event.message


def test_a_note_is_passed_on(said: tuple[str, list[Event]]) -> None:
    _, events = said
    first = next(event for event in events if event.kind is Kind.STEP_BEGUN)
    assert first.message.endswith("Note: Slow: wet ware.")


def test_every_cause_has_a_place_to_look() -> None:
    assert set(SENSOR_CHECKS) == set(FaultCause)


def test_a_figure_in_data_has_its_unit_in_its_name(said: tuple[str, list[Event]]) -> None:
    _, events = said
    plain = {"step", "steps", "cone", "work", "cause", "band"}
    for event in events:
        for name in event.data:
            assert name in plain or re.match(r"is_|.*(_c|_s|_c_per_h)$", name), name


@pytest.mark.parametrize("unit", list(Unit))
def test_cautions_and_reasons_speak_one_scale(unit: Unit) -> None:
    words = Words(unit)
    other = "°F" if unit is Unit.C else "°C"
    for band in BANDS:
        assert other not in band.reason(words), band.name
        assert "{" not in band.reason(words), band.name
    hasty = parse_schedule(
        'name = "x"\nkind = "bisque"\ntarget_cone = "6"\n[[step]]\nrate = 400\nto = 1000\n'
        "[[step]]\nrate = 400\nto = 100\n"
    )
    cautions = cautions_for(hasty, Timeline(hasty), words, limit_c=950.0)
    assert len(cautions) >= 6
    for caution in cautions:
        assert other not in caution, caution
        assert caution.endswith("."), caution


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0.0, "less than a minute"), (59.4, "less than a minute"), (59.9, "1 minute"),
     (60.0, "1 minute"), (89.0, "1 minute"), (91.0, "2 minutes"), (89 * 60.0, "89 minutes"),
     (5400.0, "1 h 30 min"), (7190.0, "2 h"), (86_400.0, "24 h")],
)  # fmt: skip
def test_a_length_of_time_is_said_as_people_do(seconds: float, words: str) -> None:
    assert show_duration(seconds) == words
