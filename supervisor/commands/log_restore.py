"""``spyhole log restore``: a backup put in the place of the record."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from supervisor.commands.output import print_json
from supervisor.record.backup import PHOTOS_SUFFIX
from supervisor.record.restore import backup_at, restore
from supervisor.record.schema import FILE_NAME
from supervisor.service.alone import alone_in


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Puts a backup (spyhole log backup) in the place of the record: stop spyhole first. The "
        "backup is copied and read to its last reading before anything is changed, and the record "
        "that was there is kept beside it, as record.sqlite3.before-<date>. Photos come from "
        f"FILE{PHOTOS_SUFFIX}; none that is there is lost. Messages that were waiting for the "
        "broker when the backup was made are not sent any more."
    )
    parser.epilog = (
        "on a Pi with the service:\n"
        "  sudo systemctl stop spyhole\n"
        "  sudo spyhole log restore /media/usb/kiln.sqlite3 --data /var/lib/spyhole\n"
        "  sudo systemctl start spyhole\n\n"
        "exit codes: 1 no backup is there, 3 it is damaged, spyhole is watching, or the disk "
        "refuses; the record is as it was then"
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="the backup, such as kiln.sqlite3")


def run(options: argparse.Namespace, folder: Path) -> int:
    # What is no backup is refused before a folder is made for it.
    backup_at(options.file, folder / FILE_NAME)
    with alone_in(folder):
        done = restore(options.file, folder, time.strftime("%Y%m%d-%H%M%S"))
    if done.photos_missing:
        print(
            f"spyhole log: warning: the files of {done.photos_missing} photos are neither here "
            "nor in the backup",
            file=sys.stderr,
        )
    if options.json:
        print_json(
            {
                "firings": done.firings,
                "readings": done.readings,
                "photos": done.photos,
                "photos_missing": done.photos_missing,
                "unsent": done.unsent,
                "old": None if done.kept_old is None else str(done.kept_old),
            }
        )
        return 0
    photos = f", {done.photos:,} photos" if done.photos else ""
    print(
        f"{folder / FILE_NAME}: {done.firings:,} firings, {done.readings:,} readings{photos} are "
        f"back from {options.file}."
    )
    if done.unsent:
        print(f"Messages that were waiting in it and are not sent any more: {done.unsent:,}.")
    if done.kept_old is not None:
        print(
            f"The record that was there is {done.kept_old.name} beside it: delete it when you need "
            "it no more, or put it back with this same command."
        )
    return 0
