"""Firings compared and followed over HTTP, from the real record."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from supervisor.core.compare import Align, compared
from supervisor.core.compare.subject import Subject
from supervisor.core.compare.words import sentences
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.followed import looked_back
from supervisor.record.put_away import put_away
from supervisor.record.rows import NewFiring
from supervisor.record.store import Record
from supervisor.service.comparing import Comparer
from supervisor.service.following import Follower
from tests.service.firings import KILN, begin, night, opened_copy
from tests.web.fake_desk import FakeDesk
from web.app import create_app
from web.comparing import ComparisonAnswer
from web.following import TrendsAnswer
from web.routers import comparison, trends

STALLED, FINE, BARE = 0, 1, 2


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A firing that stalled, one that did not, and one without a plan of another kiln."""
    folder = tmp_path_factory.mktemp("looking-back")
    with Record.open(folder) as record:
        for name in ("tripped-breaker", "healthy-midfire"):
            firing = begin(record, name)
            _fill(record, firing.id, name)
        bare = record.start_firing(NewFiring("old kiln", ("top", "middle", "bottom"), "a log"))
        _fill(record, bare.result(10.0).id, "healthy-midfire")
        for firing in record.firings():
            put_away(record, firing)
    return folder


def _fill(record: Record, firing_id: str, name: str) -> None:
    for one in night(name):
        record.append(firing_id, one)
    record.close_firing(firing_id, night(name)[-1].elapsed_s).result(10.0)


@pytest.fixture
def record(made: Path, tmp_path: Path) -> Iterator[Record]:
    with opened_copy(made, tmp_path) as opened:
        yield opened


@pytest.fixture
def ids(record: Record) -> list[str]:
    """In the order of their making."""
    return [firing.id for firing in reversed(record.firings())]


@pytest.fixture
async def client(record: Record) -> AsyncIterator[httpx.AsyncClient]:
    routers = [comparison.router(Comparer(record)), trends.router(Follower(record))]
    transport = httpx.ASGITransport(create_app(FakeDesk(), routers=routers))
    async with httpx.AsyncClient(transport=transport, base_url="http://localhost:8080") as made:
        yield made


async def asked(client: httpx.AsyncClient, path: str, status: int = 200, **query: Any) -> Any:
    response = await client.get(path, params=query)
    assert response.status_code == status, response.text
    return response.json()


@pytest.mark.parametrize("align", list(Align))
async def test_firings_are_compared_as_the_command_compares_them(
    client: httpx.AsyncClient, record: Record, ids: list[str], align: Align
) -> None:
    pair = [ids[FINE], ids[STALLED]]
    answer = ComparisonAnswer.model_validate(
        await asked(client, "/api/comparison", firing=pair, align=align.value)
    )
    backs = [looked_back(record, record.firing(one)) for one in pair]
    one, two = (
        Subject(letter, letter, back.facts, back.trace, back.works)
        for letter, back in zip("AB", backs, strict=True)
    )
    (expected,) = compared(one, [two], align)
    (against,) = answer.against
    assert against.sentences_c == list(sentences(expected, Words(Unit.C)))
    assert against.sentences_f == list(sentences(expected, Words(Unit.F)))
    assert [(line.letter, line.id) for line in answer.lines] == [("A", pair[0]), ("B", pair[1])]
    assert all(len(line.values) == len(answer.at) for line in answer.lines)
    assert len(answer.at) <= 901
    assert sorted(answer.at) == answer.at
    assert [parting.at for parting in against.partings] == [p.at for p in expected.partings]
    if align is Align.TEMPERATURE:
        # In the stall the climb all but ended: more than half an hour later at the top.
        assert max(value for value in against.by if value is not None) > 1800.0
        rates = [line.values for line in answer.lines]
        assert min(value for value in rates[1] if value is not None) < 30.0
        assert 40.0 < max(value for value in rates[0] if value is not None) < 400.0
    else:
        # The lines' own difference is what was measured, wherever both have readings.
        first, other = (line.values for line in answer.lines)
        told = [
            (by, b - a)
            for by, a, b in zip(against.by, first, other, strict=True)
            if by is not None and a is not None and b is not None
        ]
        assert len(told) > 100
        assert all(by == pytest.approx(apart, abs=0.11) for by, apart in told)


