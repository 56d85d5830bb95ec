"""The first line of a recorded log: which column is time, which is which channel.

The format: comma-separated UTF-8 text; the first column is ``elapsed_s`` (seconds) or ``time``
(ISO 8601 with an offset); ``<channel>_c`` and ``<channel>_f`` hold temperatures,
``<channel>_fault`` the cause why a channel gave none. Every other column is an annotation.
Refuses to know rows and files.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from supervisor.core.errors import InputError
from supervisor.core.log_format import meant
from supervisor.core.units import Unit

ELAPSED = "elapsed_s"
TIME = "time"
_UNITS = {"_c": Unit.C, "_f": Unit.F}
_FAULT = "_fault"
_SHOWN = 40


@dataclass(frozen=True, slots=True)
class LogColumns:
    """What the columns of a log are, by their places from 0.

    ``elapsed_at`` is ``None`` where elapsed time has to come from the wall clock at
    ``time_at``. ``temps_at`` and ``faults_at`` go by channel, in the order of the file.
    """

    width: int
    elapsed_at: int | None
    time_at: int | None
    temps_at: Mapping[str, int]
    faults_at: Mapping[str, int]
    units: Mapping[str, Unit]
    names: tuple[str, ...]
    annotations: tuple[str, ...]


def read_header(cells: Sequence[str], where: str) -> LogColumns:
    """The columns that the first line's cells name. Raises InputError with ``where``."""
    names = tuple(meant(cell.strip()) for cell in cells)
    if not names or names[0] not in (ELAPSED, TIME):
        found = f'"{shortened(names[0])}"' if names and names[0] else "nothing"
        hint = "; columns are separated by commas" if _other_separator(names) else ""
        raise InputError(
            f'the first column must be "{ELAPSED}" or "{TIME}", not {found}{hint}.', where=where
        )
    for place, name in enumerate(names):
        if not name:
            raise InputError(f"column {place + 1} has no name; each column needs one.", where=where)
        if name in names[:place]:
            raise InputError(
                f'two columns are named "{shortened(name)}"; each name may come once.', where=where
            )
    temps_at: dict[str, int] = {}
    units: dict[str, Unit] = {}
    for place, name in enumerate(names):
        unit = _UNITS.get(name[-2:])
        if unit is None or len(name) == len("_c"):
            continue
        channel = name[:-2]
        if channel in temps_at:
            raise InputError(
                f'channel "{shortened(channel)}" has a column in °C and one in °F; '
                "one of them must go.",
                where=where,
            )
        temps_at[channel], units[channel] = place, unit
    if not temps_at:
        raise InputError(
            'no column holds temperatures: at least one named as "kiln_c" (°C) or "kiln_f" (°F) '
            "is needed.",
            where=where,
        )
    faults_at = {
        channel: names.index(channel + _FAULT) for channel in temps_at if channel + _FAULT in names
    }
    known = {*temps_at.values(), *faults_at.values()}
    return LogColumns(
        width=len(names),
        elapsed_at=names.index(ELAPSED) if ELAPSED in names else None,
        time_at=names.index(TIME) if TIME in names else None,
        temps_at=temps_at,
        faults_at=faults_at,
        units=units,
        names=names,
        annotations=tuple(
            name
            for place, name in enumerate(names)
            if place not in known and name not in (ELAPSED, TIME)
        ),
    )


def shortened(text: str) -> str:
    """A strange value, fit for one line: 40 characters at most, nothing unprintable.

    >>> shortened("9" * 50), shortened("a\\tb")
    ('9999999999999999999999999999999999999999…', 'a?b')
    """
    shown = "".join(c if c.isprintable() else "?" for c in text[:_SHOWN])
    return shown + "…" if len(text) > _SHOWN else shown


def _other_separator(names: Sequence[str]) -> bool:
    return len(names) == 1 and any(mark in names[0] for mark in ";\t|")
