"""Clients that hang are given up in time, and never are there too many of them."""

from __future__ import annotations

import asyncio
import socket
from typing import Any

import httpx
import pytest

from tests.web.fake_desk import FakeDesk
from tests.web.serving import Serving, serving
from web import connections, news

SOON_S = 10.0


@pytest.fixture(autouse=True)
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """What takes a minute takes a moment."""
    monkeypatch.setattr(connections, "LOOK_EVERY_S", 0.05)
    monkeypatch.setattr(connections, "REQUEST_WITHIN_S", 0.5)
    monkeypatch.setattr(connections, "TAKES_WITHIN_S", 0.5)


async def connect(server: Serving, text: str = "") -> socket.socket:
    loop = asyncio.get_running_loop()
    client = socket.socket()
    client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
    client.setblocking(False)
    await loop.sock_connect(client, ("127.0.0.1", server.port))
    await loop.sock_sendall(client, text.encode())
    return client


async def is_hung_up(client: socket.socket) -> None:
    """Wait until the server has hung up; fails when it never does."""
    loop = asyncio.get_running_loop()
    async with asyncio.timeout(SOON_S):
        try:
            while await loop.sock_recv(client, 65_536):
                """What was sent before."""
        except ConnectionResetError:
            """Hung up as well."""
    client.close()


WHOLE = "GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"
BEGINNINGS = {
    "nothing": "",
    "half a request": "GET /api/snapshot HTTP/1.1\r\nHost: loc",
    "half a note": (
        "POST /api/notes HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
        'Content-Length: 40\r\n\r\n{"text"'
    ),
    "one request and a half": f"{WHOLE}GET /api/snap",
}


@pytest.mark.parametrize("text", BEGINNINGS.values(), ids=BEGINNINGS)
async def test_who_never_ends_a_request_is_hung_up_on(text: str) -> None:
    async with serving(FakeDesk()) as server:
        await is_hung_up(await connect(server, text))


async def test_who_takes_nothing_of_the_stream_is_hung_up_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(news, "PACE_S", 0.0)

    class Heavy(FakeDesk):
        def snapshot(self) -> Any:
            snapshot = super().snapshot()
            return snapshot.model_copy(update={"room_warning": f"{snapshot.revision} " * 100_000})

    desk = Heavy()
    async with serving(desk) as server:
        client = await connect(server, "GET /api/stream HTTP/1.1\r\nHost: localhost\r\n\r\n")
        for _ in range(40):
            desk.change()
            await asyncio.sleep(0.05)
        await is_hung_up(client)


async def test_who_reads_the_stream_is_not_hung_up_on_however_quiet_it_is() -> None:
    async with (
        serving(FakeDesk()) as server,
        httpx.AsyncClient(timeout=None) as client,
        client.stream("GET", f"{server.url}/api/stream") as answer,
    ):
        lines = answer.aiter_lines()
        assert await anext(lines) == "event: snapshot"
        await asyncio.sleep(1.5)
        async with asyncio.timeout(SOON_S):
            while await anext(lines) != "event: beat":
                """The rest of the snapshot."""


async def test_too_many_are_hung_up_on_and_the_others_are_served(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(connections, "MOST", 3)
    monkeypatch.setattr(connections, "REQUEST_WITHIN_S", 1e9)
    async with serving(FakeDesk()) as server, httpx.AsyncClient() as client:
        assert (await client.get(f"{server.url}/healthz")).status_code == 200
        hung = [await connect(server, "GET ") for _ in range(2)]
        late = [await connect(server) for _ in range(5)]
        for one in late:
            await is_hung_up(one)
        assert (await client.get(f"{server.url}/healthz")).status_code == 200
        hung[0].close()
        async with asyncio.timeout(SOON_S):
            while True:
                try:
                    async with httpx.AsyncClient() as another:
                        answer = await another.get(f"{server.url}/healthz")
                except httpx.HTTPError:
                    await asyncio.sleep(0.05)
                else:
                    break
        assert answer.status_code == 200
        hung[1].close()
