"""Bad wires between the chips and the driver: no crash, no false temperature alert.

A healthy firing is watched through the real driver and register-level chips while the bus gives
errors, hangs, sticks, or gives bytes that are not those the chip sent.
"""

from __future__ import annotations

import json
import time
from collections import Counter
from pathlib import Path

from simulator.firing import SimulatedFiring
from simulator.scenario import load_scenario
from supervisor.core.readings import Reading
from tests.campaign.host import Order
from tests.campaign.judging import all_heard, complaints, ends_well
from tests.campaign.listener import delivery
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.record import copy_of, damage, stored_messages, watched_again
from tests.campaign.scenarios import healthy_firing, is_warning, raised
from tests.campaign.shed import Shed
from tests.daemons import Daemon

SPEED = 240.0
READINGS_A_SECOND = 80.0
NEAR_C = 10.5
"""What passes for a value is the value within so much: a surprise of 10 °C is looked at again
(``hardware.max31856_rig``), and half a degree for the probes' noise between two looks."""
WELL_FOR_S = 900.0
"""So long after the wires are well a fault must be over."""
_ENOUGH = 50
OVER = "the readings are over"
OF_THE_WIRES = ("sensor_fault", "no_readings")


def run(
    progress: Progress,
    folder: Path,
    *,
    hours: float = 16.0,
    looks: int = 10_000,
    speed: float = SPEED,
) -> Outcome:
    """One firing over bad wires, with at least so many looks at chips corrupted."""
    outcome = Outcome("spi", lost=0, repeated=0, out_of_order=0, false_alerts=0)
    folder.mkdir(parents=True)
    scenario = healthy_firing(folder / "firing.toml", seed=501, hours=hours)
    tally = folder / "tally.json"
    with Shed(folder) as shed:
        order = Order(
            "bad wires", str(scenario), str(shed.data), str(tally), shed.broker.port, speed,
            speed / READINGS_A_SECOND,
        ).write(folder / "order.json")  # fmt: skip
        with Daemon(order, module="tests.campaign.host") as daemon:
            gives_up_s = time.monotonic() + hours * 3600.0 / speed * 3.0 + 60.0
            told_s = time.monotonic()
            while not any(line.startswith(OVER) for line in daemon.lines):
                if not daemon.lives:
                    outcome.breaks(f"the daemon died: {' '.join(daemon.complaints[-6:])}")
                    return outcome
                assert time.monotonic() < gives_up_s, "the firing does not come to its end"
                time.sleep(0.5)
                if time.monotonic() - told_s > 30.0:
                    told_s = time.monotonic()
                    progress(f"{daemon.snapshot()['elapsed_s'] / 3600.0:.1f} h of the firing")
            all_heard(shed)
            ends_well(outcome, daemon)
            complaints(outcome, daemon, "the rig")
        counts: Counter[str] = Counter(json.loads(tally.read_text(encoding="utf-8")))
        if counts["corrupted looks"] < looks:
            outcome.breaks(f"only {counts['corrupted looks']:,} looks were corrupted")
        _judge(outcome, shed, scenario, counts)
    return outcome


def _judge(outcome: Outcome, shed: Shed, scenario: Path, counts: Counter[str]) -> None:
    heard = shed.listener.alerts()
    with copy_of(shed.data) as record:
        for found in damage(record):
            outcome.breaks(f"SQLite finds the record damaged: {found}")
        (firing,) = record.firings()
        readings = list(record.readings(firing.id))
        delivered = delivery(heard, stored_messages(record))
        if [e.to_json() for e in watched_again(record, firing.id)] != record.event_lines(firing.id):
            outcome.breaks("the recorded readings give other events than those recorded")
        standing = [a for a in record.alerts(firing.id) if a.is_open and a.kind in OF_THE_WIRES]
    outcome.losing("alert messages", delivered.lost)
    outcome.repeated = delivered.repeated
    outcome.misordering("alert messages", delivered.out_of_order)
    for alert in standing if _are_well(readings) else ():
        outcome.breaks(f"{alert.kind} of {alert.channel} stands though the wires are well again")
    sorts = raised(heard)
    outcome.alarming(
        [str(s) for s in sorts.elements() if is_warning(s) and s.kind not in OF_THE_WIRES]
    )
    worst_c, wrong, passed, blank = _against_the_truth(scenario, readings)
    if wrong:
        outcome.breaks(f"{wrong} wrong temperatures were taken in, up to {worst_c:.1f} °C off")
    causes = Counter(
        str(one["data"].get("cause"))
        for one in heard
        if one["kind"] == "sensor_fault" and one["state"] == "raised"
    )
    errors = ", ".join(f"{counts[name]:,} {name}" for name in sorted(counts) if "Error" in name)
    outcome.done = (
        f"{counts['corrupted looks']:,} corrupted looks at a chip, {errors}, "
        f"{counts['hangs']} hangs"
    )
    outcome.figures.append(
        f"{counts['readings']:,} readings: {passed:,} values passed on, at most {worst_c:.1f} °C "
        f"off the truth, {blank:,} passed over; sensor faults told: "
        f"{', '.join(f'{cause} {n}' for cause, n in sorted(causes.items())) or 'none'}"
    )


def _are_well(readings: list[Reading]) -> bool:
    """Whether every channel has long given values again when the firing ends."""
    since_s = readings[-1].elapsed_s - WELL_FOR_S
    lately = [reading for reading in readings if reading.elapsed_s >= since_s]
    return len(lately) > _ENOUGH and not any(None in one.temps_c.values() for one in lately)


def _against_the_truth(scenario: Path, readings: list[Reading]) -> tuple[float, int, int, int]:
    """The largest error in °C; how many values are wrong, how many are there, how many not."""
    fired = load_scenario(str(scenario))
    truth = SimulatedFiring(fired)
    worst_c, wrong, passed, blank = 0.0, 0, 0, 0
    for reading in readings:
        truth.advance_to(min(reading.elapsed_s, fired.duration_s or fired.max_s))
        true_c = truth.measured_c
        for name, temp_c in reading.temps_c.items():
            real_c = true_c[name]
            if temp_c is None or real_c is None:
                blank += 1
                continue
            passed += 1
            error_c = abs(temp_c - real_c)
            worst_c = max(worst_c, error_c)
            wrong += error_c > NEAR_C
    return worst_c, wrong, passed, blank
