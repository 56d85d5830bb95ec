"""Draws the home screen's icons anew from the page's own: `python -m tests.web.draw_icons`."""

from __future__ import annotations

import asyncio
from pathlib import Path

from PIL import Image
from playwright.async_api import async_playwright

import web
from tests.web.conftest import QUIET, chromium

STATIC = Path(web.__file__).parent / "static"
GROUND = "#16313c"
COLOURS = 32
WITHIN = 0.78
"""Part of a maskable icon within which nothing is cut off: a circle of 80 % (W3C, Web Application
Manifest, icon masks)."""


async def draw() -> None:
    drawn = (STATIC / "icon.svg").read_text(encoding="utf-8")
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=chromium(), args=list(QUIET))
        for name, size, share in (
            ("192", 192, 1.0),
            ("512", 512, 1.0),
            ("512-maskable", 512, WITHIN),
        ):
            page = await browser.new_page(viewport={"width": size, "height": size})
            ground = GROUND if share < 1.0 else "transparent"
            edge = round(size * (1.0 - share) / 2.0)
            await page.set_content(
                f"<style>body{{margin:0;background:{ground}}}svg{{display:block;"
                f"width:{size - 2 * edge}px;margin:{edge}px}}</style>{drawn}"
            )
            path = STATIC / "icons" / f"{name}.png"
            await page.screenshot(path=path, omit_background=share == 1.0)
            # Three colours and what lies between them at the edges: a palette is enough.
            with Image.open(path) as picture:
                picture.quantize(COLOURS, method=Image.Quantize.FASTOCTREE).save(
                    path, optimize=True
                )
        await browser.close()


if __name__ == "__main__":
    asyncio.run(draw())
