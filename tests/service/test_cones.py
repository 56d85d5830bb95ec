"""Real cones seen during a firing, and offsets accepted from them: recorded, applied, resumed."""

from __future__ import annotations

import asyncio
import math
import threading
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, RecordError
from supervisor.core.heatwork import CONES, Correction, work_along
from supervisor.core.heatwork.offset import USUAL, Observation, Offset
from supervisor.core.heatwork.tip import clock_of, tip_angle_deg
from supervisor.core.readings import Reading
from supervisor.core.schedule import starter, starter_text
from supervisor.core.watch import Watch
from supervisor.record.rows import Firing, KeptObservation, Mode, NewFiring
from supervisor.record.store import Record
from supervisor.service import proposals as proposals_module
from supervisor.service.begin import begin as begin_firing
from supervisor.service.kiln_offset import evidence_of_firing, offsets_of_kiln
from supervisor.service.proposals import Proposals, _Interruptible, _Thought
from supervisor.service.setup import Setup
from tests.service.firings import KILN, Kept, begin, event_lines, keep, night, read_once, scenario
from tests.service.test_desk import desk_over
from tests.service.test_keeper import crashed
from tests.service.test_run import Source
from web import models as page
from web.interface import UnknownChannelError, UnknownLookError
from web.requests import LookRequest

TRUE_C = 6.0
"""By so much the real cones of these tests are hotter than the thermocouple "top" reads."""
PLUS = Offset(4.25, 2.5, 3, 1)


@cache
def bending() -> int:
    """Readings after which cone 5 is seen to bend in the scenario."""
    plan = scenario()
    watch = Watch(plan.schedule, plan.channels)
    for count, reading in enumerate(night(), start=1):
        watch.feed(reading)
        if count % 20 == 0 and watch.channel_work("top").work.work_of("5") > 0.6:
            return count
    raise AssertionError("cone 5 never bends")


def at_work(record: Record, count: int | None = None, mode: Mode = Mode.LIVE) -> Kept:
    kept = keep(record, begin(record, mode=mode))
    kept.feed(*night()[: bending() if count is None else count])
    return kept


def true_tip(kept: Kept, cone: str, channel: str = "top") -> str:
    path = kept.keeper.watch.channel_work(channel).work.path
    return clock_of(work_along(path, CONES[cone], TRUE_C))


def proposals_of(kept: Kept) -> Proposals:
    return Proposals(kept.keeper.record, lambda: None)


def cones_of(kept: Kept) -> object:
    status = kept.keeper.watch.status()
    return status.cones, status.correction


async def looked_and_worked_out(kept: Kept) -> Proposals:
    """The potter looks at cone 5 beside the top thermocouple."""
    await kept.keeper.add_look("5", true_tip(kept, "5"), channel="top")
    proposals = proposals_of(kept)
    await proposals.work_out(kept.keeper)
    return proposals


# A firing begins


def setup_for(record: Record, mode: Mode = Mode.LIVE) -> Setup:
    return Setup(
        source=Source(),
        schedule=starter("bisque"),
        schedule_toml=starter_text("bisque"),
        data_dir=record.path.parent,
        kiln=KILN,
        mode=mode,
        say=lambda _line: None,
    )


async def test_a_firing_begins_with_the_offsets_in_force_and_keeps_them(record: Record) -> None:
    await record.accept_offset(KILN, "top", PLUS)
    await record.accept_offset(KILN, "not on this rig", PLUS)
    await record.accept_offset("another kiln", "top", replace(PLUS, mean_c=-9.0))
    said: list[str] = []
    setup = replace(setup_for(record), say=said.append)
    begun = await begin_firing(setup, record)
    expected = {"top": Correction(4.25, math.hypot(2.5, USUAL.drift_c))}
    assert begun.settings.corrections == expected
    read_once(record, begun.firing)
    await record.withdraw_offset(KILN, "top")
    again = await begin_firing(setup, record)
    assert again.resumes
    assert again.settings.corrections == expected, "it goes on with what it began with"
    assert said == []
    fresh = await begin_firing(replace(setup, begins_anew=True), record)
    assert fresh.settings.corrections == {}


