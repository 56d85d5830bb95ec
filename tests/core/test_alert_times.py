"""Reminders, escalation, quiet hours, storms: who is told again, who waits, and for how long."""

from __future__ import annotations

from dataclasses import replace

import pytest

from supervisor.core.alerts import Alert, AlertBook, AlertRules
from supervisor.core.errors import InputError
from supervisor.core.events import Kind, Severity, State
from tests.core.alert_night import FIRING, MIN_S, QUIET, Night

HOUR_S = 60 * MIN_S
CRITICAL = Severity.CRITICAL


def lost(night: Night, elapsed_s: float, state: State = State.RAISED) -> None:
    night.happens(elapsed_s, Kind.HEAT_LOST, CRITICAL, state, "The kiln is losing heat: look.")


def test_a_critical_alert_is_told_again_at_growing_distances_and_to_others_once() -> None:
    night = Night()
    lost(night, 10 * MIN_S)
    night.until(3 * HOUR_S)
    assert night.states() == [
        (10.0, "raised"),
        (15.0, "reminded"),
        (25.0, "escalated"),
        (45.0, "reminded"),
        (75.0, "reminded"),
        (105.0, "reminded"),
        (135.0, "reminded"),
        (165.0, "reminded"),
    ]
    ids = [message["id"] for message in night.told]
    assert ids == [f"{FIRING}.heat_lost.kiln.1#{n}" for n in range(1, 9)]
    assert [message["escalated"] for message in night.told] == [False] * 2 + [True] * 6
    (alert,) = night.book.alerts
    assert (alert.reminders, alert.reminded_at_s, alert.escalated_at_s) == (7, 9900.0, 1500.0)


def test_a_warning_is_told_again_more_rarely_and_never_goes_to_others() -> None:
    night = Night()
    night.happens(10 * MIN_S)
    night.until(8 * HOUR_S)
    assert night.states() == [
        (10.0, "raised"),
        (40.0, "reminded"),
        (100.0, "reminded"),
        (220.0, "reminded"),
        (400.0, "reminded"),
    ]


def test_a_notice_is_not_told_again() -> None:
    night = Night()
    night.happens(10 * MIN_S, Kind.CONE_DOWN, Severity.INFO, message="Cone 6: go and look.")
    night.until(8 * HOUR_S)
    assert night.states() == [(10.0, "raised")]


def test_what_is_acknowledged_is_told_no_more_and_everybody_hears_of_it() -> None:
    night = Night()
    lost(night, 10 * MIN_S)
    night.is_seen(12 * MIN_S)
    night.until(3 * HOUR_S)
    assert night.states() == [(10.0, "raised"), (12.0, "acknowledged")]
    assert night.told[-1]["by"] == "Ann"


def test_what_is_over_is_told_no_more() -> None:
    night = Night()
    lost(night, 10 * MIN_S)
    lost(night, 12 * MIN_S, State.CLEARED)
    night.until(3 * HOUR_S)
    assert night.states() == [(10.0, "raised"), (12.0, "cleared")]


def test_a_warning_that_becomes_critical_is_reminded_of_as_one() -> None:
    night = Night()
    night.happens(10 * MIN_S, Kind.LAGGING)
    night.is_seen(11 * MIN_S)
    night.happens(20 * MIN_S, Kind.LAGGING, CRITICAL, message="Far behind: go and look.")
    night.until(40 * MIN_S)
    assert night.states() == [
        (10.0, "raised"),
        (11.0, "acknowledged"),
        (20.0, "raised"),
        (25.0, "reminded"),
        (35.0, "escalated"),
    ]


@pytest.mark.parametrize(
    ("rules", "states"),
    [
        (AlertRules(remind_critical_s=0.0), ["raised", "escalated"]),
        (AlertRules(escalate_s=0.0), ["raised", "reminded", "reminded", "reminded"]),
        (AlertRules(remind_critical_s=0.0, escalate_s=0.0), ["raised"]),
    ],
)
def test_what_is_set_to_nought_does_not_happen(rules: AlertRules, states: list[str]) -> None:
    night = Night(rules)
    lost(night, 0.0)
    night.until(HOUR_S)
    assert [message["state"] for message in night.told] == states


