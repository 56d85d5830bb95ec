"""The live stream over a real socket: order, pace, memory, and its end."""

from __future__ import annotations

import asyncio
import contextlib
import json
import signal
import socket
import time
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest

from supervisor.core.errors import PeerError
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.serving import Serving, serving
from web import news as news_module
from web.app import create_app, end_streams
from web.serve import bind, serve

SOON_S = 5.0


@pytest.fixture
def desk() -> FakeDesk:
    desk = FakeDesk()
    desk.fill(3_000)
    return desk


WARMER: dict[str, float | None] = {"top": 61.0, "middle": 60.0, "bottom": 58.0}
"""Warmer than at the beginning of a firing by more than is told later."""

Event = tuple[str, dict[str, Any]]


@contextlib.asynccontextmanager
async def listening(server: Serving) -> AsyncIterator[AsyncIterator[Event]]:
    """The events of one open stream."""

    async def events(response: httpx.Response) -> AsyncIterator[Event]:
        name = ""
        async for line in response.aiter_lines():
            field, _, value = line.partition(": ")
            if field == "event":
                name = value
            elif field == "data":
                yield name, json.loads(value)

    async with (
        httpx.AsyncClient(timeout=SOON_S, headers={"accept-encoding": "gzip"}) as client,
        client.stream("GET", f"{server.url}/api/stream") as response,
    ):
        assert response.status_code == 200
        assert response.headers["content-type"].startswith("text/event-stream")
        assert response.headers["content-encoding"] == "gzip"
        yield events(response)


