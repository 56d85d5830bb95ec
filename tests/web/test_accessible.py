"""The watch view by WCAG 2.2 AA, as far as a machine can tell, by day and in the dark."""

from __future__ import annotations

import json
from typing import Any

import pytest
from playwright.async_api import Browser, Page, expect

from supervisor.core.events import Severity
from tests.web.fake_desk import FakeDesk, stall_alert
from tests.web.opening import DESK, PHONE, opened
from tests.web.page_tools import tool
from tests.web.serving import serving
from web.models import Mode

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
        for summary in await page.locator("summary:visible").all():
            await summary.click()
        assert await violations(page) == []
        if shape is PHONE:
            critical = stall_alert(severity=Severity.CRITICAL)
            desk.change(stale=True, alerts=[critical], mode=Mode.LIVE)
            await expect(page.locator("body[data-level=blind]")).to_have_count(1)
            assert await violations(page) == []
