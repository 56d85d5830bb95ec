"""What witness cones say of a channel's offset: how far its thermocouple reads from the cones.

The offset is what has to be added to a channel's readings for the calculated cones to bend as
the real ones did. Which readings those are (with or without a configured offset in them) is
for the caller to keep to, or to shift. It is positive where the real cones are down before the
calculation says so. What is believed of it, and how sure that is:

- before any cone it is normal about 0 with 8 °C: the thermocouple (ASTM E230, 0.75 % of
  1200 °C, taken as 95 %, is 4.5 °C), the place of the probe against that of the ware about
  6 °C (common practice, no source);
- probes age: from one firing of the kiln to the next it walks at random by 1 °C (common
  practice, no source), so that old firings count less and less;
- it is not the same in every firing: packing and draught move it by 2.5 °C (common practice,
  no source), anew each time;
- a cone is itself off by 2 °C (factory tolerance: T. Frederich, Orton, letter to the Clayart
  list, 7 May 2003; taken as one standard deviation, to be careful and to hold the error of the
  calculation as well), the same for the same cone however often it is looked at;
- the clock hand is read to half an hour (``tip.work_range_of``);
- one cone in fifty is noted for another, or for another place or minute, and then says nothing
  (common practice, no source); a look that no offset within reach explains, or that has a cone
  stand up again, is one of those for certain and is left out.

A look at a cone says that its work lay within a range. Work grows with the offset, so that is a
range of offsets: ``evidence_of`` finds it, ``estimate`` puts all of it together by Bayes' rule
on a grid of offsets, firing after firing. Where ranges are narrow and nothing is mistaken this
is the Kalman filter of a random walk (R. E. Kalman, 1960, in one dimension). The order of looks
within a firing does not matter; that of firings does.

Knows nothing of readings: whoever has them hands in the work of a cone as a function of offset.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from supervisor.core.heatwork.tip import work_range_of
from supervisor.core.heatwork.uncertainty import FIRING_C, Correction

FARTHEST_C = 60.0
"""Offsets beyond are not thought of: such a thermocouple is broken or not in the kiln."""
STEP_C = 0.25
TOO_FAR_C = 20.0
"""More than a sound thermocouple in a fair place is off (common practice, no source)."""
WORTH_C = 0.5
"""An estimate that differs by less from what is in force, in mean and in standard deviation, is
not worth a change (common practice, no source)."""
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
    of a firing from another. ``is_possible`` is False where it would take more than
    ``FARTHEST_C``: then the look is a mistake, and says nothing.
    """

    witness: tuple[str, str | None]
    low_c: float
    high_c: float
    is_possible: bool = True

    @property
    def tells(self) -> bool:
        """False where the cone would look so whatever the offset."""
        return math.isfinite(self.low_c) or math.isfinite(self.high_c)

    def shifted(self, by_c: float) -> Evidence:
        """The same for readings that are lower by ``by_c``, for which offsets are larger by it."""
        return replace(self, low_c=self.low_c + by_c, high_c=self.high_c + by_c)


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
        """Whether it is farther from 0 than its own standard deviation."""
        return abs(self.mean_c) > self.sigma_c

    @property
    def is_too_far(self) -> bool:
        """Whether a sound thermocouple in its place is hardly so far off."""
        return abs(self.mean_c) > TOO_FAR_C

    def is_worth_accepting(self, in_force: Correction | None) -> bool:
        """Whether accepting it in place of what is in force (None: nothing) is worth while."""
        if in_force is None:
            return self.stands_out
        changes_c = self.mean_c - in_force.offset_c, self.sigma_c - in_force.sigma_c
        return max(map(abs, changes_c)) >= WORTH_C


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviations in °C, and the share of cones that are noted by mistake."""

    kiln_c: float = 8.0
    drift_c: float = 1.0
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
    # What would need more than the farthest offset still shows on which side it lies.
    return Evidence(
        (observation.cone, observation.shelf),
        min(low_c, FARTHEST_C),
        max(high_c, -FARTHEST_C),
        is_possible=low_c < math.inf and high_c > -math.inf,
    )


def contradicted(looks: Sequence[Observation]) -> dict[int, int]:
    """Looks after which, or before which, the cone would have stood up again.

    By the place of each in ``looks``, that of one that it can't be reconciled with, of the same
    cone on the same shelf beside the same channel. No cone stands up again, so one of the two
    is a mistake, or they were two cones; neither says which.
    """
    ranges = [work_range_of(look.clock) for look in looks]
    found: dict[int, int] = {}
    for place, look in enumerate(looks):
        for earlier, other in enumerate(looks):
            if (look.cone, look.shelf, look.channel) != (other.cone, other.shelf, other.channel):
                continue
            least, most = ranges[earlier][0], ranges[place][1]
            if other.elapsed_s <= look.elapsed_s and most < least:
                found.setdefault(place, earlier)
                found.setdefault(earlier, place)
    return found


def estimate(firings: Iterable[Sequence[Evidence]], spread: Spread = USUAL) -> Offset:
    """What is believed of the offset in the last of these firings; the oldest comes first.

    Each firing of the kiln is one item, an empty one where no cone tells: the probe aged in it
    all the same. Firings before the first that tells change nothing.

    >>> estimate([]) == Offset(0.0, 8.0, 0, 0)
    True
    >>> seen = Evidence(("6", None), 3.9, 4.1)
    >>> after = estimate([[seen], [seen]])
    >>> round(after.mean_c, 1), round(after.sigma_c, 1), after.observations, after.firings
    (3.7, 2.2, 2, 2)
    >>> round(estimate([[seen], [seen], [], []]).sigma_c, 1)
    2.7
    """
    belief = [math.exp(-0.5 * (offset_c / spread.kiln_c) ** 2) for offset_c in _GRID_C]
    looks = count = steps = 0
    for evidence in firings:
        telling = [one for one in evidence if one.tells and one.is_possible]
        steps += count > 0
        if not telling:
            continue
        if steps and spread.drift_c > 0.0:
            belief = _blurred(belief, spread.drift_c * math.sqrt(steps))
        looks, count, steps = looks + len(telling), count + 1, 0
        moved = _blurred(_likelihood(telling, spread), spread.firing_c)
        weights = [was * max(share, _LEAST) for was, share in zip(belief, moved, strict=True)]
        most = max(weights)
        belief = [weight / most for weight in weights]
    if not count:
        return Offset(0.0, spread.kiln_c, 0, 0)
    total = math.fsum(belief)
    mean_c = math.fsum(w * c for w, c in zip(belief, _GRID_C, strict=True)) / total
    variance = math.fsum(w * (c - mean_c) ** 2 for w, c in zip(belief, _GRID_C, strict=True))
    found = Offset(mean_c, math.sqrt(variance / total), looks, count)
    return carried(found, firings=steps, spread=spread)


def carried(
    offset: Offset, *, shift_c: float = 0.0, firings: int = 0, spread: Spread = USUAL
) -> Offset:
    """What is left of ``offset`` so many firings later, for readings lower by ``shift_c``.

    >>> carried(Offset(4.0, 3.0, 1, 1), shift_c=-1.5, firings=16)
    Offset(mean_c=2.5, sigma_c=5.0, observations=1, firings=1)
    """
    sigma_c = math.hypot(offset.sigma_c, spread.drift_c * math.sqrt(firings))
    return replace(offset, mean_c=offset.mean_c + shift_c, sigma_c=sigma_c)


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
