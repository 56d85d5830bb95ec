"""PIN and daemon, as processes: set while it runs, signed in through kill -9, in no file."""

from __future__ import annotations

import ssl
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from urllib.parse import urlsplit

import httpx
import pytest

from supervisor.core.errors import InputError
from supervisor.record.store import Record
from supervisor.service.config import parse_config
from supervisor.service.page_rules import PageRules
from supervisor.service.run import run
from tests.daemons import Daemon, wait_until
from tests.messaging.authority import Authority
from tests.service.test_run import running, setup_in
from tests.web.access.doors import OWN
from web.access.access import Reading

PIN, WRONG = "tenmoku over ash", "shino over ash"
"""Words that no reading is spelled with."""
DEMO = ("demo", "--speed", "60")


def client_of(daemon: Daemon, cookies: httpx.Cookies | None = None) -> httpx.Client:
    return httpx.Client(base_url=daemon.page, headers=OWN, cookies=cookies, timeout=30.0)


def write(client: httpx.Client, text: str) -> int:
    return client.post("api/notes", json={"text": text}).status_code


def test_a_pin_set_beside_the_daemon_counts_and_a_session_outlives_kill_9(tmp_path: Path) -> None:
    with Daemon(*DEMO, "--data", tmp_path, "--port", "0") as daemon:
        port = urlsplit(daemon.page).port
        with client_of(daemon) as phone:
            assert write(phone, "no PIN yet") == 201
            subprocess.run(
                [sys.executable, "-m", "supervisor", "pin", "--data", str(tmp_path)],
                input=f"{PIN}\n",
                text=True,
                check=True,
                capture_output=True,
            )
            wait_until(lambda: write(phone, "before") == 401, "the PIN is asked for")
            wrong = phone.post("api/session/begin", json={"pin": WRONG, "name": "Ana"})
            assert wrong.status_code == 401
            right = phone.post("api/session/begin", json={"pin": PIN, "name": "Ana"})
            assert right.status_code == 200
            assert write(phone, "signed") == 201
            kept = phone.cookies
        daemon.kill()
        said = [*daemon.lines, *daemon.complaints]
    with Daemon(*DEMO, "--data", tmp_path, "--port", str(port)) as daemon:
        with client_of(daemon, kept) as phone:
            assert phone.get("api/session").json()["name"] == "Ana"
            assert write(phone, "after the kill") == 201
            entries = phone.get("api/audit").json()["entries"]
        daemon.stop()
        said += [*daemon.lines, *daemon.complaints]
    what = [entry["what"] for entry in reversed(entries)]
    # Nothing was refused before the PIN was seen, at most a second late.
    written = [one for one in what if one == "add_note"]
    assert [one for one in what if one != "add_note"] == ["pin_set", "wrong_pin", "sign_in"]
    with Record.open_to_read(tmp_path) as record:
        (firing,) = record.firings()
        notes = [(note.text, note.by) for note in record.notes(firing.id)]
    ours = [(text, by) for text, by in notes if text != "before" and by != "spyhole"]
    assert ours == [("no PIN yet", None), ("signed", "Ana"), ("after the kill", "Ana")]
    assert len(written) == len([1 for _, by in notes if by != "spyhole"])
    assert {entry["firing"] for entry in entries if entry["what"] == "add_note"} == {firing.id}
    for file in tmp_path.rglob("*"):
        if file.is_file():
            data = file.read_bytes()
            assert PIN.encode() not in data, file
            assert WRONG.encode() not in data, file
    assert not [line for line in said if PIN in line or WRONG in line]


async def test_by_https_the_page_is_told_and_opened_by_https(tmp_path: Path) -> None:
    authority = Authority(tmp_path / "studio")
    signed = authority.sign("kiln", may_be="IP:127.0.0.1,DNS:kiln.local")
    rules = PageRules(reading=Reading.PIN, certificate=signed.certificate, key=signed.key)
    setup = replace(setup_in(tmp_path), host="0.0.0.0", page=rules)
    trust = ssl.create_default_context(cafile=str(authority.certificate))
    async with running(setup) as (_, said), httpx.AsyncClient(verify=trust) as client:
        page = said.page.result()
        assert page.startswith("https://127.0.0.1:")
        assert [line for line in said.lines if line.startswith("from a phone: https://")]
        (note,) = [line for line in said.lines if line.startswith("note: only this machine may")]
        assert f"spyhole pin --data {setup.data_dir}" in note
        assert (await client.get(f"{page}api/snapshot")).status_code == 200
        elsewhere = {"host": "kiln.local"}
        refused = await client.get(f"{page}api/snapshot", headers=elsewhere)
        assert refused.status_code == 403
        assert (await client.get(f"{page}healthz", headers=elsewhere)).status_code == 200


async def test_a_certificate_that_is_none_is_said_before_anything_is_written(
    tmp_path: Path,
) -> None:
    junk = tmp_path / "junk.pem"
    junk.write_text("no certificate")
    setup = replace(setup_in(tmp_path), page=PageRules(certificate=junk, key=junk))
    with pytest.raises(InputError, match="can't speak HTTPS with this certificate"):
        await run(setup)
    assert not setup.data_dir.exists()


def test_the_rules_are_as_the_configuration_says(tmp_path: Path) -> None:
    assert parse_config("", "it").page_rules() == PageRules()
    text = '[page]\nreading = "pin"\ncertificate = "a.pem"\nkey = "/b.pem"\nbehind_proxy = true'
    assert parse_config(text, "it").page_rules(tmp_path) == PageRules(
        Reading.PIN, tmp_path / "a.pem", Path("/b.pem"), behind_proxy=True
    )
    with pytest.raises(InputError, match=r"page\.reading"):
        parse_config('[page]\nreading = "all"', "it")
