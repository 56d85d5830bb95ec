"""Who may read and write the page, from where, with what; and what is left of it in the trail."""

from __future__ import annotations

import asyncio
import json
import re
import threading
from collections.abc import AsyncIterator
from http.cookies import SimpleCookie
from typing import Any

import httpx
import pytest
from fastapi import APIRouter

from tests.web.access.doors import (
    OTHER_PHONE,
    OTHER_PIN,
    OWN,
    PHONE,
    PIN,
    WRONG,
    Door,
    note,
    sign_in,
)
from tests.web.fake_desk import stall_alert
from tests.web.test_app import problem
from web import news
from web.access.access import MOST_WAITING, Reading
from web.access.attempts import FIRST_S, FREE
from web.access.gate import READING_POSTS
from web.access.interface import Deed
from web.access.pin import PinHash
from web.access.sessions import LIFE_S
from web.app import create_app

HERE = "127.0.0.1"
LOCAL = "127.0.0.1:8017"
READS = ["/api/snapshot", "/api/chart"]
ANYBODYS = ["/", "/static/app.js", "/healthz", "/api/session", "/openapi.json"]


async def state(client: httpx.AsyncClient) -> dict[str, Any]:
    found: dict[str, Any] = (await client.get("/api/session")).json()
    return found


# Who may what


@pytest.mark.parametrize("reading", Reading)
async def test_every_write_needs_the_pin_and_reading_only_where_it_is_said(
    reading: Reading,
) -> None:
    door = Door(reading=reading)
    async with door.opened_from() as phone, door.opened_from(HERE, host=LOCAL) as machine:
        for client in (phone, machine):
            refused = await note(client)
            assert refused.status_code == 401
            assert "Sign in" in problem(refused)
            assert refused.headers["www-authenticate"].startswith("PIN ")
            for path in READS:
                found = await client.get(path)
                assert found.status_code == (200 if reading is Reading.OPEN else 401), path
                if reading is Reading.PIN:
                    assert "sentence" not in found.text
            for path in ANYBODYS:
                assert (await client.get(path)).status_code == 200, path
        assert door.desk.written_notes == []
        assert (await sign_in(phone)).status_code == 200
        assert (await note(phone)).status_code == 201
        for path in READS:
            assert (await phone.get(path)).status_code == 200
        assert (await note(machine)).status_code == 401
    assert door.desk.written_notes == [("Damper in", "Ana")]


async def test_what_is_guarded_follows_from_the_method_and_not_from_a_list() -> None:
    door = Door(reading=Reading.PIN)

    @door.app.post("/api/brand-new", status_code=204)
    async def brand_new() -> None:
        door.desk.logs.append(("new", None))

    @door.app.get("/api/brand-new")
    async def read_new() -> str:
        return "1,222 °C"

    async with door.opened_from() as phone:
        for method in ("POST", "PUT", "PATCH", "DELETE"):
            assert (await phone.request(method, "/api/brand-new", json={})).status_code == 401
        assert (await phone.get("/api/brand-new")).status_code == 401
        assert door.desk.logs == []
        await sign_in(phone)
        assert (await phone.post("/api/brand-new", json={})).status_code == 204
        assert door.desk.logs == [("new", None)]
    assert door.trail.deeds[-1].what == "brand_new"


@pytest.mark.parametrize("reading", Reading)
async def test_a_question_that_is_posted_goes_as_reading_and_is_no_deed(reading: Reading) -> None:
    door = Door(reading=reading)
    (path,) = READING_POSTS

    @door.app.post(path)
    async def explain() -> str:
        return "dry, then slow"

    async with door.opened_from(headers={}) as phone:
        asked = await phone.post(path, json={})
        assert asked.status_code == (200 if reading is Reading.OPEN else 401)
        for method in ("PUT", "DELETE", "PATCH"):
            assert (await phone.request(method, path, json={})).status_code == 401
        await sign_in(phone)
        assert (await phone.post(path, json={})).status_code == 200
    assert [deed.what for deed in door.trail.deeds] == ["sign_in"]


