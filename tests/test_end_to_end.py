"""The whole of it with real peers: processes, Mosquitto, Chromium, kill -9, and a listener."""

from __future__ import annotations

import json
import re
import signal
import socket
import time
import uuid
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect, sync_playwright

from simulator.firing import SimulatedFiring
from simulator.run import simulate, write_log
from simulator.scenario import load_scenario
from supervisor.commands.main import main
from supervisor.commands.service import patient
from supervisor.core.heatwork import pack_around
from supervisor.core.readings import Reading
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.rows import Mode, NewFiring
from supervisor.record.store import Record
from tests.daemons import Daemon, wait_until
from tests.messaging.brokers import Ear, Mosquitto
from tests.web.conftest import NAMES, QUIET, chromium

pytestmark = pytest.mark.timeout(150)

WITHIN_S = 15 * 60.0
"""Simulated seconds from the onset of a stall in which everybody must know of it."""
STOPS_WITHIN_S = 5.0


@cache
def onset_s() -> float:
    """When the climb of the stall scenario really dies; only the simulator knows."""
    firing = SimulatedFiring(load_scenario("stall"))
    while not firing.faults_on:
        firing.advance_to(firing.elapsed_s + 1.0)
    return firing.elapsed_s


@cache
def first_hours(until_s: float, name: str = "stall") -> tuple[Reading, ...]:
    """The scenario's readings until then, one each 10 s."""
    found = []
    for reading in simulate(load_scenario(name), 10.0):
        if reading.elapsed_s > until_s:
            break
        found.append(reading)
    return tuple(found)


def guide_down_s(name: str) -> float:
    """When the cone before the target is down in the scenario, by calculation."""
    scenario = load_scenario(name)
    watch = Watch(scenario.schedule, scenario.channels)
    (guide, *_) = pack_around(scenario.schedule.target_cone or "6")
    for reading in simulate(scenario, 10.0):
        watch.feed(reading)
        down_s = watch.channel_work().work.down_at(guide)
        if down_s is not None:
            return down_s
    raise AssertionError(f"cone {guide} stays up in {name}")


def fast_forward(folder: Path, kiln: str, until_s: float, name: str = "stall") -> str:
    """A record in which the scenario has been watched so far, and goes on; its id."""
    scenario = load_scenario(name)
    with Record.open(folder) as record:
        firing = record.start_firing(
            NewFiring(
                kiln=kiln,
                channels=scenario.channels,
                name=scenario.schedule.name,
                schedule_toml=schedule_toml(scenario.schedule),
                mode=Mode.SIMULATION,
                started_label="2026-11-25T13:00:00.000+00:00",
                settings={"identity": {"scenario": scenario.name, "seed": scenario.seed}},
            )
        ).result(10.0)
        for reading in first_hours(until_s, name):
            record.append(firing.id, reading)
    return firing.id


def alerts_on(ear: Ear, topic: str, **wanted: str) -> list[dict[str, Any]]:
    """The alerts that were heard, of a kind or in a state."""
    heard = [json.loads(payload) for payload in ear.on(topic)]
    return [one for one in heard if all(one[key] == value for key, value in wanted.items())]


def ended_well(daemon: Daemon, number: signal.Signals = signal.SIGTERM) -> None:
    code, took_s = daemon.stop(number)
    assert code == 0, daemon.complaints
    assert took_s < STOPS_WITHIN_S


