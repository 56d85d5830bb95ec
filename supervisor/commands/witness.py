"""``spyhole witness``: what the real cones did, and the offsets that follow from it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from supervisor.commands.files import data_folder, is_there
from supervisor.commands.firing_time import FiringTimes
from supervisor.commands.output import print_json
from supervisor.commands.witness_kiln import change, exchange, show_kilns
from supervisor.commands.witness_text import (
    Look,
    doubts,
    look_json,
    look_lines,
)
from supervisor.core.errors import InputError
from supervisor.core.heatwork import CONES
from supervisor.core.heatwork.cones import ALLOWED_CONES
from supervisor.core.heatwork.integral import work_along
from supervisor.core.heatwork.offset import Observation
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.schedule.parse import cone_name
from supervisor.core.units import Unit
from supervisor.core.watch.wording import WITNESS
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, KeptObservation
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.clock import wall_label
from supervisor.service.kiln_offset import (
    channels_told_of,
    paths_of,
    weighed,
)

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
the thermocouple called middle was exchanged, after the last firing or before the one named:
    spyhole witness --new-probe middle
    spyhole witness 2026-11-25-3f0c --new-probe middle

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
    parser.add_argument(
        "--new-probe",
        metavar="CHANNEL",
        help="its thermocouple was exchanged: only firings that begin from now on, or with FIRING "
        "that one and later ones, tell of it; the latest word counts",
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
    if options.new_probe is not None:
        return exchange(options, folder)
    if options.accept is not None or options.withdraw is not None:
        return change(options, folder)
    if options.firing is None:
        return show_kilns(options, folder)
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
    if options.new_probe is not None:
        if given or changes or options.by is not None:
            raise InputError("--new-probe goes alone, or with the firing since which it is new")
        if options.kiln is not None and options.firing is not None:
            raise InputError("--kiln goes without a firing: the firing names its kiln")
        return
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
            f'--cone "{options.cone[:20]}": this is not a cone; allowed are {ALLOWED_CONES}'
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
            firing.id,
            seen,
            time=times.label_at(elapsed_s),
            by=options.by,
            written_label=wall_label(),
        ).result()
        looks = _looks(record, firing, record.observations(firing.id))
        look = next(look for look in looks if look.kept.id == kept.id)
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
    if look.doubt is not None:
        print(f"{look.doubt}\nTake a look back with: spyhole witness {firing.id} --drop NO\n")
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
        for doubt in doubts(looks):
            print(f"\n{doubt}")
        print(f"\n{WITNESS.capitalize()}.")
    return 0


def _looks(
    record: RecordReader, firing: Firing, observations: Sequence[KeptObservation]
) -> list[Look]:
    """Each look with what is calculated for its channel, without and with the offset in force."""
    channels = channels_told_of(observations, firing.channels)
    paths = paths_of(record, firing.id, channels)
    offsets_c = {
        name: accepted.now(firing.configured_offsets_c.get(name, 0.0)).mean_c
        for name, accepted in record.offsets_at_start(firing.id).items()
    }
    changes = record.offset_changes(firing.id)
    looks = []
    for one in weighed(observations, firing.channels, paths):
        kept, channel = one.kept, one.channel
        if channel is None:
            looks.append(Look(kept, doubt=one.doubt))
            continue
        seen, path, cone = kept.seen, paths[channel], CONES[kept.seen.cone]
        offset_c = offsets_c.get(channel)
        for one_change in changes:
            if one_change.channel == channel and (one_change.elapsed_s or 0.0) <= seen.elapsed_s:
                offset_c = None if one_change.offset is None else one_change.offset.mean_c
        work = work_along(path, cone, until_s=seen.elapsed_s)
        corrected = None
        if offset_c is not None:
            corrected = work_along(path, cone, offset_c, until_s=seen.elapsed_s)
        looks.append(Look(kept, channel, work, corrected, one.evidence, one.doubt))
    return looks


def _channel_in(firing: Firing, named: str | None) -> str | None:
    if named is not None and named not in firing.channels:
        raise InputError(
            f'firing {firing.id} has no channel "{named}"; it has {", ".join(firing.channels)}'
        )
    return firing.channels[0] if len(firing.channels) == 1 else named


def _unit(options: argparse.Namespace, firing: Firing) -> Unit:
    return Unit(options.units) if options.units else firing.units
