"""The cones of a firing: calculated for each channel, beside what was seen of real ones."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from supervisor.core.heatwork.cones import CONE_NAMES, CONES, WHOLE_CONE_NAMES
from supervisor.core.heatwork.integral import progress_along, work_along
from supervisor.core.heatwork.interval import cone_interval
from supervisor.core.heatwork.offset import (
    Observation,
    channel_of,
    contradicted,
    evidence_of,
)
from supervisor.core.heatwork.path import ThermalPath
from supervisor.core.heatwork.scale import place_on_scale
from supervisor.core.heatwork.tip import clock_of
from supervisor.core.review.facts import ChannelCones, ConeLook
from supervisor.core.watch.channel_work import ChannelWork


@dataclass(frozen=True, slots=True)
class ChannelPath:
    """What a channel's cones are calculated from: its ``path``, and what is added to all of it."""

    channel: str
    path: ThermalPath
    offset_c: float


def path_of(work: ChannelWork) -> ChannelPath:
    """The path of a channel whose readings were taken in."""
    return ChannelPath(work.track.name, work.work.path, work.offset_c)


def place_of_cone(cone: str) -> float:
    """Where a cone stands on the series of whole ones; halves lie between.

    >>> place_of_cone("022"), place_of_cone("6"), place_of_cone("5.5"), place_of_cone("05.5")
    (0.0, 27.0, 26.5, 16.5)
    """
    if cone in WHOLE_CONE_NAMES:
        return float(WHOLE_CONE_NAMES.index(cone))
    return WHOLE_CONE_NAMES.index(CONE_NAMES[CONE_NAMES.index(cone) - 1]) + 0.5


def name_of_place(place: float) -> str:
    """A place on the scale in a potter's words, to a tenth of the way to the next cone.

    Cones with a nought count down, so that 06.5 would be read as softer than 06: there the tenths
    stand beside the name.

    >>> name_of_place(27.0), name_of_place(27.34), name_of_place(16.5), name_of_place(-0.2)
    ('6', '6.3', '06 + 0.5', 'below 022')
    """
    if place < 0.0:
        return "below 022"
    tenths = round(place * 10.0)
    whole, over = min(tenths // 10, len(WHOLE_CONE_NAMES) - 1), tenths % 10
    name = WHOLE_CONE_NAMES[whole]
    if over == 0:
        return name
    return f"{name} + 0.{over}" if name.startswith("0") else f"{name}.{over}"


def cones_seen(works: Sequence[ChannelWork]) -> tuple[ChannelCones, ...]:
    """What each channel's heat-work says at the end of the log."""
    found = []
    for channel in works:
        progress = channel.work.progress()
        interval = cone_interval(channel.work, channel.wire, channel.correction)
        found.append(
            ChannelCones(
                channel=channel.track.name,
                cone=progress.cone,
                place=place_on_scale(progress.work),
                next_cone=progress.next_cone,
                toward_next=progress.toward_next,
                work={name: work for name, work in progress.work.items() if work >= 0.001},
                down_at_s=dict(progress.down_at_s),
                coolest=None if interval is None else interval.coolest,
                hottest=None if interval is None else interval.hottest,
                offset_c=channel.offset_c,
            )
        )
    return tuple(found)


def looks_seen(looks: Sequence[Observation], paths: Sequence[ChannelPath]) -> tuple[ConeLook, ...]:
    """Each look at a real cone beside what is calculated for its time, in order of time."""
    channels = [one.channel for one in paths]
    against = contradicted(looks)
    found = []
    for place, look in sorted(enumerate(looks), key=lambda item: item[1].elapsed_s):
        channel = channel_of(look, channels)
        if channel is None or channel not in channels:
            found.append(
                ConeLook(
                    look.elapsed_s,
                    look.cone,
                    look.clock,
                    channel,
                    look.shelf,
                    None,
                    None,
                    None,
                    None,
                    counts=False,
                )
            )
            continue
        one = paths[channels.index(channel)]
        path, cone = one.path, CONES[look.cone]

        def work_of(offset_c: float) -> float:
            return work_along(path, cone, offset_c, until_s=look.elapsed_s)  # noqa: B023 - used at once

        evidence = evidence_of(look, work_of)
        share = work_of(one.offset_c)
        found.append(
            ConeLook(
                look.elapsed_s,
                look.cone,
                look.clock,
                channel,
                look.shelf,
                share,
                clock_of(share),
                evidence.low_c if math.isfinite(evidence.low_c) else None,
                evidence.high_c if math.isfinite(evidence.high_c) else None,
                counts=evidence.is_possible and place not in against,
            )
        )
    return tuple(found)


def places_by_looks(
    cones: Sequence[ChannelCones], looks: Sequence[ConeLook], paths: Sequence[ChannelPath]
) -> tuple[ChannelCones, ...]:
    """The cones with where the real ones put the firing.

    Each look leaves a range of offsets; what all of one channel leave together, put on all of
    its readings, is a range on the scale of cones. Looks that leave nothing between them are
    spanned.
    """
    found = []
    for one, along in zip(cones, paths, strict=True):
        mine = [look for look in looks if look.channel == one.channel and look.counts]
        lows = [look.offset_low_c for look in mine if look.offset_low_c is not None]
        highs = [look.offset_high_c for look in mine if look.offset_high_c is not None]
        low_c, high_c = max(lows, default=None), min(highs, default=None)
        if low_c is not None and high_c is not None:
            low_c, high_c = min(low_c, high_c), max(low_c, high_c)
        path = along.path
        found.append(
            replace(
                one,
                seen_place_low=None
                if low_c is None
                else place_on_scale(progress_along(path, low_c).work),
                seen_place_high=None
                if high_c is None
                else place_on_scale(progress_along(path, high_c).work),
            )
        )
    return tuple(found)
