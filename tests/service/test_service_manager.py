"""What the service manager hears: sd_notify(3), sd_watchdog_enabled(3), unix(7)."""

from __future__ import annotations

import asyncio
import os
import socket
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.errors import RigError
from supervisor.core.readings import Reading
from supervisor.messaging import sender
from supervisor.messaging.notify import addresses
from supervisor.service import pulse
from supervisor.service.service_manager import Notifier
from tests.daemons import Daemon, wait_until
from tests.service.manager import Manager
from tests.service.test_run import Source, readings_come, running, setup_in

BEAT_US = "60000"
"""A watchdog of 60 ms: a sign of life each 20 ms."""


def beats(said: list[dict[str, str]]) -> int:
    return sum(line.get("WATCHDOG") == "1" for line in said)


@pytest.mark.parametrize(
    ("environment", "is_heard", "every_s"),
    [
        ({}, False, 20.0),
        ({"NOTIFY_SOCKET": ""}, False, 20.0),
        ({"NOTIFY_SOCKET": "relative"}, False, 20.0),
        ({"NOTIFY_SOCKET": "/run/n"}, True, 20.0),
        ({"NOTIFY_SOCKET": "@n", "WATCHDOG_USEC": "30000000"}, True, 10.0),
        ({"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": "600000000"}, True, 20.0),
        ({"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": "3000000", "WATCHDOG_PID": "7"}, True, 1.0),
        ({"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": "3000000", "WATCHDOG_PID": "8"}, True, 20.0),
        ({"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": "often"}, True, 20.0),
        ({"NOTIFY_SOCKET": "/run/n", "WATCHDOG_USEC": "0"}, True, 20.0),
    ],
)
def test_what_the_manager_told_is_understood(
    environment: dict[str, str], is_heard: bool, every_s: float
) -> None:
    notifier = Notifier.from_environment(environment, pid=7)
    assert notifier.is_heard is is_heard
    assert notifier.every_s == pytest.approx(every_s)


def test_each_word_is_one_datagram_of_lines(tmp_path: Path) -> None:
    with Manager(tmp_path) as manager:
        notifier = Notifier(str(manager.path))
        notifier.ready()
        notifier.alive("big kiln:\n READY=0 °C")
        notifier.troubled("stuck")
        notifier.stopping()
        notifier.alive("still")
        assert manager.listen() == [
            {"READY": "1"},
            {"WATCHDOG": "1", "STATUS": "big kiln: READY=0 °C"},
            {"STATUS": "stuck"},
            {"STOPPING": "1", "STATUS": "Stopping"},
        ]


def test_an_abstract_socket_is_reached() -> None:
    name = f"spyhole-test-{os.getpid()}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        ear.bind(f"\0{name}")
        ear.settimeout(10.0)
        Notifier(f"@{name}").ready()
        assert ear.recv(100) == b"READY=1"


def test_a_manager_that_is_gone_is_no_reason_to_stop(tmp_path: Path) -> None:
    notifier = Notifier(str(tmp_path / "nobody"))
    notifier.ready()
    notifier.alive("fine")
    Notifier(str(tmp_path / ("x" * 200))).ready()


@pytest.fixture
def manager(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Manager]:
    with Manager(tmp_path) as ear:
        monkeypatch.setenv("NOTIFY_SOCKET", str(ear.path))
        monkeypatch.setenv("WATCHDOG_USEC", BEAT_US)
        monkeypatch.delenv("WATCHDOG_PID", raising=False)
        yield ear


async def test_the_daemon_is_ready_when_it_has_read_and_gives_signs_of_life_until_it_stops(
    tmp_path: Path, manager: Manager
) -> None:
    async with running(setup_in(tmp_path)) as (_, said):
        await manager.wait_for(lambda line: line.get("READY") == "1")
        await readings_come(said)
        alive = await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
        while "20 °C" not in alive["STATUS"]:
            alive = await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
        assert alive["STATUS"].startswith("test kiln: Waiting for the kiln to climb")
    assert sum(line.get("READY") == "1" for line in manager.heard) == 1


async def test_a_rig_that_never_answers_is_never_ready(tmp_path: Path, manager: Manager) -> None:
    looks = 0

    class Away(Source):
        def read(self, elapsed_s: float) -> Reading:
            nonlocal looks
            looks += 1
            raise RigError("the bus is gone")

    async with running(setup_in(tmp_path, Away())):
        async with asyncio.timeout(20.0):
            while looks < 20:
                await asyncio.sleep(0.01)
        assert all("READY" not in line for line in manager.listen())


async def test_a_look_that_never_ends_stops_the_signs_of_life(
    tmp_path: Path, manager: Manager, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pulse, "STUCK_S", 0.5)
    let_go = threading.Event()

    class Hanging(Source):
        is_stuck = False

        def read(self, elapsed_s: float) -> Reading:
            if self.is_stuck:
                let_go.wait(60.0)
            return super().read(elapsed_s)

    source = Hanging()
    try:
        async with running(setup_in(tmp_path, source)):
            await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
            source.is_stuck = True
            await manager.wait_for(lambda line: "thermocouples is stuck" in line.get("STATUS", ""))
            for _ in range(10):
                line = await manager.wait_for(lambda _line: True)
                assert "WATCHDOG" not in line
            source.is_stuck = False
            let_go.set()
            await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
    finally:
        let_go.set()


async def test_a_loop_that_hangs_gives_no_sign_of_life(tmp_path: Path, manager: Manager) -> None:
    async with running(setup_in(tmp_path)):
        await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
        manager.listen()
        time.sleep(0.5)  # the loop itself is held
        assert beats(manager.listen()) == 0
        await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")


async def test_a_dead_writer_stops_the_signs_of_life(
    tmp_path: Path, manager: Manager, monkeypatch: pytest.MonkeyPatch
) -> None:
    lives = True
    monkeypatch.setattr(
        "supervisor.record.store.Record.is_written", lambda _record, _longest_s: lives
    )
    async with running(setup_in(tmp_path)):
        await manager.wait_for(lambda line: line.get("WATCHDOG") == "1")
        lives = False
        await manager.wait_for(lambda line: "writer" in line.get("STATUS", ""))
        for _ in range(5):
            assert "WATCHDOG" not in await manager.wait_for(lambda _line: True)


def test_the_program_says_that_it_is_stopping(manager: Manager, tmp_path: Path) -> None:
    with Daemon(
        *("watch", "--simulate", "healthy-bisque", "--speed", "60", "--port", "0"),
        *("--data", tmp_path / "data"),
    ) as daemon:
        assert daemon.page
        wait_until(lambda: any("READY" in line for line in manager.listen()), "it is ready")
        code, _ = daemon.stop()
    assert code == 0
    manager.listen()
    assert manager.heard[-1] == {"STOPPING": "1", "STATUS": "Stopping"}


async def test_the_manager_hears_of_addresses_that_take_nothing(
    tmp_path: Path, manager: Manager, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sender, "is_installed", lambda: False)
    async with running(replace(setup_in(tmp_path), notify=addresses(["json://a"]))):
        line = await manager.wait_for(lambda line: "No alert" in line.get("STATUS", ""))
    assert line["STATUS"].endswith("No alert reaches number 1 of notify.urls (json://…).")
    assert line["WATCHDOG"] == "1"


async def test_a_broker_is_missed_aloud(tmp_path: Path) -> None:
    async with running(replace(setup_in(tmp_path), broker=None)) as (_, said):
        assert [line for line in said.lines if line.startswith("broker: none; page and record")]
