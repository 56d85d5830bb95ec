"""``spyhole log``: the firings in the record; logs taken in and given out; the record itself."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

from supervisor.commands import log_add, log_backup, log_check, log_export, log_restore
from supervisor.commands.audit import show_audit
from supervisor.commands.columns import describe_columns
from supervisor.commands.files import data_folder, is_there
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.core.heatwork.cones import ALLOWED_CONES
from supervisor.core.schedule.parse import cone_name
from supervisor.core.watch.wording import show_clock
from supervisor.record.archive import MOST_FOUND, Wanted
from supervisor.record.fired_in_order import fired_in_order
from supervisor.record.looking import RecordReader
from supervisor.record.room import room_of
from supervisor.record.rows import Extent, Firing, Mode
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_EPILOG = """\
examples:
  spyhole log                               the firings, the latest first
  spyhole log --search tenmoku --cone 10    those that went so
  spyhole log add old.csv --schedule bisque take a recorded log in
  spyhole log export --all firings          every firing as a log (CSV), in the folder `firings`
  spyhole log backup /media/usb/kiln.sqlite3
  spyhole log restore /media/usb/kiln.sqlite3
  spyhole log check                         whether the record is sound; --repair saves what can be

All but `restore` and `check --repair` may be done while the daemon watches. Each action explains
itself: spyhole log ACTION --help
exit codes: 0 done, 1 bad input, 2 wrong usage, 3 the record is damaged or the disk refuses
"""

_ACTIONS = {
    "add": (log_add, "take a recorded log (CSV) in"),
    "export": (log_export, "write firings as logs (CSV), one or all"),
    "backup": (log_backup, "copy the record to a file, whole or not at all"),
    "restore": (log_restore, "put a backup in the place of the record, which is kept"),
    "check": (log_check, "look whether the record is sound, and repair it"),
}


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Lists the firings in the record, the latest first, and says how much room it takes."
    )
    parser.epilog = _EPILOG
    _describe_shared(parser, default=None)
    _describe_list(parser)
    actions = parser.add_subparsers(dest="action", metavar="ACTION", title="actions")
    listing = actions.add_parser("list", help="list the firings (as without an action)")
    listing.add_argument("log", nargs="?", type=Path, help=argparse.SUPPRESS)
    _describe_shared(listing)
    _describe_list(listing, default=argparse.SUPPRESS)
    trail = actions.add_parser("audit", help="tell who wrote what on the page, and from where")
    trail.add_argument("log", nargs="?", type=Path, help=argparse.SUPPRESS)
    _describe_shared(trail)
    for name, (module, what) in _ACTIONS.items():
        action = actions.add_parser(
            name, help=what, formatter_class=argparse.RawDescriptionHelpFormatter
        )
        module.describe(action)
        _describe_shared(action)


def _describe_shared(
    parser: argparse.ArgumentParser, default: str | None = argparse.SUPPRESS
) -> None:
    parser.add_argument(
        "--data",
        metavar="DIR",
        default=default,
        help="folder of the record; default: SPYHOLE_DATA",
    )
    parser.add_argument(
        "--json",
        action="store_true",
        default=False if default is None else argparse.SUPPRESS,
        help="one JSON document on stdout",
    )


def _describe_list(parser: argparse.ArgumentParser, default: str | None = None) -> None:
    for option, what_it_is, help_text in (
        ("--search", "WORDS", "words in name, kiln, plan, notes, findings"),
        ("--kiln", "NAME", "only of this kiln"),
        ("--since", "DAY", "begun on that day or later"),
        ("--until", "DAY", "begun on that day or before"),
        ("--cone", "CONE", "the hardest cone down by calculation"),
    ):
        parser.add_argument(option, metavar=what_it_is, default=default, help=help_text)
    # It belongs to `add`, and is told so in one sentence.
    describe_columns(parser, is_shown=False, default=default)


def run(options: argparse.Namespace) -> int:
    folder = data_folder(options.data)
    if options.action in _ACTIONS:
        module, _ = _ACTIONS[options.action]
        code: int = module.run(options, folder)
        return code
    if getattr(options, "log", None) is not None:
        raise InputError(
            f"`spyhole log {options.action}` takes no file; did you mean `spyhole log add`?"
        )
    if options.columns is not None:
        raise InputError("--columns goes with `spyhole log add`")
    if options.action == "audit":
        return show_audit(folder, as_json=options.json)
    wanted = _wanted(options)
    is_record = is_there(folder / FILE_NAME)
    rows = []
    if is_record:
        with Record.open_to_read(folder) as record:
            rows = _rows(record, wanted)
    if options.json:
        print_json(rows)
    elif not is_record or (wanted is None and not rows):
        print(f"There is no firing in the record ({folder}) yet.")
    elif not rows:
        print("No firing matches.")
    else:
        for row in rows:
            _show(row)
    if is_record:
        _tell_room(folder, is_told=not options.json and bool(rows))
    return 0


def _wanted(options: argparse.Namespace) -> Wanted | None:
    """What is looked for; None where everything is."""
    if not any((options.search, options.kiln, options.since, options.until, options.cone)):
        return None
    for name in ("since", "until"):
        day = getattr(options, name)
        if day is not None:
            log_export.must_be_a_day(day, f"--{name}")
    cone = options.cone
    if cone is not None:
        cone = cone_name(cone)
        if cone is None:
            raise InputError(f"--cone {options.cone}: allowed are {ALLOWED_CONES}")
    return Wanted(
        options.search or "",
        options.kiln,
        options.since,
        options.until,
        cone,
        limit=MOST_FOUND,
    )


def _rows(record: RecordReader, wanted: Wanted | None) -> list[dict[str, Any]]:
    found: list[Firing] = []
    while True:
        page = record.find(replace(wanted or Wanted(limit=MOST_FOUND), offset=len(found)))
        found += [one.firing for one in page.firings]
        if not page.firings or len(found) >= page.total:
            break
    if wanted is None:
        # One that waits for its climb is told of too.
        ids = {firing.id for firing in found}
        found = [one for one in record.firings() if one.is_open or one.id in ids]
        found = fired_in_order(reversed(found))[::-1]
    return [_row(record, firing) for firing in found]


def _row(record: RecordReader, firing: Firing) -> dict[str, Any]:
    found = record.found(firing)
    extent, summary = found.extent, found.summary
    return {
        "id": firing.id,
        "kiln": firing.kiln,
        "name": firing.name,
        "mode": firing.mode.value,
        "state": _state(firing, extent),
        "started_at": firing.started_label,
        "length_s": None if extent is None else extent.last_s - extent.first_s,
        "readings": 0 if extent is None else extent.readings,
        "channels": list(firing.channels),
        "critical": found.alerts.get("critical", 0),
        "warnings": found.alerts.get("warning", 0),
        "peak_c": None if summary is None else summary.peak_c,
        "cone": None if summary is None else summary.cone,
    }


def _state(firing: Firing, extent: Extent | None) -> str:
    """``armed`` where nothing is kept until the kiln climbs."""
    if not firing.is_open:
        return "closed"
    return "armed" if extent is None and firing.mode is Mode.LIVE else "open"


def _show(row: dict[str, Any]) -> None:
    hours = show_clock(row["length_s"]) if row["length_s"] is not None else "-"
    cone = "" if row["cone"] is None else f"cone {row['cone']}"
    told = "critical" if row["critical"] else "warned" if row["warnings"] else ""
    print(
        f"{row['id']}  {row['started_at'] or '':<16.16} {row['kiln']:<14.14} "
        f"{row['state']:<7} {hours:>6} h  {cone:<9} {told:<8} {row['name']}"
    )


def _tell_room(folder: Path, *, is_told: bool) -> None:
    """How much room the record takes; and, whatever was asked for, when it is getting tight."""
    room = room_of(folder / FILE_NAME)
    if is_told:
        print(f"\n{room.sentence()}")
    warning = room.warning()
    if warning is not None:
        print(f"spyhole log: warning: {warning}", file=sys.stderr)
