"""What was ticked on unloading, and what it was traced to, as the record keeps them.

A tick is a finding whose key is the defect's name; findings of other keys are none of ours. What
the ticks were traced to is an account of the firing, in words: figures and sentence are made anew
whenever somebody asks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from supervisor.core.defects import DefectKind, Traced, Verdict
from supervisor.record.unloading import LONGEST_ACCOUNT, Finding

TRACED = "traced"
"""The account under which it stands what the defects of a firing were traced to."""
_KEYS = frozenset(kind.value for kind in DefectKind)
_WORDS = {
    Verdict.SUPPORTED: "The firing speaks for",
    Verdict.UNKNOWN: "Can't be told",
    Verdict.RULED_OUT: "The firing speaks against",
}


def ticked_in(findings: Iterable[Finding]) -> list[DefectKind]:
    """The defects among what was found, each once, wherever in the kiln.

    >>> ticked_in([Finding("crazing", 2, "top"), Finding("crazing", 1), Finding("a-vase", 1)])
    [<DefectKind.CRAZING: 'crazing'>]
    """
    return [DefectKind(key) for key in dict.fromkeys(one.key for one in findings) if key in _KEYS]


def traced_text(traced: Sequence[Traced]) -> str:
    """What the ticks were traced to, as the account says it."""
    return "\n".join(_lines(traced))[:LONGEST_ACCOUNT]


def _lines(traced: Sequence[Traced]) -> Iterator[str]:
    for one in traced:
        yield f"{one.title}:"
        for verdict, heading in _WORDS.items():
            causes = one.of(verdict)
            if causes and verdict is Verdict.SUPPORTED:
                yield from (f"- {heading}: {cause.cause}. {cause.said}" for cause in causes)
            elif causes:
                yield f"- {heading}: {'; '.join(cause.cause for cause in causes)}."
