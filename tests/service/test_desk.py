"""The page's desk: what it shows is valid, in order, and everyone who waits is woken."""

from __future__ import annotations

import asyncio
from dataclasses import replace

import pytest

from supervisor.core.alerts import Alert
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.readings import Reading
from supervisor.core.watch import Activity
from supervisor.record.store import Record
from supervisor.service.clock import FiringClock
from supervisor.service.desk import Desk
from supervisor.service.keeper import Keeper
from supervisor.service.logbook import Logbook
from supervisor.service.proposals import Proposals
from supervisor.service.setup import Setup
from supervisor.service.simulated_rig import SimulatedRig
from tests.service.firings import Kept, begin, keep, night, scenario
from web import models as page
from web.chart import Course
from web.interface import KilnDesk, UnknownAlertError, UnknownNoteError


def desk_over(keeper: Keeper) -> Desk:
    return Desk(
        keeper,
        Proposals(keeper.record, lambda: None),
        kiln_kind="electric",
        mode=page.Mode.SIMULATION,
        interval_s=20.0,
        mqtt_state=lambda: "away",
        on_written=lambda: None,
        logbook=lambda: logbook_over(keeper),
    )


def logbook_over(keeper: Keeper) -> Logbook:
    """A logbook that begins no other firing."""
    plan = scenario()
    setup = Setup(SimulatedRig(plan, 20.0), plan.schedule, "", keeper.record.path.parent)
    return Logbook(
        setup,
        keeper.record,
        keeper,
        FiringClock(),
        on_turn=lambda _begun, _is_armed: keeper,
        on_change=lambda: None,
    )


def at_work(record: Record, name: str = "tripped-breaker") -> tuple[Kept, Desk]:
    kept = keep(record, begin(record, name), name=name)
    desk = desk_over(kept.keeper)
    kept.keeper._on_news = lambda _events: desk.read(kept.keeper.last_reading)  # type: ignore[arg-type]
    return kept, desk


def take_stock(desk: Desk) -> page.Snapshot:
    """The snapshot after a journey over the wire."""
    return page.Snapshot.model_validate_json(desk.snapshot().model_dump_json())


def test_a_desk_is_what_the_page_asks_for(record: Record) -> None:
    desk: KilnDesk = at_work(record)[1]
    assert desk.snapshot().revision == 0


def test_every_snapshot_of_a_whole_firing_is_valid(record: Record) -> None:
    kept, desk = at_work(record)
    empty = take_stock(desk)
    assert empty.firing is not None
    assert empty.firing.state is page.FiringState.WAITING
    assert empty.reading_age_s is None
    states, activities = set(), set()
    for number, reading in enumerate(night()):
        kept.feed(reading)
        if number % 50 == 0:
            seen = take_stock(desk)
            assert seen.elapsed_s == reading.elapsed_s
            assert seen.time == reading.time
            assert seen.reading_age_s == 0.0
            assert seen.firing is not None
            assert [channel.name for channel in seen.channels] == list(reading.temps_c)
            states.add(seen.firing.state)
            assert seen.plan is not None
            activities.add(seen.plan.activity)
    assert states >= {page.FiringState.FIRING, page.FiringState.FINISHED}
    assert activities >= {Activity.CLIMBING, Activity.HOLDING, Activity.FINISHED}
    assert len(take_stock(desk).cones) == 3


def test_a_broken_probe_is_said_with_where_to_look(record: Record) -> None:
    kept, desk = at_work(record, "broken-probe")
    kept.until(
        night("broken-probe"),
        lambda: any(a.kind is Kind.SENSOR_FAULT for a in kept.keeper.book.open_alerts),
    )
    top = take_stock(desk).channels[0]
    assert (top.state, top.temp_c) == (page.ChannelState.FAULTY, None)
    assert top.fault is not None
    assert top.fault.startswith("top ")
    assert take_stock(desk).spread_c is not None, "the two that are left are compared"


