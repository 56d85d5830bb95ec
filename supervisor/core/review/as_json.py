"""Facts as JSON values: the same names, lists for tuples, None for what no number can say."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

_DIGITS = 4


def document_of(value: object) -> Any:
    """``value`` (facts, or anything in them) as JSON values; numbers to four decimals.

    >>> from supervisor.core.review.facts import Energy, TimeAbove
    >>> document_of(Energy(84.0, "used 84 kWh"))
    {'kwh': 84.0, 'said': 'used 84 kWh'}
    >>> document_of((TimeAbove(600.0, math.inf), None, 0.123456))
    [{'temp_c': 600.0, 'time_s': None}, None, 0.1235]
    """
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, float):
        return round(value, _DIGITS) if math.isfinite(value) else None
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, str):
        return value
    if is_dataclass(value):
        return {one.name: document_of(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): document_of(one) for key, one in value.items()}
    if isinstance(value, list | tuple | frozenset):
        return [document_of(one) for one in value]
    raise TypeError(f"no JSON for a {type(value).__name__}")
