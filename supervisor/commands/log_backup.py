"""``spyhole log backup``: the record copied to a file while it is written."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from supervisor.commands.files import is_there
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.record.backup import PHOTOS_SUFFIX, back_up
from supervisor.record.room import show_bytes
from supervisor.record.schema import FILE_NAME


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Copies the whole record to FILE, safely while the daemon writes: the copy is whole and "
        "checked before it gets its name, and an older copy of that name stays until then. Photos "
        f"go beside it, into FILE{PHOTOS_SUFFIX}; those that are there are not copied again."
    )
    parser.epilog = "to put a copy back: stop spyhole, `spyhole log restore FILE`, start it."
    parser.add_argument("file", type=Path, metavar="FILE", help="the copy, such as kiln.sqlite3")


def run(options: argparse.Namespace, folder: Path) -> int:
    if not is_there(folder / FILE_NAME):
        raise InputError(f"there is no record in {folder} yet")
    found = back_up(folder / FILE_NAME, options.file)
    if found.photos_missing:
        print(
            f"spyhole log: warning: the files of {found.photos_missing} photos are gone and in no "
            "copy: see `spyhole log check`",
            file=sys.stderr,
        )
    if options.json:
        print_json(
            {
                "file": str(options.file),
                "firings": found.firings,
                "bytes": found.bytes,
                "photos": found.photos,
                "photos_missing": found.photos_missing,
            }
        )
    else:
        photos = f" and {found.photos:,} photos" if found.photos else ""
        print(f"{options.file}: {found.firings:,} firings{photos}, {show_bytes(found.bytes)}")
    return 0
