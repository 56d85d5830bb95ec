"""The views by WCAG 2.2 AA, as far as a machine can tell, by day and in the dark."""

from __future__ import annotations

import asyncio
import contextlib
import json
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Page, expect

from supervisor.core.events import Severity
from supervisor.record.store import Record
from supervisor.service.replay.films import Films
from tests.service.replay.recorded import record_a_stall
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.opening import DESK, PHONE, opened
from tests.web.page_tools import tool
from tests.web.serving import serving
from tests.web.test_plans_api import shelf_in
from web.app import create_app
from web.models import Mode
from web.routers import plans, replay

pytestmark = pytest.mark.browser

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""axe-core's names for the success criteria of WCAG 2.2 at levels A and AA."""


async def violations(page: Page) -> list[str]:
    """What axe-core complains of, each with where."""
    await page.evaluate(tool("axe-core/axe.min.js").read_text(encoding="utf-8"))
    options = json.dumps({"runOnly": {"type": "tag", "values": RULES}})
    found: list[dict[str, Any]] = await page.evaluate(
        f"axe.run(document, {options}).then((result) => result.violations)"
    )
    return [
        f"{one['id']}: {node['target']} {node.get('failureSummary', '')}"
        for one in found
        for node in one["nodes"]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("shape", [PHONE, DESK], ids=["phone", "desktop"])
async def test_the_watch_view_keeps_wcag_aa(
    browser: Browser, desk: FakeDesk, scheme: str, shape: dict[str, Any]
) -> None:
    desk.expect()
    await desk.add_note("Damper in 2 cm.", "Ana")
    info = stall_alert("a9", severity=Severity.INFO, kind="lagging")
    over = stall_alert("e1", cleared_at_s=31_000.0)
    desk.change(alerts=[stall_alert(), info], earlier=[over], mode=Mode.SIMULATION, speed=60.0)
    async with (
        serving(desk) as server,
        opened(browser, server, color_scheme=scheme, **shape) as page,
    ):
        await expect(page.locator("#chart-box canvas")).to_have_count(1)
        # What the kiln is loaded with needs a record; `test_page_ware` looks at it.
        for summary in await page.locator(":not(#ware) > summary:visible").all():
            await summary.click()
        assert await violations(page) == []
        if shape is PHONE:
            critical = stall_alert(severity=Severity.CRITICAL)
            desk.change(stale=True, alerts=[critical], mode=Mode.LIVE)
            await expect(page.locator("body[data-level=blind]")).to_have_count(1)
            assert await violations(page) == []


async def by_day_and_in_the_dark(page: Page) -> list[str]:
    """What axe-core complains of in either."""
    found = []
    for scheme in ("light", "dark"):
        await page.emulate_media(color_scheme=scheme)
        found += [f"{scheme}: {one}" for one in await violations(page)]
    return found


async def test_the_views_of_plans_keep_wcag_aa(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    app = create_app(desk, routers=[plans.router(shelf_in(tmp_path))])
    async with serving(desk, app=app) as server, opened(browser, server) as page:
        await page.goto(f"{server.url}/#/plans")
        await expect(page.locator("#plans-starters-heading")).to_be_visible()
        await expect(page.get_by_role("link", name="Mid-fire glaze, cone 6, by")).to_be_visible()
        assert await by_day_and_in_the_dark(page) == []
        await page.goto(f"{server.url}/#/plans/midfire-glaze")
        await expect(page.locator(".drawing svg.narrow")).to_be_visible()
        await page.get_by_role("button", name="How long at the peak?").click()
        await expect(page.locator("#view")).to_contain_text("in place of the plan's own")
        assert await by_day_and_in_the_dark(page) == []
        await page.goto(f"{server.url}/#/plans/midfire-glaze?edit=1")
        await expect(page.locator("#plan-preview-heading")).to_be_visible()
        assert await by_day_and_in_the_dark(page) == []
        await page.locator("#step-0-rate").fill("-5")
        await expect(page.locator("#mistake-step-0-rate")).to_contain_text("a positive number")
        assert await by_day_and_in_the_dark(page) == []


async def test_the_view_of_firings_played_once_more_keeps_wcag_aa(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    # A slow machine makes a film for longer than a reading stays fresh.
    desk.is_always_fresh = True
    with Record.open(tmp_path) as record:
        firing = record_a_stall(record)
        films = Films(record, "electric")
        work = asyncio.create_task(films.run())
        app = create_app(desk, routers=[replay.router(films)])
        async with serving(desk, app=app) as server, opened(browser, server) as page:
            await page.goto(f"{server.url}/#/replay")
            await expect(page.locator(".replay-list a").first).to_be_visible()
            assert await by_day_and_in_the_dark(page) == []
            await page.goto(f"{server.url}/#/replay/{firing.id}")
            await expect(page.locator(".replay-keys")).to_be_visible(timeout=180_000)
            for _ in range(3):
                await page.get_by_role("button", name="Next event").click()
            await expect(page.locator(".replay-events li").first).to_be_visible()
            assert await by_day_and_in_the_dark(page) == []
        work.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await work