def test_a_reminder_says_how_long_it_has_stood_by_now() -> None:
    night = Night()
    night.happens(
        600.0,
        data={"to_c": 1222.0, "planned_rate_c_per_h": 100.0, "since_s": 180.0},
    )
    night.until(45 * MIN_S)
    text = str(night.told[-1]["message"])
    assert text.startswith(
        "The kiln has hardly climbed for 37 minutes, where the plan climbs 100 °C an hour to "
        "1,222 °C. Go and look whether every element or burner still heats"
    )
    assert "7 minutes now" not in text
    assert night.told[-1]["standing_s"] == 37 * MIN_S


def test_an_escalation_says_that_nobody_has_answered() -> None:
    night = Night()
    lost(night, 600.0)
    night.until(1500.0)
    assert night.told[-1]["state"] == "escalated"
    assert str(night.told[-1]["message"]).startswith(
        "Nobody has acknowledged this for 15 minutes. The kiln has been losing heat for 15 minutes"
    )


def test_what_was_due_while_nobody_watched_is_told_once_and_marked_late() -> None:
    night = Night()
    lost(night, 600.0)
    night.happens(601.0)
    night.dies(600.0 + 5 * HOUR_S)
    night.until(700.0 + 5 * HOUR_S)
    late = night.told[2:]
    assert [(m["kind"], m["state"]) for m in late] == [
        ("heat_lost", "escalated"),
        ("stall", "reminded"),
    ]
    assert [m["late_s"] for m in late] == [
        pytest.approx(5 * HOUR_S - 15 * MIN_S + 10.0),
        pytest.approx(5 * HOUR_S - 30 * MIN_S + 9.0),
    ]
    assert str(late[0]["message"]).startswith("Late by 4 h 45 min, for nobody watched meanwhile. ")
    night.until(HOUR_S + 700.0 + 5 * HOUR_S)
    assert [m["late_s"] for m in night.told[4:]] == [None] * len(night.told[4:])
    assert len(night.told) > 4, "and reminders go on from there"


def test_several_warnings_that_are_due_together_are_told_as_one() -> None:
    night = Night(replace(AlertRules(), gather_s=0.0))
    for number, kind in enumerate((Kind.STALL, Kind.UNEVEN, Kind.OVERSHOOT)):
        night.happens(600.0 + number, kind)
    night.dies(3 * HOUR_S)
    night.until(3 * HOUR_S + 30.0)
    assert [m["state"] for m in night.told] == ["raised"] * 3 + ["summary"]
    assert night.told[-1]["late_s"] is not None
    assert str(night.told[-1]["message"]).count("Late by ") == 3


def test_five_alerts_within_a_minute_are_the_first_at_once_and_one_that_names_the_rest() -> None:
    night = Night()
    kinds = [Kind.STALL, Kind.UNEVEN, Kind.OVERSHOOT, Kind.FAST_HEATING, Kind.LAGGING]
    for number, kind in enumerate(kinds):
        night.happens(600.0 + 10 * number, kind, message=f"Number {number}: go and look.")
    night.until(20 * MIN_S)
    assert [(m["state"], m["elapsed_s"]) for m in night.told] == [
        ("raised", 600.0),
        ("summary", 660.0),
    ]
    summary = night.told[1]
    assert summary["title"] == "4 things to know of"
    for number in range(1, 5):
        assert f"Number {number}: go and look." in str(summary["message"])
    assert str(summary["message"]).count("\n") == 3
    parts = summary["alerts"]
    assert isinstance(parts, list)
    assert [part["kind"] for part in parts] == [kind.value for kind in kinds[1:]]
    assert summary["severity"] == "warning"
    assert summary["id"] == f"{FIRING}.summary#1"


def test_a_critical_alert_never_waits_for_others() -> None:
    night = Night()
    night.happens(600.0)
    lost(night, 605.0)
    lost(night, 615.0, State.CLEARED)
    assert [(m["kind"], m["state"], m["elapsed_s"]) for m in night.told] == [
        ("stall", "raised", 600.0),
        ("heat_lost", "raised", 605.0),
        ("heat_lost", "cleared", 615.0),
    ]


