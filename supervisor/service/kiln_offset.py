"""What the witness cones in the record say of each channel's offset.

Runs the recorded readings of a firing through the channels' filters again and holds what was
seen against what is calculated. Knows the record and the core; accepts and applies nothing.

Readings are recorded with the configuration's offset of each channel in them, and the firing
keeps how much that was. What the cones of a firing say is therefore first put as an offset from
the bare thermocouple, so that firings with different configurations are one body of evidence,
and then as one from the readings of now. An offset that was accepted from the cones is never in
the readings: an estimate is always the whole offset and never what is still missing to it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from supervisor.core.events import Value
from supervisor.core.heatwork import CONES
from supervisor.core.heatwork.integral import work_along
from supervisor.core.heatwork.offset import (
    Evidence,
    Observation,
    Offset,
    channel_of,
    contradicted,
    estimate,
    evidence_of,
)
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.reasons import Reason, Why
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, KeptObservation, SeenFiring


@dataclass(frozen=True, slots=True)
class WeighedLook:
    """A look at a cone, the channel of which it tells, and what it says of the readings' offset.

    ``doubt`` is one sentence on why it can't be, and does not count; None where it can. ``why``
    is the same by its name and figures.
    """

    kept: KeptObservation
    channel: str | None
    evidence: Evidence | None
    doubt: str | None = None
    why: Why | None = None


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


def weighed(
    looks: Sequence[KeptObservation],
    channels: Sequence[str],
    paths: Mapping[str, ThermalPath],
) -> list[WeighedLook]:
    """Each look of one firing with what it says; ``paths`` has every channel they tell of."""
    against = contradicted([kept.seen for kept in looks])
    found = []
    for place, kept in enumerate(looks):
        channel = channel_of(kept.seen, channels)
        evidence = None if channel is None else evidence_along(paths[channel], kept.seen)
        doubt: tuple[str, Why] | tuple[None, None] = (None, None)
        if place in against:
            doubt = _stood_up(kept, looks[against[place]])
        elif evidence is not None and not evidence.is_possible:
            doubt = _out_of_reach(kept.seen, is_too_cold=evidence.low_c > 0.0)
        found.append(WeighedLook(kept, channel, evidence, *doubt))
    return found


def channels_told_of(looks: Iterable[KeptObservation], channels: Sequence[str]) -> dict[str, None]:
    """The channels of which these looks tell, each once."""
    names = (channel_of(kept.seen, channels) for kept in looks)
    return dict.fromkeys(name for name in names if name is not None)


def evidence_of_firing(
    record: RecordReader,
    firing: Firing,
    looks: Sequence[KeptObservation],
    paths: Mapping[str, ThermalPath] | None = None,
) -> dict[str, list[Evidence]]:
    """By channel, what was seen in one firing says of its bare thermocouple.

    It changes only with what was seen. Without ``paths`` the readings are run through again,
    which takes its time: some microseconds for each reading of each channel beside which a cone
    stood.
    """
    if paths is None:
        paths = paths_of(record, firing.id, channels_told_of(looks, firing.channels))
    return from_bare(firing, weighed(looks, firing.channels, paths))


def from_bare(firing: Firing, looks: Iterable[WeighedLook]) -> dict[str, list[Evidence]]:
    """By channel, what looks that can be say of the bare thermocouple."""
    found: dict[str, list[Evidence]] = {}
    for look in looks:
        if look.channel is None or look.evidence is None or look.doubt is not None:
            continue
        by_c = firing.configured_offsets_c.get(look.channel, 0.0)
        found.setdefault(look.channel, []).append(look.evidence.shifted(by_c))
    return found


def configured_now(firings: Iterable[Firing]) -> dict[str, float]:
    """By channel, what the newest of these firings that has it, oldest first, has configured."""
    found: dict[str, float] = {}
    for firing in firings:
        for name in firing.channels:
            found[name] = firing.configured_offsets_c.get(name, 0.0)
    return found


def combined(
    firings: Sequence[tuple[SeenFiring, Mapping[str, Sequence[Evidence]]]],
    configured_c: Mapping[str, float],
) -> dict[str, Offset]:
    """By channel, what all firings of a kiln together say, oldest first.

    Each comes with what ``evidence_of_firing`` gives; ``configured_c`` is in the readings for
    which the offsets are to be. What was told of a probe that was exchanged is left out.
    """
    channels = dict.fromkeys(
        name for seen, evidence in firings for name in evidence if name not in seen.older_probes
    )
    return {
        name: estimate(
            [
                []
                if name in seen.older_probes
                else [one.shifted(-configured_c.get(name, 0.0)) for one in evidence.get(name, ())]
                for seen, evidence in firings
            ]
        )
        for name in channels
    }


def offsets_of(record: RecordReader, history: Sequence[SeenFiring]) -> dict[str, Offset]:
    """By channel, what the cones of these firings of a kiln say, for the newest one's readings.

    Channels without any are left out.
    """
    return combined(
        [(seen, evidence_of_firing(record, seen.firing, seen.looks)) for seen in history],
        configured_now(seen.firing for seen in history),
    )


def offsets_of_kiln(record: RecordReader, kiln: str) -> dict[str, Offset]:
    """By channel, what all witness cones of the kiln say, for its newest firing's readings."""
    return offsets_of(record, record.seen_in_kiln(kiln))


def _stood_up(kept: KeptObservation, other: KeptObservation) -> tuple[str, Why]:
    first, second = sorted((kept, other), key=lambda one: (one.seen.elapsed_s, one.id))
    figures: dict[str, Value] = {
        "cone": kept.seen.cone,
        "first_tip": first.seen.clock,
        "first_at": _when(first),
        "second_tip": second.seen.clock,
        "second_at": _when(second),
    }
    said = (
        f"Cone {kept.seen.cone} is noted as {_said(first)} and later as {_said(second)}, but no "
        "cone stands up again: neither look counts until the wrong one is taken back or, if these "
        "were two cones, each is noted with its own shelf."
    )
    return said, Why(Reason.STOOD_UP, figures)


def _said(kept: KeptObservation) -> str:
    return f"“{kept.seen.clock}” at {_when(kept)}"


def _when(kept: KeptObservation) -> str:
    hours, minutes = divmod(int(kept.seen.elapsed_s // 60.0), 60)
    return f"{hours}:{minutes:02} h" if kept.time is None else kept.time[11:16]


def _out_of_reach(seen: Observation, *, is_too_cold: bool) -> tuple[str, Why]:
    was = "far too cold by then" if is_too_cold else "far too hot by then"
    said = (
        f"Cone {seen.cone} can't have been “{seen.clock}”, for this thermocouple was {was}: the "
        "look is kept but does not count; check the cone, the time and the thermocouple."
    )
    reason = Reason.TOO_COLD_FOR_LOOK if is_too_cold else Reason.TOO_HOT_FOR_LOOK
    return said, Why(reason, {"cone": seen.cone, "tip": seen.clock})
