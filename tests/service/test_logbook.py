"""The log of a real kiln: armed until it climbs or a person says so, ended cold or by hand."""

from __future__ import annotations

import asyncio
import json
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, Step, starter_text
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.logbook import BEGUN_BY_HAND, ENDED_BY_HAND
from supervisor.service.setup import Setup
from supervisor.service.standby import FALLEN_C, KEPT_S, REST_S, Standby
from tests.service.test_run import Said, fetch, running

PLAN = Schedule("short", (Step(600.0, 300.0, 600.0),))
SPEED = 3600.0
WAITS_S = 5 * 3600.0


class Kiln:
    """A kiln that is read each firing minute and is as hot as it is told."""

    channels = ("top",)

    def __init__(self, temp_c: Callable[[float], float], ends_s: float = 1e9) -> None:
        self.temp_c = temp_c
        self._ends_s = ends_s

    def due_s(self, after_s: float | None) -> float | None:
        due_s = 0.0 if after_s is None else after_s + 60.0
        return due_s if due_s <= self._ends_s else None

    def read(self, elapsed_s: float) -> Reading:
        return Reading(elapsed_s, {"top": self.temp_c(elapsed_s)})

    def close(self) -> None:
        """Nothing is held."""


def climbs_late(elapsed_s: float) -> float:
    """Cold for five hours, then up in two, held, and cold again."""
    at_s = elapsed_s - WAITS_S
    if at_s < 7200.0:
        return 20.0 + max(at_s, 0.0) / 7200.0 * 580.0
    return 600.0 if at_s < 8400.0 else max(600.0 - (at_s - 8400.0) / 3600.0 * 100.0, 20.0)


def live(folder: Path, kiln: Kiln) -> Setup:
    return Setup(
        source=kiln,
        schedule=PLAN,
        schedule_toml=schedule_toml(PLAN),
        data_dir=folder / "data",
        kiln="test kiln",
        mode=Mode.LIVE,
        speed=SPEED,
        interval_s=60.0,
        settings=WatchSettings(no_readings_s=1e6),
        say=lambda _line: None,
    )


async def snapshot(said: Said) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(await fetch(f"{said.page.result()}api/snapshot"))
    return found


async def post(said: Said, path: str, body: dict[str, object]) -> tuple[int, str]:
    """Status and text of the answer."""
    request = urllib.request.Request(
        f"{said.page.result()}{path}",
        json.dumps(body).encode(),
        {"Content-Type": "application/json"},
    )

    def ask() -> tuple[int, str]:
        try:
            with urllib.request.urlopen(request, timeout=10.0) as answer:
                return int(answer.status), answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode()

    return await asyncio.to_thread(ask)


