"""What is said of a condition that stands: whole sentences, its length and where to look."""

from __future__ import annotations

import re
from functools import cache

import pytest

from supervisor.core.alerts import TITLES, Alert, AlertBook, AlertRules, Now
from supervisor.core.alerts.standing import standing_message, standing_s
from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.readings import FaultCause
from supervisor.core.units import Unit
from supervisor.core.watch.settings import KILN_KINDS
from supervisor.core.watch.wording import Words
from tests.core.watch.test_every_detector import eventful, whole

LOOK = re.compile(
    r"\b(look|check|switch it off|switch the kiln off|move the box|turn down)\b", re.IGNORECASE
)
ALARMS = {
    Kind.STALL, Kind.LAGGING, Kind.OVERSHOOT, Kind.HEAT_LOST, Kind.HEAT_STUCK_ON,
    Kind.OVER_LIMIT, Kind.FAST_HEATING, Kind.FAST_COOLING, Kind.UNEVEN, Kind.SENSOR_FAULT,
    Kind.NO_READINGS,
}  # fmt: skip
"""Every kind that is ever a warning or critical (the table in DEVELOPERS.md)."""


@cache
def alarms() -> tuple[Event, ...]:
    """Every warning and critical alert of a firing in which nearly everything happens."""
    return tuple(
        event
        for event in whole(eventful())
        if event.state is State.RAISED and event.severity is not Severity.INFO
    )


def made_up(kind: Kind, **data: Value) -> Alert:
    return Alert("f.x.kiln.1", "f", kind, Severity.WARNING, "top", "Look.", 600.0, data=data)


def every_alert() -> list[Alert]:
    """Alerts as the watch raises them, and of what that firing does not have, as it would."""
    book = AlertBook("f", "k", rules=AlertRules(gather_s=0.0))
    for event in alarms():
        book.take(event)
    lagging = made_up(Kind.LAGGING, late_s=4000.0, temp_c=1100.0, ends_c=1150.0, to_c=1200.0)
    faults = [made_up(Kind.SENSOR_FAULT, cause=cause.value) for cause in FaultCause]
    bare = [made_up(kind) for kind in sorted(ALARMS)]
    left = made_up(Kind.UNEVEN, hot="top", cold="low", apart_c=30.0, allowed_c=40.0, left_c=22.0)
    return [*book.alerts, lagging, left, *faults, *bare]


def test_every_alarm_of_the_watch_ends_with_what_to_go_and_look_at() -> None:
    assert {event.kind for event in alarms()} >= ALARMS - {Kind.LAGGING}
    for event in alarms():
        assert LOOK.search(event.message), event.message
        assert event.message.endswith("."), event.message


@pytest.mark.parametrize("unit", list(Unit))
@pytest.mark.parametrize("kiln_kind", [None, "steam", *KILN_KINDS])
def test_what_stands_is_said_in_whole_sentences_with_its_length(
    unit: Unit, kiln_kind: str | None
) -> None:
    other = "°F" if unit is Unit.C else "°C"
    for alert in every_alert():
        now = Now(alert.raised_at_s + 2 * 3600.0, temp_c=1005.0)
        text = standing_message(alert, now, Words(unit), kiln_kind)
        assert re.match(r"[A-Z“]", text), text
        assert text.endswith("."), text
        assert LOOK.search(text), text
        assert other not in text, text
        assert not re.search(r"None|nan|[{}*_]|\.\.|  |-\d", text), text
        lasts = standing_s(alert, now.elapsed_s)
        assert lasts >= 2 * 3600.0
        assert re.search(r"\b2 h( \d+ min)?\b", text), text
        assert len(text) <= 600, text


def test_a_kind_that_is_never_an_alarm_still_says_how_long_it_stands() -> None:
    alert = made_up(Kind.STEP_BEGUN)
    text = standing_message(alert, Now(600.0 + 3600.0), Words(Unit.C), None)
    assert text == "This has stood for 60 minutes. When it began: Look."


def test_time_counts_from_when_the_trouble_began_not_from_when_it_was_noticed() -> None:
    assert standing_s(made_up(Kind.STALL, since_s=180.0), 1200.0) == 1020.0
    assert standing_s(made_up(Kind.NO_READINGS, last_reading_s=480.0), 1200.0) == 720.0
    assert standing_s(made_up(Kind.STALL, since_s="long ago"), 1200.0) == 600.0
    assert standing_s(made_up(Kind.STALL), 0.0) == 0.0


def test_what_the_kiln_reads_now_is_said_where_that_is_the_matter() -> None:
    now = Now(1200.0, temp_c=845.2)
    said = standing_message(made_up(Kind.HEAT_LOST, temp_c=900.0), now, Words(Unit.F), "gas")
    assert said.startswith(
        "The kiln has been losing heat for 10 minutes; it was at 1,652 °F when that was noticed. "
        "It reads 1,553 °F now. Go and look at the burners"
    )
    blind = standing_message(made_up(Kind.NO_READINGS), now, Words(Unit.F), "gas")
    assert "now" not in blind


def test_every_kind_has_a_title_of_its_own() -> None:
    assert set(TITLES) == set(Kind)
    assert len(set(TITLES.values())) == len(TITLES)


def test_a_kiln_that_ran_ahead_in_a_climb_is_not_said_to_climb_where_it_should_not() -> None:
    ahead = made_up(Kind.HEAT_STUCK_ON, temp_c=300.0, planned_rate_c_per_h=110.0)
    now, words = Now(1200.0, temp_c=380.0), Words(Unit.C)
    assert standing_message(ahead, now, words, "electric").startswith(
        "For 10 minutes the kiln has climbed faster than its plan; it was at 300 °C when"
    )
    other = standing_message(made_up(Kind.HEAT_STUCK_ON), now, words, "electric")
    assert other.startswith("For 10 minutes the kiln has climbed where its plan says it should not")