@pytest.mark.browser
def test_a_stall_reaches_a_listener_and_an_open_page_in_time_and_is_acknowledged(
    tmp_path: Path, hear: Callable[..., Ear]
) -> None:
    executable = chromium()
    if executable is None:
        pytest.skip(f"no Chromium on this machine (looked for {', '.join(NAMES)})")
    speed = 90.0
    alerts = "spyhole/demo-kiln/alerts"
    firing_id = fast_forward(tmp_path, "demo kiln", onset_s() - 30 * speed)
    words = ("demo", "--scenario", "stall", "--speed", f"{speed:g}", "--port", "0")
    with Daemon(*words, "--data", tmp_path) as daemon, sync_playwright() as playwright:
        assert daemon.wait_for("firing: ").startswith(f"{firing_id} (goes on)")
        ear = hear(int(daemon.wait_for("broker: mqtt://127.0.0.1:").rstrip("/")))
        browser = playwright.chromium.launch(executable_path=executable, args=list(QUIET))
        page = browser.new_page(viewport={"width": 360, "height": 800})
        page.goto(daemon.page)
        expect(page.locator("#not-live")).to_be_visible()
        expect(page.locator("#alerts")).to_be_hidden()
        wait_until(lambda: daemon.snapshot()["reading_age_s"] is not None, "a reading comes")
        asked_s = time.monotonic()
        seen = daemon.snapshot()
        began_s = asked_s - seen["reading_age_s"] - seen["elapsed_s"] / speed
        assert seen["elapsed_s"] < onset_s(), "everybody is there before the climb dies"

        shown = page.locator("#alert-list li").filter(has_text="stopped climbing")
        expect(shown).to_be_visible(timeout=40_000)
        on_page_s = (time.monotonic() - began_s) * speed
        ear.wait(lambda: bool(alerts_on(ear, alerts, kind="stall")))
        heard_s = (time.monotonic() - began_s) * speed
        (raised,) = alerts_on(ear, alerts, kind="stall")
        assert raised["state"] == "raised"
        assert 0.0 < raised["elapsed_s"] - onset_s() <= WITHIN_S
        assert on_page_s - onset_s() <= WITHIN_S
        assert heard_s - onset_s() <= WITHIN_S
        what, _, look = raised["message"].partition(": go and look ")
        expect(shown.locator(".alert-look")).to_have_text(f"Go and look {look}")
        expect(shown.locator(".alert-message")).to_have_text(f"{what}.")

        shown.locator("button.acknowledge").click()
        expect(page.locator("#alert-list .alert-was-seen")).to_be_visible()
        ear.wait(lambda: bool(alerts_on(ear, alerts, state="acknowledged")))
        (told,) = alerts_on(ear, alerts, state="acknowledged")
        assert told["alert"] == raised["alert"]
        assert told["id"] != raised["id"]
        with Record.open_to_read(tmp_path) as record:
            (alert,) = record.alerts(firing_id)
        assert alert.id == raised["alert"]
        assert alert.acknowledged_at_s == told["elapsed_s"]
        assert alert.acknowledged_by == "page"

        wait_until(lambda: _status(ear)["open_alerts"][0]["acknowledged"], "the status says so")
        late = hear(ear_port(daemon), "late")
        late.wait(lambda: len(late.heard) >= 2)
        kept = {topic: payload for topic, payload, retained in late.heard if retained}
        assert kept["spyhole/demo-kiln/availability"] == "online"
        status = json.loads(kept["spyhole/demo-kiln/status"])
        assert status["firing"] == firing_id
        assert status["open_alerts"] == [
            {
                "id": alert.id,
                "kind": "stall",
                "severity": "warning",
                "channel": None,
                "message": alert.message,
                "acknowledged": True,
                "raised_at": alert.raised_time,
                "reminders": 0,
                "reminded_at": None,
                "escalated_at": None,
            }
        ]
        ended_well(daemon)
        assert daemon.complaints == []
        browser.close()
    ear.wait(lambda: ear.on("spyhole/demo-kiln/availability")[-1:] == ["offline"])


def _status(ear: Ear) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(ear.on("spyhole/demo-kiln/status")[-1])
    return found


def ear_port(daemon: Daemon) -> int:
    """The port of the demo's own broker."""
    return int(daemon.wait_for("broker: mqtt://127.0.0.1:").rstrip("/"))


def test_the_demo_fires_the_whole_stall_from_cold_with_no_set_up(
    hear: Callable[..., Ear],
) -> None:
    with Daemon("demo", "--scenario", "stall", "--speed", "2400", "--port", "0") as daemon:
        ear = hear(ear_port(daemon))
        alerts = "spyhole/demo-kiln/alerts"
        ear_waits = lambda: bool(alerts_on(ear, alerts, kind="stall"))  # noqa: E731
        wait_until(ear_waits, "the stall is heard")
        assert [one["kind"] for one in alerts_on(ear, alerts) if one["severity"] != "info"] == [
            "stall"
        ]
        (raised,) = alerts_on(ear, alerts, kind="stall")
        assert 0.0 < raised["elapsed_s"] - onset_s() <= WITHIN_S
        assert re.search(r"^7:\d\d !  stall: ", "\n".join(daemon.lines), re.MULTILINE)
        folder = Path(daemon.wait_for("record: ")).parent
        assert folder.is_dir()
        ended_well(daemon)
        assert daemon.complaints == []
        assert not folder.exists(), "nothing is kept of a demo"


