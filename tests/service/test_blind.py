"""How long nobody watched, as well as clocks can tell; and a boot with a wrong one."""

from __future__ import annotations

import asyncio
import json
import socket
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from supervisor.core.errors import InputError
from supervisor.core.readings import Reading
from supervisor.core.schedule import starter, starter_text
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.record.rows import Mode, NewFiring
from supervisor.record.store import Record
from supervisor.record.writer import Trouble
from supervisor.service.blind import WORTH_S, Blind
from supervisor.service.clock import FiringClock, wall_now
from supervisor.service.resume import clock_for
from supervisor.service.setup import Setup
from tests.service.test_logbook import post, snapshot, until
from tests.service.test_run import Source, readings_come, running, setup_in

BEFORE = "2026-11-26T02:13:00.000+00:00"
LAST_S = 9_000.0
UNKNOWN = "broker.local"


def at(minutes: float, days: float = 0.0) -> str:
    """A label that many minutes after BEFORE."""
    moment = datetime.fromisoformat(BEFORE) + timedelta(days=days, minutes=minutes)
    return moment.isoformat(timespec="milliseconds")


def test_a_sentence_says_from_when_to_when_and_how_long() -> None:
    blind = Blind(12_000.0, BEFORE, at(47), 2820.0)
    assert blind.sentence() == (
        "spyhole was blind from 02:13 to 03:00 (47 minutes): nothing of that time was read, "
        "watched or recorded."
    )
    unknown = replace(blind, to_time=at(0.2), lasted_s=None).sentence()
    assert unknown.startswith("spyhole was blind from 02:13 on; for how long can't be told")
    assert "blind (47 minutes)" in replace(blind, from_time=None, to_time=None).sentence()


def test_only_what_matters_is_worth_a_word() -> None:
    assert not Blind(1.0, BEFORE, at(0.5), WORTH_S - 1.0).is_worth_a_word()
    assert Blind(1.0, BEFORE, at(1.0), WORTH_S).is_worth_a_word()
    assert Blind(1.0, BEFORE, at(0.5), None).is_worth_a_word()
    # At 120 times the speed a minute of the firing is half a second of the machine's.
    assert not Blind(1.0, BEFORE, at(1.0), WORTH_S).is_worth_a_word(120.0)


def test_a_clock_that_is_set_tells_how_long_it_was() -> None:
    """A Raspberry Pi without a battery comes back with about the time at which it went."""
    blind = Blind(9_001.0, BEFORE, at(0.1), None)
    mended = blind.mended(at(47))
    assert mended is not None
    assert mended.lasted_s == pytest.approx(2820.0)
    assert "from 02:13 to 03:00 (47 minutes)" in mended.sentence()
    assert mended.mended(at(47)) is None, "once told it is told"
    corrected = mended.mended(at(45))
    assert corrected is not None
    assert corrected.lasted_s == pytest.approx(2700.0)


@pytest.mark.parametrize("now", [at(0.1), at(0.12), at(-60), at(0, days=3), at(0, days=-900), None])
def test_a_clock_that_can_tell_nothing_changes_nothing(now: str | None) -> None:
    assert Blind(9_001.0, BEFORE, at(0.1), None).mended(now) is None
    assert Blind(9_001.0, None, at(0.1), None).mended(at(47)) is None


class Wall:
    """The wall clock of this machine, off by as much as a test says."""

    def __init__(self) -> None:
        self.off = timedelta()

    def __call__(self) -> datetime:
        return wall_now() + self.off


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    shown = Wall()
    for function in (FiringClock.__init__, clock_for):
        defaults = function.__kwdefaults__
        assert defaults is not None
        monkeypatch.setitem(defaults, "wall", shown)
    return shown


class Quick(Source):
    """Read fifty times a second, so that a real clock's test is over soon."""

    def due_s(self, after_s: float | None) -> float | None:
        return 0.0 if after_s is None else after_s + 0.02


def pi(folder: Path) -> Setup:
    """A real kiln on a machine of its own, in real time."""
    return Setup(
        source=Quick(),
        schedule=starter("bisque"),
        schedule_toml=starter_text("bisque"),
        data_dir=folder / "data",
        kiln="test kiln",
        mode=Mode.LIVE,
        say=lambda _line: None,
    )


