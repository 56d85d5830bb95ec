"""A small sample of each part of the campaign, and that its judges can tell good from bad."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from supervisor.core.readings import Reading
from tests.campaign import clients, disk, kills, outages, soak, spi, wall_clock, weight
from tests.campaign.judging import compare
from tests.campaign.listener import delivery, same_but_repeated
from tests.campaign.outcome import Outcome, table
from tests.campaign.readings import missing_readings
from tests.campaign.scenarios import Owed, busy_firing, owed
from tests.campaign.shed import MissingError, program

pytestmark = pytest.mark.timeout(180)


@pytest.fixture
def broker() -> None:
    """Skips where there is no Mosquitto."""
    try:
        program("mosquitto")
    except MissingError as error:
        pytest.skip(str(error))


def quiet(line: str) -> None:
    """Nobody watches the progress of a test."""


def kept(outcome: Outcome) -> Outcome:
    """The outcome, after looking whether a promise was broken."""
    if outcome.not_run is not None:
        pytest.skip(outcome.not_run)
    assert outcome.broken == []
    return outcome


@pytest.mark.campaign
@pytest.mark.broker
@pytest.mark.usefixtures("broker")
@pytest.mark.parametrize(
    "part",
    [
        pytest.param(lambda at: kills.run(quiet, at, kills=4, firings=1, hours=0.7), id="kills"),
        pytest.param(
            lambda at: outages.one_firing(quiet, at, seed=3, outages=3, hours=0.8, longest_s=600.0),
            id="outages",
        ),
        pytest.param(
            lambda at: disk.run(quiet, at, full=1, refusing=0, read_only=0, silent=0), id="disk"
        ),
        pytest.param(lambda at: wall_clock.run(quiet, at, steps=4, every_s=1.0), id="wall clock"),
        pytest.param(lambda at: spi.run(quiet, at, hours=1.5, looks=5, speed=360.0), id="spi"),
    ],
)
def test_a_sample_of_the_part_loses_nothing_and_tells_nothing_untrue(
    tmp_path: Path, part: Callable[[Path], Outcome]
) -> None:
    outcome = kept(part(tmp_path / "work"))
    assert (outcome.lost, outcome.out_of_order, outcome.false_alerts) == (0, 0, 0)
    assert outcome.verdict != "not run"
    assert outcome.figures


@pytest.mark.campaign
@pytest.mark.broker
@pytest.mark.usefixtures("broker")
def test_clients_that_hang_cost_little_and_delay_nobody(tmp_path: Path) -> None:
    outcome = kept(
        clients.run(quiet, tmp_path / "work", clients=30, crowd=50, minutes=0.1, speed=120.0)
    )
    assert (outcome.lost, outcome.false_alerts) == (0, 0)
    assert "memory grew by" in outcome.figures[0]


@pytest.mark.campaign
@pytest.mark.broker
@pytest.mark.usefixtures("broker")
def test_one_firing_follows_the_other(tmp_path: Path) -> None:
    outcome = soak.run(quiet, tmp_path / "work", days=2.8, speed=14_400.0)
    (too_few,) = outcome.broken
    assert re.fullmatch(r"only [12] firings came to their end: too few to compare", too_few)
    assert (outcome.lost, outcome.out_of_order, outcome.false_alerts) == (0, 0, 0)


@pytest.mark.campaign
@pytest.mark.broker
@pytest.mark.usefixtures("broker")
def test_the_daemon_weighs_no_more_than_promised(tmp_path: Path) -> None:
    outcome = kept(weight.run(quiet, tmp_path / "work", minutes=0.3, settles_s=1.0))
    assert "MB resident" in outcome.figures[0]


def message(number: int, text: str = "") -> dict[str, str]:
    return {"id": f"a#{number}", "text": text}


def test_the_judge_of_deliveries_counts_what_is_lost_repeated_and_out_of_order() -> None:
    stored = [json.dumps(message(n)) for n in range(5)]
    heard = [message(n) for n in (0, 2, 1, 2, 4, 9)]
    told = delivery(heard, stored)
    assert told.lost == ["a#3"]
    assert told.repeated == 1
    assert told.out_of_order == 1
    assert told.unknown == ["a#9"]
    assert same_but_repeated(heard) == []
    assert same_but_repeated([*heard, message(2, "something else")]) == ["a#2"]


def test_the_judge_of_readings_wants_the_time_and_the_values() -> None:
    readings = {t: Reading(t, {"top": 20.0 + t}) for t in (1.0, 2.0)}
    heard = [({"elapsed_s": t, "temps_c": {"top": 20.0 + t}}, t) for t in (1.0, 2.0, 3.0, 9.0)]
    assert missing_readings(heard, readings, until_at_s=5.0) == [3.0]
    readings[2.0] = Reading(2.0, {"top": 99.0})
    assert missing_readings(heard, readings, until_at_s=5.0) == [2.0, 3.0]


def test_the_judge_of_alerts_tells_the_false_from_the_missing(tmp_path: Path) -> None:
    scenario = busy_firing(tmp_path / "firing.toml", 1, hours=1.0)
    wanted = owed(scenario, speed=60.0, interval_s=10.0)
    assert wanted[Owed("sensor_fault", "middle", "warning")] == 1
    outcome = Outcome("a part")
    compare(outcome, wanted, wanted)
    assert (outcome.false_alerts, outcome.lost, outcome.verdict) == (0, 0, "kept")
    heard = wanted.copy()
    heard[Owed("stall", None, "warning")] += 1
    heard[Owed("cone_near", None, "info")] += 1
    del heard[Owed("sensor_fault", "middle", "warning")]
    compare(outcome, heard, wanted)
    assert (outcome.false_alerts, outcome.lost, outcome.verdict) == (1, 1, "broken")
    assert any("false alert: stall (the kiln, warning)" in one for one in outcome.broken)


def test_memory_that_grows_and_files_that_stay_open_are_told() -> None:
    flat = [60_000.0 + 10.0 * (n % 3) for n in range(20)]
    files = [14, 15] * 50
    outcome = Outcome("soak")
    soak._flat(outcome, flat, files)
    assert outcome.broken == []
    soak._flat(outcome, [60_000.0 + 200.0 * n for n in range(20)], files)
    assert outcome.broken == ["memory grew by 2.0 MB after the warm-up"]
    soak._flat(outcome, flat, [14 + n // 10 for n in range(100)])
    assert outcome.broken[1] == "open files grew from 20 to 23"


def test_the_table_says_what_was_broken_and_what_was_not_run() -> None:
    good = Outcome("kills", "200 kills", lost=0, repeated=3, longest_recovery_s=1.25)
    bad = Outcome("disk")
    bad.losing("notes", ["one", "two"])
    slow = Outcome("clients")
    slow.slows("no reading was taken for 9.0 s")
    text = table([good, bad, slow, Outcome("wall clock", not_run="no faketime")])
    rows = [line.split("|") for line in text.splitlines() if line.startswith("|")]
    assert [row[-2].strip() for row in rows[2:]] == ["kept", "broken", "broken", "not run"]
    assert "| kills | 200 kills | 0 | 3 | – | – | 1.2 s | kept |" in text
    assert "- disk: **broken:** 2 notes lost, such as one, two" in text
    assert "- clients: **broken:** no reading was taken for 9.0 s" in text
    assert "- wall clock: not run: no faketime" in text