def test_one_that_came_soon_after_another_is_told_as_itself_a_minute_later() -> None:
    night = Night()
    night.happens(600.0)
    night.happens(620.0, Kind.UNEVEN, message="Uneven: look.")
    night.until(900.0)
    assert [(m["kind"], m["state"], m["message"]) for m in night.told[1:]] == [
        ("uneven", "raised", "Uneven: look.")
    ]
    assert night.told[1]["elapsed_s"] == 620.0, "when it happened, not when it was told"


def test_what_came_and_went_within_a_minute_is_told_as_over() -> None:
    night = Night()
    night.happens(600.0)
    night.happens(610.0, Kind.UNEVEN)
    night.happens(650.0, Kind.UNEVEN, state=State.CLEARED, message="Even again.")
    night.until(900.0)
    (summary,) = night.told[1:]
    assert summary["message"] == ("20:10: Over: The kiln is uneven, from 20:10. Even again.")
    assert summary["title"] == "One thing to know of"


def test_a_thermocouple_that_comes_and_goes_is_told_of_every_ten_minutes_not_each_time() -> None:
    night = Night()
    for number in range(60):
        for state in State:
            night.happens(
                600.0 + 60.0 * number + (30.0 if state is State.CLEARED else 0.0),
                Kind.SENSOR_FAULT,
                state=state,
                channel="top",
            )
    night.until(2 * HOUR_S)
    assert len(night.told) <= 12
    assert [m["state"] for m in night.told[:2]] == ["raised", "cleared"]
    named = 0
    for message in night.told:
        parts = message.get("alerts", [message])
        assert isinstance(parts, list)
        named += sum("raised" in part.get("states", [part.get("state")]) for part in parts)
    assert named == 60, "each is named once"


def test_what_comes_and_goes_does_not_keep_another_thing_back() -> None:
    night = Night()
    for number in range(10):
        for state in State:
            at_s = 600.0 + 60.0 * number + (30.0 if state is State.CLEARED else 0.0)
            night.happens(at_s, Kind.SENSOR_FAULT, state=state, channel="top")
    night.happens(1200.0, Kind.STALL)
    night.until(1270.0)
    parts = night.told[-1]["alerts"]
    assert isinstance(parts, list)
    assert "stall" in [part["kind"] for part in parts]


def test_what_comes_a_second_time_is_told_as_soon_as_the_first() -> None:
    night = Night()
    night.happens(600.0)
    night.happens(1000.0, state=State.CLEARED, message="It climbs again.")
    night.happens(1200.0)
    assert night.states() == [(10.0, "raised"), (1000.0 / 60.0, "cleared"), (20.0, "raised")]


def test_in_quiet_hours_warnings_and_notices_wait_until_the_morning_as_one() -> None:
    night = Night(QUIET)
    night.happens(3 * HOUR_S, message="Stalled: go and look.")
    night.happens(4 * HOUR_S, Kind.CONE_DOWN, Severity.INFO, message="Cone 6: go and look.")
    night.happens(5 * HOUR_S, Kind.UNEVEN, message="Uneven: look.")
    night.happens(6 * HOUR_S, Kind.UNEVEN, state=State.CLEARED, message="Even again.")
    night.until(11 * HOUR_S - 10.0)
    assert night.told == []
    assert [a.kind for a in night.book.open_alerts] == [Kind.STALL, Kind.CONE_DOWN], "the page"
    night.until(11 * HOUR_S)
    (morning,) = night.told
    assert morning["state"] == "summary"
    assert morning["message"] == (
        "23:00: Stalled: go and look.\n"
        "00:00: Cone 6: go and look.\n"
        "02:00: Over: The kiln is uneven, from 01:00. Even again."
    )


def test_a_critical_alert_breaks_the_quiet_and_so_do_its_reminders_and_its_end() -> None:
    night = Night(QUIET)
    lost(night, 3 * HOUR_S)
    night.until(3 * HOUR_S + 16 * MIN_S)
    lost(night, 3 * HOUR_S + 17 * MIN_S, State.CLEARED)
    assert [m["state"] for m in night.told] == ["raised", "reminded", "escalated", "cleared"]


