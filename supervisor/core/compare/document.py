"""A comparison as JSON values: °C, seconds and cones, whatever scale is read."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from supervisor.core.compare.aligned import Align
from supervisor.core.compare.compare import Comparison
from supervisor.core.compare.subject import Part, Subject
from supervisor.core.compare.words import sentences
from supervisor.core.review import document_of
from supervisor.core.review.cones import name_of_place
from supervisor.core.watch.wording import Words


def document(comparisons: Sequence[Comparison], words: Words) -> dict[str, Any]:
    """The whole comparison; ``words`` is for its sentences alone."""
    first = comparisons[0]
    return {
        "align": first.align.value,
        "from_c": round(first.from_c, 2),
        "reference": _subject(first.reference),
        "compared": [_compared(one, words) for one in comparisons],
    }


def _subject(subject: Subject) -> dict[str, Any]:
    facts = subject.facts
    return {
        "name": subject.name,
        "label": subject.label,
        "is_plan": subject.is_plan,
        "goes_on": subject.goes_on,
        "cone": None if subject.place is None else name_of_place(subject.place),
        "place": document_of(subject.place),
        "peak": document_of(facts.peak) if subject.has_peaked else None,
        "cooling": document_of(facts.cooling) if subject.has_peaked else None,
        "work": {
            part.value: document_of({k: v for k, v in subject.works[part].items() if v >= 1e-3})
            for part in Part
        },
    }


def _compared(one: Comparison, words: Words) -> dict[str, Any]:
    unit = "s" if one.align is Align.TEMPERATURE else "c"
    axis = "c" if one.align is Align.TEMPERATURE else "s"
    return {
        **_subject(one.other),
        "so_far": document_of(one.so_far),
        "parted": [
            {
                f"at_{axis}": round(parting.at, 1),
                f"until_{axis}": None if parting.until is None else round(parting.until, 1),
                f"by_{unit}": round(parting.by, 1),
                f"worst_at_{axis}": round(parting.worst_at, 1),
                f"beyond_{unit}": round(parting.beyond, 2),
            }
            for parting in one.partings
        ],
        "differences": [
            {
                "what": difference.what,
                "unit": difference.unit,
                "reference": document_of(difference.reference),
                "other": document_of(difference.other),
                "by": document_of(difference.by),
                "weight": round(difference.weight, 2),
                "is_alike": difference.is_alike,
                "parts": document_of(difference.parts),
            }
            for difference in one.differences
        ],
        "sentences": list(sentences(one, words)),
    }
