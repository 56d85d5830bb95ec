"""The daemon as a whole, in this process: what it touches first, and how it ends."""

from __future__ import annotations

import asyncio
import contextlib
import errno
import json
import os
import signal
import socket
import sqlite3
import threading
import urllib.request
from collections.abc import AsyncIterator
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import InputError, PeerError, RecordError
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.record import writer
from supervisor.record.rows import Mode
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.alone import alone_in
from supervisor.service.run import run
from supervisor.service.setup import Setup
from supervisor.service.simulated_rig import SimulatedRig
from tests.messaging.brokers import free_port
from tests.service.firings import scenario

SPEED = 3600.0


class Source:
    """Reads 20 °C each firing minute, or raises what it is told to."""

    channels = ("top",)

    def __init__(self, error: Exception | None = None) -> None:
        self._error = error
        self.is_closed = False

    def heal(self) -> None:
        """Fail no more."""
        self._error = None

    def due_s(self, after_s: float | None) -> float | None:
        return 0.0 if after_s is None else after_s + 60.0

    def read(self, elapsed_s: float) -> Reading:
        if self._error is not None:
            raise self._error
        return Reading(elapsed_s, {"top": 20.0})

    def close(self) -> None:
        self.is_closed = True


def setup_in(folder: Path, source: Source | SimulatedRig | None = None) -> Setup:
    plan = scenario().schedule
    return Setup(
        source=source or Source(),
        schedule=plan,
        schedule_toml=schedule_toml(plan),
        data_dir=folder / "data",
        kiln="test kiln",
        mode=Mode.SIMULATION,
        speed=SPEED,
        interval_s=60.0,
        say=lambda _line: None,
    )


