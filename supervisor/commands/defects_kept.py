"""What was ticked on unloading, and what it was traced to, kept with the firing.

A tick is a finding of the record whose key is the defect's name; findings of other keys are none
of ours. What the ticks were traced to is an account of the firing, in words: figures and sentence
are made anew from the record whenever somebody asks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from supervisor.commands.files import data_folder
from supervisor.core.defects import DefectKind, Traced, Verdict
from supervisor.record.store import Record
from supervisor.record.unloading import LONGEST_ACCOUNT, Account, Finding
from supervisor.service.clock import wall_label

TOPIC = "traced"
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


def keep_ticks(
    data: str | None,
    firing_id: str,
    ticked: Sequence[DefectKind],
    taken_back: Sequence[DefectKind],
    by: str | None,
) -> list[DefectKind]:
    """Keep new ticks and take others back; the ones that stand then, the new ones first.

    A tick that stands already, with a level or at a place, stays as it is.
    """
    label = wall_label()
    with Record.open(data_folder(data)) as record:
        standing = record.findings(firing_id)
        known = set(ticked_in(standing))
        new = [Finding(kind, 1, by=by, label=label) for kind in ticked if kind not in known]
        gone = [
            Finding(one.key, 0, one.place, by=by, label=label)
            for one in standing
            if one.key in taken_back
        ]
        now = ticked_in(record.find_at_unloading(firing_id, [*new, *gone]).result())
    return [
        *(kind for kind in ticked if kind in now),
        *(kind for kind in now if kind not in ticked),
    ]


def keep_result(data: str | None, firing_id: str, traced: Sequence[Traced], by: str | None) -> None:
    """Keep what the ticks were traced to, in place of what stood there before."""
    text = "\n".join(_lines(traced))[:LONGEST_ACCOUNT]
    label = wall_label()
    with Record.open(data_folder(data)) as record:
        before = {one.topic: one.text for one in record.accounts(firing_id)}
        if before.get(TOPIC, "") != text:
            record.tell(firing_id, Account(TOPIC, text, by, label)).result()


def _lines(traced: Sequence[Traced]) -> Iterator[str]:
    for one in traced:
        yield f"{one.title}:"
        for verdict, heading in _WORDS.items():
            causes = one.of(verdict)
            if causes and verdict is Verdict.SUPPORTED:
                yield from (f"- {heading}: {cause.cause}. {cause.said}" for cause in causes)
            elif causes:
                yield f"- {heading}: {'; '.join(cause.cause for cause in causes)}."
