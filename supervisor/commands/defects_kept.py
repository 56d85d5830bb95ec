"""What was ticked at the command line, and what it was traced to, kept with the firing."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.commands.files import data_folder
from supervisor.core.defects import DefectKind, Traced
from supervisor.record.store import Record
from supervisor.record.ticks import TRACED, ticked_in, traced_text
from supervisor.record.unloading import Account, Finding
from supervisor.service.clock import wall_label


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
    text = traced_text(traced)
    label = wall_label()
    with Record.open(data_folder(data)) as record:
        before = {one.topic: one.text for one in record.accounts(firing_id)}
        if before.get(TRACED, "") != text:
            record.tell(firing_id, Account(TRACED, text, by, label)).result()
