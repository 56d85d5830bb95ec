"""The alert book: what becomes an alert, what becomes of it, and that replaying changes nothing."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from supervisor.core.alerts import NOTICES, Alert, AlertBook, AlertChange, AlertRules, Step
from supervisor.core.errors import InputError
from supervisor.core.events import Event, Kind, Severity, State, Value

FIRING = "2026-11-25-a1b2"


def event(
    elapsed_s: float,
    kind: Kind = Kind.STALL,
    severity: Severity = Severity.WARNING,
    state: State = State.RAISED,
    message: str = "The kiln has stopped climbing: look at the elements.",
    channel: str | None = None,
    cone: str | None = None,
) -> Event:
    data: dict[str, Value] = {"rate_c_per_h": 1.5}
    if cone is not None:
        data["cone"] = cone
    return Event(elapsed_s, kind, severity, state, message, channel, data=data)


def near(elapsed_s: float, cone: str, state: State = State.RAISED) -> Event:
    message = f"Cone {cone} " + ("is near." if state is State.RAISED else "is no longer awaited.")
    return event(elapsed_s, Kind.CONE_NEAR, Severity.INFO, state, message, cone=cone)


AT_ONCE = AlertRules(gather_s=0.0, flapping_every_s=0.0)
"""Nothing waits for anything else: gathering has tests of its own."""


def book(alerts: tuple[Alert, ...] = ()) -> AlertBook:
    return AlertBook(FIRING, "Big Bertha", alerts, rules=AT_ONCE)


def taken(alerts: AlertBook, new: Event) -> AlertChange:
    change = alerts.take(new)
    assert change is not None
    return change


def said(change: AlertChange | None) -> Mapping[str, object]:
    """The message of a change that is told at once."""
    assert change is not None
    assert change.message is not None
    return change.message


def test_a_condition_is_raised_once_and_cleared_once() -> None:
    alerts = book()
    raised = taken(alerts, event(60.0))
    assert [alert.id for alert in alerts.open_alerts] == [f"{FIRING}.stall.kiln.1"]
    assert alerts.take(event(61.0)) is None
    cleared = taken(alerts, event(90.0, state=State.CLEARED, message="It climbs again."))
    assert not alerts.open_alerts
    assert alerts.take(event(91.0, state=State.CLEARED)) is None
    assert (cleared.alert.id, cleared.alert.cleared_at_s) == (raised.alert.id, 90.0)
    assert said(cleared)["state"] == "cleared"
    assert said(cleared)["message"] == "It climbs again."


def test_a_message_says_everything_a_receiver_needs() -> None:
    change = taken(book(), event(60.0, channel="top"))
    assert json.loads(change.message_json()) == {
        "id": f"{FIRING}.stall.top.1#1",
        "alert": f"{FIRING}.stall.top.1",
        "firing": FIRING,
        "kiln": "Big Bertha",
        "kind": "stall",
        "severity": "warning",
        "state": "raised",
        "title": "The climb has stalled (top)",
        "channel": "top",
        "message": "The kiln has stopped climbing: look at the elements.",
        "elapsed_s": 60.0,
        "time": None,
        "standing_s": 0.0,
        "late_s": None,
        "escalated": False,
        "by": None,
        "data": {"rate_c_per_h": 1.5},
    }


@pytest.mark.parametrize("kind", [Kind.STEP_BEGUN, Kind.PHASE_BEGUN, Kind.LAGGING])
def test_plain_information_is_no_alert(kind: Kind) -> None:
    alerts = book()
    assert alerts.take(event(60.0, kind, Severity.INFO)) is None
    assert alerts.take(event(70.0, kind, Severity.INFO, State.CLEARED)) is None
    assert alerts.alerts == ()


@pytest.mark.parametrize("kind", sorted(NOTICES))
def test_news_that_sends_a_person_to_the_kiln_is_an_alert_until_it_is_read(kind: Kind) -> None:
    alerts = book()
    change = taken(alerts, event(60.0, kind, Severity.INFO))
    assert alerts.open_alerts == (change.alert,)
    alerts.acknowledge(change.alert.id, "Ann", 70.0)
    assert not alerts.open_alerts


def test_two_cones_down_in_the_same_second_are_two_alerts() -> None:
    alerts = book()
    first = taken(alerts, event(60.0, Kind.CONE_DOWN, Severity.INFO, message="Cone 5 is down."))
    second = taken(alerts, event(60.0, Kind.CONE_DOWN, Severity.INFO, message="Cone 6 is down."))
    assert first.alert.id != second.alert.id
    assert len(alerts.open_alerts) == 2


def test_a_cone_that_is_down_ends_its_own_alert_and_no_other() -> None:
    alerts = book()
    for new in (near(60.0, "10"), near(70.0, "11"), near(80.0, "10", State.CLEARED)):
        taken(alerts, new)
    assert [alert.data["cone"] for alert in alerts.open_alerts] == ["11"]
    taken(alerts, near(90.0, "11", State.CLEARED))
    assert not alerts.open_alerts


def test_a_restored_book_keeps_the_cones_apart() -> None:
    alerts = book()
    taken(alerts, near(60.0, "10"))
    taken(alerts, near(70.0, "11"))
    restored = book(alerts.alerts)
    assert restored.take(near(60.0, "10")) is None
    taken(restored, near(80.0, "10", State.CLEARED))
    assert [alert.data["cone"] for alert in restored.open_alerts] == ["11"]


def test_an_older_event_of_another_cone_is_not_taken_for_known() -> None:
    # After a crash between the two, only the later cone's alert may have been stored.
    alerts = book()
    taken(alerts, near(70.0, "11"))
    assert taken(alerts, near(60.0, "10")).alert.data["cone"] == "10"


def test_a_cone_is_near_once_at_a_time() -> None:
    alerts = book()
    taken(alerts, near(60.0, "10"))
    assert alerts.take(near(70.0, "10")) is None
    assert len(alerts.alerts) == 1


def test_a_cone_that_is_down_stays_on_the_list_until_it_is_read() -> None:
    alerts = book()
    taken(alerts, near(60.0, "10"))
    taken(alerts, near(80.0, "10", State.CLEARED))
    down = event(80.0, Kind.CONE_DOWN, Severity.INFO, message="Cone 10 is down.", cone="10")
    standing = taken(alerts, down).alert
    assert alerts.open_alerts == (standing,)


def test_a_fault_whose_cause_changes_is_two_alerts_that_survive_a_replay() -> None:
    told = [
        event(60.0, Kind.SENSOR_FAULT, message="Open.", channel="top"),
        event(90.0, Kind.SENSOR_FAULT, state=State.CLEARED, message="Other.", channel="top"),
        event(90.0, Kind.SENSOR_FAULT, Severity.CRITICAL, message="Voltage.", channel="top"),
    ]
    alerts = book()
    for one in told:
        taken(alerts, one)
    assert [alert.message for alert in alerts.open_alerts] == ["Voltage."]
    for stored in (1, 2):
        restored = book((replace(alerts.alerts[0]), *alerts.alerts[1:stored]))
        for one in told:
            restored.take(one)
        assert restored.open_alerts == alerts.open_alerts


def test_channels_are_kept_apart() -> None:
    alerts = book()
    taken(alerts, event(60.0, Kind.SENSOR_FAULT, channel="top"))
    taken(alerts, event(61.0, Kind.SENSOR_FAULT, channel="bottom"))
    taken(alerts, event(62.0, Kind.SENSOR_FAULT, state=State.CLEARED, channel="top"))
    assert [alert.channel for alert in alerts.open_alerts] == ["bottom"]


def test_names_that_look_alike_in_an_id_still_get_ids_of_their_own() -> None:
    alerts = book()
    one = taken(alerts, event(60.0, channel="top left"))
    other = taken(alerts, event(60.0, channel="top/left"))
    assert one.alert.id != other.alert.id


def test_an_acknowledged_condition_stays_open_until_it_clears() -> None:
    alerts = book()
    raised = taken(alerts, event(60.0))
    change = alerts.acknowledge(raised.alert.id, "Ann", 65.0, "2026-11-25T02:00:00+00:00")
    assert change is not None
    assert said(change)["state"] == "acknowledged"
    assert said(change)["by"] == "Ann"
    assert said(change)["time"] == "2026-11-25T02:00:00+00:00"
    assert alerts.open_alerts == (change.alert,)
    cleared = taken(alerts, event(90.0, state=State.CLEARED))
    assert said(cleared)["by"] is None
    assert cleared.alert.acknowledged_by == "Ann"


def test_the_first_to_acknowledge_stays_on_record() -> None:
    alerts = book()
    raised = taken(alerts, event(60.0))
    alerts.acknowledge(raised.alert.id, "Ann", 65.0)
    assert alerts.acknowledge(raised.alert.id, "Bob", 66.0) is None
    assert alerts.alerts[0].acknowledged_by == "Ann"


def test_an_unknown_alert_cannot_be_acknowledged() -> None:
    with pytest.raises(InputError, match=r'no alert "nonsense" in firing 2026-11-25-a1b2'):
        book().acknowledge("nonsense", "Ann", 1.0)


def test_a_condition_that_worsens_is_told_again_under_the_same_alert() -> None:
    alerts = book()
    first = taken(alerts, event(60.0, Kind.LAGGING))
    worse = taken(alerts, event(80.0, Kind.LAGGING, Severity.CRITICAL, message="Far behind."))
    assert worse.alert.id == first.alert.id
    assert said(worse)["id"] != said(first)["id"]
    assert said(worse)["severity"] == "critical"
    assert worse.alert.raised_at_s == 60.0
    assert (worse.alert.worsened_at_s, said(worse)["elapsed_s"]) == (80.0, 80.0)


def test_who_acknowledged_a_warning_has_not_seen_that_it_became_critical() -> None:
    alerts = book()
    first = taken(alerts, event(60.0, Kind.LAGGING))
    alerts.acknowledge(first.alert.id, "Ann", 70.0)
    worse = taken(alerts, event(80.0, Kind.LAGGING, Severity.CRITICAL, message="Far behind."))
    assert worse.alert.is_unanswered
    assert alerts.acknowledge(first.alert.id, "Bob", 90.0) is not None


def test_what_was_worse_and_cleared_does_not_come_back_on_replay() -> None:
    told = [
        event(60.0, Kind.LAGGING),
        event(80.0, Kind.LAGGING, Severity.CRITICAL, message="Far behind."),
        event(90.0, Kind.LAGGING, state=State.CLEARED),
    ]
    alerts = book()
    for one in told:
        taken(alerts, one)
    restored = book(alerts.alerts)
    assert [restored.take(one) for one in told] == [None, None, None]
    assert restored.alerts == alerts.alerts


def test_a_stored_alert_comes_back_the_same() -> None:
    alerts = book()
    taken(alerts, event(60.0, channel="Brennkammer ü"))
    alerts.acknowledge(alerts.alerts[0].id, "Ann", 65.0)
    stored = alerts.alerts[0]
    assert Alert.from_json(stored.to_json()) == stored


@pytest.mark.parametrize("line", ["", "[]", "{}", '{"kind": "stall"}', '{"kind": "hunger"}'])
def test_what_is_no_alert_is_said_to_be_none(line: str) -> None:
    with pytest.raises(InputError, match="not an alert of the record"):
        Alert.from_json(line)


KINDS = st.sampled_from(
    [Kind.STALL, Kind.SENSOR_FAULT, Kind.CONE_NEAR, Kind.CONE_DOWN, Kind.STEP_BEGUN]
)


@st.composite
def firings(draw: st.DrawFn) -> list[Event]:
    """Events in the order of their time: what the watch hands out.

    A condition says one thing at one instant; two cones may go down in the same one.
    """
    elapsed_s = 0.0
    now: set[tuple[Kind, str | None, str | None]] = set()
    events: list[Event] = []
    for number in range(draw(st.integers(0, 25))):
        kind = draw(KINDS)
        channel = draw(st.sampled_from([None, "top"]))
        cone = draw(st.sampled_from(["6", "7"])) if kind is Kind.CONE_NEAR else None
        if (kind, channel, cone) in now or draw(st.booleans()):
            elapsed_s += 1.0
            now.clear()
        comes_and_goes = kind not in NOTICES or kind is Kind.CONE_NEAR
        if comes_and_goes:
            now.add((kind, channel, cone))
        severity = (
            Severity.INFO
            if kind in {Kind.CONE_NEAR, Kind.CONE_DOWN, Kind.STEP_BEGUN}
            else draw(st.sampled_from([Severity.WARNING, Severity.CRITICAL]))
        )
        state = draw(st.sampled_from(State)) if comes_and_goes else State.RAISED
        events.append(event(elapsed_s, kind, severity, state, f"Message {number}.", channel, cone))
    return events


@given(firings(), st.integers(0, 25))
def test_a_crash_and_a_replay_change_nothing(events: list[Event], crash: int) -> None:
    steady = book()
    expected = [said(change) for one in events if (change := steady.take(one))]

    before = book()
    sent = [said(change) for one in events[:crash] if (change := before.take(one))]
    stored = tuple(Alert.from_json(alert.to_json()) for alert in before.alerts)
    after = book(stored)
    sent += [said(change) for one in events if (change := after.take(one))]

    assert sent == expected
    assert after.alerts == steady.alerts
    assert after.open_alerts == steady.open_alerts


@given(firings())
def test_no_two_messages_share_an_id_and_no_condition_is_open_twice(events: list[Event]) -> None:
    alerts = book()
    messages = [said(change) for one in events if (change := alerts.take(one))]
    ids = [message["id"] for message in messages]
    assert len(set(ids)) == len(ids)
    standing = [
        (a.kind, a.channel, a.data.get("cone"))
        for a in alerts.open_alerts
        if a.kind not in NOTICES or a.kind is Kind.CONE_NEAR
    ]
    assert len(set(standing)) == len(standing)
    for message in messages:
        assert Step(str(message["state"])) in {Step.RAISED, Step.CLEARED}
