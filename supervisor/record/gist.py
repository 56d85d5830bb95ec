"""What firings are laid over each other and followed by, kept so that no reading is read again.

The trace in half minutes, the heat-work by its parts, and the firing's point among a kiln's
trends. Knows how these become bytes and texts; knows no table and works nothing out.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from supervisor.core.compare.subject import Part, Works, works_of
from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES
from supervisor.core.review import FiringFacts, Reviewer, Trace, document_of, value_of
from supervisor.core.trends import FiringPoint
from supervisor.record.blocks import Block, packed, unpacked
from supervisor.record.rows import to_json

_TIME_DIGITS, _TEMP_DIGITS = 1, 2
"""Of a point's second and degree: it is the mean of half a minute."""
_WORK_DIGITS = 6
_LEAST_WORK = 1e-6
"""Less of a cone's work than a millionth moves nothing that anybody is told."""


@dataclass(frozen=True, slots=True)
class Gist:
    """The trace packed (11 kB for a day), the works and the point as lines of JSON."""

    trace: bytes
    works: str
    point: str


@dataclass(frozen=True, slots=True)
class SummedUp:
    """A firing's facts, as ``document_of`` writes them, with its gist.

    ``is_latest`` is false once notes or looks were written that they do not know.
    """

    facts: Mapping[str, Any]
    gist: Gist
    is_latest: bool


def gist_of(reviewer: Reviewer, facts: FiringFacts, point: FiringPoint) -> Gist:
    """The gist of a firing whose readings the reviewer has taken in."""
    trace = reviewer.trace
    columns: list[Sequence[float | None]] = [trace.kiln_c, *trace.channels_c.values()]
    block = Block(
        [round(at_s, _TIME_DIGITS) for at_s in trace.at_s],
        [[None if c is None else round(c, _TEMP_DIGITS) for c in column] for column in columns],
        [None] * len(trace),
    )
    works = {
        part.value: {
            name: float(f"{work:.{_WORK_DIGITS}g}")
            for name, work in of_part.items()
            if work >= _LEAST_WORK
        }
        for part, of_part in works_of(reviewer, facts).items()
    }
    return Gist(packed(block), to_json(works), to_json(document_of(point)))


def trace_from(data: bytes, channels: Sequence[str]) -> Trace:
    """The trace of ``Gist.trace``."""
    block = unpacked(data)
    trace = Trace(channels)
    for at_s, temps_c in zip(block.elapsed_s, zip(*block.temps_c, strict=True), strict=True):
        kiln_c, *channels_c = temps_c
        if kiln_c is not None:
            trace.add(at_s, kiln_c, channels_c)
    return trace


def works_from(line: str) -> Works:
    """The heat-work of ``Gist.works``."""
    kept = json.loads(line)
    return {part: dict.fromkeys(WHOLE_CONE_NAMES, 0.0) | kept[part.value] for part in Part}


def point_from_line(line: str) -> FiringPoint:
    """The point of ``Gist.point``."""
    return value_of(FiringPoint, json.loads(line))