def left_before_a_power_cut(folder: Path, last: datetime) -> str:
    """A firing on another boot, whose last reading was then; its id."""
    with Record.open(folder / "data") as record:
        firing = record.start_firing(
            NewFiring(
                kiln="test kiln",
                channels=("top",),
                schedule_toml=starter_text("bisque"),
                started_label=(last - timedelta(seconds=LAST_S)).isoformat(),
                boot_id="another boot",
                boottime_start_s=1.0,
                settings={"speed": 1.0},
            )
        ).result(10.0)
        for elapsed_s in (LAST_S - 120.0, LAST_S - 60.0, LAST_S):
            label = (last - timedelta(seconds=LAST_S - elapsed_s)).isoformat(
                timespec="milliseconds"
            )
            record.append(firing.id, Reading(elapsed_s, {"top": 20.0}, time=label))
        record.flush().result(10.0)
    return firing.id


def has_blind_note(seen: dict[str, Any]) -> bool:
    return any("was blind" in note["text"] for note in seen["notes"])


async def test_after_a_power_cut_page_terminal_and_record_say_how_long_it_was(
    tmp_path: Path,
) -> None:
    firing_id = left_before_a_power_cut(tmp_path, datetime.now(tz=UTC) - timedelta(minutes=47))
    async with running(pi(tmp_path)) as (_, said):
        seen = await until(said, has_blind_note)
        assert seen["firing"]["id"] == firing_id
        assert seen["log"]["state"] == "open"
        assert seen["elapsed_s"] == pytest.approx(LAST_S + 2820.0, abs=30.0)
        assert seen["blind"]["lasted_s"] == pytest.approx(2820.0, abs=30.0)
        assert [line for line in said.lines if "was blind from" in line and "47 minutes" in line]
        (note,) = seen["notes"]
        assert note["by"] == "spyhole"
    with Record.open_to_read(tmp_path / "data") as record:
        assert [note.by for note in record.notes(firing_id)] == ["spyhole"]
        kinds = [json.loads(line)["kind"] for line in record.event_lines(firing_id)]
        assert kinds == ["no_readings", "no_readings"], "raised, and over"


async def test_how_long_it_was_blind_outlives_a_short_restart(tmp_path: Path) -> None:
    left_before_a_power_cut(tmp_path, datetime.now(tz=UTC) - timedelta(minutes=47))
    async with running(pi(tmp_path)) as (_, said):
        before = await until(said, has_blind_note)
    async with running(pi(tmp_path)) as (_, said):
        await readings_come(said, before["elapsed_s"])
        after = await snapshot(said)
        assert after["blind"] == before["blind"]
        assert len(after["notes"]) == 1, "it is noted once"


def test_a_blind_time_is_kept_to_the_letter() -> None:
    for blind in (Blind(9_001.5, BEFORE, at(47), 2820.0), Blind(1.0, None, None, None)):
        assert Blind.from_json(blind.to_json()) == blind
    for line in ("", "{}", "[1]", '{"to_s": 1, "more": 2}'):
        with pytest.raises(InputError, match="no time without a watch"):
            Blind.from_json(line)


async def test_a_clock_that_went_with_the_power_tells_when_it_is_set(
    tmp_path: Path, wall: Wall
) -> None:
    """It boots with the time at which it went, and the network sets it later."""
    gone = datetime.now(tz=UTC) - timedelta(minutes=47)
    firing_id = left_before_a_power_cut(tmp_path, gone)
    wall.off = timedelta(minutes=-48)
    async with running(pi(tmp_path)) as (_, said):
        seen = await until(said, has_blind_note)
        assert seen["blind"]["lasted_s"] is None
        assert "can't be told" in seen["notes"][0]["text"]
        assert seen["elapsed_s"] == pytest.approx(LAST_S, abs=30.0)
        wall.off = timedelta()
        seen = await until(said, lambda now: len(now["notes"]) == 2)
        assert seen["blind"]["lasted_s"] == pytest.approx(2820.0, abs=30.0)
        assert "(47 minutes)" in seen["notes"][0]["text"]
        assert seen["elapsed_s"] == pytest.approx(LAST_S, abs=30.0), "elapsed time never jumps"
    with Record.open_to_read(tmp_path / "data") as record:
        assert len(record.notes(firing_id)) == 2
        started = record.firing(firing_id).started_label
        assert started == (gone - timedelta(seconds=LAST_S)).isoformat(), "that was right before"


async def test_a_short_restart_is_no_news(tmp_path: Path) -> None:
    left_before_a_power_cut(tmp_path, datetime.now(tz=UTC) - timedelta(seconds=20))
    async with running(pi(tmp_path)) as (_, said):
        await readings_come(said, LAST_S + 1.0)
        seen = await snapshot(said)
        assert seen["blind"] is None
        assert seen["notes"] == []