async def until(said: Said, is_so: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    async with asyncio.timeout(30.0):
        while True:
            seen = await snapshot(said)
            if is_so(seen):
                return seen
            await asyncio.sleep(0.1)


async def test_a_real_log_begins_with_the_climb_and_the_hour_before_it(tmp_path: Path) -> None:
    setup = live(tmp_path, Kiln(climbs_late, ends_s=16 * 3600.0))
    async with running(setup) as (_, said):
        armed = await until(said, lambda seen: seen["reading_age_s"] is not None)
        assert armed["log"] == {"state": "armed", "next_plan": "short", "chosen_plan": None}
        assert armed["recording"] is False
        assert armed["firing"]["state"] == "waiting"
        assert [line for line in said.lines if line.startswith("armed: ")]
        assert (await post(said, "api/notes", {"text": "three shelves of cups"}))[0] == 201
        told: dict[str, object] = {"topic": "load", "text": "40 cups"}
        place = f"api/firings/{armed['firing']['id']}/accounts"
        assert (await post(said, place, told))[0] == 201
        going = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert going["firing"]["id"] != armed["firing"]["id"]
        assert going["recording"] is True
        assert [note["text"] for note in going["notes"]] == ["three shelves of cups"]
        closed = await until(said, lambda seen: seen["log"]["state"] == "closed")
        assert closed["firing"]["id"] == going["firing"]["id"]
    with Record.open_to_read(tmp_path / "data") as record:
        (fired,) = record.firings()
        assert fired.id == going["firing"]["id"], "what only waited leaves no trace"
        assert not fired.is_open
        assert [account.text for account in record.accounts(fired.id)] == ["40 cups"]
        extent = record.extent(fired.id)
        assert extent is not None
        assert extent.first_s == 0.0
        readings = list(record.readings(fired.id))
        assert readings[0].temps_c["top"] == 20.0
        climb_s = next(seen.elapsed_s for seen in readings if seen.temps_c["top"] != 20.0)
        assert KEPT_S / 2.0 < climb_s <= KEPT_S
        assert extent.last_s < 11 * 3600.0
        kinds = [json.loads(line)["kind"] for line in record.event_lines(fired.id)]
        assert kinds[0] == "step_begun"
        assert kinds[-1] == "cool_to_open"


async def test_waiting_in_which_nothing_was_said_leaves_no_trace(tmp_path: Path) -> None:
    async with running(live(tmp_path, Kiln(climbs_late))) as (_, said):
        await until(said, lambda seen: seen["log"]["state"] == "open")
    with Record.open_to_read(tmp_path / "data") as record:
        (fired,) = record.firings()
        assert fired.is_open


async def test_a_simulated_log_begins_at_once(tmp_path: Path) -> None:
    setup = replace(live(tmp_path, Kiln(lambda _s: 20.0)), mode=Mode.SIMULATION)
    async with running(setup) as (_, said):
        seen = await snapshot(said)
        assert seen["log"] == {"state": "open", "next_plan": None, "chosen_plan": None}
        assert seen["recording"] is True


async def test_a_person_begins_and_ends_the_log(tmp_path: Path) -> None:
    async with running(live(tmp_path, Kiln(lambda _s: 20.0))) as (_, said):
        armed = await until(said, lambda seen: seen["elapsed_s"] > 2 * 3600.0)
        first_id = armed["firing"]["id"]
        assert (await post(said, f"api/log/{first_id}/end", {}))[0] == 422
        status, text = await post(said, "api/log/begin", {"after": first_id, "by": "Ada"})
        assert (status, text) == (204, "")
        going = await snapshot(said)
        going_id = going["firing"]["id"]
        assert going_id != first_id
        assert going["log"] == {"state": "open", "next_plan": None, "chosen_plan": None}
        (note,) = going["notes"]
        assert (note["text"], note["by"]) == (BEGUN_BY_HAND, "Ada")
        assert note["elapsed_s"] < 600.0, "it begins now, not an hour ago"
        # A second tap, or a page that has not heard of it yet, begins no third one.
        assert (await post(said, "api/log/begin", {"after": first_id}))[0] == 204
        assert (await snapshot(said))["firing"]["id"] == going_id
        assert (await post(said, "api/log/begin", {"after": going_id}))[0] == 422

        assert (await post(said, f"api/log/{first_id}/end", {}))[0] == 404
        assert (await post(said, f"api/log/{going_id}/end", {"by": "Ada"}))[0] == 204
        closed = await snapshot(said)
        assert closed["firing"]["id"] == going_id
        assert closed["log"] == {"state": "closed", "next_plan": "short", "chosen_plan": None}
        with Record.open_to_read(tmp_path / "data") as record:
            assert not record.firing(going_id).is_open, "it is on disk when it is answered"
            ended_at_s = record.firing(going_id).ended_at_s
            assert [note.text for note in record.notes(going_id)] == [BEGUN_BY_HAND, ENDED_BY_HAND]
        assert (await post(said, f"api/log/{going_id}/end", {}))[0] == 204
        with Record.open_to_read(tmp_path / "data") as record:
            assert record.firing(going_id).ended_at_s == ended_at_s
            extent = record.extent(going_id)
        later = await until(said, lambda seen: seen["elapsed_s"] > closed["elapsed_s"] + 3600.0)
        assert later["log"]["state"] == "closed", "a cold kiln begins nothing"
        with Record.open_to_read(tmp_path / "data") as record:
            assert record.extent(going_id) == extent, "nothing more is kept"
        assert (await post(said, "api/log/begin", {"after": going_id}))[0] == 204
        assert (await snapshot(said))["log"]["state"] == "open"


async def test_a_log_ended_in_a_climb_is_not_begun_again_by_the_same_climb(tmp_path: Path) -> None:
    kiln = Kiln(lambda elapsed_s: 20.0 + elapsed_s / 3600.0 * 100.0)
    async with running(live(tmp_path, kiln)) as (_, said):
        going = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert (await post(said, f"api/log/{going['firing']['id']}/end", {}))[0] == 204
        ended_s = (await snapshot(said))["elapsed_s"]
        climbing = await until(said, lambda seen: seen["elapsed_s"] > ended_s + 3 * 3600.0)
        assert climbing["log"]["state"] == "closed"
        hottest_c = climbing["channels"][0]["temp_c"]
        top_c: float = hottest_c + 20.0
        kiln.temp_c = lambda _elapsed_s: top_c
        rested = await until(
            said, lambda seen: seen["elapsed_s"] > climbing["elapsed_s"] + 3 * REST_S
        )
        assert rested["log"]["state"] == "closed"
        begun: list[float] = []

        def climbs_again(elapsed_s: float) -> float:
            begun.append(elapsed_s)
            return top_c + (elapsed_s - begun[0]) / 3600.0 * 100.0

        kiln.temp_c = climbs_again
        again = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert again["firing"]["id"] != going["firing"]["id"]


async def test_a_restart_does_not_make_the_climb_in_which_a_log_was_ended_another(
    tmp_path: Path,
) -> None:
    at_c, last_s = 20.0, 0.0

    def climbs(elapsed_s: float) -> float:
        # By the clock and not by the look: a busy machine looks less often.
        nonlocal at_c, last_s
        at_c += 100.0 / 3600.0 * max(elapsed_s - last_s, 0.0)
        last_s = elapsed_s
        return at_c

    kiln = Kiln(climbs)
    async with running(live(tmp_path, kiln)) as (_, said):
        going = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert (await post(said, f"api/log/{going['firing']['id']}/end", {}))[0] == 204
    async with running(live(tmp_path, kiln)) as (_, said):
        climbing = await until(said, lambda seen: seen["elapsed_s"] > 3 * 3600.0)
        assert climbing["log"]["state"] == "armed", "it is the same climb"
        top_c = at_c
        kiln.temp_c = lambda _elapsed_s: top_c
        await until(said, lambda seen: seen["elapsed_s"] > climbing["elapsed_s"] + 3 * REST_S)
        assert (await snapshot(said))["log"]["state"] == "armed"
    kiln.temp_c = climbs
    async with running(live(tmp_path, kiln)) as (_, said):
        again = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert again["firing"]["id"] != going["firing"]["id"]


def test_a_kiln_that_is_far_below_where_its_log_was_ended_has_rested_meanwhile() -> None:
    def waits(temp_c: float | None, low_c: float | None = None) -> bool:
        ended_at_c = {"top": 600.0, "low": 580.0, "gone": 600.0}
        standby = Standby(
            PLAN, ("top", "low"), WatchSettings(), after_rest=True, ended_at_c=ended_at_c
        )
        standby.sees_a_beginning(Reading(0.0, {"top": temp_c, "low": low_c}))
        return standby.waits_for_rest

    assert waits(640.0)
    assert waits(600.0 - FALLEN_C)
    assert waits(None)
    assert waits(300.0, low_c=575.0), "one thermocouple may have slipped out"
    assert not waits(300.0)
    assert not waits(300.0, low_c=280.0)


async def test_when_the_readings_are_over_no_log_can_begin(tmp_path: Path) -> None:
    async with running(live(tmp_path, Kiln(lambda _s: 20.0, ends_s=600.0))) as (_, said):
        async with asyncio.timeout(20.0):
            while not any(line.startswith("the readings are over") for line in said.lines):
                await asyncio.sleep(0.02)
        seen = await snapshot(said)
        assert seen["log"] == {"state": "armed", "next_plan": None, "chosen_plan": None}
        after = seen["firing"]["id"]
        status, text = await post(said, "api/log/begin", {"after": after})
        assert status == 422
        assert "no log can begin" in text


async def test_while_the_disk_refuses_the_kiln_is_watched_and_the_log_waits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Waiting for the disk in the middle of a turn would leave the kiln unwatched."""
    trouble: object | None = None

    class Refused:
        message = "the disk is full"

    monkeypatch.setattr(Record, "trouble", property(lambda _self: trouble))
    trouble = Refused()
    async with running(live(tmp_path, Kiln(climbs_late))) as (_, said):
        hot = await until(said, lambda seen: seen["elapsed_s"] > WAITS_S + 3600.0)
        assert hot["log"]["state"] == "armed"
        assert hot["plan"]["activity"] == "climbing"
        status, text = await post(said, "api/log/begin", {"after": hot["firing"]["id"]})
        assert status == 503
        assert "the disk is full" in text
        trouble = None
        going = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert going["plan"]["activity"] != "waiting", "the hour before is still known"


def test_a_standby_after_rest_waits_until_no_channel_climbs() -> None:
    def feed(standby: Standby, minutes: range, temp_c: Callable[[float], float | None]) -> bool:
        return any(
            standby.sees_a_beginning(Reading(m * 60.0, {"top": temp_c(m), "low": None}))
            for m in minutes
        )

    standby = Standby(PLAN, ("top", "low"), WatchSettings(), after_rest=True)
    assert not feed(standby, range(120), lambda m: 100.0 + m), "the same climb"
    assert not feed(standby, range(120, 180), lambda _m: None), "nobody knows"
    assert not feed(standby, range(180, 220), lambda _m: 220.0), "it rests"
    assert feed(standby, range(220, 260), lambda m: 220.0 + (m - 220)), "another climb"
    cooling = Standby(PLAN, ("top", "low"), WatchSettings(), after_rest=True)
    assert not feed(cooling, range(60), lambda m: 400.0 - m), "falling is rest as well"
    assert feed(cooling, range(60, 120), lambda m: 340.0 + (m - 60) * 2.0)


@pytest.mark.parametrize(("temp_c", "logs"), [(560.0, 2), (20.0, 1)])
async def test_a_hot_kiln_with_other_thermocouples_is_logged_on_and_a_cold_one_waits(
    tmp_path: Path, temp_c: float, logs: int
) -> None:
    looks: list[float] = []

    def climbs(elapsed_s: float) -> float:
        # However long this machine has taken until the first look.
        looks.append(elapsed_s)
        return min(20.0 + (elapsed_s - looks[0]) / 10.0, 900.0)

    async with running(live(tmp_path, Kiln(climbs))) as (_, said):
        await until(said, lambda seen: seen["log"]["state"] == "open")

    class Renamed(Kiln):
        channels = ("roof",)

        def read(self, elapsed_s: float) -> Reading:
            return Reading(elapsed_s, {"roof": self.temp_c(elapsed_s)})

    # It neither climbs nor stands at a hold of its plan.
    kiln = Renamed(lambda s: max(temp_c - s / 360.0, 20.0))
    async with running(live(tmp_path, kiln)) as (task, said):
        if logs == 2:
            await until(said, lambda seen: seen["log"]["state"] == "open")
        await until(said, lambda seen: seen["elapsed_s"] > 1800.0)
        assert not task.done()
    with Record.open_to_read(tmp_path / "data") as record:
        kept = [one for one in record.firings() if record.extent(one.id) is not None]
        assert [one.channels for one in kept] == [("roof",), ("top",)][-logs:]
        assert not kept[-1].is_open


async def test_the_plan_chosen_on_the_page_is_fired_next_once_and_changes_no_log(
    tmp_path: Path,
) -> None:
    kiln = Kiln(lambda _s: 20.0)
    async with running(live(tmp_path, kiln)) as (_, said):
        armed = await until(said, lambda seen: seen["elapsed_s"] > 2 * 3600.0)
        assert (await post(said, "api/plans/next", {"id": "nothing.toml"}))[0] == 404
        assert (await post(said, "api/plans/next", {"id": "bisque"}))[0] == 200
        chosen = await snapshot(said)
        assert chosen["log"]["next_plan"].startswith("Bisque")
        assert chosen["log"]["chosen_plan"] == chosen["log"]["next_plan"]
        assert chosen["firing"]["name"] == chosen["log"]["next_plan"], "the wait shows it too"
        assert chosen["firing"]["id"] != armed["firing"]["id"]
    # The power goes: what was chosen still is.
    async with running(live(tmp_path, Kiln(climbs_late))) as (_, said):
        again = await snapshot(said)
        assert again["log"]["chosen_plan"].startswith("Bisque")
        going = await until(said, lambda seen: seen["log"]["state"] == "open")
        assert going["firing"]["name"].startswith("Bisque")
        assert going["log"]["chosen_plan"] is None, "it counts for one log"
        assert (await post(said, "api/plans/next", {"id": "lowfire-glaze"}))[0] == 200
        later = await snapshot(said)
        assert later["firing"] == going["firing"], "a log that is being kept stays as it is"
        assert later["log"]["chosen_plan"].startswith("Low-fire")
        assert (await post(said, f"api/log/{going['firing']['id']}/end", {}))[0] == 204
        assert (await snapshot(said))["log"]["next_plan"].startswith("Low-fire")
        assert (await post(said, "api/plans/next", {"id": None}))[0] == 200
        assert (await snapshot(said))["log"]["next_plan"] == "short"
    with Record.open_to_read(tmp_path / "data") as record:
        (fired,) = record.firings()
        assert fired.schedule_toml == starter_text("bisque")
