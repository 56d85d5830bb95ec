"""Who may not write is told so before anything of a body is read, and holds nobody up."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

import httpx
import pytest
from starlette.requests import Request

from tests.web.access.doors import PHONE, PIN, Door
from tests.web.serving import Serving, serving
from web import intake
from web.access.access import Reading
from web.access.gate import OWN_HEADER, cookie_name
from web.intake import MAX_PHOTO_BYTES, PHOTOS_AT_ONCE

SOON_S = 10.0
PHOTOS = "/api/firings/f1/photos"


class Shelf:
    """A page with a PIN, where photos are put."""

    def __init__(self) -> None:
        self.door = Door()
        self.photos: list[int] = []

        @self.door.app.post(PHOTOS, status_code=201)
        async def add_photo(request: Request) -> None:
            self.photos.append(len(await request.body()))


async def begun(
    server: Serving, length: int, *more: str
) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    """A photo of which the head has come, and a first byte, and then nothing."""
    reader, writer = await asyncio.open_connection("127.0.0.1", server.port)
    head = (
        f"POST {PHOTOS} HTTP/1.1",
        "Host: kiln.local",
        "Content-Type: image/jpeg",
        f"Content-Length: {length}",
        *more,
    )
    writer.write(("\r\n".join(head) + "\r\n\r\n").encode() + b"\xff")
    await writer.drain()
    return reader, writer


async def token_of(door: Door) -> str:
    visitor = door.access.visitor(PHONE, is_here=False, token=None)
    return await door.access.sign_in(visitor, PIN, "Ana")


async def test_strangers_who_never_end_a_photo_are_told_at_once_and_take_nobodys_place() -> None:
    shelf = Shelf()
    async with serving(shelf.door.desk, app=shelf.door.app) as server:
        strangers = [await begun(server, MAX_PHOTO_BYTES) for _ in range(2 * PHOTOS_AT_ONCE)]
        async with asyncio.timeout(SOON_S):
            for reader, _ in strangers:
                assert (await reader.readline()).split()[1] == b"401"
                head = (await reader.readuntil(b"\r\n\r\n")).lower()
                assert b"\r\nconnection: close\r\n" in head
            cookie = f"{cookie_name({'server': ('', server.port)})}={await token_of(shelf.door)}"
            async with httpx.AsyncClient(base_url=server.url) as phone:
                answer = await phone.post(
                    PHOTOS,
                    content=b"\xff\xd8 a pot",
                    headers={
                        "Content-Type": "image/jpeg",
                        "Cookie": cookie,
                        OWN_HEADER: "1",
                    },
                )
            assert answer.status_code == 201
            for reader, writer in strangers:
                assert b"Sign in" in await reader.read(), "and hung up on"
                writer.close()
    assert shelf.photos == [len(b"\xff\xd8 a pot")]


async def test_who_is_refused_hears_it_though_they_are_still_sending() -> None:
    shelf = Shelf()
    async with (
        serving(shelf.door.desk, app=shelf.door.app) as server,
        httpx.AsyncClient(base_url=server.url) as phone,
    ):
        for size in (1, MAX_PHOTO_BYTES // 2):
            answer = await phone.post(
                PHOTOS, content=b"x" * size, headers={"Content-Type": "image/jpeg"}
            )
            assert answer.status_code == 401
            assert answer.headers["connection"] == "close"
    assert shelf.photos == []


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        (PHOTOS, {"content-type": "image/jpeg"}, 401),
        ("/api/notes", {"content-type": "application/json"}, 401),
        ("/api/notes/1/withdraw", {"content-type": "application/json"}, 401),
        ("/api/notes", {"content-type": "text/plain"}, 415),
        ("/api/notes", {"content-type": "application/json", "origin": "http://evil.example"}, 403),
    ],
)
async def test_a_refusal_waits_for_nothing_of_the_body(
    monkeypatch: pytest.MonkeyPatch, path: str, headers: dict[str, str], status: int
) -> None:
    monkeypatch.setattr(intake, "LINGER_S", 0.05)
    door = Door()
    never = asyncio.Event()

    async def endless() -> AsyncIterator[bytes]:
        await never.wait()
        yield b"never"

    async with asyncio.timeout(SOON_S), door.opened_from() as phone:
        answer = await phone.post(path, content=endless(), headers=headers)
    assert answer.status_code == status


async def test_without_the_own_header_a_session_reads_no_body_either() -> None:
    shelf = Shelf()
    async with serving(shelf.door.desk, app=shelf.door.app) as server:
        cookie = f"{cookie_name({'server': ('', server.port)})}={await token_of(shelf.door)}"
        reader, writer = await begun(server, 1000, f"Cookie: {cookie}")
        async with asyncio.timeout(SOON_S):
            assert (await reader.readline()).split()[1] == b"403"
        writer.close()


async def test_who_may_not_read_keeps_the_connection() -> None:
    async with Door(reading=Reading.PIN).opened_from() as phone:
        answer = await phone.get("/api/snapshot")
        assert answer.status_code == 401
        assert "connection" not in answer.headers