def config_in(folder: Path, port: int) -> Path:
    path = folder / "spyhole.toml"
    path.write_text(
        f'[kiln]\nname = "Shed kiln"\n[mqtt]\nhost = "127.0.0.1"\nport = {port}\n[page]\nport = 0\n'
    )
    return path


def watching(folder: Path, port: int, speed: float) -> Daemon:
    return Daemon(
        "watch",
        "--simulate",
        "stall",
        "--config",
        config_in(folder, port),
        "--speed",
        f"{speed:g}",
        "--data",
        folder / "data",
    )


AVAILABILITY = "spyhole/shed-kiln/availability"
ALERTS = "spyhole/shed-kiln/alerts"
READINGS = "spyhole/shed-kiln/readings"


@pytest.mark.broker
def test_after_kill_9_the_same_firing_goes_on_and_nothing_is_missing(
    tmp_path: Path, mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    speed = 120.0
    data = tmp_path / "data"
    firing_id = fast_forward(data, "Shed kiln", onset_s() - 2 * speed)
    ear = hear(mosquitto.port)
    with watching(tmp_path, mosquitto.port, speed) as first:
        ear.wait(lambda: ear.on(AVAILABILITY)[:1] == ["online"])
        notes = [first.post("api/notes", {"text": "before the stall", "by": "Ann"})]
        wait_until(lambda: bool(alerts_on(ear, ALERTS, kind="stall")), "the stall is heard")
        time.sleep(2.0)  # some further seconds of a firing, so that there is something to lose
        (stall,) = alerts_on(ear, ALERTS, kind="stall")
        first.post(f"api/alerts/{stall['alert']}/acknowledge", {"by": "Ann"})
        notes.append(first.post("api/notes", {"text": "breaker was out", "by": "Ann"}))
        time.sleep(1.0)
        killed_at_s = first.snapshot()["elapsed_s"]
        first.kill()
    ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    heard = [json.loads(payload) for payload in ear.on(READINGS)]
    with Record.open_to_read(data) as record:
        kept = {reading.elapsed_s: reading for reading in record.readings(firing_id)}
        alerts = record.alerts(firing_id)
        assert [note.text for note in record.notes(firing_id)] == [note["text"] for note in notes]
    # Nothing is missing up to the last reading on disk, and that one is not 10 s old.
    assert max(kept) >= killed_at_s - 10.0 * speed
    on_disk = [one for one in heard if one["elapsed_s"] <= max(kept)]
    assert len(on_disk) > 5
    for one in on_disk:
        temps_c = kept[one["elapsed_s"]].temps_c
        assert {name: round(temp or 0.0, 3) for name, temp in temps_c.items()} == one["temps_c"]
    assert [(alert.id, alert.acknowledged_by) for alert in alerts] == [(stall["alert"], "Ann")]
    told_before = [one["id"] for one in alerts_on(ear, ALERTS)]

    with watching(tmp_path, mosquitto.port, speed) as second:
        assert second.wait_for("firing: ").startswith(f"{firing_id} (goes on)")
        ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["online"])
        wait_until(
            lambda: second.snapshot()["elapsed_s"] > killed_at_s, "the firing is past the kill"
        )
        snapshot = second.snapshot()
        assert snapshot["firing"]["id"] == firing_id
        assert [alert["id"] for alert in snapshot["alerts"]] == [stall["alert"]]
        assert snapshot["alerts"][0]["acknowledged_at"] is not None
        assert [note["text"] for note in reversed(snapshot["notes"])] == [n["text"] for n in notes]
        second.post("api/notes", {"text": "after the kill", "by": None})
        ended_well(second)
        assert second.complaints == []
    ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    with Record.open_to_read(data) as record:
        assert [firing.id for firing in record.firings()] == [firing_id]
        times_s = [reading.elapsed_s for reading in record.readings(firing_id)]
        assert times_s == sorted(set(times_s))
        assert set(kept) <= set(times_s), "what was on disk is there still"
        assert [note.text for note in record.notes(firing_id)] == [
            "before the stall",
            "breaker was out",
            "after the kill",
        ]
        assert [alert.id for alert in record.alerts(firing_id)] == [stall["alert"]]
    told_after = [one["id"] for one in alerts_on(ear, ALERTS)][len(told_before) :]
    assert set(told_after) <= set(told_before), "a repeat may come, by its id; nothing is new"
    replayed_like_recorded(tmp_path, firing_id, speed)


