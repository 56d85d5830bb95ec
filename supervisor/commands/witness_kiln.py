"""The kiln's side of ``spyhole witness``: what all its cones say, and putting that in force."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Sequence
from pathlib import Path

from supervisor.commands.output import print_json
from supervisor.commands.witness_text import (
    Standing,
    legend,
    offset_text,
    signed,
    standing_json,
    standing_lines,
)
from supervisor.core.errors import InputError
from supervisor.core.units import Unit
from supervisor.record.looking import RecordReader
from supervisor.record.store import Record
from supervisor.service.clock import wall_label
from supervisor.service.kiln_offset import configured_now, offsets_of


def show_kilns(options: argparse.Namespace, folder: Path) -> int:
    """Show what is known, proposed and in force of every kiln, or of the one named."""
    with Record.open_to_read(folder) as record:
        units = _kilns(record)
        kilns = list(units) if options.kiln is None else [_kiln(list(units), options.kiln)]
        found = {kiln: rows for kiln in kilns if (rows := _standings(record, kiln))}
    if options.json:
        print_json(
            {
                "kilns": [
                    {"kiln": kiln, "channels": [standing_json(row) for row in rows]}
                    for kiln, rows in found.items()
                ]
            }
        )
        return 0
    if not found:
        print(
            "No look at a witness cone tells of an offset yet. Note what the cones do with:\n"
            "  spyhole witness FIRING --cone 6 --clock 3:30 --channel NAME --at 07:12"
        )
        return 0
    for kiln, rows in found.items():
        unit = Unit(options.units) if options.units else units[kiln]
        print(kiln)
        for row in rows:
            kiln_option = f" --kiln {shlex.quote(kiln)}" if len(units) > 1 else ""
            first, *others = standing_lines(row, unit, kiln_option)
            print(f"  {row.channel}: {first}")
            for line in others:
                print(f"    {line}")
        print()
    print(legend(Unit(options.units) if options.units else units[next(iter(found))]))
    return 0


def change(options: argparse.Namespace, folder: Path) -> int:
    """Put the offset proposed for a channel in force, or let it be so no longer."""
    channel = options.withdraw if options.accept is None else options.accept
    with Record.open_to_read(folder) as reader:
        units = _kilns(reader)
        kiln = _kiln(list(units), options.kiln)
        standings = {row.channel: row for row in _standings(reader, kiln)}
        known = _channels(reader, kiln)
        is_simulated = not reader.is_real(kiln)
    unit = Unit(options.units) if options.units else units[kiln]
    _must_be_known(channel, kiln, known)
    standing = standings.get(channel, Standing(channel, None, None))
    if options.accept is not None:
        return _accept(options, folder, kiln, standing, unit, is_simulated=is_simulated)
    if standing.accepted is None:
        raise InputError(f'no offset of channel "{channel}" of kiln "{kiln}" is in force')
    with Record.open(folder) as record:
        record.withdraw_offset(kiln, channel, label=wall_label()).result()
    if options.json:
        print_json({"kiln": kiln, "channel": channel, "in_force": None})
    else:
        was = signed((standing.in_force or standing.accepted.offset).mean_c, unit)
        print(
            f"{kiln}, {channel}: {was} is no longer in force, for firings that begin from now on."
        )
    return 0


def exchange(options: argparse.Namespace, folder: Path) -> int:
    """Keep that a channel's thermocouple is another one."""
    channel = options.new_probe
    with Record.open_to_read(folder) as reader:
        firing = None if options.firing is None else reader.firing(options.firing)
        kiln = _kiln(list(_kilns(reader)), options.kiln) if firing is None else firing.kiln
        _must_be_known(channel, kiln, _channels(reader, kiln))
        was_in_force = channel in reader.offsets(kiln)
    since = None if firing is None else firing.id
    with Record.open(folder) as record:
        record.note_new_probe(kiln, channel, since=since, label=wall_label()).result()
    if options.json:
        print_json({"kiln": kiln, "channel": channel, "new_since": since, "in_force": None})
        return 0
    if firing is None:
        told = "only firings that begin from now on tell of it"
    else:
        told = f"only firing {firing.id} and those after it tell of it"
    print(f"{kiln}, {channel}: its thermocouple is new, so {told}.")
    if was_in_force:
        print(
            "The offset of the old one is no longer in force, for firings that begin from now on."
        )
    return 0


def _accept(
    options: argparse.Namespace,
    folder: Path,
    kiln: str,
    standing: Standing,
    unit: Unit,
    *,
    is_simulated: bool,
) -> int:
    offset, in_force = standing.offset, standing.in_force
    if offset is None:
        raise InputError(
            f'there is nothing to accept: no look at a cone tells of channel "{standing.channel}" '
            f'of kiln "{kiln}" yet'
        )
    if not standing.is_proposed:
        why = (
            f"{offset_text(offset, unit)} is no farther from 0 than it is unsure, so look on"
            if in_force is None
            else f"{signed(in_force.mean_c, unit)} is in force already, and what the cones say now "
            "hardly differs"
        )
        raise InputError(
            f'there is nothing to accept for channel "{standing.channel}" of kiln "{kiln}": {why}'
        )
    with Record.open(folder) as record:
        record.accept_offset(
            kiln,
            standing.channel,
            offset,
            label=wall_label(),
            configured_c=standing.configured_c,
            is_simulated=is_simulated,
        ).result()
        accepted = record.offsets(kiln)[standing.channel]
    if options.json:
        document = standing_json(Standing(standing.channel, None, accepted, standing.configured_c))
        print_json({"kiln": kiln, "channel": standing.channel, "in_force": document["in_force"]})
        return 0
    print(
        f"{kiln}, {standing.channel}: {offset_text(offset, unit)} is in force, for firings that "
        f"begin from now on.\n"
    )
    print(legend(unit))
    return 0


def _standings(record: RecordReader, kiln: str) -> list[Standing]:
    """Every channel of the kiln of which there is something to say."""
    history = record.seen_in_kiln(kiln)
    offsets, accepted = offsets_of(record, history), record.offsets(kiln)
    configured_c = configured_now(seen.firing for seen in history)
    return [
        Standing(name, offsets.get(name), accepted.get(name), configured_c.get(name, 0.0))
        for name in _channels(record, kiln)
        if name in offsets or name in accepted
    ]


def _must_be_known(channel: str, kiln: str, known: Sequence[str]) -> None:
    if channel not in known:
        raise InputError(f'kiln "{kiln}" has no channel "{channel}"; it has {", ".join(known)}')


def _channels(record: RecordReader, kiln: str) -> tuple[str, ...]:
    """Every channel that the kiln has had, in the order of its newest firing."""
    return tuple(
        dict.fromkeys(
            name for firing in record.firings() if firing.kiln == kiln for name in firing.channels
        )
    )


def _kilns(record: RecordReader) -> dict[str, Unit]:
    """Every kiln of the record with the scale of its newest firing."""
    units: dict[str, Unit] = {}
    for firing in record.firings():
        units.setdefault(firing.kiln, firing.units)
    return units


def _kiln(kilns: list[str], named: str | None) -> str:
    if not kilns:
        raise InputError("there is no firing in the record yet, so there is no kiln")
    if named is None and len(kilns) == 1:
        return kilns[0]
    if named is None:
        raise InputError(f"name the kiln with --kiln; the record has {', '.join(kilns)}")
    if named not in kilns:
        raise InputError(f'there is no kiln "{named}" in the record; it has {", ".join(kilns)}')
    return named
