"""Unloading in a browser: from the closed log to the plan that is fired next, and photos."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.async_api import Browser, FilePayload, Page, expect

from supervisor.core.defects import DEFECTS
from supervisor.core.heatwork import tip
from supervisor.core.schedule import parse_schedule
from supervisor.record.rows import Firing
from supervisor.record.store import Record
from tests.service.firings import begin, keep
from tests.service.unloaded import routers_of, unloaded_in
from tests.web.contrast import SCRIPT as FAINT
from tests.web.fake_desk import FakeDesk
from tests.web.opening import DESK, opened
from tests.web.serving import line_to, serving
from tests.web.test_accessible import violations
from tests.web.test_page_files import SCRIPTS, number
from web.app import create_app
from web.intake import MAX_PHOTO_BYTES
from web.models import Log, LogState

pytestmark = pytest.mark.browser

LONG_MS = 30_000
"""A whole firing is taken in first, by a thread that lets others go first."""


@pytest.fixture
def past(tmp_path: Path) -> Firing:
    return unloaded_in(tmp_path)


@pytest.fixture
def record(past: Firing, tmp_path: Path) -> Iterator[Record]:
    with Record.open(tmp_path) as opened:
        yield opened


def closed(desk: FakeDesk, past: Firing) -> FakeDesk:
    """The desk, with the firing closed that is in the record."""
    assert desk.now.firing is not None
    desk.change(
        firing=desk.now.firing.model_copy(update={"id": past.id}),
        log=Log(state=LogState.CLOSED, next_plan="Bisque"),
        recording=False,
        temp_c=180.0,
    )
    return desk


def a_photo() -> FilePayload:
    out = io.BytesIO()
    Image.effect_noise((900, 600), 50).convert("RGB").save(out, "JPEG")
    return {"name": "bowl.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


async def fits(page: Page) -> bool:
    return bool(
        await page.evaluate("document.documentElement.scrollWidth <= document.body.clientWidth")
    )


async def test_a_potter_comes_from_the_closed_log_to_the_next_firings_plan(
    browser: Browser, desk: FakeDesk, record: Record, past: Firing, tmp_path: Path
) -> None:
    kept = keep(record, begin(record)).keeper
    app = create_app(closed(desk, past), routers=routers_of(record, kept, tmp_path / "plans"))
    # A cut link is complained of by the browser itself.
    async with (
        serving(desk, app=app) as server,
        line_to(server) as line,
        opened(browser, line, quiet=False) as page,
    ):
        await page.locator("#log-state a").tap()
        await expect(page.locator(".unload-hot")).to_contain_text("180\u202f°C. Keep it shut")
        await expect(page.locator("#unload-next")).to_contain_text(
            "there is nothing to change", timeout=LONG_MS
        )

        # What is wrong, where, and how much: each tap is written at once.
        crazing = page.get_by_role("button", name="crazing", exact=True)
        await crazing.tap()
        await page.get_by_role("button", name="crazing: where: top").tap()
        much = page.get_by_role("button", name="much")
        await much.tap()
        await expect(much).to_be_focused()
        await expect(page.locator("#unload-traced")).to_contain_text("Cold air came in while")
        await expect(page.locator(".next-hand")).to_contain_text("Leave it shut down to 100")
        assert [(one.key, one.place, one.level) for one in record.findings(past.id)] == [
            ("crazing", "top", 3)
        ]

        # The answer is two screens farther down, and one tap away.
        await page.get_by_role("button", name=re.compile(r"The firing speaks for \d")).tap()
        await expect(page.locator("#traced-heading")).to_be_focused()
        await expect(page.locator("#traced-heading")).to_be_in_viewport()

        # The cones out of the kiln, and what follows from them.
        await page.get_by_role("button", name="Save the cones").tap()
        await expect(page.locator("#unload-cones")).to_contain_text("at least one cone")
        await page.locator('[name="unload-tip-5"][value="touching"]').tap()
        await page.locator('[name="unload-tip-6"][value="1"]').tap()
        await page.locator('[name="unload-channel"][value="=top"]').tap()
        await page.get_by_role("button", name="Save the cones").tap()
        await expect(page.locator(".next-way")).to_have_count(3)
        await expect(page.locator("#unload-cones")).to_contain_text(
            "By the real cones the firing was cone 5.4; the plan wants cone 6."
        )
        await page.get_by_role("button", name="What follows for the next firing").tap()
        await expect(page.locator("#next-heading")).to_be_focused()
        assert [(one.seen.cone, one.seen.channel) for one in record.observations(past.id)] == [
            ("5", "top"),
            ("6", "top"),
        ]

        # Nothing is in the plan unasked, and nothing is a file before it is asked for.
        await expect(page.locator(".next-way input").first).to_be_checked()
        await page.locator(".next-way", has_text="longer").tap()
        await page.get_by_role("button", name="Make a plan of it").tap()
        await expect(page.locator(".next-plan")).to_contain_text("By the real cones")
        assert not (tmp_path / "plans").exists()
        assert await page.evaluate(FAINT) == []
        assert await fits(page)
        await page.get_by_role("button", name="Save it and fire it next").tap()
        await expect(page.locator(".next-plan")).to_contain_text("It is fired next.")
        (file,) = (tmp_path / "plans").iterdir()
        plan = parse_schedule(file.read_text())
        assert (plan.target_cone, past.id in plan.name) == ("6", True)
        await expect(page.locator(".next-plan")).to_contain_text(f"Saved as {file.name}.")

        # A photo for which there is no link is sent when there is one again.
        await page.locator("#unload-choose").set_input_files([a_photo()])
        await page.get_by_label("What photo 1 shows").fill("Crazed bowl")
        port = server.port
        await line.cut()
        await page.get_by_role("button", name="Send this photo").tap()
        await expect(page.locator(".photo-under")).to_contain_text("as soon as the link is back")
        await line.lay(port)
        # On a slow machine it may have been tried again by itself meanwhile.
        await page.evaluate("document.querySelector('.photo-under button.quick')?.click()")
        await expect(page.get_by_role("img", name="Crazed bowl")).to_be_visible(timeout=LONG_MS)
        (photo,) = record.photos(past.id)
        assert photo.caption == "Crazed bowl"
        away = page.get_by_role("button", name="Take back: Crazed bowl")
        await away.tap()
        await page.get_by_role("button", name="Delete it for good: Crazed bowl").tap()
        await expect(page.locator(".photo-list li")).to_have_count(0)
        assert record.photos(past.id) == []

        # Somebody looks again later: what was told is there, and can be changed.
        await page.reload()
        await page.get_by_role("button", name="some", exact=True).tap()
        await expect(page.locator("#unload-ware")).to_contain_text("Saved.")
        assert [(one.place, one.level) for one in record.findings(past.id)] == [("top", 2)]

        # In one's own words; and a tick by mistake is taken back.
        await page.get_by_label("Glazes").fill("Celadon <b>3</b>")
        await page.get_by_role("button", name="Save for the record").tap()
        await expect(page.locator("#unload-told")).to_contain_text("Saved.")
        await crazing.tap()
        await expect(page.locator("#unload-traced")).to_contain_text("Nothing is ticked")
        assert record.findings(past.id) == []
        accounts = {one.topic: one.text for one in record.accounts(past.id)}
        assert accounts["glazes"] == "Celadon <b>3</b>"
        await page.goto(f"{line.url}/#/unload/nothing")
        await expect(page.locator("#view")).to_contain_text('there is no firing "nothing"')


async def test_it_is_there_in_german_and_for_everybody(
    browser: Browser, desk: FakeDesk, record: Record, past: Firing, tmp_path: Path
) -> None:
    kept = keep(record, begin(record)).keeper
    app = create_app(desk, routers=routers_of(record, kept, tmp_path / "plans"))
    german = DESK | {"locale": "de-DE", "color_scheme": "dark"}
    async with serving(desk, app=app) as server, opened(browser, server, **german) as page:
        await page.goto(f"{server.url}/#/unload")
        await page.get_by_role("button", name="Haarrisse", exact=True).click()
        cause = page.locator("#unload-traced li", has_text="Kalte Luft kam hinein")
        await expect(cause).to_contain_text("Bei ", timeout=LONG_MS)
        await expect(page.locator(".next-hand")).to_contain_text("geschlossen lassen")
        await page.locator("#unit-F").click()
        await expect(cause).to_contain_text("°F")
        for summary in await page.locator(".view-unload summary").all():
            await summary.click()
        await page.get_by_role("button", name="Brennkurve daraus machen").click()
        await expect(page.locator(".next-steps li").last).to_have_text(re.compile("°F/h bis 2\\.1"))
        await expect(page.locator("#next-name")).to_have_value(re.compile("^Wie Brand .*, Kegel "))
        # Nothing there is the server's English.
        await expect(page.locator(".view-unload [lang=en]")).to_have_count(0)
        # What the bar above covers has no size.
        await page.evaluate("scrollTo(0, 0)")
        assert await violations(page) == []


SHRINK = """
async (most) => {
  const { smallEnough } = await import("/static/views/unload/shrink.js");
  const canvas = new OffscreenCanvas(1600, 1200);
  const pixels = new ImageData(1600, 1200);
  // Noise, which no compression makes small.
  for (let at = 0, last = 1; at < pixels.data.length; at += 1) {
    last = (last * 48271) % 2147483647;
    pixels.data[at] = last % 256;
  }
  canvas.getContext("2d").putImageData(pixels, 0, 0);
  const large = await canvas.convertToBlob({ type: "image/png" });
  const small = await smallEnough(large, most);
  const { width, height } = await createImageBitmap(small);
  const kept = await smallEnough(small, most);
  let refused = "";
  try { await smallEnough(new Blob(["x"], { type: "image/heic" })); } catch { refused = "refused"; }
  const isSmall = large.size > most && small.size <= most;
  return [isSmall, small.type, width / height, kept === small, refused];
}
"""


async def test_a_photo_that_is_too_large_is_made_smaller_on_the_phone(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        small, kind, shape, kept, refused = await page.evaluate(SHRINK, 300_000)
    assert (small, kind, kept, refused) == (True, "image/jpeg", True, "refused")
    assert shape == pytest.approx(4 / 3, abs=0.01)


WORDS = """
async () => {
  const { words: en } = await import("/static/words/unload/en.js");
  const { GROUPS } = await import("/static/views/unload/ware.js");
  return [en.defects, en.looks, Object.values(GROUPS).flat()];
}
"""


async def test_every_defect_can_be_tapped_and_is_called_as_at_the_command_line(
    browser: Browser, desk: FakeDesk
) -> None:
    async with serving(desk) as server, opened(browser, server) as page:
        titles, looks, tapped = await page.evaluate(WORDS)
    assert titles == {kind.value: defect.title for kind, defect in DEFECTS.items()}
    assert looks == {kind.value: defect.looks for kind, defect in DEFECTS.items()}
    assert sorted(tapped) == sorted(DEFECTS)


def test_every_stance_that_can_be_tapped_is_one_that_the_core_reads() -> None:
    found = re.search(r"const STANCES = (\[.*\]);", SCRIPTS["views/unload/cones.js"])
    assert found is not None
    assert [tip.parse_clock(one) for one in json.loads(found[1])] == json.loads(found[1])


def test_the_page_knows_how_large_a_photo_may_be() -> None:
    assert number("MAX_PHOTO_BYTES") == MAX_PHOTO_BYTES
