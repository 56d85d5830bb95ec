"""kill -9 at random moments of a firing: nothing promised is lost, nothing untrue is said.

Each firing is watched by one daemon after the other on the same record, which goes on where the
record ends, as after a power cut whose length nobody knows: so it costs the firing nothing that a
busy machine takes long over a start. A third of the lives
end at a random moment; a third right after the page has answered; a third right after an alert's
message has come. Some end while the daemon starts.
"""

from __future__ import annotations

import time
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

from simulator.scenario import load_scenario
from supervisor.commands.service import patient
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.watch import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Mode, NewFiring
from supervisor.record.store import Record
from tests.campaign.judging import all_heard, complaints, ends_well, judge
from tests.campaign.outcome import Outcome, Progress, side_by_side
from tests.campaign.person import Person
from tests.campaign.readings import missing_readings
from tests.campaign.record import copy_of, damage
from tests.campaign.scenarios import Owed, busy_firing, owed
from tests.campaign.shed import KILN, Shed
from tests.daemons import Daemon

AT_RISK_S = 10.0
"""Real seconds of readings that a kill may cost."""
SPEED = 120.0
HOURS = 13.0
EARLY = 0.15
"""Part of the lives that end while the daemon starts, or just after."""
_STARTS_WITHIN_S = 60.0
OVER = "the readings are over"


def told_in(message: dict[str, Any]) -> list[str]:
    """The alerts that a message tells of: its own, or those that it tells of together."""
    if message["alert"] is not None:
        return [message["alert"]]
    return [part["alert"] for part in message["alerts"]]


def run(
    progress: Progress, folder: Path, *, kills: int = 200, firings: int = 4, hours: float = HOURS
) -> Outcome:
    """Kill so often, in so many firings that go on at the same time."""
    each = kills // firings
    return side_by_side(
        Outcome("kills", f"{each * firings} kill -9 in {firings} firings"),
        firings,
        lambda n: one_firing(
            progress, folder / f"firing-{n}", seed=100 + n, kills=each, hours=hours
        ),
    )


