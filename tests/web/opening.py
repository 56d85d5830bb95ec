"""Opening the page in the browser, and hearing what it asks for and complains of."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator
from typing import Any

from playwright.async_api import Browser, Page, expect

from tests.web.serving import Line, Serving

PHONE: dict[str, Any] = {
    "viewport": {"width": 360, "height": 800},
    "has_touch": True,
    "locale": "en-GB",
    "service_workers": "block",
}
DESK: dict[str, Any] = {
    "viewport": {"width": 1280, "height": 900},
    "locale": "en-GB",
    "service_workers": "block",
}


BLOCKED = "Service Worker registration blocked"
"""What the browser says where the tests allow no service worker, so that they see each request."""


class Opened:
    """A page, and all it asked for and complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on(
            "console",
            lambda message: (
                self.complaints.append(f"{message.text} {message.location.get('url', '')}".strip())
                if message.type in ("error", "warning") and BLOCKED not in message.text
                else None
            ),
        )


@contextlib.asynccontextmanager
async def opened(
    browser: Browser, server: Serving | Line, *, quiet: bool = True, **context: Any
) -> AsyncIterator[Page]:
    """The page, opened and whole; in the end it has asked nobody else, complained of nothing."""
    where = await browser.new_context(**(PHONE | context))
    page = await where.new_page()
    seen = Opened(page)
    await page.goto(server.url)
    await expect(page.locator("#channels li")).to_have_count(3)
    await expect(page.locator("#note-form")).to_be_attached()
    yield page
    await where.close()
    assert [url for url in seen.asked if not url.startswith(f"{server.url}/")] == []
    if quiet:
        assert seen.complaints == [], seen.complaints
