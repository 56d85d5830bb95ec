"""``spyhole witness``: what the real cones did, and the offsets that follow from it."""

from __future__ import annotations

import argparse
import shlex
from collections.abc import Sequence
from pathlib import Path

from supervisor.commands.files import data_folder, is_there
from supervisor.commands.firing_time import FiringTimes
from supervisor.commands.output import print_json
from supervisor.commands.witness_text import (
    Look,
    Standing,
    is_same,
    legend,
    look_json,
    look_lines,
    offset_text,
    signed,
    standing_json,
    standing_lines,
)
from supervisor.core.errors import InputError
from supervisor.core.heatwork import CONES
from supervisor.core.heatwork.integral import work_along
from supervisor.core.heatwork.offset import Observation, channel_of
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.schedule.parse import cone_name
from supervisor.core.units import Unit
from supervisor.core.watch.wording import WITNESS
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, KeptObservation
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.clock import wall_now
from supervisor.service.kiln_offset import evidence_along, offsets_of_kiln, paths_of

_EPILOG = """\
the tip of a cone is read as the hand of a clock: 12 upright, 3 sideways, 6 touching the shelf;
a cone that bends to the left is read as in a mirror.

cone 6 beside the middle thermocouple was half past three at twelve past seven:
    spyhole witness 2026-11-25-3f0c --cone 6 --clock 3:30 --channel middle --at 07:12
the kiln is open, and cone 7 on the top shelf stands:
    spyhole witness 2026-11-25-3f0c --cone 7 --clock upright --channel top --shelf "top shelf"
what was seen in a firing, beside what was calculated:
    spyhole witness 2026-11-25-3f0c
what all of it says of the kiln, and putting that in force:
    spyhole witness
    spyhole witness --accept middle

exit codes: 1 where the record, firing, cone, time or channel is not there, 3 where the record
can't be read or written.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Keeps what the real cones did in a firing, shows it beside the calculation, and\n"
        "estimates from all firings how far each thermocouple is off. Nothing of that counts\n"
        "until you accept it."
    )
    parser.epilog = _EPILOG
    parser.add_argument(
        "firing", nargs="?", help="the firing's id, or the beginning of it (spyhole log)"
    )
    parser.add_argument("--cone", metavar="C", help="the cone that was looked at, as 6 or 05.5")
    parser.add_argument(
        "--clock",
        metavar="TIP",
        help="its tip: 12 to 6 as 3 or 3:30, upright, touching, or just touching",
    )
    parser.add_argument("--channel", metavar="NAME", help="the thermocouple it stood beside")
    parser.add_argument("--shelf", metavar="TEXT", help="where it stood, in your own words")
    parser.add_argument(
        "--at",
        metavar="TIME",
        help="when: 07:12, or ISO 8601; default: the end of what is recorded",
    )
    parser.add_argument(
        "--elapsed", metavar="H:MM", help="when, in hours and minutes since the start"
    )
    parser.add_argument("--by", metavar="NAME", help="who looked")
    parser.add_argument(
        "--drop", type=int, metavar="NO", help="take back a look that was noted by mistake"
    )
    parser.add_argument(
        "--accept",
        metavar="CHANNEL",
        help="put the offset proposed for it in force, for firings that begin from now on",
    )
    parser.add_argument(
        "--withdraw", metavar="CHANNEL", help="let its offset be in force no longer"
    )
    parser.add_argument("--kiln", metavar="K", help="the kiln; needed where there are several")
    parser.add_argument("--units", choices=["C", "F"], help="scale to show; default: the firing's")
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    _must_go_together(options)
    folder = data_folder(options.data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f"no record is in {folder} yet: a firing that is watched makes one")
    if options.accept is not None or options.withdraw is not None:
        return _change(options, folder)
    if options.firing is None:
        return _show_kilns(options, folder)
    if options.cone is not None:
        return _add(options, folder)
    if options.drop is not None:
        return _drop(options, folder)
    return _show_firing(options, folder)


def _must_go_together(options: argparse.Namespace) -> None:
    looks = {f"--{name}": getattr(options, name) for name in ("cone", "clock", "drop")}
    looks |= {f"--{name}": getattr(options, name) for name in ("channel", "shelf", "at", "elapsed")}
    given = [name for name, value in looks.items() if value is not None]
    changes = [f"--{n}" for n in ("accept", "withdraw") if getattr(options, n) is not None]
    if options.firing is None and (given or options.by is not None):
        raise InputError(f"{(given or ['--by'])[0]} needs the firing: spyhole log lists them")
    if len(changes) == 2:
        raise InputError("--accept and --withdraw go one at a time")
    if changes and options.firing is not None:
        raise InputError(f"{changes[0]} goes without a firing: an offset belongs to the kiln")
    if options.kiln is not None and options.firing is not None:
        raise InputError("--kiln goes without a firing: the firing names its kiln")
    if options.drop is not None:
        if len(given) > 1 or options.by is not None:
            raise InputError("--drop goes alone with the firing")
    elif (options.cone is None) is not (options.clock is None) or (
        options.cone is None and (given or options.by is not None)
    ):
        raise InputError("a look at a cone needs both --cone and --clock, as --cone 6 --clock 3:30")
    if options.at is not None and options.elapsed is not None:
        raise InputError("--at and --elapsed both say when: give one of them")


def _add(options: argparse.Namespace, folder: Path) -> int:
    cone = cone_name(options.cone)
    if cone is None:
        raise InputError(
            f'--cone "{options.cone[:20]}": this is not a cone; allowed are "022" to "14", '
            f'half cones as "05.5" and "5.5"'
        )
    clock = parse_clock(options.clock)
    with Record.open_to_read(folder) as reader:
        firing = reader.firing(options.firing)
        channel = _channel_in(firing, options.channel)
        if reader.extent(firing.id) is None:
            raise InputError(f"firing {firing.id} has no readings to hold a cone against")
        times = FiringTimes(reader.readings(firing.id))
    if options.at is not None:
        elapsed_s = times.by_clock(options.at)
    elif options.elapsed is not None:
        elapsed_s = times.by_hours(options.elapsed)
    else:
        elapsed_s = times.last_s
    shelf = None if options.shelf is None else options.shelf.strip()
    seen = Observation(elapsed_s, cone, clock, channel, shelf)
    with Record.open(folder) as record:
        kept = record.add_observation(
            firing.id, seen, time=times.label_at(elapsed_s), by=options.by, written_label=_now()
        ).result()
        look = _looks(record, firing, [kept])[0]
    unit = _unit(options, firing)
    if options.json:
        print_json({"firing": firing.id, **look_json(look)})
        return 0
    print(f"Noted in firing {firing.id}, {firing.name}:\n")
    print("\n".join(look_lines([look], unit)))
    print()
    if look.channel is None:
        print(
            "It is kept, but says nothing of an offset: with --channel it would say something of\n"
            f"the thermocouple that it stood beside ({', '.join(firing.channels)})."
        )
    print(f"{WITNESS.capitalize()}.")
    return 0


def _drop(options: argparse.Namespace, folder: Path) -> int:
    with Record.open_to_read(folder) as reader:
        firing = reader.firing(options.firing)
    with Record.open(folder) as record:
        record.withdraw_observation(firing.id, options.drop).result()
    if options.json:
        print_json({"firing": firing.id, "dropped": options.drop})
    else:
        print(f"Look no. {options.drop} in firing {firing.id} counts no longer.")
    return 0


def _show_firing(options: argparse.Namespace, folder: Path) -> int:
    with Record.open_to_read(folder) as record:
        firing = record.firing(options.firing)
        looks = _looks(record, firing, record.observations(firing.id))
    unit = _unit(options, firing)
    if options.json:
        rows = [look_json(look) for look in looks]
        print_json({"firing": firing.id, "kiln": firing.kiln, "observations": rows})
    elif not looks:
        print(
            f"No look at a cone is noted in firing {firing.id} yet; note one with:\n"
            f"  spyhole witness {firing.id} --cone 6 --clock 3:30 --at 07:12"
        )
    else:
        print(f"Firing {firing.id}, {firing.kiln}, {firing.name}:\n")
        print("\n".join(look_lines(looks, unit)))
        print(f"\n{WITNESS.capitalize()}.")
    return 0


def _show_kilns(options: argparse.Namespace, folder: Path) -> int:
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


def _change(options: argparse.Namespace, folder: Path) -> int:
    channel = options.withdraw if options.accept is None else options.accept
    with Record.open_to_read(folder) as reader:
        units = _kilns(reader)
        kiln = _kiln(list(units), options.kiln)
        standings = {row.channel: row for row in _standings(reader, kiln)}
        known = _channels(reader, kiln)
    unit = Unit(options.units) if options.units else units[kiln]
    if channel not in known:
        raise InputError(f'kiln "{kiln}" has no channel "{channel}"; it has {", ".join(known)}')
    standing = standings.get(channel, Standing(channel, None, None))
    if options.accept is not None:
        return _accept(options, folder, kiln, standing, unit)
    if standing.accepted is None:
        raise InputError(f'no offset of channel "{channel}" of kiln "{kiln}" is in force')
    with Record.open(folder) as record:
        record.withdraw_offset(kiln, channel, label=_now()).result()
    if options.json:
        print_json({"kiln": kiln, "channel": channel, "in_force": None})
    else:
        was = signed(standing.accepted.offset.mean_c, unit)
        print(
            f"{kiln}, {channel}: {was} is no longer in force, for firings that begin from now on."
        )
    return 0


def _accept(
    options: argparse.Namespace, folder: Path, kiln: str, standing: Standing, unit: Unit
) -> int:
    offset, accepted = standing.offset, standing.accepted
    if offset is None:
        raise InputError(
            f'there is nothing to accept: no look at a cone tells of channel "{standing.channel}" '
            f'of kiln "{kiln}" yet'
        )
    if accepted is not None and is_same(offset, accepted.offset):
        raise InputError(
            f"there is nothing to accept: {signed(offset.mean_c, unit)} is in force for channel "
            f'"{standing.channel}" of kiln "{kiln}" already'
        )
    with Record.open(folder) as record:
        record.accept_offset(kiln, standing.channel, offset, label=_now()).result()
        in_force = record.offsets(kiln)[standing.channel]
    if options.json:
        document = standing_json(Standing(standing.channel, None, in_force))
        print_json({"kiln": kiln, "channel": standing.channel, "in_force": document["in_force"]})
        return 0
    print(
        f"{kiln}, {standing.channel}: {offset_text(offset, unit)} is in force, for firings that "
        f"begin from now on.\n"
    )
    print(legend(unit))
    return 0


def _looks(
    record: RecordReader, firing: Firing, observations: Sequence[KeptObservation]
) -> list[Look]:
    """Each look with what is calculated for its channel, without and with the offset in force."""
    placed = [(kept, channel_of(kept.seen, firing.channels)) for kept in observations]
    paths = paths_of(record, firing.id, {name for _, name in placed if name is not None})
    offsets_c = {
        name: accepted.offset.mean_c
        for name, accepted in record.offsets_at_start(firing.id).items()
    }
    changes = record.offset_changes(firing.id)
    looks = []
    for kept, channel in placed:
        if channel is None:
            looks.append(Look(kept))
            continue
        seen, path, cone = kept.seen, paths[channel], CONES[kept.seen.cone]
        offset_c = offsets_c.get(channel)
        for change in changes:
            if change.channel == channel and (change.elapsed_s or 0.0) <= seen.elapsed_s:
                offset_c = None if change.offset is None else change.offset.mean_c
        work = work_along(path, cone, until_s=seen.elapsed_s)
        corrected = None
        if offset_c is not None:
            corrected = work_along(path, cone, offset_c, until_s=seen.elapsed_s)
        looks.append(Look(kept, channel, work, corrected, evidence_along(path, seen)))
    return looks


def _standings(record: RecordReader, kiln: str) -> list[Standing]:
    """Every channel of the kiln of which there is something to say."""
    offsets, accepted = offsets_of_kiln(record, kiln), record.offsets(kiln)
    return [
        Standing(name, offsets.get(name), accepted.get(name))
        for name in _channels(record, kiln)
        if name in offsets or name in accepted
    ]


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


def _channel_in(firing: Firing, named: str | None) -> str | None:
    if named is not None and named not in firing.channels:
        raise InputError(
            f'firing {firing.id} has no channel "{named}"; it has {", ".join(firing.channels)}'
        )
    return firing.channels[0] if len(firing.channels) == 1 else named


def _unit(options: argparse.Namespace, firing: Firing) -> Unit:
    return Unit(options.units) if options.units else firing.units


def _now() -> str:
    return wall_now().isoformat(timespec="seconds")
