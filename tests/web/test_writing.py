"""Notes and acknowledgements while the disk refuses: answered in time, written once, not lost."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from typing import Any

import httpx
import pytest
from playwright.async_api import Browser, Page, Route, expect

from supervisor.core.errors import RecordError
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.opening import opened
from tests.web.serving import serving
from web import writing
from web.app import create_app
from web.models import Accepted, Note, RecordState
from web.writing import KEPT

SENTENCE = "Kept in memory; it is written when the disk takes it."
UUID_1 = "3f0f5a2e-54c4-4a0e-9a53-0d6a1d2f7b11"
UUID_2 = "3f0f5a2e-54c4-4a0e-9a53-0d6a1d2f7b12"


@pytest.fixture
async def client(desk: FakeDesk) -> AsyncIterator[httpx.AsyncClient]:
    transport = httpx.ASGITransport(create_app(desk))
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
        yield client


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    assert writing.WAIT_S == 3.0, "well before a page gives up after 10 s"
    monkeypatch.setattr(writing, "WAIT_S", 0.05)


async def until_written(desk: FakeDesk, count: int = 1) -> None:
    async with asyncio.timeout(5.0):
        while len(desk.written_notes) + len(desk.acknowledged) < count:
            await asyncio.sleep(0)


@pytest.mark.usefixtures("impatient")
async def test_a_note_that_the_disk_does_not_take_is_accepted_and_written_later(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.disk_takes.clear()
    response = await client.post("/api/notes", json={"text": "Damper in"})
    assert response.status_code == 202
    assert response.json() == {"accepted": True, "message": SENTENCE}
    assert Accepted.model_validate(response.json()) == KEPT
    assert desk.written_notes == []
    desk.disk_takes.set()
    await until_written(desk)
    assert desk.written_notes == [("Damper in", None)]


@pytest.mark.usefixtures("impatient")
async def test_an_acknowledgement_that_the_disk_does_not_take_is_accepted_and_written_later(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert()])
    desk.disk_takes.clear()
    response = await client.post("/api/alerts/a1/acknowledge", json={})
    assert (response.status_code, response.json()["message"]) == (202, SENTENCE)
    assert desk.acknowledged == []
    desk.disk_takes.set()
    await until_written(desk)
    assert desk.acknowledged == [("a1", None)]


@pytest.mark.usefixtures("impatient")
async def test_a_note_taken_back_while_the_disk_does_not_take_it_is_so_later(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    await desk.add_note("Plug out", None)
    desk.disk_takes.clear()
    response = await client.post("/api/notes/1/withdraw", json={})
    assert (response.status_code, response.json()["message"]) == (202, SENTENCE)
    assert desk.withdrawn_notes == {}
    desk.disk_takes.set()
    async with asyncio.timeout(5.0):
        while not desk.withdrawn_notes:
            await asyncio.sleep(0)
    assert desk.now.notes == []


@pytest.mark.usefixtures("impatient")
async def test_the_same_client_id_again_is_the_same_note_also_while_the_first_waits(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.disk_takes.clear()
    body = {"text": "Cone 5 moves", "client_id": UUID_1}
    for _ in range(2):
        assert (await client.post("/api/notes", json=body)).status_code == 202
    desk.disk_takes.set()
    shouted = await client.post("/api/notes", json=body | {"client_id": UUID_1.upper()})
    other = await client.post("/api/notes", json=body | {"client_id": UUID_2})
    assert shouted.status_code == other.status_code == 201
    assert Note.model_validate(shouted.json()).id == "1"
    assert Note.model_validate(other.json()).id == "2"
    assert desk.written_notes == [("Cone 5 moves", None)] * 2


async def test_a_client_id_that_is_no_uuid_is_refused(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    response = await client.post("/api/notes", json={"text": "x", "client_id": "mine"})
    assert response.status_code == 422
    assert response.json()["error"]["field"] == "client_id"
    assert desk.written_notes == []


@pytest.mark.usefixtures("impatient")
async def test_a_note_lost_after_it_was_accepted_is_told_to_the_loop(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    told: asyncio.Future[dict[str, Any]] = asyncio.get_running_loop().create_future()
    asyncio.get_running_loop().set_exception_handler(lambda _, context: told.set_result(context))
    desk.disk_takes.clear()
    assert (await client.post("/api/notes", json={"text": "lost?"})).status_code == 202
    desk.record_is_broken = True
    desk.disk_takes.set()
    async with asyncio.timeout(5.0):
        context = await told
    assert isinstance(context["exception"], RecordError)


async def test_who_stops_waiting_does_not_end_the_writing(desk: FakeDesk) -> None:
    writings = writing.Writings()
    desk.disk_takes.clear()
    request = asyncio.create_task(writings.in_time(desk.add_note("Damper in", None, None)))
    await asyncio.sleep(0)
    request.cancel()
    with pytest.raises(asyncio.CancelledError):
        await request
    desk.disk_takes.set()
    await until_written(desk)
    assert desk.written_notes == [("Damper in", None)]


async def test_both_answers_are_in_the_openapi_description(client: httpx.AsyncClient) -> None:
    description = (await client.get("/openapi.json")).json()
    for path, written in (
        ("/api/notes", "201"),
        ("/api/notes/{number}/withdraw", "204"),
        ("/api/alerts/{alert_id}/acknowledge", "204"),
    ):
        answers = description["paths"][path]["post"]["responses"]
        assert {written, "202"} < set(answers)
        assert "no need to send it again" in answers["202"]["description"]
        assert "Accepted" in str(answers["202"]["content"])
    assert "client_id" in description["components"]["schemas"]["NoteRequest"]["properties"]


async def write(page: Page, text: str) -> None:
    await page.get_by_label("What did you see or do?").fill(text)
    await page.get_by_role("button", name="Save note").tap()


@pytest.mark.browser
@pytest.mark.usefixtures("impatient")
async def test_the_page_says_that_a_note_is_kept_in_memory_and_clears_the_field(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.disk_takes.clear()
    async with serving(desk) as server, opened(browser, server) as page:
        await write(page, "Damper in")
        await expect(page.locator("#note-answer")).to_have_text(SENTENCE)
        await expect(page.get_by_label("What did you see or do?")).to_have_value("")
        desk.disk_takes.set()
        await expect(page.locator("#note-list")).to_contain_text("Damper in")


@pytest.mark.browser
@pytest.mark.usefixtures("impatient")
async def test_the_page_says_that_an_acknowledgement_is_kept_in_memory(
    browser: Browser, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert()], record=RecordState.FAILING)
    desk.disk_takes.clear()
    async with serving(desk) as server, opened(browser, server) as page:
        await page.get_by_role("button", name="Acknowledge").tap()
        await expect(page.locator("#alert-list")).to_contain_text(SENTENCE)
        await expect(page.locator("#alert-list")).to_contain_text("Acknowledged 04:00")
        desk.change(record=RecordState.OK)
        await expect(page.locator("#alert-list")).not_to_contain_text(SENTENCE)
        desk.disk_takes.set()


@pytest.mark.browser
async def test_a_note_tried_again_after_a_lost_answer_is_written_once_and_another_text_anew(
    browser: Browser, desk: FakeDesk
) -> None:
    async def lose_the_answer(route: Route) -> None:
        await route.fetch()
        await route.abort()

    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        await page.route("**/api/notes", lose_the_answer)
        await write(page, "Damper in")
        answer = page.locator("#note-answer")
        await expect(answer).to_contain_text("spyhole does not answer")
        await page.unroute("**/api/notes")
        await page.get_by_role("button", name="Save note").tap()
        await expect(answer).to_have_text("Saved.")
        assert desk.written_notes == [("Damper in", None)]
        for _ in range(2):
            await write(page, "Looked in: all well")
            await expect(answer).to_have_text("Saved.")
        assert len(desk.written_notes) == 3, "the same words on purpose are two notes"
