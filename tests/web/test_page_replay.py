"""The replay view in a browser: played, searched and scrubbed, while the strip tells of now."""

from __future__ import annotations

import asyncio
import contextlib
import gzip
from pathlib import Path

import httpx
import pytest
from playwright.async_api import Browser, expect

from supervisor.record.store import Record
from supervisor.service.replay.films import Films
from tests.service.replay.recorded import record_a_stall
from tests.web.contrast import SCRIPT as FAINT
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from web.app import create_app
from web.replay import Film
from web.routers import replay

STALLED = "The kiln has stopped climbing"


@pytest.mark.browser
async def test_a_firing_is_played_and_is_never_taken_for_the_kiln_of_now(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    # A slow machine makes a film for longer than a reading stays fresh.
    desk.is_always_fresh = True
    with Record.open(tmp_path) as record:
        firing = record_a_stall(record)
        films = Films(record, "electric")
        work = asyncio.create_task(films.run())
        app = create_app(desk, routers=[replay.router(films)])
        async with serving(desk, app=app) as server:
            async with httpx.AsyncClient(base_url=server.url) as client:
                assert (await client.get("/api/replays/nothing")).status_code == 202
                path = f"/api/replays/{firing.id}"
                async with asyncio.timeout(240.0):
                    while (answer := await client.get(path)).status_code == 202:
                        await asyncio.sleep(0.05)
                assert answer.headers["content-encoding"] == "gzip"
                plain = await client.get(path, headers={"accept-encoding": "identity"})
                assert "content-encoding" not in plain.headers
                film = Film.model_validate_json(plain.content)
                assert gzip.decompress(gzip.compress(plain.content)) == answer.content
                assert (await client.get("/api/replays/nothing")).status_code == 404
            async with opened(browser, server) as page:
                await page.locator("#views a", has_text="Replay").click()
                # While the film of one far down the list is made, the page stands at its top.
                await page.locator(".replay-list a").last.click()
                await expect(page.locator(".replay-status")).to_be_in_viewport()
                await expect(page.locator(".replay-strip")).to_be_in_viewport(ratio=1)
                await page.locator("#views a", has_text="Replay").click()
                await page.locator(".replay-list a").first.click()
                await expect(page.locator(".replay-strip")).to_contain_text("not happening now")
                title = page.locator(".replay-verdict h2")
                await expect(title).to_have_text("Waiting for the kiln")
                await expect(page.locator("#state")).to_have_text("No trouble seen")
                # From event to event until the stall.
                next_event = page.get_by_role("button", name="Next event")
                for _ in [event for event in film.events if event.elapsed_s < 7.2 * 3600.0]:
                    if await title.inner_text() == "Go and look":
                        break
                    await next_event.click()
                await expect(title).to_have_text("Go and look")
                await expect(page.locator(".replay-standing")).to_contain_text("stopped climbing")
                await expect(page.locator(".replay-events li").first).to_contain_text(STALLED)
                await expect(page.locator("#state")).to_have_text("No trouble seen")
                assert await page.evaluate(FAINT) == []
                assert await page.evaluate(
                    "document.documentElement.scrollWidth <= document.body.clientWidth"
                )
                # The live strip goes on, also when it goes blind; the replay is not greyed out.
                desk.change(stale=True)
                await expect(page.locator("#state")).to_have_text("No fresh readings")
                await expect(title).to_have_text("Go and look")
                await expect(page.locator("#temps")).to_have_css("filter", "none")
                desk.change(stale=False)
                # Scrubbed by keyboard, to the end and back.
                scrub = page.get_by_role("slider", name="Time of the firing")
                await scrub.press("End")
                await expect(page.locator(".replay-events")).to_contain_text(f"Over: {STALLED}")
                await expect(page.locator(".replay-events")).to_contain_text("Reset the breaker")
                await expect(next_event).to_be_disabled()
                await scrub.press("Home")
                await expect(title).to_have_text("Waiting for the kiln")
                await page.locator("#unit-F").click()
                await expect(page.locator("#lead-temp")).to_contain_text("°F")
                # At 3,600 times an hour is a second.
                await page.get_by_label("Speed").select_option("3600")
                await page.get_by_role("button", name="Play").click()
                await expect(page.locator("#plan-where")).to_have_text("Step 2 of 4")
                await page.get_by_role("button", name="Pause").click()
                stopped = await page.locator(".replay-when").inner_text()
                await page.get_by_role("button", name="Next event").click()
                await expect(page.locator(".replay-when")).not_to_have_text(stopped)
                await page.get_by_role("link", name="All that can be played").click()
                await expect(page.locator(".replay-list a").first).to_be_visible()
            async with opened(browser, server, locale="de-DE") as page:
                await page.goto(f"{server.url}/#/replay/{firing.id}")
                await page.locator(".replay-keys input[type=range]").press("End")
                said = page.locator(".replay-events")
                await expect(said).to_contain_text("steigt bei")
                await expect(said).not_to_contain_text("Look at")
                await expect(page.locator(".view-replay [lang=en]")).to_have_count(0)
        work.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await work
