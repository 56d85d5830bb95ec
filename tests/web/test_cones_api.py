"""Looks at real cones and offsets over HTTP: what is taken, what is refused, and from whom."""

from __future__ import annotations

import asyncio
from typing import Any

import httpx
import pytest

from tests.web.fake_desk import ESTIMATE, FakeDesk
from tests.web.test_app import client, desk, problem
from web import writing
from web.models import Accepted, Look
from web.requests import LookRequest

__all__ = ["client", "desk"]

LOOK: dict[str, Any] = {"cone": "6", "clock": "3:30", "channel": "middle"}
CLIENT_ID = "0b6f0a3e-6c0f-4c8e-9d53-3a1c7d1f4e55"


async def test_a_look_is_written_and_answered_as_recorded(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    more = {"shelf": " top shelf ", "minutes_ago": 5, "by": "Ana"}
    response = await client.post("/api/cones", json=LOOK | more)
    assert response.status_code == 201
    look = Look.model_validate(response.json())
    assert (look.cone, look.clock, look.channel, look.shelf) == ("6", "3:30", "middle", "top shelf")
    assert look.elapsed_s == desk.now.elapsed_s - 300.0
    assert desk.now.witness == [look]
    assert desk.changed_offsets == [], "it is proposed, and nothing more"


async def test_a_look_that_is_sent_again_is_written_once(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    for _ in range(2):
        response = await client.post("/api/cones", json=LOOK | {"client_id": CLIENT_ID})
        assert response.status_code == 201
    assert len(desk.looked) == 1


@pytest.mark.parametrize(
    "wrong",
    [
        {"cone": "15"},
        {"cone": 6},
        {"cone": "x" * 21},
        {"clock": "x" * 41},
        {"clock": None},
        {"channel": "cellar"},
        {"channel": ""},
        {"shelf": "x" * 201},
        {"shelf": "top\x1b[2J"},
        {"shelf": "top\nBcc: x"},
        {"by": "Ana\x1b]0;x\x07"},
        {"minutes_ago": -1},
        {"minutes_ago": "soon"},
        {"minutes_ago": 1e9},
        {"client_id": "mine"},
        {"kiln": "off"},
    ],
)
async def test_a_look_that_does_not_fit_is_refused_in_one_sentence(
    client: httpx.AsyncClient, desk: FakeDesk, wrong: dict[str, Any]
) -> None:
    response = await client.post("/api/cones", json=LOOK | wrong)
    assert response.status_code == 422
    assert problem(response)
    assert desk.looked == []


async def test_a_look_is_taken_back(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    await desk.add_look(LookRequest(**LOOK))
    response = await client.post("/api/cones/1/withdraw", json={})
    assert (response.status_code, response.content) == (204, b"")
    assert desk.now.witness == []
    unknown = await client.post("/api/cones/7/withdraw", json={})
    assert unknown.status_code == 404
    assert problem(unknown) == "There is no look 7 in this firing."


async def test_an_offset_is_accepted_as_it_was_seen_and_taken_back(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    await desk.add_look(LookRequest(**LOOK))
    seen = {"offset_c": ESTIMATE.offset_c}
    other = await client.post("/api/offsets/middle/accept", json={"offset_c": 1.0})
    assert other.status_code == 422
    assert problem(other)
    assert desk.changed_offsets == []
    assert (await client.post("/api/offsets/middle/accept", json=seen)).status_code == 204
    snapshot = (await client.get("/api/snapshot")).json()
    assert snapshot["correction"]["offset_c"] == ESTIMATE.offset_c
    assert (await client.post("/api/offsets/middle/withdraw", json={})).status_code == 204
    assert (await client.get("/api/snapshot")).json()["correction"] is None
    assert desk.changed_offsets == [("middle", ESTIMATE.offset_c), ("middle", None)]


@pytest.mark.parametrize("path", ["cellar/accept", "cel%2Flar/accept", "cellar/withdraw"])
async def test_a_channel_that_is_not_there_is_not_found(
    client: httpx.AsyncClient, path: str
) -> None:
    body = {"offset_c": 1.0} if path.endswith("accept") else {}
    response = await client.post(f"/api/offsets/{path}", json=body)
    assert response.status_code == 404
    assert problem(response).startswith("There is no channel “cel")


WRITES: list[tuple[str, dict[str, Any]]] = [
    ("/api/cones", LOOK),
    ("/api/cones/1/withdraw", {}),
    ("/api/offsets/middle/accept", {"offset_c": ESTIMATE.offset_c}),
    ("/api/offsets/middle/withdraw", {}),
]


@pytest.mark.parametrize(("path", "body"), WRITES)
async def test_another_sites_page_can_write_none_of_it(
    client: httpx.AsyncClient, desk: FakeDesk, path: str, body: dict[str, Any]
) -> None:
    await desk.add_look(LookRequest(**LOOK))
    before = desk.now
    response = await client.post(path, json=body, headers={"origin": "http://evil.example"})
    assert response.status_code == 403
    assert problem(response)
    assert desk.now == before


@pytest.mark.parametrize(("path", "body"), WRITES)
async def test_a_slow_disk_is_answered_in_time_and_written_later(
    client: httpx.AsyncClient,
    desk: FakeDesk,
    monkeypatch: pytest.MonkeyPatch,
    path: str,
    body: dict[str, Any],
) -> None:
    await desk.add_look(LookRequest(**LOOK))
    looks, offsets = len(desk.looked), len(desk.changed_offsets)
    monkeypatch.setattr(writing, "WAIT_S", 0.05)
    desk.disk_takes.clear()
    response = await client.post(path, json=body)
    assert response.status_code == 202
    assert Accepted.model_validate(response.json()).accepted
    before = desk.now.revision
    desk.disk_takes.set()
    async with asyncio.timeout(5.0):
        while (
            len(desk.looked) == looks
            and len(desk.changed_offsets) == offsets
            and desk.now.revision == before
        ):
            await asyncio.sleep(0)


async def test_a_record_that_fails_is_said_so(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    desk.record_is_broken = True
    response = await client.post("/api/cones", json=LOOK)
    assert response.status_code == 503
    assert problem(response) == "The record can't be written: the disk is full."