async def test_what_a_simulation_accepted_is_not_taken_into_a_real_firing(record: Record) -> None:
    kept = at_work(record, 3, Mode.SIMULATION)
    await kept.keeper.change_offset("top", PLUS)
    simulated = await begin_firing(setup_for(record, Mode.SIMULATION), record)
    assert simulated.settings.corrections["top"].offset_c == 4.25
    assert (await begin_firing(setup_for(record), record)).settings.corrections == {}


async def test_a_simulated_offset_accepted_between_two_firings_is_not_taken_into_a_real_one(
    record: Record,
) -> None:
    begin(record, mode=Mode.SIMULATION)
    await record.accept_offset(KILN, "top", PLUS, is_simulated=True)
    simulated = await begin_firing(setup_for(record, Mode.SIMULATION), record)
    assert simulated.settings.corrections["top"].offset_c == 4.25
    assert (await begin_firing(setup_for(record), record)).settings.corrections == {}


async def test_an_offset_configured_since_is_not_counted_twice(record: Record) -> None:
    setup = replace(setup_for(record), configured_offsets_c={"top": 1.0})
    first = await begin_firing(setup, record)
    assert first.firing.configured_offsets_c == {"top": 1.0}
    await keep(record, first.firing).keeper.change_offset("top", PLUS)
    anew = replace(setup, configured_offsets_c={"top": 4.0}, begins_anew=True)
    second = await begin_firing(anew, record)
    assert second.settings.corrections["top"].offset_c == 4.25 - 3.0


async def test_a_firing_goes_on_with_the_configured_offset_it_began_with(record: Record) -> None:
    said: list[str] = []
    setup = replace(setup_for(record), configured_offsets_c={"top": 1.0}, say=said.append)
    first = await begin_firing(setup, record)
    assert (first.shifts_c, said) == ({}, [])
    read_once(record, first.firing)
    changed = replace(setup, configured_offsets_c={"top": 4.0})
    again = await begin_firing(changed, record)
    assert again.resumes
    assert again.shifts_c == {"top": -3.0}
    assert "keeps the offset of top that it began with" in said[-1]
    keeper = keep(record, again.firing, shifts_c=again.shifts_c).keeper
    keeper.accept(Reading(1.0, {"top": 104.0}))
    keeper.accept(Reading(2.0, {"top": None}))
    await record.flush()
    assert [dict(r.temps_c) for r in record.readings(again.firing.id)] == [
        {"top": 20.0},
        {"top": 101.0},
        {"top": None},
    ]


async def test_the_simulation_of_a_real_kiln_accepts_nothing_for_it(record: Record) -> None:
    begin(record)
    kept = at_work(record, 3, Mode.SIMULATION)
    with pytest.raises(InputError, match="this is a simulation of it"):
        await kept.keeper.change_offset("top", PLUS)
    assert record.offsets(KILN) == {}
    assert kept.keeper.correction("top") is None


# A person looks


async def test_a_look_is_on_disk_when_it_is_answered_and_outlives_a_crash(record: Record) -> None:
    kept = at_work(record, 100)
    kept.clock.now_s += 20.0
    now_s = kept.clock.now_s
    look = await kept.keeper.add_look(
        "cone 6", "03:30", channel="top", shelf=" top ", minutes_ago=12.0, by="Ann", client_id="a"
    )
    assert look.seen == Observation(now_s - 720.0, "6", "3:30", "top", " top ")
    assert (look.time, look.written_label) == tuple(map(kept.clock.label, (now_s - 720.0, now_s)))
    assert await kept.keeper.add_look("6", "3:30", channel="top", client_id="a") == look
    assert kept.keeper.looks == record.observations(kept.keeper.firing.id) == [look]
    assert keep(record, kept.keeper.firing).keeper.looks == [look]


