"""The energy of a firing, where somebody has noted it: spyhole measures none."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Protocol

from supervisor.core.review.facts import Energy

_KWH = re.compile(r"(?<![\w.,])(\d{1,7}(?:[.,]\d{1,3})?)\s*kwh\b", re.IGNORECASE)
_METER = re.compile(r"\bmeter\b|\bcounter\b|zähler|compteur", re.IGNORECASE)
MOST_KWH = 20_000.0
"""No studio kiln takes so much for a firing; beyond it the figure is a meter's."""


class Said(Protocol):
    """A note: when, and its words."""

    @property
    def elapsed_s(self) -> float: ...
    @property
    def text(self) -> str: ...


def energy_noted(remarks: Sequence[Said]) -> Energy | None:
    """The energy that notes tell of: the last one with a figure in kWh, or, where the meter was
    noted twice at least, how much it moved. None where nobody noted any.

    >>> from supervisor.core.review.review import Remark
    >>> energy_noted([Remark(0.0, "meter 10234,5 kWh"), Remark(9e4, "meter 10318.0 kWh")]).kwh
    83.5
    >>> energy_noted([Remark(9e4, "it took 84 kWh in all")])
    Energy(kwh=84.0, said='it took 84 kWh in all')
    """
    meter: list[tuple[float, str]] = []
    used: Energy | None = None
    for remark in sorted(remarks, key=lambda one: one.elapsed_s):
        for figure in _KWH.findall(remark.text):
            kwh = float(figure.replace(",", "."))
            if _METER.search(remark.text):
                meter.append((kwh, remark.text))
            elif 0.0 < kwh <= MOST_KWH:
                used = Energy(kwh, remark.text)
    if len(meter) > 1:
        kwh = round(meter[-1][0] - meter[0][0], 3)
        if 0.0 < kwh <= MOST_KWH:
            return Energy(kwh, f"{meter[0][1]} … {meter[-1][1]}")
    return used
