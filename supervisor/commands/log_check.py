"""``spyhole log check``: whether the record is sound; and what can be saved of one that is not."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from supervisor.commands.files import is_there
from supervisor.commands.output import print_json
from supervisor.core.errors import InputError
from supervisor.record.checking import Checked, check
from supervisor.record.repair import Repaired, repair
from supervisor.record.room import room_of, show_bytes
from supervisor.record.schema import FILE_NAME
from supervisor.service.alone import alone_in

_DAMAGED = 3


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Reads every page and every reading of the record and says what is wrong with it, also "
        "while the daemon writes. With --repair what can be read is saved into a new file in its "
        "place; the old file is kept beside it, and what was lost is said."
    )
    parser.epilog = "exit codes: 0 sound (or repaired), 1 no record is there, 3 it is damaged"
    parser.add_argument(
        "--repair",
        action="store_true",
        help="save what can be saved into a new file; stop spyhole first",
    )


def run(options: argparse.Namespace, folder: Path) -> int:
    path = folder / FILE_NAME
    if not is_there(path):
        raise InputError(f"there is no record in {folder} yet")
    if options.repair:
        with alone_in(folder):
            return _repair(options, path)
    checked = check(path)
    if options.json:
        print_json(
            {
                "is_sound": not checked.wrong,
                "firings": checked.firings,
                "readings": checked.readings,
                "photos": checked.photos,
                "bytes": room_of(path).record_bytes,
                "wrong": list(checked.wrong),
                "odd": list(checked.odd),
            }
        )
    else:
        _show(checked, path)
    return _DAMAGED if checked.wrong else 0


def _show(checked: Checked, path: Path) -> None:
    for line in checked.wrong:
        print(f"wrong: {line}")
    for line in checked.odd:
        print(f"odd, but harmless: {line}")
    photos = f", {checked.photos:,} photos" if checked.photos else ""
    looked_at = f"{checked.firings:,} firings, {checked.readings:,} readings{photos}"
    if checked.wrong:
        print(
            f"\n{path} is damaged ({looked_at} looked at). Make a copy of the folder, stop "
            "spyhole, and let `spyhole log check --repair` save what can be; or put a backup back."
        )
    else:
        print(f"{path} is sound: {looked_at}, {show_bytes(room_of(path).record_bytes)}.")


def _repair(options: argparse.Namespace, path: Path) -> int:
    done: Repaired = repair(path, time.strftime("%Y%m%d-%H%M%S"))
    if options.json:
        print_json(
            {
                "firings": done.firings,
                "readings": done.readings,
                "old": str(done.kept_old),
                "lost": list(done.lost),
            }
        )
        return 0
    for line in done.lost:
        print(f"lost: {line}")
    if not done.lost:
        print("Nothing was lost.")
    print(
        f"{path}: {done.firings:,} firings and {done.readings:,} readings are saved. The old file "
        f"is {done.kept_old.name} beside it: delete it when you need it no more."
    )
    return 0