def test_a_warning_that_waits_and_becomes_critical_is_told_at_once_and_once() -> None:
    night = Night(QUIET)
    night.happens(3 * HOUR_S, Kind.LAGGING)
    night.happens(4 * HOUR_S, Kind.LAGGING, CRITICAL, message="Far behind: go and look.")
    night.is_seen(4 * HOUR_S + 60.0)
    night.until(12 * HOUR_S)
    assert [m["state"] for m in night.told] == ["raised", "acknowledged"]


def test_a_reminder_of_a_warning_waits_for_the_morning() -> None:
    night = Night(QUIET)
    night.happens(HOUR_S, data={"since_s": 3300.0})
    night.until(12 * HOUR_S)
    assert night.states()[:4] == [
        (60.0, "raised"),
        (90.0, "reminded"),
        (660.0, "reminded"),
    ]
    assert night.told[2]["late_s"] is None, "it was kept back, not missed"
    assert "for 10 h 5 min" in str(night.told[2]["message"])


def test_an_acknowledgement_of_a_warning_wakes_nobody_either() -> None:
    night = Night(QUIET)
    night.happens(HOUR_S)
    night.is_seen(3 * HOUR_S)
    assert [m["state"] for m in night.told] == ["raised", "reminded"]
    night.until(12 * HOUR_S)
    assert [m["state"] for m in night.told] == ["raised", "reminded", "acknowledged"]
    assert night.told[-1]["by"] == "Ann"


def test_what_was_seen_before_the_morning_says_by_whom() -> None:
    night = Night(QUIET)
    night.happens(3 * HOUR_S, message="Stalled: go and look.")
    night.is_seen(4 * HOUR_S)
    night.until(11 * HOUR_S)
    assert [m["message"] for m in night.told] == [
        "23:00: Stalled: go and look. Acknowledged by Ann."
    ]


def test_without_a_clock_that_can_be_believed_nothing_is_silenced() -> None:
    night = Night(QUIET, knows_the_hour=False)
    night.happens(3 * HOUR_S)
    assert [m["state"] for m in night.told] == ["raised"]


def test_a_clock_that_becomes_doubtful_in_the_night_lets_out_what_waits() -> None:
    night = Night(QUIET)
    night.happens(3 * HOUR_S)
    night.until(4 * HOUR_S)
    assert night.told == []
    night.knows_the_hour = False
    night.until(4 * HOUR_S + 10.0)
    assert [m["state"] for m in night.told] == ["raised"]


def test_a_firing_that_is_left_for_good_tells_what_waits() -> None:
    night = Night(QUIET)
    night.happens(3 * HOUR_S, message="Stalled: go and look.")
    night.note(night.book.tell_all(night._now()))
    assert [m["message"] for m in night.told] == ["Stalled: go and look."]
    assert night.book.tell_all(night._now()) is None


def test_what_nobody_watches_any_more_is_not_told_again() -> None:
    night = Night()
    lost(night, 600.0)
    night.now_s = 5 * HOUR_S
    assert night.book.tick(night._now(), is_watched=False) == []


def test_an_alert_of_an_older_record_is_reminded_of_from_when_it_was_raised() -> None:
    old = Alert.from_json(
        '{"id": "f.stall.kiln.1", "firing": "f", "kind": "stall", "severity": "warning", '
        '"channel": null, "message": "Look.", "raised_at_s": 60.0, "messages": 1}'
    )
    book = AlertBook("f", "k", [old])
    night = Night()
    night.book = book
    night.until(40 * MIN_S)
    assert [(m["id"], m["state"]) for m in night.told] == [("f.stall.kiln.1#2", "reminded")]


def test_what_no_book_kept_is_said_to_be_none() -> None:
    for kept in ("", "[]", "{}", '{"gathers_until_s": "soon", "summaries": 1}'):
        with pytest.raises(InputError, match="not what an alert book keeps"):
            AlertBook("f", "k", kept=kept)