async def test_without_a_pin_the_machine_itself_writes_and_says_to_others_how_to_set_one() -> None:
    door = Door(None)
    async with door.opened_from() as phone, door.opened_from(HERE, host=LOCAL) as machine:
        refused = await note(phone)
        assert refused.status_code == 403
        assert refused.json()["error"]["code"] == "no_pin"
        assert "“spyhole pin --data /somewhere”" in problem(refused)
        assert (await phone.get("/api/snapshot")).status_code == 200
        tried = await sign_in(phone)
        assert (tried.status_code, tried.json()["error"]["code"]) == (403, "no_pin")
        told = await state(phone)
        assert (told["pin"], told["may_write"]) == ("none", False)
        assert told["how_to_set"] == "spyhole pin --data /somewhere"
        assert (await note(machine, by="Bo")).status_code == 201
        assert (await state(machine))["may_write"]
    assert door.desk.written_notes == [("Damper in", "Bo")]
    assert door.trail.deeds == [Deed("add_note", "Bo", HERE)]


@pytest.mark.parametrize("reading", Reading)
@pytest.mark.parametrize(
    ("address", "host", "headers"),
    [
        (HERE, "kiln.local:8017", {}),
        (HERE, "kiln.example.org", {}),
        (HERE, "192.168.1.7:8017", {}),
        (PHONE, LOCAL, {}),
        ("::ffff:192.168.1.20", LOCAL, {}),
        ("", LOCAL, {}),
        *(
            (HERE, LOCAL, {name: value})
            for name, value in {
                "x-forwarded-for": "127.0.0.1",
                "forwarded": "for=127.0.0.1",
                "via": "1.1 proxy",
                "x-real-ip": "127.0.0.1",
                "x-forwarded-host": "localhost",
                "x-forwarded-proto": "https",
            }.items()
        ),
    ],
)
async def test_who_only_looks_like_the_machine_itself_may_not_write_without_a_pin(
    reading: Reading, address: str, host: str, headers: dict[str, str]
) -> None:
    door = Door(None, reading=reading)
    async with door.opened_from(address, host=host, headers=OWN | headers) as client:
        assert (await note(client)).status_code == 403
        assert (await client.get("/api/snapshot")).status_code == (
            200 if reading is Reading.OPEN else 403
        )
    assert door.desk.written_notes == []


@pytest.mark.parametrize("address", ["127.0.0.1", "127.0.0.5", "::1", "::ffff:127.0.0.1"])
@pytest.mark.parametrize("host", ["127.0.0.1:1", "[::1]:8017", "localhost", "page.localhost:80"])
async def test_the_machine_itself_is_known_by_its_address_and_name(address: str, host: str) -> None:
    door = Door(None)
    async with door.opened_from(address, host=host) as client:
        assert (await note(client)).status_code == 201


async def test_behind_a_proxy_nobody_counts_as_the_machine_itself() -> None:
    door = Door(None, behind_proxy=True)
    async with door.opened_from(HERE, host=LOCAL) as client:
        assert (await note(client)).status_code == 403


async def test_a_pin_that_cannot_be_read_lets_nobody_in() -> None:
    door = Door()
    async with door.opened_from(HERE, host=LOCAL) as machine:
        await sign_in(machine)
        door.keys.is_unreadable = True
        for refused in (await note(machine), await sign_in(machine)):
            assert refused.status_code == 503
            assert refused.json()["error"]["code"] == "pin_unreadable"
            assert problem(refused)
        assert (await state(machine))["pin"] == "unreadable"
        assert (await machine.get("/api/snapshot")).status_code == 200
    assert door.desk.written_notes == []


# Signing in


async def test_a_wrong_pin_opens_nothing_and_is_in_the_trail() -> None:
    door = Door()
    async with door.opened_from() as phone:
        refused = await sign_in(phone, WRONG)
        assert refused.status_code == 401
        assert refused.json()["error"]["code"] == "wrong_pin"
        assert problem(refused) == "That is not the PIN."
        assert "set-cookie" not in refused.headers
        assert (await note(phone)).status_code == 401
    assert door.trail.deeds == [Deed("wrong_pin", "Ana", PHONE)]


