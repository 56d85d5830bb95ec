"""What all pages are told: at once what matters, later what creeps, and to each the same."""

from __future__ import annotations

import asyncio
import gzip
import json
import zlib
from itertools import pairwise
from typing import Any

import pytest

from tests.web.fake_desk import FakeDesk, label, stall_alert
from web import news as module
from web.models import Note, Snapshot
from web.news import PIECES_KEPT, News, Piece, is_worth_a_word
from web.stream import Gzip, Plain

CREEP_S = module.CREEP_S
STILL: dict[str, float | None] = {"top": 800.0, "middle": 800.0, "bottom": 800.0}


class Time:
    """A clock that the test winds."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Time:
    clock = Time()
    monkeypatch.setattr(module, "_now_s", clock)
    monkeypatch.setattr(module, "PACE_S", 0.0)
    monkeypatch.setattr(module, "CREEP_S", CREEP_S)
    monkeypatch.setattr(module, "LOOK_UP_S", 0.001)
    return clock


@pytest.fixture
def desk() -> FakeDesk:
    desk = FakeDesk()
    desk.fill(3_000)
    desk.read(3_030.0, STILL)
    return desk


def events(*pieces: Piece) -> list[tuple[str, dict[str, Any]]]:
    found = []
    for text in b"".join(piece.plain for piece in pieces).decode().split("\n\n")[:-1]:
        name, data = text.split("\n")
        found.append((name.removeprefix("event: "), json.loads(data.removeprefix("data: "))))
    return found


class Phone:
    """Hears everything, keeps the snapshot as the page does, and unpacks what it is sent."""

    def __init__(self, news: News) -> None:
        self.news = news
        self.packed, self.plain = Gzip(), Plain()
        self.reader = zlib.decompressobj(wbits=31)
        first = news.everything()
        self.wire = self.packed.head()
        self.heard: list[tuple[str, dict[str, Any]]] = []
        self.snapshot: dict[str, Any] = {}
        self.text = b""
        self.take(first)

    def take(self, piece: Piece) -> None:
        self.seen = piece.number
        self.wire += self.packed.take(piece)
        self.text += self.plain.take(piece)
        for name, data in events(piece):
            self.heard.append((name, data))
            if name == "snapshot":
                self.snapshot = data
            elif name == "changes":
                self.snapshot |= data

    async def listen(self) -> int:
        """Wait once; how many pieces came."""
        await self.news.wait(self.seen)
        pieces = self.news.since(self.seen)
        if pieces is None:
            pieces = [self.news.everything()]
        for piece in pieces:
            self.take(piece)
        return len(pieces)

    def shows(self, desk: FakeDesk) -> bool:
        now = desk.snapshot().model_dump(mode="json")
        return {**self.snapshot, "reading_age_s": 0} == {**now, "reading_age_s": 0}


async def has_heard_one(desk: FakeDesk) -> Phone:
    """A phone that has been told the first change, which comes at once, whatever it is."""
    phone = Phone(News(desk))
    desk.read(3_030.5, STILL)
    assert await phone.listen() == 1
    return phone


def test_a_degree_is_worth_a_word_and_less_is_not(desk: FakeDesk) -> None:
    told = desk.snapshot()
    for moved_c, is_worth in ((0.9, False), (-0.9, False), (1.0, True), (-1.1, True)):
        desk.read(3_060.0, {"top": 800.0, "middle": 800.0, "bottom": 800.0 + moved_c})
        assert is_worth_a_word(told, desk.snapshot()) is is_worth, moved_c


def test_a_channel_that_falls_silent_is_worth_a_word(desk: FakeDesk) -> None:
    told = desk.snapshot()
    desk.read(3_060.0, STILL | {"bottom": None})
    silent = desk.snapshot()
    assert is_worth_a_word(told, silent)
    assert is_worth_a_word(silent, told)


def changed(desk: FakeDesk) -> dict[str, dict[str, Any]]:
    """A change of each kind that a person would want to know of."""
    now = desk.now
    assert now.plan is not None
    (first, *others) = now.cones
    return {
        "an alert": {"alerts": [stall_alert()]},
        "a note": {"notes": [Note(id="n1", elapsed_s=1.0, text="Damper in")]},
        "the record": {"record": "failing"},
        "another step": {"plan": now.plan.model_copy(update={"step": 4})},
        "the plan's end": {"plan": None},
        "a cone that bends": {"cones": [first.model_copy(update={"clock": "2:30"}), *others]},
        "no time for a cone": {
            "cones": [first.model_copy(update={"expected_in_s": None}), *others],
        },
        "fewer channels": {"channels": now.channels[:2]},
    }


@pytest.mark.parametrize("what", changed(FakeDesk.filled()))
def test_whatever_is_no_creeping_figure_is_worth_a_word(desk: FakeDesk, what: str) -> None:
    told = desk.snapshot()
    desk.change(**changed(desk)[what])
    assert is_worth_a_word(told, desk.snapshot())


def test_figures_that_creep_are_not(desk: FakeDesk) -> None:
    told = desk.snapshot()
    assert told.plan is not None
    desk.change(
        elapsed_s=told.elapsed_s + 1.0,
        time=label(told.elapsed_s + 1.0),
        plan=told.plan.model_copy(update={"late_s": 421.0, "ends_in_s": 1.0}),
        cones=[cone.model_copy(update={"work": cone.work / 2}) for cone in told.cones],
        sentence_c="It climbs, 2 minutes later than planned.",
        rate_c_per_h=71.0,
    )
    assert not is_worth_a_word(told, desk.snapshot())


def test_each_part_of_a_snapshot_is_known_to_creep_or_is_told_at_once() -> None:
    names = set(Snapshot.model_fields)
    assert names >= module.CREEPING
    assert set(module.CREEPING_WITHIN) <= names - module.CREEPING
    for name, creeping in module.CREEPING_WITHIN.items():
        (shape,) = {
            type(one) for one in [getattr(FakeDesk.filled().now, name)] if not isinstance(one, list)
        } or {type(one) for one in getattr(FakeDesk.filled().now, name)}
        assert creeping < set(shape.model_fields), name


async def test_what_creeps_is_told_after_half_a_minute_and_life_is_shown_meanwhile(
    desk: FakeDesk, clock: Time
) -> None:
    phone = await has_heard_one(desk)
    begun_s = clock.now_s
    told: list[tuple[str, float]] = []
    while clock.now_s < begun_s + 60.0:
        clock.now_s += 0.5
        elapsed_s = 3_030.0 + clock.now_s - begun_s
        if elapsed_s % 1.0 == 0.0:
            desk.read(elapsed_s, STILL)
        before = len(phone.heard)
        await phone.listen()
        told += [(name, clock.now_s - begun_s) for name, _ in phone.heard[before:]]
    assert [name for name, _ in told] == [*["beat"] * 5, "points", "changes"] * 2
    beats = [at_s for name, at_s in told if name == "beat"]
    changes = [at_s for name, at_s in told if name == "changes"]
    assert changes == [30.0, 60.0]
    assert beats == [5.0, 10.0, 15.0, 20.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]


async def test_the_last_readings_are_told_though_no_more_come(desk: FakeDesk, clock: Time) -> None:
    phone = await has_heard_one(desk)
    desk.read(3_032.0, STILL)
    clock.now_s += 0.1
    await phone.listen()
    assert not phone.shows(desk)
    for _ in range(80):
        clock.now_s += 0.5
        await phone.listen()
    assert phone.shows(desk)


async def test_what_came_and_went_before_somebody_joined_does_not_stay_with_them(
    desk: FakeDesk, clock: Time
) -> None:
    news = News(desk)
    first = Phone(news)
    desk.change(alerts=[stall_alert()])
    late = Phone(news)
    assert late.snapshot["alerts"]
    desk.change(alerts=[])
    clock.now_s += 1.0
    for phone in (first, late):
        await phone.listen()
        await phone.listen()
        assert phone.shows(desk)
        assert phone.snapshot["alerts"] == []


async def test_all_hear_the_same_whenever_they_joined_and_each_can_unpack_it(
    desk: FakeDesk, clock: Time
) -> None:
    news = News(desk)
    phones = [Phone(news)]
    for number in range(1, 41):
        clock.now_s += 1.0
        desk.read(3_030.0 + number, STILL | {"top": 800.0 + number})
        for phone in phones:
            await phone.listen()
        if number % 8 == 0:
            phones.append(Phone(news))
    for phone in phones:
        await phone.listen()
        assert phone.shows(desk)
        assert gzip.decompress(phone.wire + phone.packed.tail()) == phone.text
    steady = list(news.since(news._number - 5) or [])
    assert len(steady) == 5
    assert all(len(piece.small) < len(piece.plain) / 4 for piece in steady)


async def test_each_piece_is_unpacked_as_it_comes(desk: FakeDesk, clock: Time) -> None:
    news = News(desk)
    phone = Phone(news)
    reader = zlib.decompressobj(wbits=31)
    assert reader.decompress(phone.wire).endswith(b"\n\n")
    for number in range(1, 6):
        clock.now_s += 1.0
        desk.read(3_030.0 + number, STILL | {"top": 800.0 + number})
        before = len(phone.wire), len(phone.text)
        await phone.listen()
        assert reader.decompress(phone.wire[before[0] :]) == phone.text[before[1] :] != b""


async def test_who_has_missed_too_much_is_told_everything_anew(desk: FakeDesk, clock: Time) -> None:
    news = News(desk)
    quick, slow = Phone(news), Phone(news)
    for number in range(1, PIECES_KEPT + 3):
        clock.now_s += 1.0
        desk.read(3_030.0 + number, STILL | {"top": 800.0 + number})
        await quick.listen()
    assert news.since(slow.seen) is None
    await slow.listen()
    desk.read(4_000.0, STILL)
    for phone in (quick, slow):
        await phone.listen()
        assert phone.shows(desk)
        assert gzip.decompress(phone.wire + phone.packed.tail()) == phone.text
    assert [name for name, _ in slow.heard].count("snapshot") == 2


async def test_the_desk_is_asked_once_for_all(clock: Time) -> None:
    class Counting(FakeDesk):
        asked = 0

        def snapshot(self) -> Snapshot:
            self.asked += 1
            return super().snapshot()

    desk = Counting()
    desk.fill(3_000)
    news = News(desk)
    phones = [Phone(news) for _ in range(50)]
    desk.asked = 0
    for number in range(1, 11):
        clock.now_s += 1.0
        desk.read(3_000.0 + number, STILL | {"top": 800.0 + number})
        await asyncio.gather(*(phone.listen() for phone in phones))
    assert all(phone.shows(desk) for phone in phones)
    assert desk.asked - len(phones) == 10


async def test_the_charts_rows_that_are_left_out_lie_on_the_line(
    desk: FakeDesk, clock: Time
) -> None:
    phone = Phone(News(desk))
    for number in range(1, 60):
        clock.now_s += 1.0
        jump_c = 3.0 if number == 33 else 0.0
        desk.read(3_030.0 + number, dict.fromkeys(STILL, 800.0 + 0.04 * number + jump_c))
        await phone.listen()
    rows = [
        (at_s, top_c)
        for name, data in phone.heard
        if name == "points"
        for at_s, top_c in zip(data["elapsed_s"], data["channels"]["top"], strict=True)
    ]
    assert len(rows) < 15
    assert (3_063.0, round(800.0 + 0.04 * 33 + 3.0, 1)) in rows, "no peak is lost"
    for (from_s, from_c), (to_s, to_c) in pairwise(rows):
        for at_s in range(int(from_s) + 1, int(to_s)):
            line_c = from_c + (to_c - from_c) * (at_s - from_s) / (to_s - from_s)
            assert abs(line_c - (800.0 + 0.04 * (at_s - 3_030.0))) <= 1.0 + 0.1


async def test_nobody_waits_for_the_pace_of_what_another_has_heard(
    desk: FakeDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "PACE_S", 3600.0)
    news = News(desk)
    phones = [Phone(news) for _ in range(20)]
    heard = [asyncio.ensure_future(phone.listen()) for phone in phones]
    await asyncio.sleep(0)
    desk.read(3_060.0, STILL | {"top": 820.0})
    async with asyncio.timeout(10.0):
        assert await asyncio.gather(*heard) == [1] * 20
    assert all(phone.shows(desk) for phone in phones)
