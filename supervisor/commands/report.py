"""``spyhole report``: one firing of the record, written to a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from supervisor.commands.files import data_folder, is_there
from supervisor.core.errors import InputError
from supervisor.core.units import Unit
from supervisor.record.export import export_csv, export_json
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_ENDINGS = (".csv", ".json")


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Writes one firing to a file: .csv is its log, which replay takes back; .json is all "
        "there is of it."
    )
    parser.epilog = (
        "exit codes: 1 where the record, or the firing in it, is not there; 3 where the record "
        "can't be read or the file can't be written."
    )
    parser.add_argument("firing", help="the firing's id, or the beginning of it (spyhole log)")
    parser.add_argument("--out", required=True, type=Path, metavar="FILE", help=".csv or .json")
    parser.add_argument("--units", choices=["C", "F"], default="C", help="scale of a .csv")
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")


def run(options: argparse.Namespace) -> int:
    ending = options.out.suffix.lower()
    if ending not in _ENDINGS:
        raise InputError(
            f"a report can't be written as {ending or 'a file without an ending'}; "
            f"give a name that ends in {' or '.join(_ENDINGS)}",
            where=str(options.out),
        )
    folder = data_folder(options.data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f'there is no firing "{options.firing}": no record is in {folder} yet')
    with Record.open_to_read(folder) as record:
        firing = record.firing(options.firing)
        if ending == ".csv":
            export_csv(record, firing.id, options.out, units=Unit(options.units))
        else:
            export_json(record, firing.id, options.out)
    print(f"{options.out}: firing {firing.id}")
    return 0