def one_firing(
    progress: Progress, folder: Path, *, seed: int, kills: int, hours: float = HOURS
) -> Outcome:
    """Watch one firing to its end, with so many deaths on the way."""
    outcome = Outcome("kills", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    folder.mkdir(parents=True)
    scenario = busy_firing(folder / "firing.toml", seed, hours=hours)
    wanted = owed(scenario, speed=SPEED, interval_s=2.0)
    with Shed(folder) as shed:
        _begin(shed, scenario)
        one = _Firing(outcome, shed, scenario, Random(seed))
        length_s = hours * 3600.0 / SPEED
        for kill in range(1, kills + 1):
            one.live_and_die(0.85 * length_s / kills)
            if kill % 10 == 0:
                progress(f"{folder.name}: {kill} kills, {one.person.promises.count()} promises")
        one.live_to_the_end()
        one.judge(wanted)
    return outcome


def _begin(shed: Shed, scenario: Path) -> None:
    """Begin the firing as one that an earlier boot of the machine has begun."""
    fired = load_scenario(str(scenario))
    with Record.open(shed.data) as record:
        record.start_firing(
            NewFiring(
                kiln=KILN,
                channels=fired.channels,
                name=fired.schedule.name,
                schedule_toml=schedule_toml(fired.schedule),
                mode=Mode.SIMULATION,
                started_label="2026-11-25T13:00:00.000+00:00",
                settings={
                    "identity": {"scenario": fired.name, "seed": fired.seed},
                    "watch": patient(WatchSettings(), SPEED).kept(),
                },
            )
        ).result(10.0)


class _Firing:
    """One record, and the daemons that keep it one after the other."""

    def __init__(self, outcome: Outcome, shed: Shed, scenario: Path, chance: Random) -> None:
        self.outcome = outcome
        self.shed = shed
        self.scenario = scenario
        self.chance = chance
        self.person = Person(shed.listener)
        self._kept: list[float] = []
        self._died_at_s: float | None = None
        self._before_ready = 0
        self._lost: set[float] = set()

    def live_and_die(self, mean_life_s: float) -> None:
        """Start the daemon, let it live for a while, and kill it."""
        with self.shed.watch(self.scenario, SPEED) as daemon:
            dies_early = self.chance.random() < EARLY
            starts_s = self.chance.uniform(0.05, 1.5) if dies_early else _STARTS_WITHIN_S
            if self._until_ready(daemon, time.monotonic() + starts_s):
                self.person.begin(daemon.page)
                self._wait(time.monotonic() + self.chance.uniform(0.05, 2.0 * mean_life_s))
            elif dies_early:
                self._before_ready += 1
            else:
                self.outcome.breaks("a daemon did not come up after a kill")
            daemon.kill()
            self._died_at_s = time.monotonic()
            complaints(self.outcome, daemon)
        self.person.end()
        self._look(self._died_at_s)

    def live_to_the_end(self) -> None:
        """Start it once more and let it watch the firing to its end."""
        with self.shed.watch(self.scenario, SPEED) as daemon:
            assert self._until_ready(daemon, time.monotonic() + 60.0)
            self.person.begin(daemon.page)
            gives_up_s = time.monotonic() + 600.0
            while not any(line.startswith(OVER) for line in daemon.lines):
                assert time.monotonic() < gives_up_s, "the firing does not come to its end"
                time.sleep(0.2)
            self.person.end()
            all_heard(self.shed)
            ends_well(self.outcome, daemon)
            complaints(self.outcome, daemon)

    def _until_ready(self, daemon: Daemon, until_s: float) -> bool:
        """Wait for the page, or until the life is over; tells how long the start took."""
        while time.monotonic() < until_s:
            if any(line.startswith("page: ") for line in daemon.lines):
                if self._died_at_s is not None:
                    self.outcome.recovering(time.monotonic() - self._died_at_s)
                return True
            time.sleep(0.01)
        return False

    def _wait(self, until_s: float) -> None:
        left_s = max(until_s - time.monotonic(), 0.0)
        what = self.chance.choice(("time", "answer", "alert"))
        if what == "time":
            time.sleep(left_s)
        elif what == "answer":
            time.sleep(left_s / 2.0)
            self.person.wait_for_answer(left_s / 2.0)
        else:
            before = len(self.shed.listener.alerts())
            while time.monotonic() < until_s:
                if len(self.shed.listener.alerts()) > before and self.chance.random() < 0.2:
                    return
                time.sleep(0.005)

    def _look(self, killed_at_s: float) -> None:
        """What lies on the disk after a kill."""
        if not self.person.promises.count() and not self.shed.listener.kept:
            # Killed before there was anything to keep: there may be no record yet.
            return
        with copy_of(self.shed.data) as record:
            for found in damage(record):
                self.outcome.breaks(f"SQLite finds the record damaged: {found}")
            firings = record.firings()
            if not firings:
                return
            if len(firings) > 1:
                self.outcome.breaks("a second firing was begun after a kill")
            firing_id = firings[-1].id
            kept = {reading.elapsed_s: reading for reading in record.readings(firing_id)}
            self._promised(record, firing_id)
            heard = self.shed.listener.readings()
            old = [one for one in heard if one[0]["elapsed_s"] not in self._lost]
            missing = missing_readings(old, kept, until_at_s=killed_at_s - AT_RISK_S)
            self.outcome.losing("readings older than 10 s", missing)
            # What a kill was allowed to cost is not asked for again.
            self._lost |= {document["elapsed_s"] for document, _ in heard} - set(kept)
            times = list(kept)
            if times[: len(self._kept)] != self._kept:
                self.outcome.breaks("readings that were on the disk are there no more")
            if times != sorted(set(times)):
                self.outcome.misordering("readings", 1)
            self._kept = times

    def _promised(self, record: RecordReader, firing_id: str) -> None:
        missing = self.person.promises.missing(record, firing_id)
        self.outcome.losing("things that the page said were written", missing)
        alerts = {alert.id: alert for alert in record.alerts(firing_id)}
        untold = [
            one["id"]
            for one in self.shed.listener.alerts()
            for alert_id in told_in(one)
            if alert_id not in alerts
            or (
                one["alert"] is not None
                and alerts[alert_id].messages < int(one["id"].rpartition("#")[2])
            )
        ]
        self.outcome.losing("alerts that were delivered before a kill", untold)

    def judge(self, wanted: Counter[Owed]) -> None:
        """What everything comes to, at the end of the firing."""
        much = judge(self.outcome, self.shed, self.person, wanted, lost_with_kills=self._lost)
        self.outcome.figures.append(
            f"{self.scenario.parent.name}: {much}; {self._before_ready} of the kills during "
            "start-up"
        )
