"""``spyhole pin``: sets, changes or takes away the PIN that the page asks for."""

from __future__ import annotations

import argparse
import getpass
import sys
from pathlib import Path

from supervisor.commands.asking import read_secret
from supervisor.commands.files import data_folder, is_there
from supervisor.core.errors import InputError, SpyholeError
from supervisor.record.audit import NewDeed
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record
from supervisor.service.clock import wall_label
from supervisor.service.page_keys import PIN_FILE, remove_pin, write_pin
from web.access.pin import cleaned, hashed, must_be_strong

_EPILOG = """\
The PIN is read from the terminal, where it isn't shown, or from the first line of stdin; never
from the command line, which others can see. What is kept is its hash (scrypt), in a file beside
the record that only its owner reads. A daemon that runs takes it within a second.

examples:
  spyhole pin                                      asks twice, and again for what won't do
  sudo spyhole pin --data /var/lib/spyhole         for the installed service
  spyhole pin --remove                             no PIN: only this machine may write

exit codes: 1 for a PIN on stdin that is too easy to guess, 3 where it can't be kept.
"""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Sets or changes the PIN with which people sign in on the page to write there (and to\n"
        "read, if [page] reading says so). Everybody who was signed in signs in anew with it."
    )
    parser.epilog = _EPILOG
    parser.add_argument("--remove", action="store_true", help="take the PIN away")
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")


def run(options: argparse.Namespace) -> int:
    folder = data_folder(options.data)
    if options.remove:
        if not remove_pin(folder):
            print(f"There was no PIN ({folder}).")
            return 0
        _note(folder, "pin_removed")
        print("There is no PIN any more: only this machine may write on the page.")
        return 0
    is_change = is_there(folder / PIN_FILE)
    path = write_pin(folder, hashed(_asked()))
    _note(folder, "pin_set")
    print(f"The PIN is {'changed' if is_change else 'set'} (its hash: {path}).")
    print("Sign in with it on the page; whoever was signed in does so anew.")
    return 0


def _asked() -> str:
    """The new PIN; a person at a terminal is asked again for one that won't do."""
    while True:
        try:
            pin = must_be_strong(read_secret("New PIN (it isn't shown): "))
            if sys.stdin.isatty() and cleaned(read_secret("Once more: ")) != pin:
                raise InputError("the two are not the same: try again")
        except EOFError:
            raise InputError("no PIN was given: type it, or give it as a line on stdin") from None
        except InputError as error:
            if not sys.stdin.isatty():
                raise
            print(f"  {error}", file=sys.stderr)
        else:
            return pin


def _note(folder: Path, what: str) -> None:
    """Keep it in the trail, where there is a record; the PIN counts all the same."""
    if not is_there(folder / FILE_NAME):
        return
    try:
        who = getpass.getuser()
    except (KeyError, OSError):  # a user without a name
        who = None
    try:
        with Record.open(folder) as record:
            deed = NewDeed(wall_label(), what, who, "terminal")
            record.add_deed(deed).result(10.0)
    except (SpyholeError, TimeoutError) as error:
        print(f"That could not be written into the record's trail: {error}", file=sys.stderr)
