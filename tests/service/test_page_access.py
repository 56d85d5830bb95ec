"""PIN and daemon, as processes: set while it runs, signed in through kill -9, in no file."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

import httpx

from supervisor.record.store import Record
from tests.daemons import Daemon, wait_until
from tests.web.access.doors import OWN

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
