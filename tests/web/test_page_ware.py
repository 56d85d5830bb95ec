"""Load, glazes and photos of the firing that goes on, written and taken beside the kiln."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.async_api import Browser, FilePayload, expect

from supervisor.record.rows import Mode
from supervisor.record.store import Record
from tests.service.firings import begin, keep
from tests.service.unloaded import routers_of
from tests.web.fake_desk import FakeDesk
from tests.web.opening import opened
from tests.web.serving import serving
from tests.web.test_accessible import by_day_and_in_the_dark
from web.app import create_app

pytestmark = pytest.mark.browser


async def test_what_is_in_the_kiln_is_told_and_photographed_while_it_fires(
    browser: Browser, desk: FakeDesk, tmp_path: Path
) -> None:
    with Record.open(tmp_path) as record:
        kept = keep(record, begin(record)).keeper
        assert desk.now.firing is not None
        firing = desk.now.firing.model_copy(update={"id": kept.firing.id})
        desk.change(firing=firing)
        app = create_app(desk, routers=routers_of(record, kept, tmp_path / "plans"))
        async with serving(desk, app=app) as server, opened(browser, server) as page:
            box = page.locator("#ware")
            await expect(box.get_by_label("What was in the load")).to_have_count(0)
            await box.get_by_text("Load, glazes, photos").tap()
            await box.get_by_label("What was in the load").fill("24 mugs, bottom shelf tiles")
            await expect(box.get_by_label("How it came out")).to_have_count(0)
            await box.get_by_role("button", name="Save").tap()
            await expect(box.get_by_text("Saved.")).to_be_visible()

            camera = box.locator("input[capture=environment]")
            picture = FilePayload(
                name="cone.png", mimeType="image/png", buffer=await page.screenshot()
            )
            await camera.set_input_files(picture)
            await box.get_by_role("textbox", name="What photo 1 shows").fill(
                "Cone pack at the spyhole"
            )
            await box.get_by_role("button", name="Send this photo").tap()
            await expect(box.get_by_role("img", name="Cone pack at the spyhole")).to_be_visible()
            await page.evaluate("scrollTo(0, 0)")
            assert await by_day_and_in_the_dark(page) == []

            # Readings go on meanwhile, and another log asks for its own.
            desk.read(31_000.0)
            await expect(box.get_by_role("img", name="Cone pack at the spyhole")).to_be_visible()
            another = begin(record, mode=Mode.SIMULATION)
            desk.change(firing=firing.model_copy(update={"id": another.id}))
            await expect(box.get_by_role("img")).to_have_count(0)
            await expect(box.get_by_label("What was in the load")).to_have_value("")
        (account,) = record.accounts(kept.firing.id)
        assert (account.topic, account.text) == ("load", "24 mugs, bottom shelf tiles")
        (photo,) = record.photos(kept.firing.id)
        assert photo.caption == "Cone pack at the spyhole"