async def test_a_snapshot_comes_at_once_and_each_change_after_it(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as events:
        name, first = await anext(events)
        assert (name, first["elapsed_s"]) == ("snapshot", 3_000.0)
        desk.read(3_030.0)
        name, points = await anext(events)
        assert (name, points["elapsed_s"]) == ("points", [3_030.0])
        assert set(points["channels"]) == {"top", "middle", "bottom"}
        name, second = await anext(events)
        assert (name, second["elapsed_s"]) == ("changes", 3_030.0)
        assert second["channels"] == desk.now.model_dump(mode="json")["channels"]
        assert not {"kiln", "notes", "alerts"} & set(second), "nothing is told twice"
        desk.change(alerts=[stall_alert()])
        name, third = await anext(events)
        assert (name, third["alerts"][0]["kind"]) == ("changes", "stall")
        assert set(third) == {"alerts", "revision", "reading_age_s"}


async def test_a_reading_reaches_an_idle_page_in_a_quarter_of_a_second(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
        await asyncio.sleep(news_module.PACE_S + 0.1)  # the stream's own pace, over a socket
        sent_at_s = time.monotonic()
        desk.read(3_030.0)
        await anext(events)
        assert time.monotonic() - sent_at_s < 0.25


async def test_a_hundred_changes_a_second_are_told_twice_a_second(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
        began_s = time.monotonic()
        points: list[float] = []
        snapshots = 0
        at_s = 3_000.0
        while snapshots < 3:
            changing = asyncio.ensure_future(anext(events))
            while not changing.done():
                at_s += 30.0
                desk.read(at_s)
                await asyncio.sleep(0.01)
            name, data = changing.result()
            if name == "points":
                points += data["elapsed_s"]
            else:
                snapshots += 1
        # The first one has nothing to wait for.
        assert time.monotonic() - began_s > 2 * news_module.PACE_S * 0.9
        assert points == sorted(set(points))
        assert points[0] > 3_000.0
        assert points[-1] > 3_300.0


async def test_another_chart_begins_its_points_anew(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
        desk.trace = type(desk.trace)(["top", "middle", "bottom"], gap_s=150.0)
        desk.read(0.0, chart_revision=1)
        assert (await anext(events))[0] == "changes"
        desk.read(30.0, WARMER)
        name, points = await anext(events)
        assert (name, points["elapsed_s"]) == ("points", [30.0])


async def test_a_quiet_stream_gives_signs_of_life(
    desk: FakeDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(news_module, "BEAT_S", 0.6)
    desk.read(3_030.0)
    read_s = time.monotonic()
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
        for _ in range(2):
            name, beat = await anext(events)
            assert (name, set(beat)) == ("beat", {"reading_age_s"})
            assert 0 <= beat["reading_age_s"] <= time.monotonic() - read_s + 0.5


async def test_another_firing_begins_its_points_anew_though_the_charts_number_is_the_same(
    desk: FakeDesk,
) -> None:
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
        desk.begin_another("f2")
        name, changes = await anext(events)
        assert (name, changes["firing"]["id"]) == ("changes", "f2")
        desk.read(30.0, WARMER)
        name, points = await anext(events)
        assert (name, points["firing_id"], points["elapsed_s"]) == ("points", "f2", [30.0])


async def test_streams_end_by_the_servers_end_and_say_goodbye(desk: FakeDesk) -> None:
    app = create_app(desk)
    async with serving(desk, app=app) as server, listening(server) as events:
        await anext(events)
        end_streams(app)
        assert (await anext(events))[0] == "closing"
        with pytest.raises(StopAsyncIteration):
            await anext(events)


async def test_the_server_stops_in_two_seconds_with_open_streams(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as one, listening(server) as other:
        await anext(one)
        await anext(other)
        began_s = time.monotonic()
        await server.stop()
        assert time.monotonic() - began_s < 2.0
        assert [name async for name, _ in one if name != "beat"] == ["closing"]
        with pytest.raises(httpx.ConnectError):
            async with httpx.AsyncClient() as client:
                await client.get(server.url)


async def open_and_hang(server: Serving) -> socket.socket:
    """A client that asks for the stream and then reads nothing of it, ever."""
    loop = asyncio.get_running_loop()
    client = socket.socket()
    client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
    client.setblocking(False)
    await loop.sock_connect(client, ("127.0.0.1", server.port))
    await loop.sock_sendall(client, b"GET /api/stream HTTP/1.1\r\nHost: localhost\r\n\r\n")
    return client


class Heavy(FakeDesk):
    """Counts how often a snapshot is taken, each of them large, and no two alike."""

    asked = 0

    def snapshot(self) -> Any:
        self.asked += 1
        return super().snapshot().model_copy(update={"room_warning": f"{self.asked} " * 80_000})


async def test_a_phone_that_hangs_queues_nothing_and_does_not_hold_up_the_end(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(news_module, "PACE_S", 0.0)
    desk = Heavy()
    async with serving(desk) as server:
        client = await open_and_hang(server)
        asked: list[int] = []
        for _ in range(200):
            desk.change()
            await asyncio.sleep(0.01)
            asked.append(desk.asked)
        assert 0 < asked[-1] < 40
        assert asked[-1] == asked[100], "a hung phone is still being written to"
        began_s = time.monotonic()
        await server.stop()
        assert time.monotonic() - began_s < 2.5
        client.close()


async def test_a_closed_phone_is_forgotten(desk: FakeDesk) -> None:
    async with serving(desk) as server:
        async with listening(server) as events:
            await anext(events)
            async with asyncio.timeout(SOON_S):
                while desk.waiting == 0:
                    await asyncio.sleep(0.01)
        quiet_since_s = time.monotonic()
        async with asyncio.timeout(SOON_S):
            while time.monotonic() - quiet_since_s < 2 * news_module.PACE_S + 0.2:
                if desk.waiting:
                    quiet_since_s = time.monotonic()
                await asyncio.sleep(0.01)
        assert desk.waiting == 0


async def test_a_taken_port_is_one_clear_sentence(desk: FakeDesk) -> None:
    async with serving(desk) as server:
        with pytest.raises(PeerError) as caught:
            bind("127.0.0.1", server.port)
        assert str(caught.value) == (
            f"Port {server.port} on 127.0.0.1 is taken by another program; stop that, or choose "
            "another port (0 finds a free one)."
        )


async def test_a_port_taken_beforehand_is_served_and_let_go(desk: FakeDesk) -> None:
    listener = bind("127.0.0.1", 0)
    port = listener.getsockname()[1]
    ready: asyncio.Future[int] = asyncio.get_running_loop().create_future()
    task = asyncio.create_task(serve(create_app(desk), listener, on_ready=ready.set_result))
    assert await ready == port
    async with httpx.AsyncClient() as client:
        assert (await client.get(f"http://127.0.0.1:{port}/healthz")).status_code == 200
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    bind("127.0.0.1", port).close()


def test_an_address_that_is_not_ours_is_one_clear_sentence() -> None:
    with pytest.raises(PeerError, match=r"^The page can't be served .*\.$"):
        bind("192.0.2.1", 0)  # TEST-NET-1, RFC 5737
    with pytest.raises(PeerError, match="no such address"):
        bind("not an address", 0)


async def test_the_same_port_can_be_taken_again_at_once(desk: FakeDesk) -> None:
    async with serving(desk) as server, listening(server) as events:
        await anext(events)
    async with serving(FakeDesk(), port=server.port) as again:
        assert again.port == server.port


async def test_signal_handlers_are_left_alone(desk: FakeDesk) -> None:
    before = signal.getsignal(signal.SIGTERM), signal.getsignal(signal.SIGINT)
    async with serving(desk):
        assert (signal.getsignal(signal.SIGTERM), signal.getsignal(signal.SIGINT)) == before