def test_an_offset_accepted_from_the_cones_counts_on_after_kill_9(tmp_path: Path) -> None:
    data, name = tmp_path / "data", "healthy-midfire"
    config = tmp_path / "spyhole.toml"
    config.write_text('[kiln]\nname = "Shed kiln"\n[page]\nport = 0\n')
    # Cone 5, the guide, is down and cone 6 stands yet.
    firing_id = fast_forward(data, "Shed kiln", guide_down_s(name) + 600.0, name)
    words = ("watch", "--simulate", name, "--config", config, "--speed", "10", "--data", data)
    with Daemon(*words) as first:
        wait_until(lambda: first.snapshot()["reading_age_s"] is not None, "a reading comes")
        plain = first.snapshot()
        assert plain["correction"] is None
        look: dict[str, object] = {"cone": "6", "clock": "3", "channel": "top"}
        kept = first.post("api/cones", look | {"client_id": str(uuid.uuid4())})
        wait_until(lambda: first.snapshot()["offsets"][0]["estimate"] is not None, "it tells")
        (proposed, *_) = first.snapshot()["offsets"]
        assert proposed["is_proposed"]
        assert proposed["in_force"] is None
        assert first.snapshot()["correction"] is None, "nothing counts before it is accepted"
        first.post("api/offsets/top/accept", {"offset_c": proposed["estimate"]["offset_c"]})
        corrected = first.snapshot()
        first.kill()
    assert corrected["correction"]["offset_c"] == proposed["estimate"]["offset_c"] > 0.0
    fell_s = corrected["cones"][0]["down_at_s"]
    assert fell_s < plain["cones"][0]["down_at_s"], "hotter than it reads, so it fell before"
    with Daemon(*words) as second:
        assert second.wait_for("firing: ").startswith(f"{firing_id} (goes on)")
        wait_until(
            lambda: second.snapshot()["elapsed_s"] > corrected["elapsed_s"], "it is past the kill"
        )
        again = second.snapshot()
        assert again["correction"] == corrected["correction"]
        assert again["cones"][0]["down_at_s"] == fell_s
        assert again["cones"][1]["work"] > corrected["cones"][1]["work"]
        assert again["witness"] == [kept]
        assert again["offsets"][0]["in_force"] == corrected["offsets"][0]["in_force"]
        second.post("api/offsets/top/withdraw", {})
        assert second.snapshot()["cones"][0]["down_at_s"] == plain["cones"][0]["down_at_s"]
        ended_well(second)
        assert second.complaints == []
    with Record.open_to_read(data) as record:
        changes = record.offset_changes(firing_id)
        assert [change.offset is None for change in changes] == [False, True]
        assert record.offsets("Shed kiln") == {}


def replayed_like_recorded(folder: Path, firing_id: str, speed: float) -> None:
    """The firing's own log gives its own events, letter for letter, kill or no kill."""
    log, plan, events = folder / "firing.csv", folder / "plan.toml", folder / "events.jsonl"
    patience_min = patient(WatchSettings(), speed).no_readings_s / 60.0
    config = folder / "patient.toml"
    config.write_text(f"[watch]\nno_readings_min = {patience_min}\n")
    data = folder / "data"
    assert main(["report", firing_id, "--out", str(log), "--data", str(data)]) == 0
    with Record.open_to_read(data) as record:
        plan.write_text(record.firing(firing_id).schedule_toml or "")
        lines = record.event_lines(firing_id)
    words = ["replay", str(log), "--schedule", str(plan), "--config", str(config)]
    assert main([*words, "--events", str(events)]) == 0
    assert events.read_text().splitlines() == lines
    assert any('"stall"' in line for line in lines)