async def test_looks_are_in_the_order_in_which_they_were_seen(record: Record) -> None:
    kept = at_work(record, 100)
    for minutes_ago in (5.0, 20.0, 0.0):
        await kept.keeper.add_look("6", "1", channel="top", minutes_ago=minutes_ago)
    seen = [look.seen.elapsed_s for look in kept.keeper.looks]
    assert seen == sorted(seen)
    assert kept.keeper.looks == record.observations(kept.keeper.firing.id)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"cone": "15"}, '"15" is not a cone'),
        ({"cone": ""}, '"" is not a cone'),
        ({"clock": "7"}, '"7" is no place of a tip'),
        ({"clock": "half past"}, "is no place of a tip"),
        ({"channel": "cellar"}, 'no channel "cellar"; it has top, middle, bottom'),
        ({"minutes_ago": 34.0}, "34 minutes ago is not within this firing"),
        ({"minutes_ago": -1.0}, "is not within this firing"),
        ({"shelf": "  "}, "a shelf is named by 1 to 200 characters"),
    ],
)
async def test_a_look_that_cannot_be_is_refused_in_one_sentence(
    record: Record, wrong: dict[str, object], says: str
) -> None:
    kept = at_work(record, 100)
    fields: dict[str, object] = {"cone": "6", "clock": "3", "channel": "top"} | wrong
    cone, clock = str(fields.pop("cone")), str(fields.pop("clock"))
    with pytest.raises(InputError, match=says):
        await kept.keeper.add_look(cone, clock, **fields)  # type: ignore[arg-type]
    assert record.observations(kept.keeper.firing.id) == []


async def test_a_look_is_taken_back_and_no_other(record: Record) -> None:
    kept = at_work(record)
    proposals = await looked_and_worked_out(kept)
    assert set(proposals.offsets) == {"top"}
    desk = desk_over(kept.keeper)
    (look,) = desk.snapshot().witness
    with pytest.raises(UnknownLookError):
        await desk.withdraw_look(look.number + 1)
    await desk.withdraw_look(look.number)
    await desk.withdraw_look(look.number)
    assert desk.snapshot().witness == []
    assert record.observations(kept.keeper.firing.id) == []
    await proposals.work_out(kept.keeper)
    assert proposals.offsets == {}


# What follows from it


async def test_nothing_counts_that_was_not_accepted(record: Record) -> None:
    kept = at_work(record)
    before = cones_of(kept)
    proposals = await looked_and_worked_out(kept)
    offset = proposals.offsets["top"]
    assert offset.stands_out
    assert offset.mean_c == pytest.approx(TRUE_C, abs=2.0 * offset.sigma_c)
    assert cones_of(kept) == before
    assert record.offsets(KILN) == {}
    kept.feed(*night()[bending() : bending() + 300])
    record.flush().result(10.0)
    recorded = tuple(record.readings(kept.keeper.firing.id))
    assert record.event_lines(kept.keeper.firing.id) == event_lines(recorded)


