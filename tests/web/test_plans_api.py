"""The plans' addresses: found, explained, kept as new files, and refused in one sentence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import httpx
import pytest

from supervisor.core.schedule import parse_schedule, starter, starter_names
from supervisor.service.plans.files import PlanFiles
from supervisor.service.plans.next_plan import NextPlan
from supervisor.service.plans.shelf import PlanShelf
from tests.web.fake_desk import FakeDesk
from web.app import create_app
from web.plans import PlanDesk
from web.routers import plans


async def _nothing() -> None:
    """Nobody is to be told."""


def shelf_in(folder: Path, limit_c: float | None = None) -> PlanShelf:
    return PlanShelf(
        PlanFiles(folder),
        NextPlan(None),
        usual="Bisque",
        limit_c=limit_c,
        must_write=lambda: None,
        on_chosen=_nothing,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "plans"


@pytest.fixture
def client(folder: Path) -> httpx.AsyncClient:
    shelf: PlanDesk = shelf_in(folder, limit_c=1240.0)
    app = create_app(FakeDesk(), routers=[plans.router(shelf)])
    return httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://127.0.0.1")


async def draft_of(client: httpx.AsyncClient, plan_id: str) -> dict[str, Any]:
    found: dict[str, Any] = (await client.get(f"/api/plans/{plan_id}")).json()["draft"]
    return found


async def test_starters_and_files_are_listed_a_broken_one_with_what_is_wrong(
    client: httpx.AsyncClient, folder: Path
) -> None:
    folder.mkdir()
    (folder / "mine.toml").write_text('name = "Mine"\nunits = "F"\n[[step]]\nto = 1832\n')
    (folder / "broken.toml").write_text('name = "Broken"\n[[step]]\nrate = 5\n')
    found = (await client.get("/api/plans")).json()
    by_id = {plan["id"]: plan for plan in found["plans"]}
    assert list(by_id) == [*starter_names(), "broken.toml", "mine.toml"]
    assert (by_id["mine.toml"]["name"], by_id["mine.toml"]["peak_c"]) == ("Mine", 1000.0)
    assert by_id["broken.toml"]["problem"] == (
        "broken.toml, line 2: this step has no `to`, the temperature it goes to."
    )
    assert found["next"] == {"chosen_id": None, "chosen_name": None, "usual_name": "Bisque"}
    shown = (await client.get("/api/plans/broken.toml")).json()
    assert (shown["draft"], shown["explained"]) == (None, None)


async def test_a_plan_is_explained_in_the_scale_asked_for(client: httpx.AsyncClient) -> None:
    explained = (await client.get("/api/plans/highfire-reduction?units=F")).json()["explained"]
    assert explained["peak_c"] == 1280.0
    assert any("2,336 °F" in line for section in explained["sections"] for line in section["lines"])
    assert any("limit" in line for line in explained["cautions"]), "the kiln's own limit is known"
    narrow = explained["picture"]["narrow"]
    assert narrow["width"] < explained["picture"]["wide"]["width"]
    assert {"curve", "band", "cone", "axis"} <= {shape["role"] for shape in narrow["shapes"]}
    assert (await client.get("/api/plans/nothing.toml")).status_code == 404
    assert (await client.get("/api/plans/..%2F..%2Fetc%2Fpasswd")).status_code == 404


async def test_a_draft_is_explained_as_the_file_would_be_and_nothing_is_written(
    client: httpx.AsyncClient, folder: Path
) -> None:
    draft = await draft_of(client, "midfire-glaze")
    plain = (await client.get("/api/plans/midfire-glaze")).json()["explained"]
    answer = await client.post("/api/plans/explain", json={"draft": draft, "units": "C"})
    assert answer.json() == {"mistakes": [], "explained": plain}
    # The hold that `spyhole plan --hold-for` proposes brings the cone down, and one minute
    # less does not.
    asked = {"draft": draft, "units": "C", "hold_for": "7"}
    hold = (await client.post("/api/plans/explain", json=asked)).json()["explained"]["hold_for"]
    assert (hold["cone"], hold["others"]) == ("7", [])
    for less, cone in ((0, "7"), (1, "6")):
        draft["steps"][hold["step"]]["hold_min"] = hold["hold_min"] - less
        held = await client.post("/api/plans/explain", json={"draft": draft, "units": "C"})
        assert held.json()["explained"]["cone"] == cone
    assert not folder.exists()


async def test_a_copy_is_kept_once_and_the_original_stays(
    client: httpx.AsyncClient, folder: Path
) -> None:
    draft = await draft_of(client, "bisque") | {"name": "Bisque for tiles"}
    draft["steps"][0]["hold_min"] = "150"
    kept = (await client.post("/api/plans", json={"draft": draft})).json()
    assert (kept["mistakes"], kept["saved"]["id"]) == ([], "bisque-for-tiles.toml")
    written = parse_schedule((folder / "bisque-for-tiles.toml").read_text())
    assert written.steps[0].hold_s == 9000.0
    assert written.steps[1:] == starter("bisque").steps[1:]
    again = (await client.post("/api/plans", json={"draft": draft})).json()
    assert again["saved"] is None
    assert [mistake["field"] for mistake in again["mistakes"]] == ["name"]
    assert again["mistakes"][0]["message"].startswith("There is a plan in bisque-for-tiles.toml")
    spoiled = draft | {"name": "Other", "steps": [{"to": "hot"}]}
    refused = (await client.post("/api/plans", json={"draft": spoiled})).json()
    assert (refused["saved"], refused["mistakes"][0]["field"]) == (None, "step.0.to")
    assert [path.name for path in folder.iterdir()] == ["bisque-for-tiles.toml"]


async def test_another_sites_page_chooses_and_keeps_nothing(
    client: httpx.AsyncClient, folder: Path
) -> None:
    foreign = {"Origin": "http://elsewhere.example"}
    draft = await draft_of(client, "bisque")
    for path, body in (
        ("/api/plans", {"draft": draft | {"name": "Mine"}}),
        ("/api/plans/next", {"id": "bisque"}),
    ):
        assert (await client.post(path, json=body, headers=foreign)).status_code == 403
    assert not folder.exists()
    assert (await client.get("/api/plans")).json()["next"]["chosen_id"] is None


async def test_who_may_only_read_sees_what_becomes_of_a_draft_and_keeps_nothing(
    client: httpx.AsyncClient, folder: Path
) -> None:
    client.base_url = httpx.URL("http://kiln.local")
    draft = await draft_of(client, "bisque")
    tried = await client.post("/api/plans/explain", json={"draft": draft, "units": "C"})
    assert tried.json()["mistakes"] == []
    refused = await client.post("/api/plans", json={"draft": draft | {"name": "Mine"}})
    assert (refused.status_code, refused.json()["error"]["code"]) == (403, "no_pin")
    assert (await client.post("/api/plans/next", json={"id": "bisque"})).status_code == 403
    assert not folder.exists()


async def test_every_answer_fits_its_description(client: httpx.AsyncClient) -> None:
    described = (await client.get("/openapi.json")).json()["paths"]
    assert set(described["/api/plans"]["post"]["responses"]) >= {"200", "403", "422", "503"}
    assert (await client.post("/api/plans/next", json={"id": "bisque"})).json() == {
        "chosen_id": "bisque",
        "chosen_name": starter("bisque").name,
        "usual_name": "Bisque",
    }
    assert (await client.post("/api/plans/next", json={"id": None})).json()["chosen_id"] is None