async def test_a_firing_is_held_against_its_own_plan(
    client: httpx.AsyncClient, ids: list[str]
) -> None:
    answer = ComparisonAnswer.model_validate(
        await asked(client, "/api/comparison", firing=[ids[STALLED]], with_plan=True)
    )
    plan, fired = answer.lines
    assert (plan.letter, plan.id, fired.letter, fired.id) == ("the plan", None, "A", ids[STALLED])
    assert plan.values[-1] is None, "what the plan leaves to the kiln is no part of it"
    parting = answer.against[0].partings[0]
    assert parting.by < 0.0
    assert parting.step is not None
    assert parting.step.doing == "climb"
    assert answer.against[0].sentences_c[0].startswith("They parted after ")


async def test_what_can_not_be_compared_gets_a_sentence(
    client: httpx.AsyncClient, ids: list[str]
) -> None:
    path = "/api/comparison"
    for query, status, said in (
        ({"firing": [ids[0], ids[0]]}, 422, "named twice"),
        ({"firing": [ids[0]]}, 422, "name two"),
        ({"firing": [ids[BARE]], "with_plan": True}, 422, "no plan is known"),
        ({"firing": [ids[0], "nowhere"]}, 404, "nowhere"),
        ({"firing": [ids[0], ids[1][:-1]]}, 404, "no firing"),
        ({"firing": list("abcdefg")}, 422, "at most 6"),
        ({"firing": ids, "align": "sideways"}, 422, "time"),
        ({}, 422, "required"),
    ):
        answer = await asked(client, path, status, **query)
        assert said in answer["error"]["message"], answer


async def test_a_kiln_is_followed_over_its_firings(
    client: httpx.AsyncClient, record: Record, ids: list[str]
) -> None:
    latest = TrendsAnswer.model_validate(await asked(client, "/api/trends"))
    assert (latest.kiln, latest.firings) == ("old kiln", 1)
    answer = TrendsAnswer.model_validate(await asked(client, "/api/trends", kiln=KILN))
    assert sorted(answer.kilns) == ["old kiln", KILN]
    assert (answer.firings, answer.waiting) == (2, 0)
    even = next(one for one in answer.trends if one.kind == "evenness")
    assert [value.firing for value in even.values] == ids[:2]
    assert [value.number for value in even.values] == [1, 2]
    assert even.verdict == "too_few"
    assert even.sentences_c[-1] == "Whether it changes can be told from 5 firings on."
    assert even.line is not None
    assert even.line.low is None
    only = TrendsAnswer.model_validate(await asked(client, "/api/trends", since=ids[1]))
    assert (only.kiln, only.firings) == (KILN, 1)
    one = TrendsAnswer.model_validate(await asked(client, "/api/trends", kiln=KILN, last=1))
    assert one.firings == 1
    record.add_note(ids[0], 90.0, "energy 84 kWh").result(10.0)
    assert (await asked(client, "/api/trends", kiln=KILN))["waiting"] == 0


async def test_a_firing_that_goes_on_is_compared_as_far_as_it_went(
    client: httpx.AsyncClient, record: Record, ids: list[str]
) -> None:
    now, rows = begin(record).id, night("tripped-breaker")
    reached_c = []
    for part in (rows[: len(rows) // 8], rows[len(rows) // 8 : len(rows) // 6]):
        for one in part:
            record.append(now, one)
        record.flush().result(10.0)
        answer = ComparisonAnswer.model_validate(
            await asked(client, "/api/comparison", firing=[ids[FINE], now])
        )
        assert [line.is_open for line in answer.lines] == [False, True]
        reached_c.append(max(value for value in answer.lines[1].values if value is not None))
    assert 100.0 < reached_c[0] < reached_c[1] - 50.0


async def test_a_firing_that_is_not_summed_up_waits(
    client: httpx.AsyncClient, record: Record
) -> None:
    _fill(record, begin(record).id, "healthy-midfire")
    begin(record)
    answer = await asked(client, "/api/trends", kiln=KILN)
    assert (answer["firings"], answer["waiting"]) == (2, 1)


async def test_what_can_not_be_followed_gets_a_sentence(
    client: httpx.AsyncClient, ids: list[str]
) -> None:
    for query, status, said in (
        ({"kiln": "nobody's"}, 404, "no kiln"),
        ({"since": "nowhere"}, 404, "nowhere"),
        ({"kiln": "old kiln", "since": ids[0]}, 422, "is of kiln"),
        ({"last": 0}, 422, "1"),
    ):
        answer = await asked(client, "/api/trends", status, **query)
        assert said in answer["error"]["message"], answer


async def test_an_empty_record_has_nothing_to_follow(tmp_path: Path) -> None:
    with Record.open(tmp_path / "empty") as record:
        answer = await Follower(record).trends(None, None, 40)
    assert (answer.kiln, answer.kilns, answer.trends) == (None, [], [])
