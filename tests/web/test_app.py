"""The HTTP face: what is answered, what is refused, and that every failure has one shape."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest

import web
from supervisor.service.config import Config
from tests.web.fake_desk import CHANNELS, FakeDesk, stall_alert
from web.app import create_app
from web.guard import FILE_HEADERS, HEADERS
from web.intake import MAX_BODY_BYTES
from web.models import Chart, ErrorAnswer, Health, Note, Snapshot
from web.requests import NOTE_MAX_CHARS

BASE = "http://localhost:8080"
STATIC = Path(web.__file__).parent / "static"
CONE_WRITES = {
    "/api/cones",
    "/api/cones/{number}/withdraw",
    "/api/offsets/{channel}/accept",
    "/api/offsets/{channel}/withdraw",
}
NOTE_WRITES = {"/api/notes", "/api/notes/{number}/withdraw"}
LOG_WRITES = {"/api/log/begin", "/api/log/{firing_id}/end"}
SIGN_WRITES = {"/api/session/begin", "/api/session/end"}


@pytest.fixture
def desk() -> FakeDesk:
    desk = FakeDesk()
    desk.fill(30_600)
    return desk


@pytest.fixture
async def client(desk: FakeDesk) -> AsyncIterator[httpx.AsyncClient]:
    transport = httpx.ASGITransport(
        create_app(desk, allowed_hosts=["kiln.example.org"]), raise_app_exceptions=False
    )
    async with httpx.AsyncClient(transport=transport, base_url=BASE) as client:
        yield client


def problem(response: httpx.Response) -> str:
    """The answer's one sentence, once its shape and its headers are right."""
    answer = ErrorAnswer.model_validate(response.json())
    assert response.headers["content-type"] == "application/json"
    assert HEADERS.items() <= dict_of(response).items()
    assert answer.error.message.endswith(".")
    return answer.error.message


def dict_of(response: httpx.Response) -> dict[str, str]:
    """Headers with the names as the guard writes them."""
    return {name: response.headers.get(name, "") for name in HEADERS}


