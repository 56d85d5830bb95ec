"""A real Chromium for the page's tests, or a loud skip where there is none."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator

import pytest
import pytest_asyncio
from playwright.async_api import Browser, async_playwright, expect

from tests.web.fake_desk import FakeDesk
from web import news

PATIENCE_MS = 20_000.0
"""For what a page is to show: a busy machine takes its time."""

NAMES = ("chromium", "chromium-browser", "google-chrome")
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def chromium() -> str | None:
    """Where a Chromium is installed."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


@pytest.fixture(autouse=True)
def told_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages are told whatever is new; which of it may wait is looked at in `test_news`."""
    monkeypatch.setattr(news, "CREEP_S", 0.0)


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def one_browser() -> AsyncIterator[Browser]:
    """The Chromium that all tests of a session share: to start one takes longer than to look."""
    executable = chromium()
    if executable is None:
        pytest.skip(f"no Chromium on this machine (looked for {', '.join(NAMES)})")
    expect.set_options(timeout=PATIENCE_MS)
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=executable, args=list(QUIET))
        yield browser
        await browser.close()


@pytest_asyncio.fixture(loop_scope="session")
async def browser(one_browser: Browser) -> AsyncIterator[Browser]:
    """A Chromium in which nobody else has a page: what a test has opened is closed after it.

    The tests that ask for it run in the session's event loop (``tests/conftest.py``).
    """
    yield one_browser
    for context in one_browser.contexts:
        await context.close()


@pytest.fixture
def desk() -> FakeDesk:
    """A glaze firing half-way up, all well."""
    desk = FakeDesk()
    desk.fill(30_600)
    desk.read(30_630.0, {"top": 1_142.0, "middle": 1_133.0, "bottom": 1_117.0})
    return desk
