"""A firing looked back on over HTTP: ticks traced, changes suggested, a plan made from it."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from supervisor.core.defects import trace_defects
from supervisor.core.refit.again import again
from supervisor.core.schedule import parse_schedule
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.reviewed import facts_from, reviewer_of
from supervisor.record.rows import Columns, Firing
from supervisor.record.store import Record
from supervisor.record.ticks import TRACED, ticked_in
from supervisor.service.unloading.unloader import Unloader
from tests.service.firings import Kept, begin, keep, night, opened_copy
from tests.service.unloaded import routers_of, unloaded_in
from tests.web.fake_desk import FakeDesk
from web.app import create_app
from web.unload import AgainPlan, TracedFiring, Unloading


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    unloaded_in(folder)
    return folder


@pytest.fixture
def record(made: Path, tmp_path: Path) -> Iterator[Record]:
    with opened_copy(made, tmp_path) as opened:
        yield opened


@pytest.fixture
def past(record: Record) -> Firing:
    """The firing that is over."""
    return record.firings()[-1]


@pytest.fixture
def now(record: Record, past: Firing) -> Kept:
    """The firing that goes on, still cold."""
    kept = keep(record, begin(record))
    kept.feed(*night()[:50])
    record.flush().result(10.0)
    return kept


@pytest.fixture
def unloader(record: Record, now: Kept) -> Unloader:
    return Unloader(record, lambda: now.keeper, lambda: None, limit_c=1300.0)


@pytest.fixture
async def client(
    record: Record, now: Kept, unloader: Unloader, tmp_path: Path
) -> AsyncIterator[httpx.AsyncClient]:
    routers = routers_of(record, now.keeper, tmp_path / "plans", unloader)
    transport = httpx.ASGITransport(create_app(FakeDesk(), routers=routers))
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8080") as made:
        yield made


async def got(client: httpx.AsyncClient, path: str) -> Any:
    response = await client.get(path)
    assert response.status_code == 200, response.text
    return response.json()


async def posted(client: httpx.AsyncClient, path: str, body: object) -> httpx.Response:
    response = await client.post(path, json=body)
    assert response.status_code in (200, 201, 204), response.text
    return response


async def tick(client: httpx.AsyncClient, firing_id: str, *keys: str) -> None:
    found = [{"key": key, "level": 1} for key in keys]
    await posted(client, f"/api/firings/{firing_id}/findings", {"findings": found})


async def test_the_latest_firing_that_is_over_is_unloaded(
    client: httpx.AsyncClient, past: Firing, now: Kept
) -> None:
    await tick(client, past.id, "crazing")
    look = {"cone": "6", "clock": "5", "channel": "bottom"}
    await posted(client, f"/api/firings/{past.id}/cones", look)
    latest = Unloading.model_validate(await got(client, "/api/unload"))
    assert (latest.firing.id, latest.firing.is_open) == (past.id, False)
    assert latest.cones == ["5", "6", "7"]
    assert latest.target_cone == "6"
    assert [one.key for one in latest.found] == ["crazing"]
    (seen,) = latest.witness
    going_on = Unloading.model_validate(await got(client, f"/api/unload/{now.keeper.firing.id}"))
    assert going_on.firing.is_open
    # A look that was entered by mistake is taken back, once.
    away = f"/api/unload/{past.id}/cones/{seen.number}/withdraw"
    await posted(client, away, {})
    assert (await got(client, "/api/unload"))["witness"] == []
    assert (await client.post(away, json={})).status_code == 404
    for path in ("/api/unload/2020-x", "/api/unload/2020-x/traced", "/api/unload/2020-x/plan"):
        assert (await client.get(path)).status_code == 404


async def test_ticks_are_traced_as_the_command_line_traces_them(
    client: httpx.AsyncClient, record: Record, past: Firing
) -> None:
    path = f"/api/unload/{past.id}/traced"
    before = TracedFiring.model_validate(await got(client, path))
    assert (before.is_whole, before.defects, before.changes) == (True, [], [])
    await tick(client, past.id, "dunting", "crazing", "a-vase-of-mine")
    traced = TracedFiring.model_validate(await got(client, f"{path}?units=F"))
    facts = facts_from(record, past, reviewer_of(record, past))
    ticked = ticked_in(record.findings(past.id))
    expected = trace_defects(facts, ticked, Words(Unit.F))
    assert [one.key for one in traced.defects] == ["crazing", "dunting"]
    for one, wanted in zip(traced.defects, expected, strict=True):
        assert (one.title, one.looks) == (wanted.title, wanted.looks)
        assert [(c.name, c.cause, c.said, c.source, c.next_time) for c in one.causes] == [
            (c.name, c.cause, c.said, c.source, c.next_time) for c in wanted.causes
        ]
        assert [c.verdict.replace("_", " ") for c in one.causes] == [
            {"can't be told": "unknown"}.get(c.verdict, c.verdict.value) for c in wanted.causes
        ]
        assert [(c.cause, c.source) for c in one.outside] == [
            (c.cause, c.source) for c in wanted.outside
        ]
    (crazing, _) = traced.defects
    opened = next(one for one in crazing.causes if one.name == "opened-hot")
    assert opened.verdict == "supported"
    assert 350.0 < float(opened.figures["opened_c"] or 0.0) < 450.0
    shut = next(one for one in traced.changes if one.name == "opened-hot")
    assert (shut.ways, "Leave it shut" in shut.change) == ([], True)


async def test_what_the_ticks_are_traced_to_is_kept_once_and_only_when_it_is_asked_for(
    client: httpx.AsyncClient, record: Record, past: Firing
) -> None:
    path = f"/api/unload/{past.id}/traced"
    await tick(client, past.id, "crazing")
    await got(client, path)
    assert record.accounts(past.id) == []
    await posted(client, path, {"by": "Ann"})
    await posted(client, path, {"by": "Bob"})
    (account,) = record.accounts(past.id)
    assert (account.topic, account.by) == (TRACED, "Ann")
    assert account.text.startswith("crazing:\n- The firing speaks for: cold air came in")
    nothing = {"findings": [{"key": "crazing", "level": 0}]}
    await posted(client, f"/api/firings/{past.id}/findings", nothing)
    await posted(client, path, {})
    assert record.accounts(past.id) == []


async def test_a_plan_is_made_shown_and_kept_only_when_it_is_asked_for(
    client: httpx.AsyncClient, record: Record, past: Firing, tmp_path: Path
) -> None:
    path = f"/api/unload/{past.id}/plan"
    plain = AgainPlan.model_validate(await got(client, path))
    facts = facts_from(record, past, reviewer := reviewer_of(record, past))
    plan = parse_schedule(past.schedule_toml or "")
    repeated = again(past.id, facts, reviewer.trace, plan, Unit.C)
    assert repeated is not None
    assert plain.draft.name == repeated[1].schedule.name
    assert [step.to for step in plain.draft.steps] == pytest.approx(
        [step.to_c for step in repeated[1].schedule.steps], abs=1.0
    )
    assert plain.explained.cone == "6"
    assert plain.remarks[0].startswith("Up to the end of its peak it follows the record within")
    assert not (tmp_path / "plans").exists()
    untold = TracedFiring.model_validate(await got(client, f"/api/unload/{past.id}/traced"))
    assert (untold.looks, untold.seen_cone) == (0, None)
    # The real cone has hardly bent: the change that they suggest is put in when asked.
    for cone, clock in (("5", "touching"), ("6", "1")):
        look = {"cone": cone, "clock": clock, "channel": past.channels[0]}
        await posted(client, f"/api/firings/{past.id}/cones", look)
    traced = TracedFiring.model_validate(await got(client, f"/api/unload/{past.id}/traced"))
    (cones,) = traced.changes
    assert cones.name == "cones"
    keys = [way.key for way in cones.ways]
    # The hold would have to be hours longer: some degrees more come first.
    assert keys == ["cones-top", "cones-hold"]
    assert float(cones.figures["hold_by_s"] or 0.0) > 3600.0
    assert (traced.looks, traced.seen_cone) == (2, "5.4")
    again_plain = AgainPlan.model_validate(await got(client, path))
    assert again_plain.draft.steps == plain.draft.steps
    longer = AgainPlan.model_validate(await got(client, f"{path}?change=cones-hold"))
    peak = max(range(len(plain.draft.steps)), key=lambda n: float(plain.draft.steps[n].to or 0))
    assert longer.draft.steps[peak].hold_min == pytest.approx(
        float(cones.figures["hold_s"] or 0.0) / 60.0
    )
    assert float(longer.draft.steps[peak].hold_min or 0) > float(
        plain.draft.steps[peak].hold_min or 0
    )
    assert longer.draft.name.startswith(f"As firing {past.id}, hold ")
    # Calculation would warn of an overfired load, which the real cones have contradicted.
    assert longer.by_cones is not None
    assert [said for said in longer.explained.cautions if "cone" in said] == []
    answer = await posted(client, "/api/plans", {"draft": longer.draft.model_dump(mode="json")})
    saved = answer.json()["saved"]
    (file,) = (tmp_path / "plans").iterdir()
    assert file.name == saved["id"]
    assert parse_schedule(file.read_text()).name == longer.draft.name
    refused = await client.get(f"{path}?change=no-soak")
    assert (refused.status_code, refused.json()["error"]["message"]) == (
        422,
        "“no-soak” is not among the changes that are suggested now; look at them once more",
    )


async def test_a_firing_that_never_was_hot_has_nothing_to_trace_or_repeat(
    client: httpx.AsyncClient, now: Kept
) -> None:
    cold = now.keeper.firing.id
    await tick(client, cold, "crazing")
    traced = TracedFiring.model_validate(await got(client, f"/api/unload/{cold}/traced"))
    assert (traced.is_whole, traced.is_open, traced.defects) == (False, True, [])
    refused = await client.get(f"/api/unload/{cold}/plan")
    assert refused.status_code == 422
    assert "never was hot" in refused.json()["error"]["message"]


async def test_of_a_firing_that_is_summed_up_no_reading_is_read(
    client: httpx.AsyncClient, past: Firing, now: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    plain = Record.columns

    def columns(record: Record, firing_id: str, **between: float | None) -> Columns:
        asked.append(firing_id)
        return plain(record, firing_id, **between)

    monkeypatch.setattr(Record, "columns", columns)
    await tick(client, past.id, "underfired")
    path = f"/api/unload/{past.id}/traced"
    before = TracedFiring.model_validate(await got(client, path))
    for cone, clock in (("5", "touching"), ("6", "1")):
        look = {"cone": cone, "clock": clock, "channel": past.channels[0]}
        await posted(client, f"/api/firings/{past.id}/cones", look)
    after = TracedFiring.model_validate(await got(client, path))
    assert (before.seen_cone, after.seen_cone) == (None, "5.4")
    assert after.defects[0].causes[0].said.startswith("The real cones beside “top” show")
    plan = AgainPlan.model_validate(await got(client, f"/api/unload/{past.id}/plan"))
    assert plan.draft.name.endswith("cone 5.4 by the real cones")
    assert asked == []
    # One that goes on has no other way.
    await got(client, f"/api/unload/{now.keeper.firing.id}/traced")
    assert asked == [now.keeper.firing.id]


async def test_whoever_is_ended_does_not_read_on(
    record: Record, now: Kept, unloader: Unloader
) -> None:
    now.feed(*night()[50:1500])
    record.flush().result(10.0)
    running = asyncio.create_task(unloader.run())
    await asyncio.sleep(0)
    running.cancel()
    await asyncio.gather(running, return_exceptions=True)
    with pytest.raises(Exception, match="is being ended"):
        await unloader.traced(now.keeper.firing.id, Unit.C)