async def test_the_running_firing_is_not_read_again_and_a_closed_one_only_once(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = at_work(record)
    await first.keeper.add_look("5", true_tip(first, "5"), channel="top")
    first.keeper.close()
    second = at_work(record)
    await second.keeper.add_look("5", true_tip(second, "5"), channel="top")
    read: list[str] = []

    def counted(reader: Record, firing: Firing, seen: Sequence[KeptObservation]) -> object:
        read.append(firing.id)
        return evidence_of_firing(reader, firing, seen)

    monkeypatch.setattr(proposals_module, "evidence_of_firing", counted)
    proposals = proposals_of(second)
    await proposals.work_out(second.keeper)
    once = proposals.offsets["top"]
    assert (once.observations, once.firings) == (2, 2)
    record.flush().result(10.0)
    assert once == offsets_of_kiln(record, KILN)["top"], "as the whole record says"
    await second.keeper.add_look("5", true_tip(second, "5"), channel="top")
    await proposals.work_out(second.keeper)
    assert proposals.offsets["top"].observations == 3
    assert read == [first.keeper.firing.id]
    await record.add_observation(
        first.keeper.firing.id, Observation(night()[bending()].elapsed_s, "6", "upright", "middle")
    )
    await proposals.work_out(second.keeper)
    assert read == [first.keeper.firing.id] * 2, "something new was noted of it"


async def test_they_are_worked_out_whenever_they_are_wanted(record: Record) -> None:
    kept = at_work(record)
    done = asyncio.Event()
    proposals = Proposals(record, done.set)
    task = asyncio.create_task(proposals.run())
    async with asyncio.timeout(30.0):
        for number in (1, 2):
            await kept.keeper.add_look("5", true_tip(kept, "5"), channel="top")
            proposals.want(kept.keeper)
            await done.wait()
            done.clear()
            assert proposals.offsets["top"].observations == number
    task.cancel()
    assert await asyncio.gather(task, return_exceptions=True)


async def test_a_record_that_cannot_be_read_is_said_and_stops_nothing(
    record: Record, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = at_work(record)
    proposals = await looked_and_worked_out(kept)
    known = dict(proposals.offsets)

    def broken(_self: Record, _kiln: str) -> object:
        raise RecordError("the card is gone")

    monkeypatch.setattr(Record, "seen_in_kiln", broken)
    await proposals.work_out(kept.keeper)
    assert proposals.offsets == known
    assert "could not be worked out: the card is gone" in capsys.readouterr().err


async def test_what_somebody_else_notes_or_takes_back_reaches_the_page(record: Record) -> None:
    kept = at_work(record)
    proposals = await looked_and_worked_out(kept)
    desk = desk_over(kept.keeper)
    desk._proposals = proposals
    assert not await proposals.is_behind()
    (mine,) = kept.keeper.looks
    seen = Observation(night()[bending() - 1].elapsed_s, "6", "upright", "middle")
    other = await record.add_observation(kept.keeper.firing.id, seen)
    assert await proposals.is_behind()
    proposals.want(kept.keeper)
    await proposals.work_out(kept.keeper)
    assert not await proposals.is_behind()
    assert {look.number for look in desk.snapshot().witness} == {mine.id, other.id}
    await record.withdraw_observation(kept.keeper.firing.id, mine.id)
    await proposals.work_out(kept.keeper)
    assert [look.number for look in desk.snapshot().witness] == [other.id]
    await desk.withdraw_look(mine.id)
    assert kept.keeper.looks == record.observations(kept.keeper.firing.id)


async def test_the_record_is_asked_again_and_again_whether_somebody_wrote(record: Record) -> None:
    kept = at_work(record, 100)
    done = asyncio.Event()
    proposals = Proposals(record, done.set, ask_every_s=0.0)
    proposals.want(kept.keeper)
    task = asyncio.create_task(proposals.run())
    async with asyncio.timeout(30.0):
        await done.wait()
        done.clear()
        await record.add_observation(
            kept.keeper.firing.id, Observation(60.0, "6", "upright", "middle")
        )
        await done.wait()
    assert len(kept.keeper.looks) == 1
    task.cancel()
    assert await asyncio.gather(task, return_exceptions=True)


async def test_what_is_noted_while_the_record_is_read_is_not_lost(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = at_work(record, 100).keeper
    loop = asyncio.get_running_loop()

    def slow(*_words: object) -> _Thought:
        adding = keeper.add_look("6", "1", channel="top")
        asyncio.run_coroutine_threadsafe(adding, loop).result(10.0)
        return _Thought({}, [], {})

    monkeypatch.setattr(Proposals, "_think", slow)
    await Proposals(record, lambda: None).work_out(keeper)
    assert len(keeper.looks) == 1


async def test_a_look_that_cannot_be_is_doubted_on_the_page_and_tells_nothing(
    record: Record,
) -> None:
    kept = at_work(record)
    desk = desk_over(kept.keeper)
    await desk.add_look(LookRequest(cone="5", clock="touching", channel="top", minutes_ago=10))
    await desk.add_look(LookRequest(cone="5", clock="12:30", channel="top"))
    await desk._proposals.work_out(kept.keeper)
    shown = page.Snapshot.model_validate_json(desk.snapshot().model_dump_json())
    assert all("no cone stands up again" in (look.doubt or "") for look in shown.witness)
    assert shown.offsets[0].estimate is None
    await desk.withdraw_look(shown.witness[0].number)
    await desk._proposals.work_out(kept.keeper)
    (left,) = desk.snapshot().witness
    assert left.doubt is None
    assert desk.snapshot().offsets[0].estimate is not None


async def test_the_desk_refuses_what_is_nothing_to_correct_yet(record: Record) -> None:
    kept = at_work(record)
    desk = desk_over(kept.keeper)
    desk._proposals.offsets = {"top": Offset(1.0, 3.0, 1, 1)}
    assert not desk.snapshot().offsets[0].is_proposed
    with pytest.raises(InputError, match="nothing to correct yet"):
        await desk.accept_offset("top", 1.0)
    desk._proposals.offsets = {"top": Offset(25.0, 3.0, 1, 1)}
    shown = desk.snapshot().offsets[0]
    assert (shown.is_proposed, shown.is_too_far) == (True, True)
    await kept.keeper.change_offset("top", PLUS)
    desk._proposals.offsets = {"top": replace(PLUS, mean_c=PLUS.mean_c + 0.3)}
    await desk.accept_offset("top", PLUS.mean_c + 0.3)
    assert kept.keeper.correction("top") == Correction(4.25, 2.5), "it hardly differs"


def test_the_end_of_the_program_does_not_wait_for_a_long_reading(record: Record) -> None:
    kept = at_work(record, 100)
    record.flush().result(10.0)
    told_to_stop = threading.Event()
    readings = _Interruptible(record, told_to_stop).readings(kept.keeper.firing.id)
    assert next(readings) == night()[0]
    told_to_stop.set()
    with pytest.raises(InterruptedError):
        next(readings)


# Accepting


def fresh(record: Record, firing: Firing) -> Kept:
    kept = keep(record, firing)
    asyncio.run(kept.keeper.resume(lambda _reading: None))
    return kept


def test_an_accepted_offset_counts_at_once_and_after_a_crash_as_if_nothing_had_been(
    record: Record, tmp_path: Path
) -> None:
    whole = night()
    kept = at_work(record)
    keeper = kept.keeper
    plain = cones_of(kept)

    async def accept_and_change_back() -> None:
        await keeper.change_offset("top", PLUS)
        assert keeper.correction("top") == Correction(4.25, 2.5)
        kept.feed(*whole[bending() : bending() + 40])
        kept.clock.now_s += 7.0
        await keeper.change_offset("middle", replace(PLUS, mean_c=-2.0))
        await keeper.change_offset("top", replace(PLUS, mean_c=5.5))
        kept.feed(*whole[bending() + 40 : bending() + 60])

    asyncio.run(accept_and_change_back())
    assert cones_of(kept) != plain
    changes = record.offset_changes(keeper.firing.id)
    at_s = [whole[bending() - 1].elapsed_s, *[whole[bending() + 39].elapsed_s] * 2]
    assert [change.elapsed_s for change in changes] == at_s
    assert record.offsets(KILN)["top"].offset.mean_c == 5.5
    with crashed(record, tmp_path / "again") as other:
        again = fresh(other, other.firing(keeper.firing.id))
        assert cones_of(again) == cones_of(kept)
        assert again.keeper.correction("middle") == Correction(-2.0, 2.5)
        for one in (kept, again):
            one.feed(*whole[bending() + 60 : bending() + 300])
        assert cones_of(again) == cones_of(kept)
        for store in (record, other):
            store.flush().result(10.0)
        lines = record.event_lines(keeper.firing.id)
        assert other.event_lines(keeper.firing.id) == lines
    recorded = tuple(record.readings(keeper.firing.id))
    assert recorded == whole[: bending() + 300], "a correction touches no reading"
    assert event_lines(recorded) != lines, "the cones were called earlier than uncorrected"
    assert any("corrected by +6 °C" in line for line in lines)


async def test_what_is_taken_back_counts_no_longer_also_after_a_crash(record: Record) -> None:
    kept = at_work(record)
    plain = cones_of(kept)
    await kept.keeper.change_offset("top", PLUS)
    assert cones_of(kept) != plain
    await kept.keeper.change_offset("top", None)
    assert cones_of(kept) == plain
    assert record.offsets(KILN) == {}
    await kept.keeper.change_offset("top", None)
    assert len(record.offset_changes(kept.keeper.firing.id)) == 2
    assert cones_of(await asyncio.to_thread(fresh, record, kept.keeper.firing)) == plain


async def test_what_was_withdrawn_elsewhere_can_still_be_taken_back_here(record: Record) -> None:
    kept = at_work(record)
    plain = cones_of(kept)
    await kept.keeper.change_offset("top", PLUS)
    await record.withdraw_offset(KILN, "top")
    assert cones_of(await asyncio.to_thread(fresh, record, kept.keeper.firing)) == cones_of(kept)
    await kept.keeper.change_offset("top", None)
    assert record.offsets(KILN) == {}
    assert cones_of(await asyncio.to_thread(fresh, record, kept.keeper.firing)) == plain
    offsets = [change.offset for change in record.offset_changes(kept.keeper.firing.id)]
    assert offsets == [PLUS, None], "nothing is written that nobody accepted"


async def test_what_could_not_be_written_counts_no_longer(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = at_work(record, 10)

    with monkeypatch.context() as patch:
        real = record.accept_offset
        patch.setattr(
            record,
            "accept_offset",
            lambda *words, **more: real(*words, **(more | {"during": ("no such firing", 0.0)})),
        )
        with pytest.raises(InputError):
            await kept.keeper.change_offset("top", PLUS)
    assert kept.keeper.correction("top") is None
    assert record.offsets(KILN) == {}


# On the desk


async def test_the_desk_shows_what_the_cones_say_and_accepts_only_that(record: Record) -> None:
    kept = at_work(record)
    desk = desk_over(kept.keeper)
    look = await desk.add_look(
        LookRequest(cone="5", clock=true_tip(kept, "5"), channel="top", by="Ann")
    )
    with pytest.raises(InputError, match="there is nothing to accept"):
        await desk.accept_offset("top", 0.0)
    await desk._proposals.work_out(kept.keeper)
    shown = page.Snapshot.model_validate_json(desk.snapshot().model_dump_json())
    assert shown.witness == [look]
    assert shown.correction is None
    top, middle, bottom = shown.offsets
    assert top.estimate is not None
    assert (top.is_proposed, top.in_force) == (True, None)
    assert (middle.estimate, bottom.in_force) == (None, None)
    for status, cone in zip(kept.keeper.watch.status().cones, shown.cones, strict=True):
        assert cone.tip_angle_deg == pytest.approx(tip_angle_deg(status.work), abs=0.01)
        assert cone.clock == clock_of(status.work)
        forecast = status.forecast
        assert cone.is_forecast is (forecast is not None)
        if forecast is not None:
            for told_s, in_s in (
                (cone.expected_in_s, forecast.expected_s),
                (cone.earliest_in_s, forecast.earliest_s),
                (cone.latest_in_s, forecast.latest_s),
                (cone.if_plan_in_s, forecast.if_plan_s),
                (cone.at_rate_in_s, forecast.at_rate_s),
                (cone.hold_in_s, forecast.hold_s),
            ):
                assert told_s == (None if in_s is None else pytest.approx(in_s, abs=0.5))
    with pytest.raises(InputError, match="has changed meanwhile"):
        await desk.accept_offset("top", top.estimate.offset_c + 1.0)
    for wrong in (desk.accept_offset("cellar", 1.0), desk.withdraw_offset("cellar")):
        with pytest.raises(UnknownChannelError):
            await wrong
    revision = desk.snapshot().revision
    for _ in range(2):
        await desk.accept_offset("top", top.estimate.offset_c)
    shown = desk.snapshot()
    assert shown.revision > revision
    assert len(record.offset_changes(kept.keeper.firing.id)) == 1, "once more changes nothing"
    assert shown.correction is not None
    assert shown.correction.offset_c == top.estimate.offset_c
    assert shown.offsets[0].in_force == shown.correction
    assert not shown.offsets[0].is_proposed
    for _ in range(2):
        await desk.withdraw_offset("top")
    assert desk.snapshot().correction is None
    assert len(record.offset_changes(kept.keeper.firing.id)) == 2


def test_in_a_kiln_with_one_thermocouple_every_cone_stands_beside_it(record: Record) -> None:
    new = NewFiring(kiln=KILN, channels=("kiln",))
    firing = record.start_firing(new).result(10.0)
    kept = keep(record, firing)
    kept.feed(Reading(0.0, {"kiln": 20.0}))
    look = asyncio.run(kept.keeper.add_look("6", "12"))
    assert look.seen == Observation(0.0, "6", "upright", "kiln")