class Said:
    """What the daemon says, and the address of its page once it is ready."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.page: asyncio.Future[str] = asyncio.get_running_loop().create_future()

    def __call__(self, line: str) -> None:
        self.lines.append(line)
        if line.startswith("page: "):
            self.page.set_result(line.removeprefix("page: "))


@contextlib.asynccontextmanager
async def running(setup: Setup) -> AsyncIterator[tuple[asyncio.Task[None], Said]]:
    """The daemon with its page ready; it is cancelled at the end unless it has ended."""
    said = Said()
    task = asyncio.create_task(run(replace(setup, say=said)))
    async with asyncio.timeout(20.0):
        await asyncio.wait((task, said.page), return_when=asyncio.FIRST_COMPLETED)
    if task.done():
        task.result()
    try:
        yield task, said
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def fetch(address: str) -> bytes:
    def get() -> bytes:
        with urllib.request.urlopen(address, timeout=10.0) as answer:
            return bytes(answer.read())

    return await asyncio.to_thread(get)


async def readings_come(said: Said, later_than_s: float = 0.0) -> None:
    """Wait for a reading of so late a firing time."""
    async with asyncio.timeout(20.0):
        while True:
            snapshot = json.loads(await fetch(f"{said.page.result()}api/snapshot"))
            if snapshot["reading_age_s"] is not None and snapshot["elapsed_s"] > later_than_s:
                return
            await asyncio.sleep(0.02)


async def test_a_taken_port_is_said_before_the_record_is_touched(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        source = Source()
        with pytest.raises(PeerError, match="taken by another program"):
            await run(replace(setup_in(tmp_path, source), port=other.getsockname()[1]))
    assert not (tmp_path / "data").exists()
    assert source.is_closed


@pytest.mark.parametrize(
    ("kiln", "broker"),
    [
        ("!!!", BrokerSettings("127.0.0.1")),
        ("kiln", BrokerSettings("127.0.0.1", uses_tls=True, ca_file=Path("/no/such/ca.pem"))),
    ],
)
async def test_what_makes_no_messages_is_said_before_the_record_is_touched(
    tmp_path: Path, kiln: str, broker: BrokerSettings
) -> None:
    source = Source()
    with pytest.raises(InputError):
        await run(replace(setup_in(tmp_path, source), kiln=kiln, broker=broker))
    assert not (tmp_path / "data").exists()
    assert source.is_closed


async def test_a_record_that_is_none_is_one_error_and_the_port_is_free_again(
    tmp_path: Path,
) -> None:
    (tmp_path / "data").mkdir()
    with contextlib.closing(sqlite3.connect(tmp_path / "data" / FILE_NAME)) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
        other.commit()
    port = free_port()
    with pytest.raises(RecordError, match="some other program's database"):
        await run(replace(setup_in(tmp_path), port=port))
    with socket.socket() as again:
        again.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        again.bind(("127.0.0.1", port))


async def test_a_disk_that_can_t_be_written_at_the_start_leaves_no_kiln_unwatched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path / "memory"))
    (tmp_path / "memory").mkdir()
    monkeypatch.setattr(writer, "_HOME_EVERY_S", 0.05)
    spoilt = tmp_path / "data" / FILE_NAME
    spoilt.parent.mkdir()
    spoilt.write_bytes(b"this is no record" * 100)
    async with running(setup_in(tmp_path)) as (_, said):
        await readings_come(said)
        page = said.page.result()
        assert json.loads(await fetch(f"{page}healthz"))["record"] == "failing"
        assert json.loads(await fetch(f"{page}api/snapshot"))["record"] == "failing"
        errors = capsys.readouterr().err
        assert "is not a sound SQLite file" in errors
        assert "THE KILN IS WATCHED FROM MEMORY" in errors
        request = urllib.request.Request(
            f"{page}api/notes", b'{"text": "cone 6 is soft"}', {"Content-Type": "application/json"}
        )

        def status() -> int:
            with urllib.request.urlopen(request, timeout=20.0) as answer:
                return int(answer.status)

        answering = asyncio.create_task(asyncio.to_thread(status))
        assert await answering == 202, "nothing is called written that is not"
        spoilt.rename(spoilt.with_name("spoilt"))
        told = ""
        async with asyncio.timeout(20.0):
            while json.loads(await fetch(f"{page}healthz"))["record"] != "ok":
                await asyncio.sleep(0.02)
            while "the record is written again" not in told:
                told += capsys.readouterr().err
                await asyncio.sleep(0.02)
        assert await asyncio.to_thread(status) == 201
        seen_s = json.loads(await fetch(f"{page}api/snapshot"))["elapsed_s"]
    assert list((tmp_path / "memory").iterdir()) == []
    with Record.open_to_read(tmp_path / "data") as record:
        (firing,) = record.firings()
        assert [note.text for note in record.notes(firing.id)] == ["cone 6 is soft"] * 2
        extent = record.extent(firing.id)
        assert extent is not None
        assert extent.first_s < seen_s <= extent.last_s


async def test_the_page_answers_as_soon_as_it_is_announced(tmp_path: Path) -> None:
    async with running(setup_in(tmp_path)) as (_, said):
        page = said.page.result()
        assert json.loads(await fetch(f"{page}healthz"))
        snapshot = json.loads(await fetch(f"{page}api/snapshot"))
        assert snapshot["kiln"]["name"] == "test kiln"
        assert snapshot["mqtt"] == "off"
        assert b"<!doctype html>" in await fetch(page)


async def test_a_signal_ends_it_in_good_order_and_the_firing_stays_open(tmp_path: Path) -> None:
    source = Source()
    async with running(setup_in(tmp_path, source)) as (task, said):
        await readings_come(said)
        os.kill(os.getpid(), signal.SIGTERM)
        async with asyncio.timeout(5.0):
            await task
        assert task.cancelling() == 0
    assert source.is_closed
    assert signal.getsignal(signal.SIGTERM) is signal.SIG_DFL
    with Record.open_to_read(tmp_path / "data") as record:
        (firing,) = record.firings()
        assert firing.is_open


async def test_a_firing_that_was_left_goes_on_when_it_is_started_again(tmp_path: Path) -> None:
    async with running(setup_in(tmp_path)) as (_, first):
        await readings_come(first)
    with Record.open_to_read(tmp_path / "data") as record:
        (firing,) = record.firings()
        before = list(record.readings(firing.id))
    assert f"firing: {firing.id}, {firing.name}" in first.lines
    async with running(setup_in(tmp_path)) as (_, second):
        await readings_come(second, before[-1].elapsed_s)
    assert f"firing: {firing.id} (goes on), {firing.name}" in second.lines
    assert any(line.startswith(f"resumed: {len(before):,} readings") for line in second.lines)
    with Record.open_to_read(tmp_path / "data") as record:
        assert [one.id for one in record.firings()] == [firing.id]
        after = list(record.readings(firing.id))
    assert after[: len(before)] == before
    times_s = [reading.elapsed_s for reading in after]
    assert times_s == sorted(set(times_s))


async def test_beginning_anew_closes_the_firing_that_was_left(tmp_path: Path) -> None:
    async with running(setup_in(tmp_path)) as (_, said):
        await readings_come(said)
    async with running(replace(setup_in(tmp_path), begins_anew=True)) as (_, said):
        await readings_come(said)
    with Record.open_to_read(tmp_path / "data") as record:
        new, old = record.firings()
        assert (new.is_open, old.is_open) == (True, False)
        extent = record.extent(old.id)
        assert extent is not None
        assert old.ended_at_s == extent.last_s


async def test_a_rig_with_other_channels_is_watched_in_a_log_of_its_own(tmp_path: Path) -> None:
    async with running(setup_in(tmp_path)) as (_, said):
        await readings_come(said)
    async with running(setup_in(tmp_path, SimulatedRig(scenario(), 60.0))) as (_, said):
        await readings_come(said)
    with Record.open_to_read(tmp_path / "data") as record:
        new, old = record.firings()
        assert (new.is_open, old.is_open) == (True, False)
        assert (new.channels == old.channels) is False
        assert list(record.readings(new.id))


async def test_a_source_that_finds_its_file_spoilt_is_one_error_not_a_group(
    tmp_path: Path,
) -> None:
    with pytest.raises(InputError, match="line 7: no temperature"):
        await run(setup_in(tmp_path, Source(InputError("no temperature", where="log, line 7"))))


async def test_a_fault_of_our_own_takes_all_down_loudly(tmp_path: Path) -> None:
    class NeverDue(Source):
        def due_s(self, after_s: float | None) -> float | None:
            raise ZeroDivisionError

    with pytest.raises(ExceptionGroup) as caught:
        await run(setup_in(tmp_path, NeverDue()))
    assert caught.group_contains(ZeroDivisionError)


async def test_a_source_that_fails_in_an_unforeseen_way_is_told_and_looked_at_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = Source(ZeroDivisionError("no such thing"))
    async with running(setup_in(tmp_path, source)) as (task, said):
        async with asyncio.timeout(20.0):
            page = said.page.result()
            while not json.loads(await fetch(f"{page}api/snapshot"))["elapsed_s"]:
                await asyncio.sleep(0.02)
            source.heal()
        await readings_come(said)
        assert not task.done()
    errors = capsys.readouterr().err
    assert "in a way that nobody foresaw (ZeroDivisionError: no such thing)" in errors
    assert errors.count("Traceback") == 1


async def test_a_broker_that_is_away_is_told_once_and_the_watch_goes_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    port = free_port()
    broker = BrokerSettings("127.0.0.1", port)
    async with running(replace(setup_in(tmp_path), broker=broker)) as (_, said):
        await readings_come(said, 300.0)
        page = said.page.result()
        async with asyncio.timeout(20.0):
            while not capsys.readouterr().err:
                await asyncio.sleep(0.05)
        assert json.loads(await fetch(f"{page}api/snapshot"))["mqtt"] == "away"
        await asyncio.sleep(1.2)  # at least one further attempt, a real second later
    assert capsys.readouterr().err == "", "a second attempt that fails is no news"


async def test_when_the_source_has_ended_the_page_stays_and_the_firing_is_closed(
    tmp_path: Path,
) -> None:
    class Short(Source):
        def due_s(self, after_s: float | None) -> float | None:
            due_s = super().due_s(after_s)
            return None if due_s is None or due_s > 600.0 else due_s

    async with running(setup_in(tmp_path, Short())) as (task, said):
        async with asyncio.timeout(20.0):
            while not any(line.startswith("the readings are over") for line in said.lines):
                await asyncio.sleep(0.02)
        assert not task.done()
        snapshot = json.loads(await fetch(f"{said.page.result()}api/snapshot"))
        assert snapshot["firing"]["state"] == "finished"
    with Record.open_to_read(tmp_path / "data") as record:
        (firing,) = record.firings()
        assert not firing.is_open
        extent = record.extent(firing.id)
        assert extent is not None
        # A reading carries the time at which it was taken: how late that was is the machine's.
        assert extent.readings > 0
        assert firing.ended_at_s == extent.last_s


async def test_it_leaves_no_thread_behind(tmp_path: Path) -> None:
    async with running(setup_in(tmp_path)) as (_, said):
        await readings_come(said)
    async with asyncio.timeout(5.0):
        while any(t.name in ("rig", "record writer") for t in threading.enumerate()):
            await asyncio.sleep(0.01)


@pytest.mark.parametrize("has_lock", [True, False])
def test_a_folder_that_cannot_be_written_is_held_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, has_lock: bool
) -> None:
    if has_lock:
        with alone_in(tmp_path):
            pass
    as_it_is = os.open

    def read_only(path: Path, flags: int, mode: int = 0o777) -> int:
        if flags & (os.O_RDWR | os.O_CREAT):
            raise OSError(errno.EROFS, "Read-only file system")
        return as_it_is(path, flags, mode)

    monkeypatch.setattr(os, "open", read_only)
    with (
        alone_in(tmp_path),
        pytest.raises(PeerError, match="already watching"),
        alone_in(tmp_path),
    ):
        """Nobody comes here."""
    with alone_in(tmp_path):
        """It was let go."""
    with alone_in(tmp_path / "nowhere" / "to be made"):
        """There is nothing that two could write into one another."""


def test_a_name_that_no_folder_can_have_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with (
        pytest.raises(RecordError, match="the record can't lie here"),
        alone_in(tmp_path / "file" / "data"),
    ):
        """Nobody comes here."""


async def test_a_second_daemon_does_not_touch_the_record_of_the_first(tmp_path: Path) -> None:
    setup = setup_in(tmp_path)
    with alone_in(setup.data_dir):
        with pytest.raises(PeerError, match="already watching"):
            await run(setup)
        assert not (setup.data_dir / FILE_NAME).exists()
    with alone_in(setup.data_dir):
        pass
