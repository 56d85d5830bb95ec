"""Whether a channel that shows one value and no other is stuck at it.

Knows one channel's noise and for how long it has stood still; nothing of other channels, beside
which more can be told (``following``).
"""

from __future__ import annotations

import math

from supervisor.core.watch.filter import NoiseEstimate

FROZEN_S, _LOG_CHANCE = 240.0, math.log(1e-9)
_SURELY_S, _SURELY_LOG_CHANCE = 480.0, math.log(1e-7)
"""Not one value has moved for so long, where noise alone would do that with a chance of one in
1e9, or 1e7 after eight minutes: less than once in ten thousand hours at a look each ten seconds."""
LEAST_STOOD_S, _CLIMB_TO_S, _CLIMB_STEPS, _CLIMB_C = 150.0, 600.0, 10.0, 5.0
"""Noise aside, a climb does not end on one value while the plan goes on climbing, nor a fall while
it cools: told when ten steps of the resolution are missing. A kiln that stalls or is held slows
down first, so that its last run of one value begins slowly. Nothing is said of one that has stood
for less than the first."""
CREST_S = 420.0
"""A fire that is stoked climbs and falls with each charge, and stands at its height for no longer
(common practice, no source)."""
_LEAST_RUN, _CLIMB_RUN = 4, 6
_ALWAYS_S, _ALWAYS_FROM_C = 1800.0, 150.0
"""No kiln as hot as that begins its log by showing one value for half an hour."""


def was_always_frozen(stood_s: float, first_c: float) -> bool:
    """Whether a channel that has shown nothing but ``first_c`` for ``stood_s`` is stuck."""
    return stood_s >= _ALWAYS_S and first_c > _ALWAYS_FROM_C


def is_frozen(noise: NoiseEstimate, stood_s: float, moving_c_per_s: float | None) -> bool:
    """Whether a channel that has moved before, and has stood for ``stood_s``, is stuck.

    ``moving_c_per_s`` is its rate before it stood, where it should go on; None where it may end.
    """
    step_c = noise.resolution_c
    if step_c is None or noise.run < _LEAST_RUN:
        return False
    if moving_c_per_s is not None and stood_s <= _CLIMB_TO_S and noise.run >= _CLIMB_RUN:
        missing_c = abs(moving_c_per_s) * stood_s
        if missing_c > _CLIMB_C and missing_c > _CLIMB_STEPS * step_c:
            return True
    limit = _SURELY_LOG_CHANCE if stood_s >= _SURELY_S else _LOG_CHANCE
    return stood_s >= FROZEN_S and noise.log_chance_of_run() < limit
