"""A report over HTTP: made from the real record by a process that is gone afterwards."""

from __future__ import annotations

import asyncio
import os
import re
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import httpx
import pytest
from playwright.async_api import Browser

from supervisor.core.errors import PeerError
from supervisor.core.units import Unit
from supervisor.picture import paper, sheets
from supervisor.record.rows import NewNote
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.reports import press as pressing
from supervisor.service.reports.press import MOST_WAITING, Press
from tests.commands.conftest import Spyhole, spyhole
from tests.reports import HOSTILE, readings_of, taken_in
from tests.web.conftest import browser, one_browser
from tests.web.fake_desk import FakeDesk
from tests.web.serving import serving
from web import reports as asked
from web.app import create_app
from web.guard import HEADERS
from web.reports import Form, ReportQuery
from web.routers import reports

__all__ = ["browser", "one_browser", "spyhole"]

Kept = tuple[Path, dict[str, str]]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Kept:
    folder = tmp_path_factory.mktemp("data")
    with Record.open(folder) as record:
        few = readings_of("healthy-midfire")[::5]
        return folder, {
            "celsius": taken_in(record, "healthy-midfire", readings=few),
            "fahrenheit": taken_in(record, "healthy-midfire", readings=few, units=Unit.F),
            "hostile": taken_in(
                record, "cold-bottom", kiln=HOSTILE, notes=[NewNote(600.0, HOSTILE, by=HOSTILE)]
            ),
        }


@pytest.fixture
async def client(kept: Kept) -> AsyncIterator[httpx.AsyncClient]:
    folder, _ = kept
    app = create_app(FakeDesk(), routers=[reports.router(press_of(folder))])
    transport = httpx.ASGITransport(app)
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8080") as made:
        yield made


def press_of(folder: Path, *, within_s: float = 60.0) -> Press:
    return Press(lambda: folder / FILE_NAME, folder, within_s=within_s)


@pytest.mark.parametrize("ending", ["html", "pdf"])
async def test_it_is_what_the_command_writes(
    client: httpx.AsyncClient, kept: Kept, spyhole: Spyhole, tmp_path: Path, ending: str
) -> None:
    folder, ids = kept
    id_ = ids["hostile"]
    out = tmp_path / f"wall.{ending}"
    more = ("--sheet", "wall", "--units", "F", "--paper", "a4")
    assert spyhole("report", id_, "--out", out, "--data", folder, *more).code == 0
    path = f"/api/firings/{id_}/report.{ending}"
    found = await client.get(f"{path}?sheet=wall&units=F&paper=a4")
    assert found.status_code == 200
    assert found.content == out.read_bytes()
    assert f'filename="spyhole-{id_}-wall.{ending}"' in found.headers["content-disposition"]
    plain = await client.get(
        f"{path}?sheet=wall&units=F&paper=a4", headers={"accept-encoding": "identity"}
    )
    assert "content-encoding" not in plain.headers
    assert plain.content == found.content


async def test_left_to_itself_it_is_in_the_scale_and_on_the_paper_of_the_firing(
    client: httpx.AsyncClient, kept: Kept
) -> None:
    _, ids = kept
    sizes = {}
    for kind in ("celsius", "fahrenheit"):
        page = (await client.get(f"/api/firings/{ids[kind]}/report.html")).text
        sizes[kind] = re.findall(r"@page \{ size: (\w+)", page)[-1]
    assert sizes == {"celsius": "a4", "fahrenheit": "letter"}


def test_the_choices_are_those_of_the_command() -> None:
    assert [one.value for one in asked.Sheet] == [one.value for one in sheets.Sheet]
    assert [one.value for one in asked.Paper] == [one.value for one in paper.Paper]


@pytest.mark.parametrize("ending", ["html", "pdf"])
async def test_only_a_whole_id_names_a_firing(
    client: httpx.AsyncClient, kept: Kept, ending: str
) -> None:
    _, ids = kept
    for id_ in (ids["celsius"][:-1], "%00"):
        found = await client.get(f"/api/firings/{id_}/report.{ending}")
        assert found.status_code == 404, id_
        assert found.json()["error"]["code"] == "not_found"


