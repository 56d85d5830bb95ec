"""Facts told anew, with the notes and looks at cones of now: no reading is read for that.

Of all facts only reduction, energy and what the real cones show are made of notes and looks. The
heat-work that looks are held against is counted along the trace, channel by channel; where that
does not give the cones that the readings gave, it is said that they are needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from supervisor.core.heatwork import place_on_scale
from supervisor.core.heatwork.integral import progress_along
from supervisor.core.heatwork.offset import Observation, channel_of
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.review.cones import ChannelPath, looks_seen, places_by_looks
from supervisor.core.review.energy import Said, energy_noted
from supervisor.core.review.facts import ChannelCones, FiringFacts
from supervisor.core.review.reduction import reduction_of
from supervisor.core.review.trace import Trace
from supervisor.core.schedule import Schedule

EXACT_CONES = 0.01
"""Cones are told to a tenth. Sound thermocouples stay within two thousandths; one that is not
always believed has taken another way than its trace, up to three hundredths of a cone apart."""


def retold(
    facts: FiringFacts,
    trace: Trace,
    schedule: Schedule | None,
    remarks: Sequence[Said] = (),
    looks: Sequence[Observation] = (),
) -> FiringFacts | None:
    """``facts`` of a firing with these notes and looks in place of those that they were made with.

    ``trace`` and ``schedule`` are the firing's. None where the readings have to be read for it.
    """
    paths = [_along(trace, cones) for cones in facts.cones]
    looked_at = {channel_of(look, facts.channels) for look in looks}
    for cones, along in zip(facts.cones, paths, strict=True):
        if cones.channel in looked_at and not _is_exact(cones, along):
            return None
    seen = looks_seen(looks, paths)
    return replace(
        facts,
        cones=places_by_looks(facts.cones, seen, paths),
        looks=seen,
        reduction=reduction_of(schedule, facts.steps, facts.bands, remarks, trace),
        energy=energy_noted(remarks),
    )


def _along(trace: Trace, cones: ChannelCones) -> ChannelPath:
    path = ThermalPath()
    for at_s, temp_c in zip(trace.at_s, trace.channels_c[cones.channel], strict=True):
        if temp_c is not None:
            path.add(at_s, temp_c)
    return ChannelPath(cones.channel, path, cones.offset_c)


def _is_exact(cones: ChannelCones, along: ChannelPath) -> bool:
    """Whether the cones come out as they did from the readings."""
    place = place_on_scale(progress_along(along.path, along.offset_c).work)
    if place is None or cones.place is None:
        return place is cones.place
    return abs(place - cones.place) <= EXACT_CONES
