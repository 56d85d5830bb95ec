"""Which cone a whole firing reached, as an interval. Knows no plan and no instant."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork.cones import CONES
from supervisor.core.heatwork.integral import HeatWork, progress_along
from supervisor.core.heatwork.uncertainty import QUANTILE, Correction, Wire, offset_sigma_c


@dataclass(frozen=True, slots=True)
class ConeInterval:
    """The hardest cone down, in four firings of five, lies between ``coolest`` and ``hottest``.

    ``coolest`` is None where not even the softest may be down. ``off_c`` is the offset on either
    side, in °C: what the wire, the cones and the law may together be off.
    """

    coolest: str | None
    hottest: str | None
    off_c: float


def cone_interval(
    work: HeatWork, wire: Wire, correction: Correction | None = None
) -> ConeInterval | None:
    """How sure the cone is that ``work`` says is down; None where it says none is."""
    cone = work.progress().cone
    if cone is None:
        return None
    top_c = max(mean_c for _, _, mean_c, _, _ in work.path.pieces()) + work.offset_c
    off_c = QUANTILE * offset_sigma_c(CONES[cone], top_c, wire, correction)
    return ConeInterval(
        progress_along(work.path, work.offset_c - off_c).cone,
        progress_along(work.path, work.offset_c + off_c).cone,
        off_c,
    )
