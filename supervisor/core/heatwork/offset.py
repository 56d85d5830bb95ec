"""What witness cones say of a channel's offset: how far its thermocouple reads from the cones.

The offset is what has to be added to a channel's readings, as they are recorded, for the
calculated cones to bend as the real ones did. It is positive where the real cones are down
before the calculation says so. What is believed of it, and how sure that is:

- before any cone it is normal about 0 with 8 °C: the thermocouple (ASTM E230, 0.75 % of
  1200 °C, taken as 95 %, is 4.5 °C), the place of the probe against that of the ware about
  6 °C (common practice, no source);
- it is not the same in every firing: packing and draught move it by 2.5 °C (common practice,
  no source), anew each time;
- a cone is itself off by 2 °C (factory tolerance: T. Frederich, Orton, letter to the Clayart
  list, 7 May 2003; taken as one standard deviation, to be careful and to hold the error of the
  calculation as well), the same for the same cone however often it is looked at;
- the clock hand is read to half an hour (``tip.work_range_of``);
- one cone in fifty is noted for another, or for another place or minute, and then says nothing
  (common practice, no source).

A look at a cone says that its work lay within a range. Work grows with the offset, so that is a
range of offsets: ``evidence_of`` finds it, ``estimate`` puts all of it together by Bayes' rule
on a grid of offsets. Where ranges are narrow and nothing is mistaken this is the normal's
conjugate update. Neither the order of firings nor that of looks matters.

Knows nothing of readings: whoever has them hands in the work of a cone as a function of offset.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from supervisor.core.heatwork.tip import work_range_of
from supervisor.core.heatwork.uncertainty import FIRING_C

FARTHEST_C = 60.0
"""Offsets beyond are not thought of: such a thermocouple is broken or not in the kiln."""
STEP_C = 0.25
_COUNT = round(2 * FARTHEST_C / STEP_C) + 1
_GRID_C = tuple(-FARTHEST_C + n * STEP_C for n in range(_COUNT))
_HALVINGS = 12
"""Halves ``2 · FARTHEST_C`` to 0.03 °C."""
_NARROWEST_C = 0.02
"""No narrower range is told from another; keeps the probability of one above zero."""
_KERNEL_SIGMAS = 5.0
_LEAST = 1e-300

WorkOfOffset: TypeAlias = Callable[[float], float]
"""The work of one cone at one time, if so many °C are added to all of its history."""


@dataclass(frozen=True, slots=True)
class Observation:
    """What a person saw of a real cone.

    ``clock`` is the tip as ``tip.parse_clock`` writes it. ``channel`` names the thermocouple
    beside which the cone stood, ``shelf`` its place in the potter's words; either may be
    unknown. ``elapsed_s`` is when it was seen, in seconds of the firing.
    """

    elapsed_s: float
    cone: str
    clock: str
    channel: str | None = None
    shelf: str | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """Between which offsets, in °C, a cone would look as it was seen.

    An end is infinite where any offset on that side would do. ``witness`` tells one real cone
    of a firing from another.
    """

    witness: tuple[str, str | None]
    low_c: float
    high_c: float

    @property
    def tells(self) -> bool:
        """False where the cone would look so whatever the offset."""
        return math.isfinite(self.low_c) or math.isfinite(self.high_c)


@dataclass(frozen=True, slots=True)
class Offset:
    """What is believed of one channel's offset: mean and standard deviation, in °C.

    ``observations`` and ``firings`` are how many looks at cones, in how many firings, say
    something of it.
    """

    mean_c: float
    sigma_c: float
    observations: int
    firings: int

    @property
    def stands_out(self) -> bool:
        """Whether it is worth proposing: farther from 0 than its own standard deviation."""
        return abs(self.mean_c) > self.sigma_c


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations in °C, and the share of cones that are noted by mistake."""

    kiln_c: float = 8.0
    firing_c: float = FIRING_C
    cone_c: float = 2.0
    mistaken: float = 0.02


USUAL = Spread()
"""The figures that the module's docstring explains."""


def channel_of(observation: Observation, channels: Sequence[str]) -> str | None:
    """The channel of which a look at a cone says something, None where that is not known.

    In a kiln with one thermocouple every cone stands for that one.
    """
    return channels[0] if len(channels) == 1 else observation.channel


def evidence_of(observation: Observation, work_of_offset: WorkOfOffset) -> Evidence:
    """What one look at a cone says; ``work_of_offset`` never falls and is 0 or more.

    Raises InputError where the observation's clock can't be read.
    """
    least, most = work_range_of(observation.clock)
    low_c = _offset_for(least, work_of_offset)
    high_c = _offset_for(most, work_of_offset)
    # What would need more than the farthest offset still says on which side it lies.
    low_c = min(low_c, FARTHEST_C)
    high_c = max(high_c, -FARTHEST_C)
    return Evidence((observation.cone, observation.shelf), low_c, high_c)