def raised(kind: Kind, severity: Severity, at_s: float, channel: str | None = None) -> Event:
    return Event(at_s, kind, severity, State.RAISED, f"{kind.value}: look at it.", channel)


def test_alerts_come_in_the_order_in_which_a_person_should_see_them(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:500])
    now_s = night()[499].elapsed_s
    book = kept.keeper.book
    for event in (
        raised(Kind.OVERSHOOT, Severity.WARNING, now_s - 900),
        raised(Kind.HEAT_LOST, Severity.CRITICAL, now_s - 800),
        raised(Kind.CONE_DOWN, Severity.INFO, now_s - 700, "5"),
        raised(Kind.STALL, Severity.WARNING, now_s - 600),
        raised(Kind.NO_READINGS, Severity.CRITICAL, now_s - 500),
        raised(Kind.CONE_DOWN, Severity.INFO, now_s - 4000, "4"),
    ):
        book.take(event)
    seen = next(a for a in book.open_alerts if a.kind is Kind.NO_READINGS)
    book.acknowledge(seen.id, "Ann", now_s, kept.clock.label(now_s))
    assert [(a.kind, a.acknowledged_at is not None) for a in desk.snapshot().alerts] == [
        ("heat_lost", False),
        ("stall", False),
        ("overshoot", False),
        ("cone_down", False),
        ("no_readings", True),
    ]


def test_news_of_a_cone_leaves_the_list_when_it_is_spent_or_seen(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:500])
    now_s = night()[499].elapsed_s
    book = kept.keeper.book
    book.take(raised(Kind.CONE_DOWN, Severity.INFO, now_s - 29 * 60, "5"))
    book.take(raised(Kind.CONE_DOWN, Severity.INFO, now_s - 31 * 60, "4"))
    (shown,) = desk.snapshot().alerts
    assert shown.channel == "5"
    book.acknowledge(shown.id, "Ann", now_s)
    assert desk.snapshot().alerts == []


async def test_an_acknowledgement_shows_at_once_and_is_on_disk_when_answered(
    record: Record,
) -> None:
    kept, desk = at_work(record)
    kept.until(night(), lambda: bool(desk.snapshot().alerts))
    (alert,) = desk.snapshot().alerts
    before = desk.snapshot().revision
    await desk.acknowledge(alert.id, "Ann")
    (shown,) = desk.snapshot().alerts
    assert shown.acknowledged_at is not None
    assert desk.snapshot().revision > before
    stored: list[Alert] = record.alerts(kept.keeper.firing.id)
    assert [one.acknowledged_by for one in stored] == ["Ann"]
    await desk.acknowledge(alert.id, "Bob")
    assert [one.acknowledged_by for one in record.alerts(kept.keeper.firing.id)] == ["Ann"]
    with pytest.raises(UnknownAlertError):
        await desk.acknowledge("never.was.1", None)


async def test_acknowledged_once_more_is_answered_only_when_the_first_is_on_disk(
    record: Record,
) -> None:
    kept, desk = at_work(record)
    kept.until(night(), lambda: bool(kept.keeper.book.open_alerts))
    (alert, *_) = kept.keeper.book.open_alerts
    await record.flush()
    assert record._writer is not None
    disk = record._writer._connection
    disk.execute("PRAGMA query_only = 1").fetchall()
    try:
        answers = [asyncio.ensure_future(desk.acknowledge(alert.id, by)) for by in ("Ann", "Bob")]
        done, _ = await asyncio.wait(answers, timeout=0.5)
        assert not done, "nothing is on disk, so nobody is told that it is"
        assert [one.acknowledged_by for one in record.alerts(kept.keeper.firing.id)] == [None]
    finally:
        disk.execute("PRAGMA query_only = 0").fetchall()
    await asyncio.gather(*answers)
    assert [one.acknowledged_by for one in record.alerts(kept.keeper.firing.id)] == ["Ann"]


