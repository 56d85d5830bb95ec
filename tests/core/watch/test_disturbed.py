"""A whole firing, its channels disturbed in any way and at any time, is survived by the watch."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from hypothesis import example, given, settings
from hypothesis import strategies as st

from supervisor.core.readings import Reading
from supervisor.core.watch import Watch, WatchSettings
from tests.core.firings import HOUR_S, Rig, as_planned, cooled, once_each, plan, seen

SCHEDULE = plan("300 600", "250 1020 10", "150 900 20", "- 300")
EVERY_S = 15.0
FIRING = seen(cooled(as_planned(SCHEDULE), 0.5 * HOUR_S), rig=Rig(every_s=EVERY_S, noise_c=0.3))
WAYS = ("noise", "none", "stuck", "moved", "scaled", "spikes", "silent", "drifts")


@dataclass(frozen=True, slots=True)
class Disturbance:
    """What happens to a channel, from and for which part of the firing, and by how much in °C."""

    channel: int
    way: str
    from_part: float
    for_part: float
    size_c: float


DISTURBANCES = st.builds(
    Disturbance,
    st.integers(0, 2),
    st.sampled_from(WAYS),
    st.floats(0.0, 1.0),
    st.sampled_from([0.002, 0.01, 0.05, 0.3, 1.0]),
    st.sampled_from([-400.0, -30.0, -5.0, 2.0, 15.0, 120.0, 1e9]),
)


def disturbed(count: int, happens: list[Disturbance], seed: int) -> list[Reading]:
    """The firing as ``count`` channels show it, some °C and some noise apart."""
    dice = random.Random(seed)
    readings = []
    stuck: dict[Disturbance, float | None] = {}
    for n, reading in enumerate(FIRING):
        part, kiln_c = n / len(FIRING), reading.temps_c["kiln"]
        assert kiln_c is not None
        shown: list[float | None] = [kiln_c - 6.0 * i + dice.gauss(0.0, 0.4) for i in range(count)]
        is_silent = False
        for one in happens:
            since = part - one.from_part
            if not 0.0 <= since < one.for_part or one.channel >= count:
                continue
            value_c = shown[one.channel]
            is_silent = is_silent or one.way == "silent"
            if one.way == "none" or value_c is None:
                value_c = None
            elif one.way == "noise":
                value_c += dice.gauss(0.0, abs(one.size_c))
            elif one.way == "stuck":
                value_c = stuck.setdefault(one, value_c)
            elif one.way == "moved":
                value_c += one.size_c
            elif one.way == "scaled":
                value_c *= 0.6
            elif one.way == "spikes":
                value_c += one.size_c * (dice.random() < 0.2)
            elif one.way == "drifts":
                value_c += one.size_c * since
            shown[one.channel] = value_c
        if not is_silent:
            names = (f"c{i}" for i in range(count))
            readings.append(Reading(reading.elapsed_s, dict(zip(names, shown, strict=True))))
    return readings


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 3),
    st.lists(DISTURBANCES, min_size=1, max_size=4),
    st.sampled_from(["electric", "gas", "wood", None]),
    st.integers(0, 9),
)
@example(2, [Disturbance(0, "noise", 0.85, 1.0, 15.0)], "electric", 5)
def test_a_firing_with_any_disturbance_is_survived(
    count: int, happens: list[Disturbance], kind: str | None, seed: int
) -> None:
    names = tuple(f"c{i}" for i in range(count))
    watch = Watch(SCHEDULE, names, WatchSettings(kiln_kind=kind))
    events = []
    for reading in disturbed(count, happens, seed):
        events += watch.feed(reading)
    once_each(events)
    temp_c = watch.status().temp_c
    assert temp_c is None or math.isfinite(temp_c)