async def test_the_sessions_cookie_is_for_the_browser_alone() -> None:
    door = Door()
    async with door.opened_from() as phone:
        response = await sign_in(phone)
        cookie = SimpleCookie(response.headers["set-cookie"])["spyhole-8017"]
        assert cookie["httponly"]
        assert cookie["samesite"] == "strict"
        assert cookie["path"] == "/"
        assert cookie["domain"] == ""
        assert int(cookie["max-age"]) == LIFE_S
        assert not cookie["secure"], "by plain HTTP no browser would keep it"
        assert cookie.value not in response.text
        assert cookie.value not in (door.keys.kept_sessions or "")
        told = response.json()
        assert (told["signed_in"], told["name"], told["may_write"]) == (True, "Ana", True)
        assert told["left_s"] == LIFE_S


async def test_by_https_the_cookie_never_goes_out_in_the_clear_nor_to_another_host() -> None:
    door = Door()
    async with door.opened_from(by="https") as phone:
        response = await sign_in(phone)
        cookie = SimpleCookie(response.headers["set-cookie"])["__Host-spyhole-8017"]
        assert cookie["secure"]
        assert (cookie["path"], cookie["domain"]) == ("/", "")
        assert (await note(phone)).status_code == 201
        plain = {"cookie": f"spyhole-8017={cookie.value}"}
        phone.cookies.clear()
        assert (
            await phone.post("/api/notes", json={"text": "x"}, headers=plain)
        ).status_code == 401


async def test_two_kilns_of_one_machine_have_a_cookie_each() -> None:
    one, two = Door(), Door()
    async with (
        one.opened_from(host="kiln.local:8017") as first,
        two.opened_from(host="kiln.local:8018") as second,
    ):
        await sign_in(first)
        await sign_in(second)
        assert set(first.cookies) == {"spyhole-8017"}
        assert set(second.cookies) == {"spyhole-8018"}


async def test_signing_in_anew_ends_the_session_that_was() -> None:
    door = Door()
    async with door.opened_from() as phone:
        await sign_in(phone)
        before = phone.cookies["spyhole-8017"]
        await sign_in(phone, name="Bo")
        assert phone.cookies["spyhole-8017"] != before
        phone.cookies.set("spyhole-8017", before, domain="kiln.local")
        assert (await note(phone)).status_code == 401


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"pin": PIN},
        {"name": "Ana"},
        {"pin": 581093, "name": "Ana"},
        {"pin": "", "name": "Ana"},
        {"pin": "5" * 1000, "name": "Ana"},
        {"pin": PIN, "name": " "},
        {"pin": PIN, "name": "A" * 61},
        {"pin": PIN, "name": "A\nBcc: x"},
        {"pin": PIN, "name": "A\x1b[2J"},
        {"pin": PIN, "name": "Ana", "admin": True},
    ],
)
async def test_what_is_no_sign_in_is_refused_without_repeating_the_pin(
    body: dict[str, object], caplog: pytest.LogCaptureFixture
) -> None:
    door = Door()
    async with door.opened_from() as phone:
        refused = await phone.post("/api/session/begin", json=body)
        assert refused.status_code == 422
        assert problem(refused)
        assert PIN not in refused.text
        assert "set-cookie" not in refused.headers
    assert PIN not in caplog.text


