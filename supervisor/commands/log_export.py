"""``spyhole log export``: firings written as logs, one or all of them."""

from __future__ import annotations

import argparse
import re
from datetime import date
from pathlib import Path

from supervisor.commands.files import is_there
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError, PeerError
from supervisor.core.units import Unit
from supervisor.record.export import export_csv, export_json
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_DAY = re.compile(r"\d{4}-\d\d-\d\d")


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Writes firings into a folder, each as a log (ID.csv) that replay and `log add` take, or "
        "with --whole as all there is of it (ID.json). A file that is there is written anew."
    )
    parser.add_argument("firing", nargs="*", help="ids, or their beginnings (spyhole log)")
    parser.add_argument("--all", metavar="DIR", type=Path, help="every firing, into this folder")
    parser.add_argument("--into", metavar="DIR", type=Path, help="these firings, into this folder")
    parser.add_argument("--whole", action="store_true", help="as .json, with everything")
    parser.add_argument("--units", choices=["C", "F"], default="C", help="scale of a .csv")


def run(options: argparse.Namespace, folder: Path) -> int:
    target = options.all or options.into
    if (
        target is None
        or (options.all is None) == (not options.firing)
        or (options.all is not None and options.into is not None)
    ):
        raise InputError(
            "say `spyhole log export --all DIR`, or name firings: "
            "spyhole log export FIRING … --into DIR"
        )
    if not is_there(folder / FILE_NAME):
        raise InputError(f"there is no record in {folder} yet")
    _make(target)
    written = []
    with Record.open_to_read(folder) as record:
        firings = (
            record.firings() if options.all else [record.firing(name) for name in options.firing]
        )
        for firing in firings:
            if record.extent(firing.id) is None:
                continue
            if options.whole:
                path = target / f"{firing.id}.json"
                export_json(record, firing.id, path)
            else:
                path = target / f"{firing.id}.csv"
                export_csv(record, firing.id, path, units=Unit(options.units))
            written.append(path)
            if not options.json:
                print(path)
    if options.json:
        print_json([str(path) for path in written])
    elif not written:
        print("There is no firing with readings to write.")
    return 0


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise InputError("this is a file; give the name of a folder", where=str(folder)) from None
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no folder can have that name"
        raise PeerError(f"{folder}: the folder can't be made ({why})") from None


def must_be_a_day(text: str, option: str) -> None:
    """Raise InputError unless it is a day such as 2026-11-25."""
    try:
        if _DAY.fullmatch(text):
            date.fromisoformat(text)
            return
    except ValueError:
        pass
    raise InputError(f"{option} {text}: give a day, such as 2026-11-25")