async def test_a_note_is_answered_as_recorded_and_shown_newest_first(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:3])
    first = await desk.add_note("one", None, None)
    second = await desk.add_note("two", "Ann", None)
    assert take_stock(desk).notes == [second, first]
    assert [(n.text, n.by) for n in record.notes(kept.keeper.firing.id)] == [
        ("one", None),
        ("two", "Ann"),
    ]
    for number in range(page.NOTES_SHOWN + 5):
        last = await desk.add_note(f"note {number}", None, None)
    assert len(take_stock(desk).notes) == page.NOTES_SHOWN
    assert take_stock(desk).notes[0] == last


async def test_a_note_that_is_sent_again_is_written_once(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:3])
    first, again = await asyncio.gather(
        desk.add_note("damper in", "Ann", "6e1f"), desk.add_note("damper in", "Ann", "6e1f")
    )
    assert first == again
    assert take_stock(desk).notes == [first]
    assert [note.text for note in record.notes(kept.keeper.firing.id)] == ["damper in"]


async def test_a_note_is_taken_back_and_no_other(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:3])
    wrong = await desk.add_note("Body reduction begun", "Ann", "6e1f")
    right = await desk.add_note("Damper further in", "Ann", "6e20")
    with pytest.raises(UnknownNoteError, match="no note with the number"):
        await desk.withdraw_note(int(right.id) + 1, None)
    before = desk.snapshot().revision
    for by in ("Ben", "Ann"):
        await desk.withdraw_note(int(wrong.id), by)
    assert desk.snapshot().revision > before
    await desk.add_note("Body reduction begun", "Ann", "6e1f")
    assert take_stock(desk).notes == [right], "sent once more it is still the one taken back"
    (gone,) = record.withdrawn_notes(kept.keeper.firing.id)
    assert (gone.text, gone.withdrawn_by) == ("Body reduction begun", "Ben")


def test_the_chart_has_the_readings_the_plan_and_what_is_new(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:400])
    chart = page.Chart.model_validate_json(desk.chart(1000).model_dump_json())
    assert chart.elapsed_s == [reading.elapsed_s for reading in night()[:400]]
    assert set(chart.channels) == {"top", "middle", "bottom"}
    assert chart.channels["top"][-1] == pytest.approx(night()[399].temps_c["top"], abs=0.051)
    begun_s = kept.keeper.watch.status().plan.begun_s
    assert begun_s is not None
    assert chart.plan.elapsed_s[0] == pytest.approx(begun_s, abs=0.1)
    assert len(desk.chart(50).elapsed_s) <= 50
    points = desk.points_after(chart.elapsed_s[-3], 100)
    assert points.elapsed_s == chart.elapsed_s[-2:]
    assert desk.points_after(chart.elapsed_s[-1], 100).elapsed_s == []


def test_the_chart_is_to_be_fetched_anew_once_the_plan_is_placed(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:2])
    before = desk.snapshot().chart_revision
    kept.feed(*night()[2:400])
    assert desk.snapshot().chart_revision == before + 1


def test_what_was_recorded_before_is_on_the_chart(record: Record) -> None:
    kept, _ = at_work(record)
    kept.feed(*night()[:100])
    record.flush().result(10.0)
    resumed = keep(record, kept.keeper.firing)
    desk = desk_over(resumed.keeper)
    asyncio.run(resumed.keeper.resume(desk.seen))
    assert len(desk.chart(1000).elapsed_s) == 100
    assert desk.snapshot().elapsed_s == night()[99].elapsed_s