async def test_the_pin_is_nowhere_but_in_the_request(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(0)
    door = Door()
    async with door.opened_from() as phone:
        answers = [await sign_in(phone, WRONG), await sign_in(phone), await phone.get("/api/audit")]
        for answer in answers:
            everything = answer.text + str(answer.headers)
            assert PIN not in everything
            assert WRONG not in everything
    told = [door.keys.kept_sessions, str(door.trail.deeds), *door.warnings]
    # httpx, which is the phone here, logs addresses: none of them has it either.
    assert not [text for text in (*told, caplog.text) if text and (PIN in text or WRONG in text)]


# Waiting


async def test_after_some_wrong_pins_the_right_one_waits_too_and_then_is_heard() -> None:
    door = Door()
    async with door.opened_from() as phone, door.opened_from(OTHER_PHONE) as other:
        for _ in range(FREE):
            assert (await sign_in(phone, WRONG)).status_code == 401
        early = await sign_in(phone)
        assert early.status_code == 429
        assert early.headers["retry-after"] == f"{FIRST_S:.0f}"
        assert f"in {FIRST_S:.0f} seconds" in problem(early)
        assert early.json()["error"]["code"] == "too_soon"
        assert (await sign_in(other)).status_code == 200, "another phone does not wait"
        door.now_s += FIRST_S
        assert (await sign_in(phone)).status_code == 200


async def test_strangers_neither_lock_out_a_phone_that_was_in_nor_end_a_session() -> None:
    door = Door()
    async with door.opened_from() as phone, door.opened_from(OTHER_PHONE) as owner:
        await sign_in(phone)
        await sign_in(owner)
        await owner.post("/api/session/end", json={})
        for n in range(60):
            async with door.opened_from(f"10.0.0.{n}") as stranger:
                await sign_in(stranger, WRONG)
        async with door.opened_from("10.0.0.99") as stranger:
            assert (await sign_in(stranger)).status_code == 429
        assert (await note(phone)).status_code == 201
        assert (await sign_in(owner)).status_code == 200
        async with door.opened_from(HERE, host=LOCAL) as machine:
            assert (await sign_in(machine)).status_code == 200


async def test_only_a_few_pins_are_looked_at_at_a_time_each_after_the_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    looked, at_once, most = threading.Event(), 0, 0
    fits = PinHash.fits

    def slowly(self: PinHash, text: str) -> bool:
        nonlocal at_once, most
        at_once += 1
        most = max(most, at_once)
        looked.wait(10.0)
        at_once -= 1
        return fits(self, text)

    monkeypatch.setattr(PinHash, "fits", slowly)
    door = Door()

    async def arrive(n: int) -> int:
        async with door.opened_from(f"10.0.0.{n}") as phone:
            return (await sign_in(phone)).status_code

    tasks = [asyncio.create_task(arrive(n)) for n in range(MOST_WAITING + 3)]
    while sum(task.done() for task in tasks) < 3:
        await asyncio.sleep(0.01)
    looked.set()
    codes = await asyncio.gather(*tasks)
    assert sorted(codes) == [200] * MOST_WAITING + [429] * 3
    assert most == 1


# Signing out


async def test_who_signs_out_is_out_and_others_are_not() -> None:
    door = Door()
    async with door.opened_from() as phone, door.opened_from(OTHER_PHONE) as other:
        await sign_in(phone)
        await sign_in(other, name="Bo")
        kept = phone.cookies["spyhole-8017"]
        out = await phone.post("/api/session/end", json={})
        assert (out.status_code, out.content) == (204, b"")
        assert "spyhole-8017" not in phone.cookies
        phone.cookies.set("spyhole-8017", kept, domain="kiln.local")
        assert (await note(phone)).status_code == 401, "the server has forgotten it, too"
        assert (await note(other)).status_code == 201
        assert (await phone.post("/api/session/end", json={})).status_code == 204


async def test_everybody_is_signed_out_by_one_of_them_and_by_nobody_else() -> None:
    door = Door()
    async with door.opened_from() as phone, door.opened_from(OTHER_PHONE) as other:
        await sign_in(phone)
        stranger = await other.post("/api/session/end", json={"everywhere": True})
        assert stranger.status_code == 204
        assert (await note(phone)).status_code == 201
        await sign_in(other, name="Bo")
        await other.post("/api/session/end", json={"everywhere": True})
        assert (await note(phone)).status_code == (await note(other)).status_code == 401
    assert door.trail.deeds[-1] == Deed("sign_out_everywhere", "Bo", OTHER_PHONE)


async def test_a_session_ends_in_time() -> None:
    door = Door()
    async with door.opened_from() as phone:
        await sign_in(phone)
        door.now_s += LIFE_S - 1.0
        assert (await note(phone)).status_code == 201
        assert (await state(phone))["left_s"] == 1.0
        door.now_s += 1.0
        assert (await note(phone)).status_code == 401
        told = await state(phone)
        assert (told["signed_in"], told["left_s"]) == (False, None)


async def test_a_restart_ends_no_session() -> None:
    before = Door()
    async with before.opened_from() as phone:
        await sign_in(phone)
        cookies = phone.cookies
        after = Door(keys=before.keys)
        after.now_s, after.wall_s = 3.0, before.wall_s + 600.0
        async with after.opened_from() as again:
            again.cookies = cookies
            assert (await note(again)).status_code == 201
            assert (await state(again))["left_s"] == LIFE_S - 600.0
            await again.post("/api/session/end", json={})
        last = Door(keys=before.keys)
        async with last.opened_from() as again:
            again.cookies = cookies
            assert (await note(again)).status_code == 401


async def test_another_pin_signs_everybody_out_and_forgets_the_wrong_ones() -> None:
    door = Door()
    async with door.opened_from() as phone, door.opened_from(OTHER_PHONE) as other:
        await sign_in(phone)
        for _ in range(FREE):
            await sign_in(other, WRONG)
        door.keys.set(OTHER_PIN)
        assert (await note(phone)).status_code == 401
        assert (await sign_in(other)).status_code == 401
        assert (await sign_in(other, OTHER_PIN)).status_code == 200
        door.keys.set(None)
        assert (await note(other)).status_code == 403
        assert not (await state(other))["signed_in"]


async def test_a_disk_that_refuses_costs_a_sign_in_after_a_restart_and_says_so() -> None:
    door = Door()
    door.keys.disk_refuses = door.trail.disk_refuses = True
    async with door.opened_from() as phone:
        assert (await sign_in(phone)).status_code == 200
        assert (await note(phone)).status_code == 201
    assert [text for text in door.warnings if "could not be kept" in text]
    assert [text for text in door.warnings if "add_note" in text and "disk is full" in text]


async def test_a_damaged_list_of_sessions_is_said_and_everybody_signs_in_anew() -> None:
    door = Door()
    door.keys.kept_sessions = "{"
    async with door.opened_from() as phone:
        assert (await sign_in(phone)).status_code == 200
    assert "can't be read back" in door.warnings[0]


# Other sites


async def test_whoever_is_signed_in_writes_with_the_pages_own_header_only() -> None:
    door = Door()
    async with door.opened_from(headers={}) as phone:
        await sign_in(phone)
        for path in (
            "/api/notes",
            "/api/notes/1/withdraw",
            "/api/session/end",
            "/api/session/begin",
        ):
            refused = await phone.post(path, json={"text": "forged"})
            assert refused.status_code == 403
            assert "X-Spyhole" in problem(refused)
        assert (await note(phone)).status_code == 403
    assert door.desk.written_notes == []


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
async def test_no_other_site_signs_anybody_in_or_out(headers: dict[str, str]) -> None:
    door = Door()
    async with door.opened_from() as phone:
        assert (await sign_in(phone, **headers)).status_code == 403
        await sign_in(phone)
        ended = await phone.post("/api/session/end", json={}, headers=headers)
        assert ended.status_code == 403
        assert (await note(phone)).status_code == 201


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
async def test_no_other_site_fetches_what_is_read_but_a_link_may_be_followed(site: str) -> None:
    door = Door()
    async with door.opened_from() as phone:
        fetched = {"sec-fetch-site": site, "sec-fetch-mode": "no-cors"}
        for path in (*READS, "/api/session"):
            assert (await phone.get(path, headers=fetched)).status_code == 403
        followed = {"sec-fetch-site": site, "sec-fetch-mode": "navigate"}
        assert (await phone.get("/", headers=followed)).status_code == 200
        assert (await phone.get("/api/snapshot", headers=followed)).status_code == 200
        own = {"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors"}
        assert (await phone.get("/api/snapshot", headers=own)).status_code == 200


# The trail


async def test_what_is_written_is_signed_with_the_name_that_was_given() -> None:
    door = Door()
    door.desk.change(alerts=[stall_alert("a1")])
    look = {"cone": "6", "clock": "3", "channel": "top"}
    async with door.opened_from() as phone:
        await sign_in(phone, name="Ana")
        await note(phone, by="Somebody else")
        await phone.post("/api/alerts/a1/acknowledge", json={"by": "Somebody else"})
        await phone.post("/api/cones", json=look | {"by": "Somebody else"})
        await phone.post("/api/log/f1/end", json={"by": "Somebody else"})
        await phone.post("/api/log/begin", json={"after": "f1", "by": "Somebody else"})
    assert door.desk.written_notes == [("Damper in", "Ana")]
    assert door.desk.acknowledged == [("a1", "Ana")]
    assert [look.by for look in door.desk.looked] == ["Ana"]
    assert door.desk.logs == [("end", "Ana"), ("begin", "Ana")]
    assert door.trail.deeds == [
        Deed("sign_in", "Ana", PHONE),
        Deed("add_note", "Ana", PHONE),
        Deed("acknowledge", "Ana", PHONE, {"alert_id": "a1"}),
        Deed("add_look", "Ana", PHONE),
        Deed("end_log", "Ana", PHONE, {"firing_id": "f1"}),
        Deed("begin_log", "Ana", PHONE),
    ]


async def test_what_was_not_done_is_not_in_the_trail_and_what_waits_for_the_disk_is(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("web.writing.WAIT_S", 0.05)
    door = Door()
    async with door.opened_from() as phone:
        await sign_in(phone)
        assert (await note(phone, text="")).status_code == 422
        assert (await phone.post("/api/alerts/none/acknowledge", json={})).status_code == 404
        door.desk.record_is_broken = True
        assert (await note(phone)).status_code == 503
        assert [deed.what for deed in door.trail.deeds] == ["sign_in"]
        door.desk.record_is_broken = False
        door.desk.disk_takes.clear()
        assert (await note(phone)).status_code == 202
        async with asyncio.timeout(10.0):
            while len(door.trail.deeds) < 2:
                await asyncio.sleep(0.01)
        assert door.trail.deeds[-1].what == "add_note"
        door.desk.disk_takes.set()


async def test_the_trail_is_on_its_way_to_the_disk_before_the_answer_says_done(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    door = Door()
    may_go = asyncio.Event()
    add = door.trail.add

    async def slowly(deed: Deed) -> None:
        await may_go.wait()
        await add(deed)

    async with door.opened_from() as phone:
        await sign_in(phone)
        monkeypatch.setattr(door.trail, "add", slowly)
        writing = asyncio.create_task(note(phone))
        async with asyncio.timeout(10.0):
            while not door.desk.written_notes:
                await asyncio.sleep(0.01)
        assert not writing.done()
        may_go.set()
        assert (await writing).status_code == 201


async def test_the_trail_is_read_by_who_may_write_newest_first() -> None:
    door = Door()
    async with door.opened_from() as phone:
        assert (await phone.get("/api/audit")).status_code == 401
        await sign_in(phone)
        await note(phone)
        entries = (await phone.get("/api/audit")).json()["entries"]
        assert [(entry["number"], entry["what"]) for entry in entries] == [
            (2, "add_note"),
            (1, "sign_in"),
        ]
        assert entries[0] | {"time": ""} == {
            "number": 2,
            "time": "",
            "who": "Ana",
            "what": "add_note",
            "detail": {},
            "address": PHONE,
            "firing": "f1",
        }
        assert len((await phone.get("/api/audit?limit=1")).json()["entries"]) == 1
        assert (await phone.get("/api/audit?limit=501")).status_code == 422


# The stream


async def lines_of(response: httpx.Response) -> AsyncIterator[str]:
    async for line in response.aiter_lines():
        if line.startswith("event: "):
            yield line.removeprefix("event: ")


async def test_the_stream_ends_with_a_word_when_its_session_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(news, "PACE_S", 0.0)
    monkeypatch.setattr(news, "LOOK_UP_S", 0.02)
    door = Door(reading=Reading.PIN)
    async with door.opened_from() as phone:
        assert (await phone.get("/api/stream")).status_code == 401
        await sign_in(phone)
        told = asyncio.create_task(phone.get("/api/stream"))
        async with asyncio.timeout(10.0):
            while not door.desk.waiting:
                await asyncio.sleep(0.01)
            assert not told.done()
            door.now_s += LIFE_S
            events = [line async for line in lines_of(await told)]
    assert events == ["snapshot", "signed_out"]


# What is sent to break it


@pytest.mark.parametrize(
    "body",
    [
        "[" * 16_000,
        '{"text":' * 3_000,
        '{"text": ' + "9" * 20_000 + "}",
        '{"text": NaN}',
        '{"text": "\\ud800"}',
        '{"text": "\x00"}',
        b"\xff\xfe{}",
    ],
    ids=["brackets", "braces", "digits", "nan", "surrogate", "raw-nul", "utf-16"],
)
async def test_a_body_made_to_break_it_is_refused_as_any_other(body: str | bytes) -> None:
    door = Door(None)
    async with door.opened_from(HERE, host=LOCAL) as machine:
        for path in ("/api/notes", "/api/session/begin"):
            refused = await machine.post(
                path, content=body, headers={"content-type": "application/json"}
            )
            assert refused.status_code in (400, 422), path
            assert problem(refused)
    assert door.desk.written_notes == []


@pytest.mark.parametrize("cookie", ["spyhole-8017=", "spyhole-8017=" + "x" * 8000, "=;;=\x7f", "é"])
async def test_a_silly_cookie_is_nobodys(cookie: str) -> None:
    door = Door()
    sent = [*((name.encode(), value.encode()) for name, value in OWN.items())]
    async with door.opened_from(headers=[*sent, (b"cookie", cookie.encode())]) as phone:
        assert (await note(phone)).status_code == 401
        assert (await state(phone))["signed_in"] is False


async def test_an_operation_of_a_router_is_called_by_its_place_and_name() -> None:
    door = Door()
    router = APIRouter(prefix="/api/firings")

    @router.post("/{firing_id}/notes", status_code=204)
    async def add_note(firing_id: str) -> None:
        door.desk.logs.append((firing_id, None))

    app = create_app(door.desk, access=door.access, routers=[router])
    paths = app.openapi()["paths"]
    operation = paths["/api/firings/{firing_id}/notes"]["post"]
    assert operation["operationId"] == "firings_add_note"
    assert operation["security"] == [{"session": []}]
    assert {"401", "403", "503"} < operation["responses"].keys()
    transport = httpx.ASGITransport(app, client=(PHONE, 1))
    async with httpx.AsyncClient(
        transport=transport, base_url="http://kiln.local:8017", headers=OWN
    ) as phone:
        path = "/api/firings/f7/notes"
        assert (await phone.post(path, json={})).status_code == 401
        await sign_in(phone)
        assert (await phone.post(path, json={})).status_code == 204
    assert door.desk.logs == [("f7", None)]
    assert door.trail.deeds[-1] == Deed("add_note", "Ana", PHONE, {"firing_id": "f7"})


async def test_every_operation_has_a_name_of_its_own_an_example_and_says_what_it_needs() -> None:
    door = Door()
    async with door.opened_from() as phone:
        description = (await phone.get("/openapi.json")).json()
    assert description["components"]["securitySchemes"]["session"]["in"] == "cookie"
    names: list[str] = []
    tags = {tag["name"] for tag in description["tags"]}
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            names.append(operation["operationId"])
            assert re.fullmatch("[a-z_]+", operation["operationId"])
            assert set(operation["tags"]) <= tags
            is_for_all = "/session" in path or (method == "get" and path != "/api/audit")
            assert operation.get("security") == (None if is_for_all else [{"session": []}]), path
            has_header = "X-Spyhole" in json.dumps(operation.get("parameters", []))
            assert has_header == (method == "post")
    assert len(set(names)) == len(names)
    begins = description["paths"]["/api/session/begin"]["post"]["responses"]
    assert begins["429"]["headers"].keys() == {"Retry-After"}
    assert begins["401"]["headers"].keys() == {"WWW-Authenticate"}
    for name, schema in description["components"]["schemas"].items():
        if name.endswith("Request") and schema.get("properties"):
            assert "example" in json.dumps(schema), name
