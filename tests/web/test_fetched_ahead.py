"""What a view is made of is asked for at once: its list names just what its modules name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.async_api import Browser

from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from web.files import STATIC

IMPORTS = re.compile(r'^(?:import|export)[^;]*?from "([^"]+)"|^import "([^"]+)"', re.MULTILINE)
WORDS = re.compile(r"import\(`([^`]+)\$\{language\}\.js`\)")
LOOKS = re.compile(r'style\("static/([^"]+)"')
AT_ONCE = set(
    re.findall(r'modulepreload" href="static/([^"]+)"', (STATIC / "index.html").read_text("utf-8"))
)


def below(script: Path, address: str) -> str:
    ends = "/" if address.endswith("/") else ""
    return str((script.parent / address).resolve().relative_to(STATIC.resolve())) + ends


def parts_of(name: str, found: set[str]) -> set[str]:
    """All that ``name`` needs before it can be shown and the page does not have at once."""
    script = STATIC / name
    text = script.read_text("utf-8")
    found |= set(LOOKS.findall(text)) | {below(script, one) for one in WORDS.findall(text)}
    for named, bare in IMPORTS.findall(text):
        other = below(script, named or bare)
        if other not in found and other not in AT_ONCE:
            found.add(other)
            parts_of(other, found)
    return found


@pytest.mark.browser
async def test_a_view_asks_at_once_for_all_that_it_is_made_of(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server, quiet=False) as page:
        listed: list[tuple[str, list[str]]] = await page.evaluate(
            "import('/static/views.js').then(m => m.VIEWS.map(v => [v.name, v.parts ?? []]))"
        )
        asking = {name: set(parts) for name, parts in listed if parts}
        assert set(asking) == {"plans", "replay", "unload"}
        for name, parts in asking.items():
            assert parts == parts_of(f"views/{name}.js", set()), name
            await page.goto(f"{server.url}/#/{name}")
            await page.locator(f".view-{name}").wait_for()
        links = await page.locator("link[rel=modulepreload]").count()
        assert links == len(AT_ONCE) + len(
            {part for parts in asking.values() for part in parts if not part.endswith(".css")}
        )