async def test_the_snapshot_is_what_lies_on_the_desk(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    response = await client.get("/api/snapshot")
    assert response.status_code == 200
    shown = Snapshot.model_validate(response.json())
    assert shown.channels == desk.now.channels
    assert shown.cones == desk.now.cones
    assert shown.revision == desk.now.revision
    assert response.headers["cache-control"] == "no-store"


async def test_the_chart_has_all_channels_and_no_more_points_than_asked(
    client: httpx.AsyncClient,
) -> None:
    chart = Chart.model_validate((await client.get("/api/chart?max_points=200")).json())
    assert tuple(chart.channels) == CHANNELS
    assert 100 < len(chart.elapsed_s) <= 200
    assert chart.elapsed_s[-1] == 30_600.0
    assert chart.plan.temp_c[-1] == 600.0


@pytest.mark.parametrize("asked", ["99", "10001", "many", "-1", "1e3"])
async def test_a_silly_number_of_points_is_refused(client: httpx.AsyncClient, asked: str) -> None:
    response = await client.get("/api/chart", params={"max_points": asked})
    assert response.status_code == 422
    assert "max_points" in problem(response)


async def test_healthz_answers_in_json(client: httpx.AsyncClient) -> None:
    response = await client.get("/healthz")
    health = Health.model_validate(response.json())
    assert (response.status_code, health.status, health.record) == (200, "ok", "ok")
    assert health.recording


async def test_healthz_says_when_nothing_more_is_kept(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.change(recording=False)
    assert (await client.get("/healthz")).json()["recording"] is False


async def test_an_alert_is_acknowledged(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    desk.change(alerts=[stall_alert("a1")])
    response = await client.post("/api/alerts/a1/acknowledge", json={"by": " Ana "})
    assert (response.status_code, response.content) == (204, b"")
    assert desk.acknowledged == [("a1", "Ana")]


async def test_an_alerts_id_may_have_any_character_but_a_slash(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.change(alerts=[stall_alert("stall #1: 50 % ä?")])
    path = f"/api/alerts/{quote('stall #1: 50 % ä?')}/acknowledge"
    assert (await client.post(path, json={})).status_code == 204
    assert desk.acknowledged == [("stall #1: 50 % ä?", None)]


async def test_an_unknown_alert_is_not_found(client: httpx.AsyncClient) -> None:
    response = await client.post("/api/alerts/nothing/acknowledge", json={})
    assert response.status_code == 404
    assert problem(response) == "There is no alert “nothing” in this firing."


async def test_a_note_is_written_as_it_was_typed(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    text = "Damper in 2 cm.\n<b>Not bold</b> – 日本 🏺"
    response = await client.post("/api/notes", json={"text": f"  {text}\n"})
    assert response.status_code == 201
    assert Note.model_validate(response.json()).text == text
    assert desk.written_notes == [(text, None)]


async def test_the_longest_note_fits_and_one_character_more_does_not(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    longest = json.dumps({"text": "🏺" * NOTE_MAX_CHARS})  # each written as 12 bytes of escapes
    headers = {"content-type": "application/json"}
    assert (await client.post("/api/notes", content=longest, headers=headers)).status_code == 201
    response = await client.post("/api/notes", json={"text": "x" * (NOTE_MAX_CHARS + 1)})
    assert response.status_code == 422
    assert "text" in problem(response)
    assert len(desk.written_notes) == 1


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'{"text": 3}',
        b'{"text": " "}',
        b'{"text": "x", "y": 1}',
        b"\xff",
    ],
)
async def test_a_note_that_does_not_fit_is_refused(
    client: httpx.AsyncClient, desk: FakeDesk, body: bytes
) -> None:
    response = await client.post(
        "/api/notes", content=body, headers={"content-type": "application/json"}
    )
    assert response.status_code in (400, 422)
    assert problem(response)
    assert desk.written_notes == []


async def test_a_note_is_taken_back(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    for text in ("Plug out", "Plug in"):
        note = Note.model_validate((await client.post("/api/notes", json={"text": text})).json())
    place = f"/api/notes/{note.id}/withdraw"
    for body in ({"by": " Ana "}, {}):
        response = await client.post(place, json=body)
        assert (response.status_code, response.content) == (204, b"")
    assert [one.text for one in desk.now.notes] == ["Plug out"]
    assert desk.withdrawn_notes == {int(note.id): "Ana"}
    unknown = await client.post("/api/notes/7/withdraw", json={})
    assert unknown.status_code == 404
    assert problem(unknown) == "There is no note 7 in this firing."


@pytest.mark.parametrize(
    ("number", "body"),
    [
        ("one", {}),
        ("-1", {}),
        ("9007199254740993", {}),
        ("1", []),
        ("1", {"text": "x"}),
        ("1", {"by": "Ana\x1b]0;x\x07"}),
    ],
)
async def test_what_takes_no_note_back_is_refused_in_one_sentence(
    client: httpx.AsyncClient, desk: FakeDesk, number: str, body: object
) -> None:
    await desk.add_note("Plug out", None)
    response = await client.post(f"/api/notes/{number}/withdraw", json=body)
    assert response.status_code == 422
    assert problem(response)
    assert desk.withdrawn_notes == {}


async def test_another_sites_page_takes_no_note_back(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    await desk.add_note("Plug out", None)
    headers = {"origin": "http://evil.example"}
    response = await client.post("/api/notes/1/withdraw", json={}, headers=headers)
    assert response.status_code == 403
    assert desk.withdrawn_notes == {}


async def test_a_record_that_fails_is_said_so(client: httpx.AsyncClient, desk: FakeDesk) -> None:
    desk.record_is_broken = True
    response = await client.post("/api/notes", json={"text": "lost?"})
    assert response.status_code == 503
    assert problem(response) == "The record can't be written: the disk is full."


async def test_a_bug_has_the_same_shape_and_tells_nothing_of_the_inside(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    desk.snapshot_is_broken = True
    response = await client.get("/api/snapshot")
    assert response.status_code == 500
    assert "secret" not in problem(response)


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/nothing", 404),
        ("GET", "/static/nothing.js", 404),
        ("GET", "/static/../app.py", 404),
        ("GET", "/static/%2e%2e/app.py", 404),
        ("GET", "/docs", 404),
        ("GET", "/redoc", 404),
        ("GET", "/api/notes", 405),
        ("POST", "/api/snapshot", 405),
        ("DELETE", "/api/notes", 405),
    ],
)
async def test_wrong_addresses_and_methods_have_the_same_shape(
    client: httpx.AsyncClient, method: str, path: str, status: int
) -> None:
    response = await client.request(
        method, path, headers={"content-type": "application/json"} if method != "GET" else {}
    )
    assert response.status_code == status
    assert problem(response)


@pytest.mark.parametrize(
    "host",
    [
        "127.0.0.1:8080",
        "192.168.1.7",
        "[::1]:8080",
        "[fe80::1%25eth0]",
        "localhost:1",
        "Kiln.LOCAL",
        "kiln.local.",
        "kiln.example.org",
        "page.localhost",
    ],
)
async def test_the_page_answers_to_addresses_and_its_own_names(
    client: httpx.AsyncClient, host: str
) -> None:
    assert (await client.get("/healthz", headers={"host": host})).status_code == 200


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "kiln.local.evil.example",
        "127.0.0.1.evil.example",
        "local",
        "",
        "evillocalhost",
    ],
)
async def test_a_name_pointed_here_by_someone_else_is_refused(
    client: httpx.AsyncClient, host: str
) -> None:
    response = await client.get("/api/snapshot", headers={"host": host})
    assert response.status_code == 400
    assert "spyhole.toml, under [page]" in problem(response)


async def test_whoever_comes_by_another_name_is_told_the_key_that_allows_it(
    desk: FakeDesk, client: httpx.AsyncClient
) -> None:
    headers = {"host": "Kiln.fritz.box:8017"}
    told = problem(await client.get("/api/snapshot", headers=headers))
    assert "“kiln.fritz.box”" in told
    line = re.search(r"spyhole\.toml, under \[page\] (names = \[.*?\])", told)
    assert line is not None
    config = Config.model_validate(tomllib.loads(f"[page]\n{line[1]}\n"))
    transport = httpx.ASGITransport(create_app(desk, allowed_hosts=config.page.names))
    async with httpx.AsyncClient(transport=transport, base_url=BASE) as other:
        assert (await other.get("/api/snapshot", headers=headers)).status_code == 200
    seen = await client.get("/", headers=headers | {"accept": "text/html,*/*;q=0.8"})
    assert seen.status_code == 400
    assert seen.headers["content-type"].startswith("text/plain")
    assert seen.text == told
    odd = await client.get("/", headers={"host": 'a"]<b>.example', "accept": "text/html"})
    assert "names = [" not in odd.text


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "http://kiln.local:9999"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
async def test_another_sites_page_cannot_write(
    client: httpx.AsyncClient, desk: FakeDesk, headers: dict[str, str]
) -> None:
    response = await client.post("/api/notes", json={"text": "forged"}, headers=headers)
    assert response.status_code == 403
    assert problem(response)
    assert desk.written_notes == []


async def test_the_page_itself_can_write(client: httpx.AsyncClient) -> None:
    headers = {"origin": BASE, "sec-fetch-site": "same-origin"}
    assert (
        await client.post("/api/notes", json={"text": "mine"}, headers=headers)
    ).status_code == 201


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", ""])
async def test_only_json_is_written(client: httpx.AsyncClient, desk: FakeDesk, kind: str) -> None:
    response = await client.post(
        "/api/notes", content=b'{"text": "x"}', headers={"content-type": kind}
    )
    assert response.status_code == 415
    assert problem(response)
    assert desk.written_notes == []


async def test_a_large_body_is_refused_whether_announced_or_not(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    taken = 0

    async def endless() -> AsyncIterator[bytes]:
        nonlocal taken
        for _ in range(10_000):
            taken += 1024
            yield b"x" * 1024

    headers = {"content-type": "application/json"}
    announced = await client.post(
        "/api/notes", content=b"x" * (MAX_BODY_BYTES + 1), headers=headers
    )
    poured = await client.post("/api/notes", content=endless(), headers=headers)
    assert announced.status_code == poured.status_code == 413
    assert problem(announced) == problem(poured)
    assert taken <= 2 * MAX_BODY_BYTES + 4 * 1024, (
        "some more is let pass, so that the answer is heard"
    )
    assert desk.written_notes == []


async def test_the_page_and_its_files_are_guarded_and_checked_for_change(
    client: httpx.AsyncClient,
) -> None:
    for path in ("/", "/static/app.js", "/static/style.css", "/static/icon.svg"):
        response = await client.get(path)
        assert response.status_code == 200, path
        guards = HEADERS if path == "/" else FILE_HEADERS
        assert dict_of(response).items() >= guards.items(), path
        assert ("content-security-policy" in response.headers) is (path == "/")
        assert response.headers["cache-control"] == "no-cache"
    again = await client.get(
        "/static/app.js",
        headers={"if-none-match": (await client.get("/static/app.js")).headers["etag"]},
    )
    assert again.status_code == 304


async def test_the_policy_allows_no_inline_script_and_no_other_origin() -> None:
    policy = HEADERS["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "http" not in policy
    assert policy.startswith("default-src 'none';")


async def test_the_page_carries_no_inline_script_style_or_outside_address() -> None:
    page = (STATIC / "index.html").read_text(encoding="utf-8")
    assert "http" not in page
    assert "<style" not in page
    assert " style=" not in page
    assert " on" + "click" not in page
    assert page.count("<script") == page.count('<script defer src="static/') + page.count(
        '<script type="module" src="static/'
    )


async def test_the_first_load_is_small(client: httpx.AsyncClient) -> None:
    page = (await client.get("/")).text
    asked = {"/", *(f"/{path}" for path in re.findall(r'(?:href|src)="(static/[^"]+)"', page))}
    assert len(asked) > 20
    size = 0
    for path in asked:
        async with client.stream("GET", path, headers={"accept-encoding": "gzip"}) as response:
            size += sum([len(chunk) async for chunk in response.aiter_raw()])
    assert size < 90 * 1024


async def test_every_answer_is_in_the_openapi_description(client: httpx.AsyncClient) -> None:
    description: dict[str, Any] = (await client.get("/openapi.json")).json()
    assert set(description["paths"]) == {
        "/healthz",
        "/api/snapshot",
        "/api/chart",
        "/api/course",
        "/api/stream",
        "/api/alerts/{alert_id}/acknowledge",
        "/api/audit",
        "/api/session",
        *CONE_WRITES,
        *NOTE_WRITES,
        *LOG_WRITES,
        *SIGN_WRITES,
    }
    for path, methods in description["paths"].items():
        for method, operation in methods.items():
            assert operation["description"], (method, path)
            answers = set(operation["responses"])
            assert {"400", "500"} < answers
            if method == "post":
                assert {"403", "413", "415", "422"} < answers
            if path not in SIGN_WRITES | {"/api/session", "/healthz"}:
                assert {"401", "403", "503"} < answers
    text = json.dumps(description)
    assert "HTTPValidationError" not in text
    for name, schema in description["components"]["schemas"].items():
        for field, value in schema.get("properties", {}).items():
            assert value.get("description") or "$ref" in json.dumps(value), (name, field)


async def test_nothing_that_can_be_asked_acts_on_a_kiln(client: httpx.AsyncClient) -> None:
    description = (await client.get("/openapi.json")).json()
    writes = {path for path, methods in description["paths"].items() if set(methods) - {"get"}}
    acknowledging = "/api/alerts/{alert_id}/acknowledge"
    assert writes == {acknowledging, *NOTE_WRITES, *CONE_WRITES, *LOG_WRITES, *SIGN_WRITES}


async def test_the_log_is_ended_and_begun_by_hand(
    client: httpx.AsyncClient, desk: FakeDesk
) -> None:
    found = await client.post("/api/log/begin", json={"after": "f1"})
    assert (found.status_code, problem(found)) == (422, "A log is being kept already.")
    response = await client.post("/api/log/f1/end", json={"by": " Ana "})
    assert (response.status_code, response.content) == (204, b"")
    response = await client.post("/api/log/begin", json={"after": "f1"})
    assert (response.status_code, response.content) == (204, b"")
    assert desk.logs == [("end", "Ana"), ("begin", None)]
    late = await client.post("/api/log/f1/end", json={})
    assert (late.status_code, problem(late)) == (404, "Another firing goes on.")


@pytest.mark.parametrize("body", [{}, {"after": ""}, {"after": 1}, {"after": "f1", "plan": "x"}])
async def test_a_log_is_begun_only_after_the_firing_that_was_seen(
    client: httpx.AsyncClient, desk: FakeDesk, body: dict[str, object]
) -> None:
    assert (await client.post("/api/log/begin", json=body)).status_code == 422
    assert desk.logs == []


@pytest.mark.parametrize("path", ["/api/log/begin", "/api/log/f1/end"])
async def test_no_other_site_begins_or_ends_a_log(
    client: httpx.AsyncClient, desk: FakeDesk, path: str
) -> None:
    body = {"after": "f1"} if path.endswith("begin") else {}
    for headers in ({"origin": "http://evil.example"}, {"sec-fetch-site": "cross-site"}):
        assert (await client.post(path, json=body, headers=headers)).status_code == 403
    text = {"content-type": "text/plain"}
    assert (await client.post(path, content="{}", headers=text)).status_code == 415
    assert desk.logs == []
