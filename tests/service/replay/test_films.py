"""Films are made one at a time, kept a while, and whatever happens to one, the daemon goes on."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Callable

import pytest

from supervisor.core.errors import InputError, PeerError
from supervisor.record.store import Record
from supervisor.service.replay import films as films_module
from supervisor.service.replay.films import MOST_WAITING, Films
from supervisor.service.replay.material import entries, material_of
from supervisor.service.replay.reel import Material
from tests.service.firings import begin, read_once
from tests.service.replay.recorded import record_a_stall
from web.replay import Reels, UnknownReplayError, Winding


@contextlib.asynccontextmanager
async def working(record: Record) -> AsyncIterator[Films]:
    films = Films(record, "electric")
    task = asyncio.create_task(films.run())
    try:
        yield films
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def made(films: Reels, replay_id: str) -> bytes:
    async with asyncio.timeout(60.0):
        while isinstance(film := await films.film(replay_id), Winding):
            await asyncio.sleep(0.02)
    return film


def endless(material: Callable[..., Material]) -> Callable[..., Material]:
    """The same material, whose readings never come to an end."""

    def found(*given: object) -> Material:
        whole = material(*given)

        def readings() -> object:
            while True:
                yield next(iter(whole.readings))

        object.__setattr__(whole, "readings", readings())
        return whole

    return found


async def test_a_film_is_made_once_and_told_how_far_it_is(record: Record) -> None:
    firing = record_a_stall(record)
    async with working(record) as films:
        first = await films.film(firing.id)
        assert first == Winding(share=0.0, waiting=0)
        film = await made(films, firing.id)
        assert await films.film(firing.id) is film


async def test_no_more_wait_than_may_and_who_has_gone_is_not_waited_for(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(films_module, "material_of", endless(material_of))
    monkeypatch.setattr(films_module, "FORGOTTEN_S", 0.3)
    names = ["stall", "power-cut", "broken-probe", "door-ajar"]
    assert len(names) == MOST_WAITING + 1
    async with working(record) as films:
        for place, name in enumerate(names[:-1]):
            asked = await films.film(f"scenario:{name}")
            assert isinstance(asked, Winding)
            assert asked.waiting == place
        with pytest.raises(PeerError, match="try again in a minute"):
            await films.film(f"scenario:{names[-1]}")
        # Nobody asks again: each is given up in turn, and then there is room.
        async with asyncio.timeout(30.0):
            while True:
                with contextlib.suppress(PeerError):
                    assert isinstance(await films.film(f"scenario:{names[-1]}"), Winding)
                    break
                await asyncio.sleep(0.05)


async def test_what_can_not_be_played_is_told_and_the_next_one_is_made(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    firing = record_a_stall(record)

    def spoiled(record: Record, replay_id: str, kiln_kind: str) -> Material:
        if replay_id == "spoiled":
            raise ZeroDivisionError
        return material_of(record, replay_id, kiln_kind)

    monkeypatch.setattr(films_module, "material_of", spoiled)
    async with working(record) as films:
        for nothing in ("no such firing", "scenario:../../etc/passwd", "scenario:/tmp/x.toml"):
            with pytest.raises(UnknownReplayError):
                await made(films, nothing)
        with pytest.raises(PeerError, match="can't be played"):
            await made(films, "spoiled")
        assert await made(films, firing.id)


async def test_a_log_that_goes_on_is_filmed_anew_after_a_while(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(films_module, "OPEN_FOR_S", 0.0)
    firing = begin(record)
    read_once(record, firing)
    async with working(record) as films:
        assert isinstance(await films.film(firing.id), Winding)
        async with asyncio.timeout(20.0):
            while films._orders:
                await asyncio.sleep(0.02)
        assert isinstance(await films.film(firing.id), Winding)


async def test_only_what_has_a_plan_and_readings_is_listed(record: Record) -> None:
    fired = record_a_stall(record)
    waited = begin(record)
    found = entries(record)
    assert [entry.id for entry in found.firings] == [fired.id]
    assert found.firings[0].lasted_s is not None
    assert "scenario:stall" in [entry.id for entry in found.scenarios]
    with pytest.raises(InputError, match="without its plan or without readings"):
        material_of(record, waited.id, "electric")