@pytest.mark.parametrize("query", ["sheet=door", "units=K", "paper=a5", "page=2"])
async def test_a_choice_that_is_none_is_named(
    client: httpx.AsyncClient, kept: Kept, query: str
) -> None:
    _, ids = kept
    found = await client.get(f"/api/firings/{ids['celsius']}/report.html?{query}")
    assert found.status_code == 422
    assert found.json()["error"]["field"] == query.partition("=")[0]


async def test_without_the_library_a_pdf_is_refused_in_one_sentence(
    client: httpx.AsyncClient, kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, ids = kept
    monkeypatch.setattr(pressing, "can_write_pdf", lambda: False)
    found = await client.get(f"/api/firings/{ids['celsius']}/report.pdf")
    assert found.status_code == 503
    assert found.json()["error"]["message"].startswith("A PDF needs ReportLab, which is not inst")
    assert (await client.get(f"/api/firings/{ids['celsius']}/report.html")).status_code == 200


async def test_a_record_that_can_not_be_read_is_told_of(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"no record" * 1000)
    app = create_app(FakeDesk(), routers=[reports.router(press_of(tmp_path))])
    transport = httpx.ASGITransport(app)
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
        found = await client.get("/api/firings/one/report.html")
    assert found.status_code == 503
    assert "is not a sound SQLite file" in found.json()["error"]["message"]


def children() -> set[str]:
    """The processes that this one has started and that are still there (proc(5))."""
    tasks = Path(f"/proc/{os.getpid()}/task").glob("*/children")
    return {pid for task in tasks for pid in task.read_text().split()}


async def until(is_so: Callable[[], bool]) -> None:
    async with asyncio.timeout(20.0):
        while not is_so():
            await asyncio.sleep(0.005)


async def test_what_takes_too_long_or_is_given_up_leaves_no_process(kept: Kept) -> None:
    folder, ids = kept
    before = children()
    with pytest.raises(PeerError, match="was not ready within 0 s"):
        await press_of(folder, within_s=0.02).report(ids["celsius"], Form.HTML, ReportQuery())
    assert children() <= before
    asking = asyncio.create_task(
        press_of(folder).report(ids["celsius"], Form.HTML, ReportQuery()),
    )
    await until(lambda: not children() <= before)
    asking.cancel()
    with pytest.raises(asyncio.CancelledError):
        await asking
    assert children() <= before


async def test_one_is_made_at_a_time_and_few_may_wait(kept: Kept) -> None:
    folder, ids = kept
    press = press_of(folder)
    before, most = children(), 0
    asking = [
        asyncio.create_task(press.report(ids["celsius"], Form.HTML, ReportQuery()))
        for _ in range(MOST_WAITING + 1)
    ]
    while not all(task.done() for task in asking):
        most = max(most, len(children() - before))
        await asyncio.sleep(0.005)
    assert most == 1
    assert isinstance(asking[-1].exception(), PeerError)
    assert {task.result() for task in asking[:-1]} == {asking[0].result()}
    assert (await press.report(ids["celsius"], Form.HTML, ReportQuery())).data


async def test_a_browser_shows_the_page_with_its_style_and_without_complaint(
    browser: Browser, kept: Kept
) -> None:
    folder, ids = kept
    app = create_app(FakeDesk(), routers=[reports.router(press_of(folder))])
    async with serving(FakeDesk(), app=app) as server:
        page = await browser.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        answer = await page.goto(f"{server.url}/api/firings/{ids['hostile']}/report.html")
        assert answer is not None
        policy = answer.headers["content-security-policy"]
        assert re.search(r"style-src 'sha256-[\w+/]{43}='", policy)
        assert "unsafe" not in policy
        assert "script" not in policy
        assert answer.headers.items() >= {
            (name.lower(), value)
            for name, value in HEADERS.items()
            if name != "Content-Security-Policy"
        }
        width = await page.locator("main").evaluate("e => getComputedStyle(e.parentNode).maxWidth")
        assert width == "928px"
        shown = page.locator("svg.narrow")
        assert not await shown.is_visible()
        assert said == []
        await page.close()
