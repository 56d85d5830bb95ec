"""One reference, and each of the others held against it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from supervisor.core.compare.aligned import Align, Laid, laid, low_c
from supervisor.core.compare.differences import Difference, differences
from supervisor.core.compare.parting import Parting, partings
from supervisor.core.compare.so_far import SoFar, so_far
from supervisor.core.compare.subject import Subject


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two firings, or a firing and a plan. ``laid`` is None where they have nothing in common.

    ``from_c`` is where all of one comparison are taken to begin. ``so_far`` is of those of the two
    that still go on.
    """

    reference: Subject
    other: Subject
    align: Align
    from_c: float
    laid: Laid | None
    partings: tuple[Parting, ...]
    differences: tuple[Difference, ...]
    so_far: tuple[SoFar, ...] = ()


def compared(reference: Subject, others: Sequence[Subject], align: Align) -> tuple[Comparison, ...]:
    """Each of the others held against the reference."""
    from_c = low_c((reference, *others))
    found = []
    for other in others:
        over = laid(reference, other, align, from_c)
        found.append(
            Comparison(
                reference,
                other,
                align,
                from_c,
                over,
                () if over is None else partings(over),
                differences(reference, other),
                tuple(_so_far(reference, other, from_c)),
            )
        )
    return tuple(found)


def _so_far(reference: Subject, other: Subject, from_c: float) -> Iterator[SoFar]:
    for one, beside in ((other, reference), (reference, other)):
        found = so_far(one, beside, from_c)
        if found is not None:
            yield found
