"""What the page costs a phone: `python -m tests.bench_page`.

How many bytes come before the watch view stands, when something is first seen over a slow mobile
network, how soon a whole firing of 24 hours is drawn that was read each second by three channels,
and how smoothly it moves under a finger. In real Chromium, against the real server. Run it
where nothing else runs: it measures the page, not the queue. Real-time priority is no way round
that, for a browser's processes may spin as they end, and then nothing else gets a core at all.
"""

from __future__ import annotations

import asyncio
import statistics
import time
from typing import Any

from playwright.async_api import Browser, CDPSession, Page, async_playwright

from tests.web.conftest import QUIET, chromium
from tests.web.fake_desk import FakeDesk
from tests.web.opening import PHONE
from tests.web.serving import serving

MOST_BYTES = 90 * 1024
PAINT_WITHIN_MS = 1000.0
OPENS_WITHIN_MS = 1000.0
FRAME_MS = 1000.0 / 60.0
SLOW_4G = {
    "offline": False,
    "latency": 150.0,
    "downloadThroughput": 1.6 * 1024 * 1024 / 8,
    "uploadThroughput": 750 * 1024 / 8,
}
"""What Lighthouse calls slow 4G: a round trip of 150 ms, 1.6 Mbit/s down, 750 kbit/s up."""
SLOWEST = SLOW_4G | {"latency": 562.5, "downloadThroughput": 1.44 * 1024 * 1024 / 8}
"""What Chromium's own tools call slow 4G: each request waits 562.5 ms."""
DAY_S = 24 * 3600.0
DRAWN = "#chart-box canvas"


async def network(session: CDPSession, conditions: dict[str, Any] | None = None) -> None:
    await session.send("Network.enable")
    if conditions is not None:
        await session.send("Network.emulateNetworkConditions", conditions)


async def first_load(browser: Browser, url: str) -> int:
    """Bytes on the wire, headers too, until the chart is drawn; the kiln's own data apart."""
    context = await browser.new_context(**PHONE)
    page = await context.new_page()
    session = await context.new_cdp_session(page)
    await network(session)
    asked: dict[str, str] = {}
    sizes: dict[str, int] = {}
    session.on(
        "Network.requestWillBeSent",
        lambda event: asked.update({event["requestId"]: event["request"]["url"]}),
    )
    session.on(
        "Network.loadingFinished",
        lambda event: sizes.update({event["requestId"]: int(event["encodedDataLength"])}),
    )
    await page.goto(url)
    await page.wait_for_selector(DRAWN)
    await page.wait_for_timeout(500)
    await context.close()
    return sum(size for request, size in sizes.items() if "/api/" not in asked[request])


async def first_paint_ms(browser: Browser, url: str, conditions: dict[str, Any]) -> float:
    context = await browser.new_context(**PHONE)
    page = await context.new_page()
    await network(await context.new_cdp_session(page), conditions)
    await page.goto(url, wait_until="commit")
    await page.wait_for_selector(DRAWN, timeout=60_000)
    paint: float = await page.evaluate(
        "performance.getEntriesByName('first-contentful-paint')[0].startTime"
    )
    await context.close()
    return paint


async def day_ms(browser: Browser, url: str) -> tuple[float, list[float]]:
    """Until a day is drawn, and the times of frames while a finger moves it; milliseconds."""
    context = await browser.new_context(**PHONE)
    page = await context.new_page()
    began = time.perf_counter()
    await page.goto(url, wait_until="commit")
    await page.wait_for_selector(DRAWN)
    drawn_ms = (time.perf_counter() - began) * 1000.0
    frames = await moved(page)
    await context.close()
    return drawn_ms, frames


async def moved(page: Page) -> list[float]:
    """Times between frames while the stretched chart follows a finger for two seconds."""
    await page.locator("#chart-box").scroll_into_view_if_needed()
    box = await page.locator("#chart-box .u-over").bounding_box()
    assert box is not None
    session = await page.context.new_cdp_session(page)
    y = box["y"] + box["height"] / 2

    async def touch(kind: str, *xs: float) -> None:
        points = [{"x": x, "y": y, "id": n} for n, x in enumerate(xs)]
        await session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    middle = box["x"] + box["width"] / 2
    await touch("touchStart", middle - 30, middle + 30)
    for apart in range(35, 130, 5):
        await touch("touchMove", middle - apart, middle + apart)
    await touch("touchEnd")
    await page.evaluate(
        """() => {
          window.frames = [];
          let last = performance.now();
          const next = (now) => {
            window.frames.push(now - last);
            last = now;
            window.following = requestAnimationFrame(next);
          };
          requestAnimationFrame(next);
        }"""
    )
    await touch("touchStart", middle)
    for n in range(120):
        await touch("touchMove", middle + (60 - abs(n % 120 - 60)))
        await asyncio.sleep(0.012)
    await touch("touchEnd")
    frames: list[float] = await page.evaluate("window.frames")
    return frames


def whole_day() -> FakeDesk:
    desk = FakeDesk()
    desk.fill(DAY_S, every_s=1.0)
    desk.expect()
    return desk


def tell(what: str, figure: float, unit: str, limit: float) -> None:
    verdict = "ok" if figure <= limit else "TOO MUCH"
    print(f"{what:<58} {figure:>9,.1f} {unit} (at most {limit:,.0f}): {verdict}")


async def main() -> None:
    desk = FakeDesk()
    desk.fill(30_600)
    desk.expect()
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=chromium(), args=list(QUIET))
        async with serving(desk) as server:
            size = await first_load(browser, server.url)
            tell("first load, all files and headers", size / 1024, "KiB", MOST_BYTES / 1024)
            for name, conditions in (("150 ms", SLOW_4G), ("562 ms", SLOWEST)):
                paints = [await first_paint_ms(browser, server.url, conditions) for _ in range(5)]
                figure = statistics.median(paints)
                tell(f"first contentful paint, slow 4G of {name}", figure, "ms", PAINT_WITHIN_MS)
        async with serving(whole_day()) as server:
            days = [await day_ms(browser, server.url) for _ in range(3)]
            opens_ms = statistics.median(opens for opens, _ in days)
            tell("a day at 1 s of three channels, until drawn", opens_ms, "ms", OPENS_WITHIN_MS)
            frames = sorted(frame for _, frames in days for frame in frames)
            late = frames[int(len(frames) * 0.95)]
            tell("moved by a finger, 95 of 100 frames within", late, "ms", 2 * FRAME_MS)
        await browser.close()


if __name__ == "__main__":
    asyncio.run(main())