@pytest.mark.broker
def test_alerts_of_an_outage_of_the_broker_arrive_when_it_is_back(
    tmp_path: Path, mosquitto: Mosquitto, hear: Callable[..., Ear]
) -> None:
    speed = 240.0
    data = tmp_path / "data"
    firing_id = fast_forward(data, "Shed kiln", onset_s() - 4 * speed)
    ear = hear(mosquitto.port)
    with watching(tmp_path, mosquitto.port, speed) as daemon:
        ear.wait(lambda: ear.on(AVAILABILITY)[:1] == ["online"])
        mosquitto.stop()
        wait_until(lambda: daemon.snapshot()["mqtt"] == "away", "the broker is missed")
        wait_until(lambda: bool(daemon.snapshot()["alerts"]), "the stall is on the page")
        (alert,) = daemon.snapshot()["alerts"]
        daemon.post(f"api/alerts/{alert['id']}/acknowledge", {"by": "Ann"})
        assert alerts_on(ear, ALERTS) == []
        mosquitto.start()
        wait_until(lambda: len(alerts_on(ear, ALERTS)) >= 2, "the alerts are heard")
        assert [(one["alert"], one["state"], one["by"]) for one in alerts_on(ear, ALERTS)] == [
            (alert["id"], "raised", None),
            (alert["id"], "acknowledged", "Ann"),
        ]
        assert daemon.snapshot()["mqtt"] == "connected"
        ended_well(daemon)
        assert len(daemon.complaints) == 1, "one sentence for one outage"
        assert re.fullmatch(
            rf"spyhole: the broker at 127\.0\.0\.1:{mosquitto.port} answers no more; "
            "it is tried again",
            daemon.complaints[0],
        )
    ear.wait(lambda: ear.on(AVAILABILITY)[-1:] == ["offline"])
    with Record.open_to_read(data) as record:
        assert [one.id for one in record.alerts(firing_id)] == [alert["id"]]


def test_a_broker_that_was_never_there_is_one_sentence_and_the_watch_goes_on(
    tmp_path: Path,
) -> None:
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        with watching(tmp_path, nobody.getsockname()[1], 60.0) as daemon:
            wait_until(lambda: bool(daemon.complaints), "it is said")
            wait_until(lambda: daemon.snapshot()["elapsed_s"] > 150.0, "the watch goes on")
            ended_well(daemon)
            assert len(daemon.complaints) == 1
            assert "does not answer: Connection refused; it is tried again" in daemon.complaints[0]


def open_stream(page: str) -> socket.socket:
    """A page's live stream that is held open, as a phone in a pocket does."""
    where = urlsplit(page)
    stream = socket.create_connection((str(where.hostname), where.port or 80), timeout=10.0)
    head = f"GET /api/stream HTTP/1.1\r\nHost: {where.netloc}\r\nAccept: text/event-stream\r\n\r\n"
    stream.sendall(head.encode())
    assert b"200 OK" in stream.recv(4096)
    return stream


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize("command", ["demo", "watch", "replay"])
def test_a_signal_ends_it_soon_and_quietly_with_streams_open(
    tmp_path: Path, command: str, number: signal.Signals
) -> None:
    log = tmp_path / "log.csv"
    with log.open("w", encoding="utf-8", newline="") as file:
        write_log(first_hours(3_600.0), load_scenario("stall").channels, file)
    words: dict[str, tuple[str | Path, ...]] = {
        "demo": ("demo", "--port", "0", "--speed", "600"),
        "watch": ("watch", "--simulate", "stall", "--port", "0", "--data", tmp_path / "data"),
        "replay": ("replay", log, "--schedule", "midfire-glaze", "--page", "--port", "0"),
    }
    with Daemon(*words[command]) as daemon:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/", daemon.page)
        assert daemon.get("healthz")["record"] == "ok"
        assert daemon.snapshot()["mode"] == ("replay" if command == "replay" else "simulation")
        streams = [open_stream(daemon.page) for _ in range(3)]
        idle = socket.create_connection(streams[0].getpeername(), timeout=10.0)
        ended_well(daemon, number)
        assert daemon.complaints == []
        for stream in (*streams, idle):
            stream.close()


def test_the_page_of_a_replay_names_the_kind_of_kiln_that_was_given(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    with log.open("w", encoding="utf-8", newline="") as file:
        write_log(first_hours(3_600.0), load_scenario("stall").channels, file)
    words = ("replay", log, "--schedule", "midfire-glaze", "--page", "--port", "0")
    with Daemon(*words, "--kind", "gas") as daemon:
        assert daemon.snapshot()["kiln"] == {"name": "log", "kind": "gas"}
        ended_well(daemon)


@pytest.mark.parametrize("after_s", [0.0, 0.2, 0.7])
def test_stopping_just_after_the_start_is_quiet_too(after_s: float) -> None:
    with Daemon("demo", "--port", "0", "--speed", "1800") as daemon:
        assert daemon.page
        time.sleep(after_s)  # the moment is the point: connecting, connected, publishing
        ended_well(daemon)
        assert daemon.complaints == []
