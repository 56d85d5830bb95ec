"""Whether a log is in the record already. Knows readings; changes nothing."""

from __future__ import annotations

from collections.abc import Sequence

from supervisor.record.looking import RecordReader
from supervisor.record.rows import Columns, Firing

_SAME_C = 0.01
"""A log in °F, or of another program, is rounded: so near is the same."""
_SAME_S = 0.01


def same_firings(
    record: RecordReader, columns: Columns, started_label: str | None = None
) -> list[Firing]:
    """The firings with these readings, whatever their channels are called, newest first.

    A log that has labels, and a firing that has, are the same only if both begin alike: two
    logs of a simulation, or of a kiln that stood, may have the same readings. A log without
    labels is the same as one with them.
    """
    count = len(columns.elapsed_s)
    found = []
    for firing in record.firings():
        extent = record.extent(firing.id)
        if extent is None or extent.readings != count or not count:
            continue
        if len(firing.channels) != len(columns.temps_c):
            continue
        length_s = columns.elapsed_s[-1] - columns.elapsed_s[0]
        if abs(extent.last_s - extent.first_s - length_s) > 2 * _SAME_S:
            continue
        # A person may have said when a log began whose readings have no labels.
        label = None if started_label is None else _first_label(record, firing)
        if label is not None and label != started_label:
            continue
        if _is_same(record.columns(firing.id), columns):
            found.append(firing)
    return found


def _first_label(record: RecordReader, firing: Firing) -> str | None:
    first = next(iter(record.readings(firing.id)), None)
    return None if first is None else first.time


def _is_same(one: Columns, other: Columns) -> bool:
    shift_s = one.elapsed_s[0] - other.elapsed_s[0]
    if any(
        abs(a - b - shift_s) > 2 * _SAME_S
        for a, b in zip(one.elapsed_s, other.elapsed_s, strict=True)
    ):
        return False
    return all(
        _is_same_column(a, b)
        for a, b in zip(one.temps_c.values(), other.temps_c.values(), strict=True)
    )


def _is_same_column(one: Sequence[float | None], other: Sequence[float | None]) -> bool:
    for a, b in zip(one, other, strict=True):
        if a is None or b is None:
            if a is not b:
                return False
        elif abs(a - b) > _SAME_C:
            return False
    return True