def name_is_unknown(monkeypatch: pytest.MonkeyPatch) -> list[object]:
    """Nobody can tell where UNKNOWN is; the list grows with each who asks."""
    connect = socket.create_connection
    asked: list[object] = []

    def create_connection(address: tuple[str, int], *words: Any, **more: Any) -> socket.socket:
        if address[0] != UNKNOWN:
            return connect(address, *words, **more)
        asked.append(address)
        raise socket.gaierror(socket.EAI_AGAIN, "Temporary failure in name resolution")

    monkeypatch.setattr(socket, "create_connection", create_connection)
    return asked


async def log_begins(said: Any) -> dict[str, Any]:
    armed = await until(said, lambda seen: seen["reading_age_s"] is not None)
    assert (await post(said, "api/log/begin", {"after": armed["firing"]["id"]}))[0] == 204
    return await until(said, lambda seen: seen["log"]["state"] == "open")


@pytest.mark.parametrize("years_off", [-7, 3])
async def test_a_machine_that_boots_with_a_wrong_clock_and_no_network_reads_and_records(
    tmp_path: Path, wall: Wall, monkeypatch: pytest.MonkeyPatch, years_off: int
) -> None:
    wall.off = timedelta(days=365 * years_off)
    name_is_unknown(monkeypatch)
    broker = BrokerSettings(UNKNOWN)
    async with running(replace(pi(tmp_path), broker=broker)) as (_, said):
        going = await log_begins(said)
        firing_id = going["firing"]["id"]
        year = datetime.now(tz=UTC).year + years_off
        assert going["firing"]["started_at"].startswith(("2", str(year)))
        assert abs(datetime.fromisoformat(going["time"]).year - year) <= 1
        assert going["mqtt"] == "away"
        await readings_come(said, 0.5)
        wall.off = timedelta()
        now = datetime.now(tz=UTC)

        def is_mended(seen: dict[str, Any]) -> bool:
            label = datetime.fromisoformat(seen["firing"]["started_at"])
            return abs((now - label).total_seconds()) < 60.0

        mended = await until(said, is_mended)
        assert mended["firing"]["id"] == firing_id, "nothing but labels has changed"
        assert abs((datetime.fromisoformat(mended["time"]) - now).total_seconds()) < 60.0
        assert mended["blind"] is None
        assert mended["alerts"] == []
        await readings_come(said, mended["elapsed_s"] + 0.5)
    with Record.open_to_read(tmp_path / "data") as record:
        (firing,) = [one for one in record.firings() if one.id == firing_id]
        assert firing.started_label is not None
        assert abs((now - datetime.fromisoformat(firing.started_label)).total_seconds()) < 60.0
        kept = list(record.readings(firing_id))
        assert all(0.0 < after.elapsed_s - one.elapsed_s < 20.0 for one, after in pairwise(kept))
        labels = [datetime.fromisoformat(one.time) for one in kept if one.time is not None]
        assert len(labels) == len(kept)
        jumps = [abs((b - a).total_seconds()) > 3600.0 for a, b in pairwise(labels)]
        assert sum(jumps) == 1


async def test_a_broker_whose_name_nobody_knows_is_told_once_and_the_watch_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    attempts = name_is_unknown(monkeypatch)
    setup = replace(setup_in(tmp_path), broker=BrokerSettings(UNKNOWN))
    async with running(setup) as (_, said):
        await readings_come(said, 300.0)
        async with asyncio.timeout(20.0):
            while len(attempts) < 2:
                await asyncio.sleep(0.05)
        assert (await snapshot(said))["mqtt"] == "away"
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("spyhole: the broker at broker.local:1883 does not answer")


def test_the_status_for_the_broker_says_it_too(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    from supervisor.service.status import status_json
    from tests.service.firings import begin, keep, night

    kept = keep(record, begin(record))
    kept.feed(*night()[:3])
    found = json.loads(status_json(kept.keeper))
    assert (found["log"], found["blind"]) == ("open", None)
    kept.keeper.blind = Blind(12_000.0, BEFORE, at(47), 2820.0)
    found = json.loads(status_json(kept.keeper))
    assert found["blind"] == {
        "from": BEFORE,
        "to": at(47),
        "lasted_s": 2820.0,
        "message": kept.keeper.blind.sentence(),
    }
    kept.keeper.close()
    found = json.loads(status_json(kept.keeper))
    assert (found["log"], found["record"]) == ("closed", "ok")
    monkeypatch.setattr(Record, "trouble", Trouble("the disk is full", 1, 0, 0))
    assert json.loads(status_json(kept.keeper))["record"] == "failing"