def test_a_reading_that_grows_old_is_stale_until_the_source_has_ended(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(night()[0])
    kept.clock.now_s += 150.0
    assert (desk.snapshot().reading_age_s, desk.snapshot().stale) == (150.0, False)
    kept.clock.now_s += 100.0
    assert (desk.snapshot().reading_age_s, desk.snapshot().stale) == (250.0, True)
    desk.end()
    assert not desk.snapshot().stale


async def test_a_change_wakes_everyone_who_waits_and_nobody_twice(record: Record) -> None:
    _, desk = at_work(record)
    waiting = [asyncio.create_task(desk.wait_for_change(0)) for _ in range(20)]
    await asyncio.sleep(0)
    assert not any(task.done() for task in waiting)
    desk.changed()
    async with asyncio.timeout(5.0):
        assert await asyncio.gather(*waiting) == [1] * 20
    assert await desk.wait_for_change(0) == 1
    late = asyncio.create_task(desk.wait_for_change(1))
    await asyncio.sleep(0)
    await asyncio.sleep(0)
    assert not late.done()
    late.cancel()
    desk.changed()
    assert await desk.wait_for_change(1) == 2


def test_a_record_in_trouble_and_a_broker_away_are_shown(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, desk = at_work(record)
    seen = desk.snapshot()
    assert (seen.mqtt, seen.record) == (page.MqttState.AWAY, page.RecordState.OK)
    monkeypatch.setattr(type(record), "trouble", property(lambda _self: "the card is full"))
    assert desk.snapshot().record is page.RecordState.FAILING


def test_a_firing_that_was_closed_is_shown_as_finished(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:10])
    kept.keeper.close()
    firing = desk.snapshot().firing
    assert firing is not None
    assert firing.state is page.FiringState.FINISHED


def test_the_chart_follows_a_wall_clock_that_is_set_right(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(*night()[:2])
    before, zero = desk.snapshot().chart_revision, desk.chart(100).start_time
    kept.keeper.accept(replace(night()[2], time="2030-01-01T12:00:00+00:00"))
    assert desk.snapshot().chart_revision == before + 1
    assert desk.chart(100).start_time != zero


def test_a_rig_that_hangs_is_not_fresh(record: Record) -> None:
    kept, desk = at_work(record)
    kept.feed(night()[0])
    assert desk.snapshot().reading_age_s == 0.0
    for n in range(1, 40):
        kept.clock.now_s = night()[0].elapsed_s + 20.0 * n
        kept.keeper.accept(Reading(kept.clock.now_s, dict.fromkeys(night()[0].temps_c)))
    snapshot = desk.snapshot()
    assert snapshot.reading_age_s is not None
    assert snapshot.reading_age_s > 600.0
    assert snapshot.stale


async def test_the_chart_is_given_what_is_expected_what_the_ware_goes_through_and_what_happened(
    record: Record,
) -> None:
    kept, desk = at_work(record)
    assert (await desk.course()).ahead is None, "nothing is expected of a kiln that waits"
    kept.feed(*(reading for reading in night() if reading.elapsed_s < 7 * 3600.0))
    await record.flush()
    now_s = desk.snapshot().elapsed_s
    course = Course.model_validate_json((await desk.course()).model_dump_json())
    assert course.firing_id == kept.keeper.firing.id
    assert course.ahead is not None
    assert course.ahead.elapsed_s[0] == pytest.approx(now_s, abs=0.1)
    names = [phase.name for phase in course.phases]
    assert names[0] == "drying"
    assert any(phase.to_s > now_s for phase in course.phases), "those to come are there as well"
    kinds = {event.kind for event in course.events}
    assert {"step_begun", "phase_begun"} <= kinds
    assert [event.elapsed_s for event in course.events] == sorted(
        event.elapsed_s for event in course.events
    )


def test_what_is_over_is_still_told_the_latest_first(record: Record) -> None:
    kept, desk = at_work(record)
    for n, at_s in enumerate((100.0, 200.0, 300.0)):
        channel = f"c{n}"
        happened = raised(Kind.SENSOR_FAULT, Severity.WARNING, at_s, channel)
        kept.keeper.book.take(happened)
        kept.keeper.book.take(replace(happened, elapsed_s=1000.0 - at_s, state=State.CLEARED))
    stands = raised(Kind.STALL, Severity.WARNING, 400.0)
    kept.keeper.book.take(replace(stands, data={"temp_c": 612.0}))
    shown = take_stock(desk)
    assert [alert.channel for alert in shown.earlier] == ["c0", "c1", "c2"]
    assert [alert.kind for alert in shown.alerts] == ["stall"]
    assert shown.alerts[0].data == {"temp_c": 612.0}
