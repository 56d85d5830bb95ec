"""Whether the readings that a stranger heard of are in the record, with the values he heard."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from supervisor.core.readings import Reading


def missing_readings(
    heard: Iterable[tuple[Mapping[str, Any], float]],
    kept: Mapping[float, Reading],
    *,
    until_at_s: float,
) -> list[float]:
    """Elapsed seconds of the readings heard before ``until_at_s`` (monotonic) and not kept."""
    return [
        document["elapsed_s"]
        for document, at_s in heard
        if at_s <= until_at_s and not _is_kept(document, kept)
    ]


def _is_kept(document: Mapping[str, Any], kept: Mapping[float, Reading]) -> bool:
    reading = kept.get(document["elapsed_s"])
    if reading is None:
        return False
    rounded = {
        name: None if temp_c is None else round(temp_c, 3)
        for name, temp_c in reading.temps_c.items()
    }
    heard: object = document["temps_c"]
    return rounded == heard
