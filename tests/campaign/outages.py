"""The broker goes away for one second to one hour of the firing's time, and comes back.

Most outages stop Mosquitto and start it again; of the longer ones some freeze it, so that its
connections stand and nothing is answered. Durations are spread evenly over their logarithm.
"""

from __future__ import annotations

import math
import time
from pathlib import Path
from random import Random

from tests.campaign.judging import all_heard, complaints, ends_well, judge
from tests.campaign.listener import delivery
from tests.campaign.outcome import Outcome, Progress, side_by_side
from tests.campaign.person import Person
from tests.campaign.record import copy_of, stored_messages
from tests.campaign.scenarios import busy_firing, owed
from tests.campaign.shed import Shed, until
from tests.daemons import Daemon, wait_until

SPEED = 240.0
INTERVAL_S = 4.0
HOURS = 10.0
SHORTEST_S, LONGEST_S = 1.0, 3600.0
"""Of an outage, in the firing's time."""
FREEZES_FROM_S = 3.0
"""Real seconds from which on an outage may be a frozen broker."""
OVER = "the readings are over"


def run(
    progress: Progress, folder: Path, *, outages: int = 50, firings: int = 2, hours: float = HOURS
) -> Outcome:
    """So many outages, in so many firings that go on at the same time."""
    each = outages // firings
    return side_by_side(
        Outcome("outages", f"{each * firings} broker outages in {firings} firings"),
        firings,
        lambda n: one_firing(
            progress, folder / f"firing-{n}", seed=300 + n, outages=each, hours=hours
        ),
    )


def one_firing(
    progress: Progress,
    folder: Path,
    *,
    seed: int,
    outages: int,
    hours: float = HOURS,
    longest_s: float = LONGEST_S,
) -> Outcome:
    """Watch one firing to its end, with so many outages on the way."""
    outcome = Outcome("outages", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    folder.mkdir(parents=True)
    chance = Random(seed)
    scenario = busy_firing(folder / "firing.toml", seed, hours=hours, flap_every_min=40.0)
    wanted = owed(scenario, speed=SPEED, interval_s=INTERVAL_S)
    lengths_s = [
        math.exp(chance.uniform(math.log(SHORTEST_S), math.log(longest_s)))
        for _ in range(outages - 2)
    ]
    lengths_s += [SHORTEST_S, longest_s]
    chance.shuffle(lengths_s)
    with Shed(folder) as shed, shed.watch(scenario, SPEED) as daemon:
        person = Person(shed.listener)
        person.open(daemon.page)
        waited = frozen = 0
        pause_s = (hours * 3600.0 / SPEED) / outages / 3.0
        for number, length_s in enumerate(lengths_s, start=1):
            time.sleep(chance.uniform(0.3, 2.0) * pause_s)
            real_s = length_s / SPEED
            freezes = real_s >= FREEZES_FROM_S and chance.random() < 0.5
            frozen += freezes
            waited += _outage(outcome, shed, daemon, person, real_s, freezes=freezes)
            if number % 5 == 0:
                progress(f"{folder.name}: {number} outages, {waited} messages had to wait")
        gives_up_s = time.monotonic() + 600.0
        while not any(line.startswith(OVER) for line in daemon.lines):
            assert time.monotonic() < gives_up_s, "the firing does not come to its end"
            person.note()
            person.acknowledge_one()
            time.sleep(0.3)
        all_heard(shed)
        ends_well(outcome, daemon)
        complaints(outcome, daemon, "it is tried again")
        much = judge(outcome, shed, person, wanted, lost_with_kills=set())
    outcome.figures.append(
        f"{folder.name}: {much}; {waited} messages waited for the broker; {frozen} of the outages "
        f"were a broker that hung; lengths {min(lengths_s):.0f} s to {max(lengths_s):,.0f} s of "
        f"the firing, {sum(lengths_s) / 3600.0:.1f} h in all"
    )
    return outcome


def _outage(
    outcome: Outcome, shed: Shed, daemon: Daemon, person: Person, real_s: float, *, freezes: bool
) -> int:
    """One outage and the recovery from it; how many messages had to wait."""
    broker = shed.broker
    (broker.freeze if freezes else broker.stop)()
    over_at_s = time.monotonic() + real_s
    person.note()
    person.acknowledge_one()
    until(over_at_s)
    with copy_of(shed.data) as record:
        waiting = len(delivery(shed.listener.alerts(), stored_messages(record)).lost)
    (broker.thaw if freezes else broker.start)()
    back_at_s = time.monotonic()
    # A broker that was frozen for a moment has not been missed; then it is connected all along.
    wait_until(lambda: _is_connected(daemon), "the daemon finds the broker again")
    all_heard(shed)
    outcome.recovering(time.monotonic() - back_at_s)
    return waiting


def _is_connected(daemon: Daemon) -> bool:
    return bool(daemon.get("healthz")["mqtt"] == "connected")