def estimate(firings: Iterable[Sequence[Evidence]], spread: Spread = USUAL) -> Offset:
    """What is believed after the evidence of any number of firings, each one item.

    >>> estimate([]) == Offset(0.0, 8.0, 0, 0)
    True
    >>> seen = Evidence(("6", None), 3.9, 4.1)
    >>> after = estimate([[seen], [seen]])
    >>> round(after.mean_c, 1), round(after.sigma_c, 1), after.observations, after.firings
    (3.7, 2.2, 2, 2)
    """
    beliefs = [-0.5 * (offset_c / spread.kiln_c) ** 2 for offset_c in _GRID_C]
    looks = count = 0
    for evidence in firings:
        telling = [one for one in evidence if one.tells]
        if not telling:
            continue
        looks += len(telling)
        count += 1
        moved = _blurred(_likelihood(telling, spread), spread.firing_c)
        beliefs = [
            belief + math.log(max(share, _LEAST))
            for belief, share in zip(beliefs, moved, strict=True)
        ]
    if not count:
        return Offset(0.0, spread.kiln_c, 0, 0)
    weights = _relative(beliefs)
    total = math.fsum(weights)
    mean_c = math.fsum(w * c for w, c in zip(weights, _GRID_C, strict=True)) / total
    variance = math.fsum(w * (c - mean_c) ** 2 for w, c in zip(weights, _GRID_C, strict=True))
    return Offset(mean_c, math.sqrt(variance / total), looks, count)


def _offset_for(work: float, work_of_offset: WorkOfOffset) -> float:
    """The offset that gives the cone ``work``; an infinity where none within reach does."""
    low_c, high_c = -FARTHEST_C, FARTHEST_C
    if work_of_offset(low_c) >= work:
        return -math.inf
    if work_of_offset(high_c) < work:
        return math.inf
    for _ in range(_HALVINGS):
        middle_c = (low_c + high_c) / 2.0
        if work_of_offset(middle_c) < work:
            low_c = middle_c
        else:
            high_c = middle_c
    return (low_c + high_c) / 2.0


def _likelihood(evidence: Iterable[Evidence], spread: Spread) -> list[float]:
    """How well each offset of one firing goes with what was seen in it; the best is 1."""
    ranges: dict[tuple[str, str | None], tuple[float, float]] = {}
    for one in evidence:
        low_c, high_c = ranges.get(one.witness, (-math.inf, math.inf))
        ranges[one.witness] = max(low_c, one.low_c), min(high_c, one.high_c)
    logs = [0.0] * _COUNT
    for low_c, high_c in ranges.values():
        # Looks at one cone that contradict each other leave what lies between them.
        low_c, high_c = min(low_c, high_c), max(low_c, high_c)
        if high_c - low_c < _NARROWEST_C:
            middle_c = (low_c + high_c) / 2.0
            low_c, high_c = middle_c - _NARROWEST_C / 2.0, middle_c + _NARROWEST_C / 2.0
        width_c = min(high_c, FARTHEST_C) - max(low_c, -FARTHEST_C)
        by_chance = spread.mistaken * max(width_c, STEP_C) / (2.0 * FARTHEST_C)
        for n, offset_c in enumerate(_GRID_C):
            share = _normal_between(
                (low_c - offset_c) / spread.cone_c, (high_c - offset_c) / spread.cone_c
            )
            logs[n] += math.log(max((1.0 - spread.mistaken) * share + by_chance, _LEAST))
    return _relative(logs)


def _normal_between(low: float, high: float) -> float:
    """Probability that a standard normal lies between, exact far out on either side too."""
    if low > 0.0:
        low, high = -high, -low
    root = math.sqrt(0.5)
    if high <= 0.0:
        return 0.5 * (math.erfc(-high * root) - math.erfc(-low * root))
    return 0.5 * (math.erf(high * root) - math.erf(low * root))


def _blurred(shares: Sequence[float], sigma_c: float) -> list[float]:
    """``shares`` convolved with a normal."""
    reach = math.ceil(_KERNEL_SIGMAS * sigma_c / STEP_C)
    kernel = [math.exp(-0.5 * (n * STEP_C / sigma_c) ** 2) for n in range(-reach, reach + 1)]
    blurred = [0.0] * _COUNT
    for place, share in enumerate(shares):
        first = place - reach
        for n in range(max(first, 0), min(place + reach + 1, _COUNT)):
            blurred[n] += share * kernel[n - first]
    return blurred


def _relative(logs: Sequence[float]) -> list[float]:
    """The numbers of these logarithms, over the largest of them."""
    most = max(logs)
    return [math.exp(log - most) for log in logs]
