"""Where the columns of a mapping stand in a log from elsewhere.

Knows the log's header and the mapping; a column that is not there, or there twice, is answered
with the mapping's line. Refuses to know rows.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from dataclasses import dataclass

from hardware.column_mapping import ChannelColumn, Column, ColumnMapping
from hardware.log_header import shortened
from hardware.mapped_lines import as_text, cells_of, is_text
from supervisor.core.errors import InputError
from supervisor.core.units import Unit

_UNIT_AT_END = re.compile(r"\s*[\[(][^\[\]()]*[\])]$")
_SHOWN_NAMES = 8
_NAME_LENGTH = 60


@dataclass(frozen=True, slots=True)
class MappedColumns:
    """The mapping found again in a log: where each column stands, by its place from 0.

    A row has ``least`` to ``width`` cells, which differ where the header ends in blank names.
    ``header_line`` is that of the first row where there is no header.
    """

    mapping: ColumnMapping
    least: int
    width: int
    time_at: tuple[int, ...]
    temps_at: tuple[tuple[str, int, Unit], ...]
    annotations_at: tuple[tuple[str, int], ...]
    names: tuple[str, ...]
    header_line: int

    def called(self, place: int) -> str:
        """What messages call the column at ``place``: its name, or its place from 1."""
        named = as_text(self.names[place]) if self.names else ""
        return shortened(named) if named else f"{place + 1}"


def find_columns(
    lines: Iterator[tuple[int, str]], mapping: ColumnMapping, name: str
) -> MappedColumns:
    """The mapping's columns in the log, whose numbered ``lines`` are taken up to the header.

    A log without a header gives up its first row for its width. ``name`` is how messages call
    the log. Raises InputError, with the mapping's line where a column is not there.
    """
    for line, text in lines:
        if line <= mapping.skip_before_header or not text.strip():
            continue
        if mapping.has_header and not is_text(text):
            other = "utf-16" if "\0" in text else "latin-1"
            raise InputError(
                f"the header is not {mapping.encoding.value} text; "
                f'does the mapping need encoding = "{other}"?',
                where=f"{name}, line {line}",
            )
        cells = [" ".join(cell.split()) for cell in cells_of(text, mapping.delimiter)]
        if any(cells):
            return _Places(mapping, cells, name).columns(line)
    raise InputError("the file is empty, or all of it is skipped.", where=name)


class _Places:
    def __init__(self, mapping: ColumnMapping, cells: list[str], name: str) -> None:
        self._mapping = mapping
        self._cells = cells
        self._name = name

    def columns(self, line: int) -> MappedColumns:
        mapping = self._mapping
        least = width = len(self._cells)
        while mapping.has_header and not self._cells[least - 1]:
            least -= 1
        names = tuple(self._cells) if mapping.has_header else ()
        time_at = tuple(self._at(column) for column in mapping.time.columns)
        temps_at: list[tuple[str, int, Unit]] = []
        for channel in mapping.channels:
            place = self._at(channel.column)
            if place in time_at or any(place == other for _, other, _ in temps_at):
                raise InputError(
                    f"column {shortened(self._called(place))} is used twice; it is the time or "
                    f"one channel.",
                    where=channel.column.where,
                )
            called = self._channel_name(channel, place)
            if any(called == other for other, _, _ in temps_at):
                raise InputError(
                    f'two channels would be named "{called}"; give this one a `name`.',
                    where=channel.column.where,
                )
            temps_at.append((called, place, channel.units))
        annotations_at = [(self._called(p), p) for p in map(self._at, mapping.annotations)]
        return MappedColumns(
            mapping, least, width, time_at, tuple(temps_at), tuple(annotations_at), names, line
        )

    def _at(self, column: Column) -> int:
        """The column's place from 0; raises InputError where there is none, or more than one."""
        cells, wanted = self._cells, column.name
        if isinstance(wanted, int):
            if wanted > len(cells):
                raise InputError(
                    f"{self._name} has {len(cells)} columns; there is no column {wanted}.",
                    where=column.where,
                )
            return wanted - 1
        places = [place for place, cell in enumerate(cells) if cell == wanted]
        if len(places) == 1:
            return places[0]
        if places:
            given = " or ".join(str(place + 1) for place in places[:5])
            raise InputError(
                f'{self._name} has {len(places)} columns named "{shortened(wanted)}"; give the '
                f"place, {given}, in the name's stead.",
                where=column.where,
            )
        close = difflib.get_close_matches(wanted, cells, n=1)
        if close:
            hint = f'did you mean "{shortened(close[0])}"?'
        else:
            some = ", ".join(f'"{shortened(cell)}"' for cell in cells[:_SHOWN_NAMES])
            hint = f"it has {some}{' and others' if len(cells) > _SHOWN_NAMES else ''}."
        raise InputError(
            f'{self._name} has no column "{shortened(wanted)}"; {hint}', where=column.where
        )

    def _called(self, place: int) -> str:
        """What messages and annotations call the column."""
        named = self._cells[place] if self._mapping.has_header else ""
        return as_text(named) or f"{place + 1}"

    def _channel_name(self, channel: ChannelColumn, place: int) -> str:
        if channel.name is not None:
            return channel.name
        called = self._called(place)
        if not self._mapping.has_header or called == f"{place + 1}":
            return f"channel {place + 1}"
        return (_UNIT_AT_END.sub("", called) or called)[:_NAME_LENGTH]
