"""What the witness cones in the record say of each channel's offset.

Runs the recorded readings of a firing through the channels' filters again and holds what was
seen against what is calculated. Knows the record and the core; accepts and applies nothing.

Readings are recorded as they were measured, whatever offset was in force, so an estimate is
always the whole offset and never what is still missing to the one in force.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from supervisor.core.heatwork import CONES
from supervisor.core.heatwork.integral import work_along
from supervisor.core.heatwork.offset import (
    Evidence,
    Observation,
    Offset,
    channel_of,
    estimate,
    evidence_of,
)
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.record.looking import RecordReader


def paths_of(
    record: RecordReader, firing_id: str, channels: Collection[str]
) -> dict[str, ThermalPath]:
    """The temperature history of these channels of a firing, as its heat-work takes it."""
    works = [(name, ChannelWork(name)) for name in channels]
    if works:
        for reading in record.readings(firing_id):
            for name, work in works:
                work.look(reading.elapsed_s, reading.temps_c[name], reading.faults.get(name))
    return {name: work.work.path for name, work in works}


def evidence_along(path: ThermalPath, seen: Observation) -> Evidence:
    """What one look at a cone says of the channel that measured ``path``."""
    cone = CONES[seen.cone]
    return evidence_of(
        seen, lambda offset_c: work_along(path, cone, offset_c, until_s=seen.elapsed_s)
    )


def evidence_of_firing(
    record: RecordReader, firing_id: str, observations: Iterable[Observation]
) -> dict[str, list[Evidence]]:
    """By channel, what was seen in one firing says; it changes only with what was seen.

    Takes its time: some microseconds for each reading of each channel beside which a cone
    stood.
    """
    channels = record.firing(firing_id).channels
    placed = [(channel_of(seen, channels), seen) for seen in observations]
    paths = paths_of(record, firing_id, {name for name, _ in placed if name is not None})
    found: dict[str, list[Evidence]] = {}
    for name, seen in placed:
        if name is not None:
            found.setdefault(name, []).append(evidence_along(paths[name], seen))
    return found


def combined(firings: Sequence[Mapping[str, Sequence[Evidence]]]) -> dict[str, Offset]:
    """By channel, what all firings together say; each as ``evidence_of_firing`` gives it."""
    channels = dict.fromkeys(name for firing in firings for name in firing)
    return {name: estimate([firing.get(name, ()) for firing in firings]) for name in channels}


def offsets_of_kiln(record: RecordReader, kiln: str) -> dict[str, Offset]:
    """By channel, what all witness cones of the kiln say; channels without any are left out."""
    return combined(
        [
            evidence_of_firing(record, firing_id, [kept.seen for kept in observations])
            for firing_id, observations in record.observations_of_kiln(kiln).items()
        ]
    )
