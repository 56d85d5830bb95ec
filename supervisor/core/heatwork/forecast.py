"""How long until a cone is down, if the kiln goes on as said. Knows nothing of plans."""

from __future__ import annotations

import math

from supervisor.core.heatwork.cones import KELVIN_OFFSET, Cone

_STEP_C = 5.0
_NEARLY_C = 0.01


def seconds_until_down(
    cone: Cone, work: float, temp_c: float, rate_c_per_h: float, top_c: float
) -> float | None:
    """Seconds until ``cone`` is down: climbing at ``rate_c_per_h`` to ``top_c``, then holding.

    ``work`` is what the cone has had already. A rate of 0 or less, or a top at or below
    ``temp_c``, means holding at ``temp_c``. 0 when it is down already; ``None`` when it would
    take more than 48 h. The softening rate is taken as exponential over pieces of 5 °C.
    """
    if work >= 1.0:
        return 0.0
    waited_s = 0.0
    if rate_c_per_h > 0.0:
        while top_c - temp_c > _NEARLY_C:
            step_c = min(_STEP_C, top_c - temp_c)
            step_s = step_c / rate_c_per_h * 3600.0
            rate_per_s = cone.rate_per_s(temp_c)
            growth = cone.q_over_r_k * (
                1.0 / (temp_c + KELVIN_OFFSET) - 1.0 / (temp_c + step_c + KELVIN_OFFSET)
            )
            gain = rate_per_s * step_s * math.expm1(growth) / growth
            if work + gain >= 1.0:
                part = math.log1p((1.0 - work) / (rate_per_s * step_s) * growth) / growth
                return waited_s + part * step_s
            work += gain
            temp_c += step_c
            waited_s += step_s
    rate_per_s = cone.rate_per_s(temp_c)
    if rate_per_s <= 0.0 or (1.0 - work) / rate_per_s > 48 * 3600.0:
        return None
    return waited_s + (1.0 - work) / rate_per_s
