"""Reminders, escalation and quiet hours in the record: told once over any number of crashes."""

from __future__ import annotations

import asyncio
import json
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from supervisor.core.alerts import AlertRules
from supervisor.core.alerts.alert import NOTICES
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.readings import FaultCause, Reading
from supervisor.messaging.destinations import Destination
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.service.keeper import COLD
from supervisor.service.posting import NO_LONGER_WATCHED, tell_leftovers
from supervisor.service.shapes import alert_shape
from supervisor.service.status import status_json
from tests.service.firings import TOPIC, Kept, begin, event_lines, keep, night
from tests.service.test_keeper import crashed, stalled

ALWAYS_QUIET = AlertRules(quiet_from_min=0, quiet_to_min=24 * 60 - 1)


def told(record: Record) -> list[dict[str, Any]]:
    record.flush().result(10.0)
    return [json.loads(message.payload) for message in record.waiting_messages(limit=1000)]


def states(record: Record) -> list[str]:
    """What became of the alerts, but for the thermocouples that a silent rig takes along."""
    return [message["state"] for message in of_the_kiln(told(record))]


def of_the_kiln(messages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [message for message in messages if message["kind"] not in ("sensor_fault", None)]


def silent(record: Record, minutes: int) -> tuple[Kept, Firing]:
    """A firing in which the rig falls silent: the last readings have no values."""
    firing = begin(record)
    kept = keep(record, firing)
    kept.feed(*night()[:200])
    kept.feed(*blanks(minutes))
    return kept, firing


def blanks(minutes: int, after_s: float | None = None) -> list[Reading]:
    last = night()[199]
    start_s = last.elapsed_s if after_s is None else after_s
    empty: dict[str, float | None] = dict.fromkeys(last.temps_c)
    return [Reading(start_s + 20.0 * n, empty) for n in range(1, 3 * minutes + 1)]


def test_a_critical_alert_that_nobody_sees_is_told_again_and_goes_to_others(
    record: Record,
) -> None:
    kept, firing = silent(record, 20)
    assert states(record) == ["raised", "reminded", "escalated"]
    (alert,) = (a for a in record.alerts(firing.id) if a.kind is Kind.NO_READINGS)
    assert (alert.reminders, alert.messages) == (2, 3)
    assert alert.escalated_time is not None
    assert record.alert_book(firing.id) == kept.keeper.book.kept
    said = of_the_kiln(told(record))
    assert "No thermocouple has given a usable value for 17 minutes" in said[2]["message"]
    assert kept.wakes


def test_status_and_page_say_how_often_it_was_told_again_and_that_others_were(
    record: Record,
) -> None:
    kept, _ = silent(record, 20)
    (alert,) = (a for a in kept.keeper.book.open_alerts if a.kind is Kind.NO_READINGS)
    told_s = alert.raised_at_s + 15 * 60.0
    expected = kept.clock.label(told_s)
    status = json.loads(status_json(kept.keeper))
    (shown,) = (one for one in status["open_alerts"] if one["kind"] == "no_readings")
    assert (shown["reminders"], shown["acknowledged"]) == (2, False)
    assert shown["reminded_at"] == shown["escalated_at"]
    assert abs(seconds_between(shown["escalated_at"], expected)) <= 40.0
    on_page = alert_shape(alert)
    assert (on_page.reminders, on_page.reminded_at, on_page.escalated_at) == (
        2,
        shown["reminded_at"],
        shown["escalated_at"],
    )


def seconds_between(one: str, other: str) -> float:
    return (datetime.fromisoformat(one) - datetime.fromisoformat(other)).total_seconds()


def test_reminders_come_by_the_clock_though_no_reading_does(record: Record) -> None:
    kept, _ = silent(record, 3)
    assert states(record) == ["raised"]
    kept.clock.now_s += 299.0
    assert kept.keeper.tick()
    assert not kept.keeper.tick(), "once"
    assert states(record) == ["raised", "reminded"]


@pytest.mark.parametrize("minutes", [1, 3, 5, 8, 12, 18, 25])
def test_a_crash_at_any_time_tells_nothing_twice_and_loses_nothing(
    record: Record, tmp_path: Path, minutes: int
) -> None:
    whole = blanks(40)
    kept, firing = silent(record, minutes)
    with crashed(record, tmp_path / "again") as again:
        resumed = keep(again, again.firing(firing.id))
        asyncio.run(resumed.keeper.resume(lambda _reading: None))
        before = told(again)
        assert before == told(record)
        resumed.feed(*whole[3 * minutes :])
        kept.feed(*whole[3 * minutes :])
        assert told(again) == told(record)
        assert again.alerts(firing.id) == record.alerts(firing.id)
        ids = [message["id"] for message in told(again)]
        assert len(set(ids)) == len(ids) > 3


def test_what_was_due_while_the_daemon_was_down_comes_once_and_late(
    record: Record, tmp_path: Path
) -> None:
    _, firing = silent(record, 3)
    with crashed(record, tmp_path / "again") as again:
        resumed = keep(again, again.firing(firing.id))
        asyncio.run(resumed.keeper.resume(lambda _reading: None))
        assert states(again) == ["raised"], "nothing of it before the kiln is seen again"
        resumed.feed(*blanks(2, night()[199].elapsed_s + 4 * 3600.0))
        assert states(again) == ["raised", "escalated"]
        late = of_the_kiln(told(again))[1]
        assert late["late_s"] == pytest.approx(4 * 3600.0 - 17 * 60.0, abs=60.0)
        assert late["message"].startswith("Late by 3 h 4")


def test_quiet_hours_silence_messages_and_neither_record_nor_page(
    record: Record, tmp_path: Path
) -> None:
    firing = begin(record)
    kept = keep(record, firing, rules=ALWAYS_QUIET)
    count = kept.until(night(), lambda: stalled(kept))
    assert states(record) == []
    assert [alert.kind for alert in record.alerts(firing.id)] == [Kind.STALL]
    assert record.events(firing.id)[-1].kind is Kind.STALL
    assert [alert.kind for alert in kept.keeper.book.open_alerts] == [Kind.STALL]
    with crashed(record, tmp_path / "again") as again:
        awake = keep(again, again.firing(firing.id))
        asyncio.run(awake.keeper.resume(lambda _reading: None))
        awake.feed(night()[count])
        assert [(m["kind"], m["state"]) for m in told(again)] == [("stall", "raised")]


def test_a_critical_alert_breaks_the_quiet(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing, rules=ALWAYS_QUIET)
    kept.feed(*night()[:200], *blanks(3))
    assert states(record) == ["raised"]


def test_a_log_that_was_ended_while_the_kiln_is_hot_is_reminded_of(record: Record) -> None:
    kept = keep(record, begin(record))
    kept.until(night(), lambda: stalled(kept))
    kept.keeper.close()
    kept.clock.now_s += 31 * 60.0
    assert kept.keeper.tick()
    assert states(record) == ["raised", "reminded"]


def test_a_log_that_waits_for_a_cold_kiln_reminds_nobody(record: Record) -> None:
    kept, _ = silent(record, 3)
    kept.keeper.is_armed = True
    kept.clock.now_s += 3600.0
    assert not kept.keeper.tick()


def test_a_firing_that_has_ended_is_not_reminded_of(record: Record) -> None:
    kept, firing = silent(record, 3)
    kept.keeper.close()
    kept.clock.now_s += 5 * 3600.0
    assert not kept.keeper.tick()
    assert states(record) == ["raised"]
    assert not record.firing(firing.id).is_open


async def test_what_an_ended_firing_left_untold_is_told_by_the_next_start(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing, rules=ALWAYS_QUIET)
    kept.until(night(), lambda: stalled(kept))
    kept.keeper.close()
    await record.flush()
    destinations = kept.keeper._destinations
    now = "2026-11-26T07:00:00+00:00"
    assert await tell_leftovers(record, destinations, now, is_time_believed=False) == 1
    (message,) = told(record)
    (part,) = message["alerts"]
    assert (part["kind"], part["states"]) == ("stall", ["raised", "cleared"])
    assert message["time_believed"] is False
    assert await tell_leftovers(record, destinations, "later") == 0
    assert len(told(record)) == 1


def test_what_waits_is_told_when_the_next_firing_begins(record: Record) -> None:
    kept = keep(record, begin(record), rules=ALWAYS_QUIET)
    kept.until(night(), lambda: stalled(kept))
    kept.keeper.let_go()
    kept.keeper.let_go()
    (message,) = told(record)
    assert message["state"] == "summary"
    assert message["alerts"][0]["states"] == ["raised", "cleared"]


def standing(kept: Kept) -> list[str]:
    """The conditions that stand."""
    return sorted(alert.kind.value for alert in kept.keeper.book.open_alerts)


def test_what_stands_when_another_firing_begins_is_told_as_over(record: Record) -> None:
    kept, firing = silent(record, 20)
    assert "no_readings" in standing(kept)
    kept.keeper.let_go()
    assert standing(kept) == []
    last = of_the_kiln(told(record))[-1]
    assert (last["kind"], last["state"], last["message"]) == (
        "no_readings",
        "cleared",
        NO_LONGER_WATCHED,
    )
    assert all(alert.cleared_at_s is not None for alert in record.alerts(firing.id))
    count = len(told(record))
    kept.keeper.let_go()
    assert len(told(record)) == count, "once"


async def test_what_an_ended_firing_left_standing_is_over_with_the_next_start(
    record: Record,
) -> None:
    kept, old = silent(record, 20)
    kept.keeper.close()
    kept, _ = silent(record, 20)
    kept.keeper.close()
    await record.flush()
    before = len(await asyncio.to_thread(told, record))
    people = (*kept.keeper._destinations, Destination("notify-all"))
    assert await tell_leftovers(record, people, "2026-11-26T07:00:00+00:00") == 2
    new = (await asyncio.to_thread(told, record))[before:]
    ends = [
        (m["firing"] == old.id, states)
        for m in new
        for states in ([m["state"]] if m["alert"] else [part["states"][-1] for part in m["alerts"]])
    ]
    assert {state for _, state in ends} == {"cleared"}
    assert {is_old for is_old, _ in ends} == {True, False}, "programs hear of each"
    heard = record.messages_to("notify-all").waiting_messages()
    assert {json.loads(m.payload)["firing"] == old.id for m in heard} == {False}
    assert record.with_standing_alerts() == []
    assert await tell_leftovers(record, people, "later") == 0


def test_a_kiln_cool_enough_to_open_ends_all_but_what_is_wrong_with_the_rig(
    record: Record,
) -> None:
    firing = begin(record)
    kept = keep(record, firing)
    lost = Event(1.0, Kind.HEAT_LOST, Severity.CRITICAL, State.RAISED, "It falls.")
    kept.keeper.book.take(lost)
    broken = dict.fromkeys(list(night()[0].temps_c)[1:], FaultCause.OPEN)
    kept.feed(
        *(
            replace(
                r,
                temps_c={n: None if n in broken else t for n, t in r.temps_c.items()},
                faults=broken,
            )
            for r in night()
        )
    )
    assert not kept.keeper.is_open
    assert "sensor_fault" in standing(kept)
    left = {alert.kind for alert in kept.keeper.book.open_alerts} - NOTICES
    assert left == {Kind.SENSOR_FAULT}
    over = [m["kind"] for m in told(record) if m["message"] == COLD]
    assert over == ["heat_lost"]


def test_without_an_hour_to_believe_nothing_is_silenced(record: Record) -> None:
    kept = keep(record, begin(record), rules=ALWAYS_QUIET, minute_of=lambda _label: None)
    kept.until(night(), lambda: stalled(kept))
    assert states(record) == ["raised"]


async def test_an_acknowledgement_ends_the_reminders_for_good(
    record: Record, tmp_path: Path
) -> None:
    kept, firing = await asyncio.to_thread(silent, record, 3)
    (alert,) = (a for a in kept.keeper.book.open_alerts if a.kind is Kind.NO_READINGS)
    pending = kept.keeper.acknowledge(alert.id, "Ann")
    assert pending is not None
    await pending
    kept.feed(*blanks(60, kept.clock.now_s))
    assert await asyncio.to_thread(states, record) == ["raised", "acknowledged"]
    resumed = keep(record, firing)
    await resumed.keeper.resume(lambda _reading: None)
    resumed.feed(*blanks(10, kept.clock.now_s))
    assert await asyncio.to_thread(states, record) == ["raised", "acknowledged"]


def test_each_destination_gets_what_it_wants(record: Record) -> None:
    firing = begin(record)
    kept = keep(record, firing, people=True)
    kept.feed(*night()[:200], *blanks(20))
    record.flush().result(10.0)

    def heard(name: str) -> list[str]:
        waiting = record.messages_to(name).waiting_messages()
        assert {message.topic for message in waiting} == {TOPIC if name == "mqtt" else ""}
        payloads = [json.loads(message.payload) for message in waiting]
        return [message["state"] for message in of_the_kiln(payloads)]

    assert heard("mqtt") == heard("notify-all") == ["raised", "reminded", "escalated"]
    assert heard("notify-neighbour") == ["escalated"]


async def test_a_dark_time_is_told_as_one_live_and_replayed(record: Record) -> None:
    """spyhole was down for an hour: nothing of a rig, and the same when it is replayed."""
    firing = await asyncio.to_thread(begin, record)
    keep(record, firing).feed(*night()[:200])
    assert await asyncio.to_thread(told, record) == []
    again = keep(record, firing)
    await again.keeper.resume(lambda _reading: None)
    kept = (*night()[:200], *night()[380:400])
    again.feed(*kept[200:])
    messages = [m for m in await asyncio.to_thread(told, record) if m["kind"] == "no_readings"]
    assert [message["state"] for message in messages] == ["raised", "cleared"]
    assert messages[0]["message"].startswith("Nobody looked at the thermocouples for 60 minutes")
    assert "wiring" not in messages[0]["message"]
    assert record.event_lines(firing.id) == event_lines(kept)
    once_more = keep(record, firing)
    await once_more.keeper.resume(lambda _reading: None)
    assert await asyncio.to_thread(record.event_lines, firing.id) == event_lines(kept)
