"""A whole simulated firing at once, and its log row by row.

Knows which of a scenario's channels can fail; the columns of a log are ``log_format``'s. Refuses
to know files: whoever wants one opens it.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from typing import TextIO

from simulator.faults import FaultKind
from simulator.firing import SimulatedFiring
from simulator.scenario_model import Scenario
from simulator.source import SimulatedSource
from supervisor.core.log_format import LogFormat
from supervisor.core.readings import Reading
from supervisor.core.units import Unit


def simulate(scenario: Scenario, interval_s: float | None = None) -> Iterator[Reading]:
    """All the readings of ``scenario``, one each ``interval_s``, from second 0 to its end.

    Without an interval they come as often as the scenario's rig gives them.
    """
    if interval_s is None:
        interval_s = scenario.interval_s
    source = SimulatedSource(SimulatedFiring(scenario), interval_s)
    due_s = source.due_s(None)
    count = 0
    while due_s is not None:
        # Rounded, so that three tenths of a second are 0.3 in a log and not 0.30000000000000004.
        reading = source.read(round(count * interval_s, 6))
        yield reading
        count += 1
        due_s = source.due_s(reading.elapsed_s)


def may_fail(scenario: Scenario) -> frozenset[str]:
    """The channels whose circuit breaks in ``scenario``: their log has a column for faults."""
    return frozenset(
        fault.channel
        for fault in scenario.faults
        if fault.channel is not None and fault.kind is FaultKind.OPEN_THERMOCOUPLE
    )


def write_log(
    readings: Iterable[Reading],
    channels: Sequence[str],
    file: TextIO,
    unit: Unit = Unit.C,
    *,
    faulty: AbstractSet[str] = frozenset(),
) -> int:
    """Write ``readings`` as a log into an open text file; how many there were.

    Each row is written as its reading comes. ``faulty`` are the channels with a column for
    faults; a fault of another channel raises ValueError.
    """
    log = LogFormat(tuple(channels), unit, faulty=frozenset(faulty))
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(log.header())
    count = 0
    for count, reading in enumerate(readings, start=1):  # noqa: B007 - how many there were
        writer.writerow(log.cells(reading))
    return count
