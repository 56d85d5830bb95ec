"""Past firings over HTTP, from the real record: found, looked at, downloaded, written about."""

from __future__ import annotations

import asyncio
import io
import json
import sqlite3
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image

from hardware.recorded_log import read_log
from supervisor.core.units import Unit
from supervisor.record.export import export_csv, export_json
from supervisor.record.photos import PhotoFiles
from supervisor.record.put_away import put_away
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from supervisor.record.unloading import NewPhoto
from supervisor.service.archive import Archive
from tests.service.firings import Kept, begin, keep, night, opened_copy
from tests.web.fake_desk import FakeDesk
from web.app import create_app
from web.archive_models import ArchivedChart, ArchivedFiring, FiringPage, Photo
from web.intake import MAX_PHOTO_BYTES
from web.routers import firings

CLIENT_ID = "0b6f0a3e-6c0f-4c8e-9d53-3a1c7d1f4e55"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with a firing in which the breaker tripped, watched to its end and put away."""
    folder = tmp_path_factory.mktemp("made")
    with Record.open(folder) as record:
        firing = begin(record)
        kept = keep(record, firing)
        kept.feed(*night())
        alert = next(one for one in kept.keeper.book.alerts if one.kind.value == "stall")
        kept.keeper.acknowledge(alert.id, "Ana")
        kept.keeper.close()
        record.flush().result(10.0)
        put_away(record, record.firing(firing.id))
    return folder


@pytest.fixture
def record(made: Path, tmp_path: Path) -> Iterator[Record]:
    """That record, for one test."""
    with opened_copy(made, tmp_path) as opened:
        yield opened


@pytest.fixture
def past(record: Record) -> Firing:
    """The firing that is over."""
    return record.firings()[-1]


@pytest.fixture
def now(record: Record, past: Firing) -> Kept:
    """The firing that goes on."""
    kept = keep(record, begin(record))
    kept.feed(*night()[:100])
    record.flush().result(10.0)
    return kept


@pytest.fixture
async def client(record: Record, now: Kept) -> AsyncIterator[httpx.AsyncClient]:
    archive = Archive(record, lambda: now.keeper, lambda: None)
    transport = httpx.ASGITransport(create_app(FakeDesk(), routers=[firings.router(archive)]))
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8080") as made:
        yield made


async def got(client: httpx.AsyncClient, path: str) -> Any:
    response = await client.get(path)
    assert response.status_code == 200, response.text
    return response.json()


def a_picture(**more: Any) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((900, 600), 50).convert("RGB").save(out, "JPEG", **more)
    return out.getvalue()


async def test_the_list_has_the_firing_and_the_one_that_goes_on(
    client: httpx.AsyncClient, past: Firing, now: Kept
) -> None:
    page = FiringPage.model_validate(await got(client, "/api/firings"))
    assert {one.id: one.is_open for one in page.firings} == {
        past.id: False,
        now.keeper.firing.id: True,
    }
    row = next(one for one in page.firings if one.id == past.id)
    assert (row.kiln, row.mode, row.lead) == ("test kiln", "live", "top")
    assert row.peak_c is not None
    assert 1150.0 < row.peak_c < 1260.0
    assert row.cone is not None
    assert row.warnings >= 1
    assert page.kilns == ["test kiln"]
    assert row.readings == row.length_s / 20.0 + 1.0  # type: ignore[operator]


@pytest.mark.parametrize(
    ("query", "total"),
    [
        ("search=mid-fire+test", 2),
        ("search=porcelain", 0),
        ("kiln=test+kiln&limit=1", 2),
        ("since=1990-01-01", 2),
        ("until=1990-01-01", 0),
        ("mode=simulation", 0),
        ("mode=live", 2),
        ("cone=14", 0),
    ],
)
async def test_the_list_is_searched(client: httpx.AsyncClient, query: str, total: int) -> None:
    assert (await got(client, f"/api/firings?{query}"))["total"] == total


@pytest.mark.parametrize(
    "query", ["cone=15", "since=yesterday", "limit=0", "limit=9999", "offset=-1", "mode=x", "a=b"]
)
async def test_a_question_that_makes_no_sense_is_refused(
    client: httpx.AsyncClient, query: str
) -> None:
    response = await client.get(f"/api/firings?{query}")
    assert response.status_code == 422
    assert response.json()["error"]["message"]


async def test_one_firing_has_everything(
    client: httpx.AsyncClient, record: Record, past: Firing
) -> None:
    whole = ArchivedFiring.model_validate(await got(client, f"/api/firings/{past.id}"))
    assert whole.schedule_toml == past.schedule_toml
    assert [step.number for step in whole.steps] == [1, 2, 3, 4]
    assert all(step.begun_s is not None for step in whole.steps)
    lines = [json.loads(line) for line in record.event_lines(past.id)]
    assert [event.message for event in whole.events] == [line["message"] for line in lines]
    stall = next(alert for alert in whole.alerts if alert.kind == "stall")
    assert stall.acknowledged_by == "Ana"
    assert stall.cleared_at_s is not None
    assert [one.name for one in whole.reach] == list(past.channels)
    assert whole.reach[0].cone == whole.cone


async def test_the_chart_keeps_every_peak(client: httpx.AsyncClient, past: Firing) -> None:
    chart = ArchivedChart.model_validate(
        await got(client, f"/api/firings/{past.id}/chart?max_points=300")
    )
    assert len(chart.elapsed_s) <= 300
    assert chart.elapsed_s == sorted(chart.elapsed_s)
    assert all(None not in column for column in chart.channels.values()), "no gap is made up"
    for name in past.channels:
        there = [c for one in night() if (c := one.temps_c[name]) is not None]
        drawn = [c for c in chart.channels[name] if c is not None]
        assert max(drawn) == pytest.approx(max(there), abs=0.06)
    assert chart.plan is not None
    assert len(chart.plan.elapsed_s) >= 5
    part = ArchivedChart.model_validate(
        await got(client, f"/api/firings/{past.id}/chart?from_s=1000&to_s=2000")
    )
    assert part.elapsed_s == [r.elapsed_s for r in night() if 1000.0 <= r.elapsed_s <= 2000.0]


async def test_the_firing_that_goes_on_is_drawn_as_far_as_it_is(
    client: httpx.AsyncClient, now: Kept
) -> None:
    chart = await got(client, f"/api/firings/{now.keeper.firing.id}/chart")
    assert chart["elapsed_s"] == [r.elapsed_s for r in night()[:100]]
    whole = await got(client, f"/api/firings/{now.keeper.firing.id}")
    assert (whole["is_open"], whole["reach"], whole["cone"]) == (True, [], None)


async def test_downloads_are_what_the_report_writes(
    client: httpx.AsyncClient, record: Record, past: Firing, tmp_path: Path
) -> None:
    export_csv(record, past.id, tmp_path / "log.csv")
    export_json(record, past.id, tmp_path / "firing.json")
    response = await client.get(f"/api/firings/{past.id}/log.csv")
    assert response.headers["content-disposition"].endswith(f'"spyhole-{past.id}.csv"')
    assert response.content == (tmp_path / "log.csv").read_bytes()
    response = await client.get(f"/api/firings/{past.id}/firing.json")
    assert response.content == (tmp_path / "firing.json").read_bytes()
    response = await client.get(f"/api/firings/{past.id}/log.csv?units=F")
    (tmp_path / "f.csv").write_bytes(response.content)
    assert len(list(read_log(tmp_path / "f.csv"))) == len(list(record.readings(past.id)))


async def test_a_past_firing_takes_notes_and_cones(
    client: httpx.AsyncClient, record: Record, past: Firing
) -> None:
    body = {"text": "Crawled on the rims", "by": "Ana", "client_id": CLIENT_ID}
    for _ in range(2):
        response = await client.post(f"/api/firings/{past.id}/notes", json=body)
        assert response.status_code == 201
    (note,) = record.notes(past.id)
    extent = record.extent(past.id)
    assert extent is not None
    assert (note.text, note.by, note.elapsed_s) == ("Crawled on the rims", "Ana", extent.last_s)
    early = {"text": "Bung in", "elapsed_s": 600}
    assert (await client.post(f"/api/firings/{past.id}/notes", json=early)).status_code == 201
    assert [one.elapsed_s for one in record.notes(past.id)] == [extent.last_s, 600.0]
    look = {"cone": "6", "clock": "5", "channel": "top"}
    response = await client.post(f"/api/firings/{past.id}/cones", json=look)
    assert response.status_code == 201
    (kept,) = record.observations(past.id)
    assert (kept.seen.cone, kept.seen.channel, kept.seen.elapsed_s) == ("6", "top", extent.last_s)


async def test_a_note_of_the_firing_that_goes_on_is_on_the_page(
    client: httpx.AsyncClient, now: Kept
) -> None:
    path = f"/api/firings/{now.keeper.firing.id}"
    await client.post(f"{path}/notes", json={"text": "now"})
    await client.post(f"{path}/notes", json={"text": "before", "elapsed_s": 100})
    assert [note.text for note in now.keeper.notes] == ["now", "before"]
    await client.post(f"{path}/cones", json={"cone": "6", "clock": "1", "channel": "top"})
    assert [look.seen.cone for look in now.keeper.looks] == ["6"]


async def test_a_past_firings_note_is_taken_back(
    client: httpx.AsyncClient, record: Record, past: Firing, now: Kept
) -> None:
    path = f"/api/firings/{past.id}/notes"
    told = (await client.post(path, json={"text": "Body reduction begun"})).json()
    for by in ("Ben", "Ana"):
        response = await client.post(f"{path}/{told['id']}/withdraw", json={"by": by})
        assert (response.status_code, response.content) == (204, b"")
    assert record.notes(past.id) == []
    (gone,) = record.withdrawn_notes(past.id)
    extent = record.extent(past.id)
    assert extent is not None
    assert (gone.text, gone.withdrawn_by) == ("Body reduction begun", "Ben")
    assert gone.withdrawn_at_s == extent.last_s
    shown = ArchivedFiring.model_validate((await client.get(f"/api/firings/{past.id}")).json())
    assert shown.notes_written == []
    assert record.to_put_away() == [past]
    unknown = await client.post(f"{path}/{int(told['id']) + 1}/withdraw", json={})
    assert unknown.status_code == 404
    going = f"/api/firings/{now.keeper.firing.id}/notes"
    told = (await client.post(going, json={"text": "Plug out"})).json()
    assert (await client.post(f"{going}/{told['id']}/withdraw", json={})).status_code == 204
    assert now.keeper.notes == []


@pytest.mark.parametrize(
    ("what", "body"),
    [
        ("notes", {"text": ""}),
        ("notes", {"text": "x", "elapsed_s": 1e8}),
        ("notes", {"text": "x", "elapsed_s": -1}),
        ("cones", {"cone": "15", "clock": "5"}),
        ("cones", {"cone": "6", "clock": "soon"}),
        ("cones", {"cone": "6", "clock": "5", "channel": "cellar"}),
        ("accounts", {"topic": "Load", "text": "x"}),
        ("accounts", {"topic": "load"}),
        ("findings", {"findings": [{"key": "a", "level": 11}]}),
        ("findings", {"findings": [{"key": "A", "level": 1}]}),
    ],
)
async def test_what_does_not_fit_is_refused_and_nothing_is_written(
    client: httpx.AsyncClient, record: Record, past: Firing, what: str, body: dict[str, object]
) -> None:
    response = await client.post(f"/api/firings/{past.id}/{what}", json=body)
    assert response.status_code == 422, response.text
    for written in (record.notes, record.observations, record.accounts, record.findings):
        assert not written(past.id)


async def test_load_glazes_result_and_findings(
    client: httpx.AsyncClient, record: Record, past: Firing
) -> None:
    path = f"/api/firings/{past.id}"
    for topic, text in (("load", "40 mugs"), ("glazes", "Tenmoku"), ("load", " 41 mugs ")):
        response = await client.post(f"{path}/accounts", json={"topic": topic, "text": text})
        assert response.status_code == 201
    found = [{"key": "crawling", "level": 2, "place": "top"}, {"key": "pinholes", "level": 1}]
    response = await client.post(f"{path}/findings", json={"findings": found, "by": "Ana"})
    assert [(one["key"], one["by"]) for one in response.json()] == [
        ("crawling", "Ana"),
        ("pinholes", "Ana"),
    ]
    gone = [{"key": "pinholes", "level": 0}]
    await client.post(f"{path}/findings", json={"findings": gone})
    whole = ArchivedFiring.model_validate(await got(client, path))
    assert [(one.topic, one.text) for one in whole.accounts] == [
        ("glazes", "Tenmoku"),
        ("load", "41 mugs"),
    ]
    assert [(one.key, one.level, one.place) for one in whole.found] == [("crawling", 2, "top")]
    assert (await got(client, "/api/firings?search=tenmoku"))["total"] == 1


async def test_a_photo_is_kept_shown_small_and_taken_back(
    client: httpx.AsyncClient, record: Record, past: Firing, tmp_path: Path
) -> None:
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 29: "48.2081"}
    data = a_picture(exif=exif)
    path = f"/api/firings/{past.id}/photos"
    jpeg = {"content-type": "image/jpeg"}
    for _ in range(2):
        response = await client.post(f"{path}?caption=Shelf+2&by=Ana", content=data, headers=jpeg)
        assert response.status_code == 201
    photo = Photo.model_validate(response.json())
    assert (photo.width_px, photo.height_px, photo.caption) == (900, 600, "Shelf 2")
    assert len((await got(client, f"/api/firings/{past.id}"))["pictures"]) == 1
    whole = await client.get(f"{path}/{photo.number}")
    assert whole.headers["content-type"] == "image/jpeg"
    assert b"48.2081" in data
    assert b"48.2081" not in whole.content
    assert Image.open(io.BytesIO(whole.content)).size == (900, 600)
    small = await client.get(f"{path}/{photo.number}/small")
    assert Image.open(io.BytesIO(small.content)).size == (480, 320)
    assert "immutable" in small.headers["cache-control"]
    files = PhotoFiles(tmp_path)
    assert len(list(files.names())) == 1
    for _ in range(2):
        response = await client.post(f"{path}/{photo.number}/withdraw", json={})
        assert response.status_code == 204
    assert (await client.get(f"{path}/{photo.number}")).status_code == 404
    assert list(files.names()) == []
    assert record.photos(past.id) == []


@pytest.mark.parametrize(
    ("content", "headers", "status"),
    [
        (b"no photo", {"content-type": "image/jpeg"}, 422),
        (b"{}", {"content-type": "application/json"}, 415),
        (b"x", {"content-type": "image/svg+xml"}, 415),
        (b"x" * (MAX_PHOTO_BYTES + 1), {"content-type": "image/png"}, 413),
        (b"x", {"content-type": "image/png", "origin": "http://evil.example"}, 403),
    ],
)
async def test_a_photo_that_can_not_be_taken(
    client: httpx.AsyncClient,
    record: Record,
    past: Firing,
    content: bytes,
    headers: dict[str, str],
    status: int,
) -> None:
    path = f"/api/firings/{past.id}/photos"
    assert (await client.post(path, content=content, headers=headers)).status_code == status
    assert record.photos(past.id) == []


async def test_only_photos_may_be_large(client: httpx.AsyncClient, past: Firing) -> None:
    body = json.dumps({"text": "x" * 40_000})
    json_type = {"content-type": "application/json"}
    path = f"/api/firings/{past.id}/notes"
    assert (await client.post(path, content=body, headers=json_type)).status_code == 413


async def test_no_more_than_two_photos_are_taken_in_at_once(
    client: httpx.AsyncClient, past: Firing
) -> None:
    go_on, asked = asyncio.Event(), asyncio.Semaphore(0)

    async def slowly() -> AsyncIterator[bytes]:
        yield b"\xff\xd8"
        asked.release()
        await go_on.wait()

    path = f"/api/firings/{past.id}/photos"
    jpeg = {"content-type": "image/jpeg"}
    slow = [
        asyncio.create_task(client.post(path, content=slowly(), headers=jpeg)) for _ in range(2)
    ]
    for _ in slow:
        await asked.acquire()
    assert (await client.post(path, content=a_picture(), headers=jpeg)).status_code == 503
    go_on.set()
    assert [(await one).status_code for one in slow] == [422, 422]
    assert (await client.post(path, content=a_picture(), headers=jpeg)).status_code == 201


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("get", ""),
        ("get", "/chart"),
        ("get", "/log.csv"),
        ("get", "/firing.json"),
        ("get", "/photos/1"),
        ("post", "/notes"),
        ("post", "/notes/1/withdraw"),
    ],
)
async def test_an_unknown_firing_is_not_found(
    client: httpx.AsyncClient, past: Firing, method: str, path: str
) -> None:
    for firing_id in ("nope", past.id[:-1]):
        words = {} if path.endswith("withdraw") else {"text": "x"}
        body = {"json": words} if method == "post" else {}
        response = await client.request(method, f"/api/firings/{firing_id}{path}", **body)  # type: ignore[arg-type]
        assert response.status_code == 404
        assert firing_id in response.json()["error"]["message"]


async def test_a_spoilt_photo_is_told(
    client: httpx.AsyncClient, record: Record, past: Firing, tmp_path: Path
) -> None:
    photo = NewPhoto("0" * 64, "png", 3, 1, 1)
    kept = await record.add_photo(past.id, photo)
    response = await client.get(f"/api/firings/{past.id}/photos/{kept.id}")
    assert response.status_code == 503
    assert "can't be read" in response.json()["error"]["message"]


async def test_every_address_is_described(client: httpx.AsyncClient) -> None:
    description = (await client.get("/openapi.json")).json()
    mine = {path: one for path, one in description["paths"].items() if "/firings" in path}
    assert len(mine) == 14
    for path, methods in mine.items():
        for method, operation in methods.items():
            assert operation["description"], (method, path)
            assert {"400", "500", "503"} <= set(operation["responses"])
    for name, schema in description["components"]["schemas"].items():
        for field, value in schema.get("properties", {}).items():
            assert value.get("description") or "$ref" in json.dumps(value), (name, field)


async def test_a_client_that_leaves_early_lets_the_record_go(
    record: Record, past: Firing, now: Kept
) -> None:
    archive = Archive(record, lambda: now.keeper, lambda: None)
    pieces = await archive.download_csv(past.id, Unit.C)
    assert (await anext(pieces)).startswith("elapsed_s,")
    assert is_read(record)
    await pieces.aclose()  # type: ignore[attr-defined]
    assert not is_read(record)


def is_read(record: Record) -> bool:
    """Whether somebody still looks at the record as it was: its log can't begin anew."""
    record.add_note(record.firings()[0].id, 1.0, "news").result(10.0)
    connection = sqlite3.connect(record.path, timeout=0.0)
    try:
        busy, _, _ = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    finally:
        connection.close()
    return bool(busy)
