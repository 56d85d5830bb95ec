"""``spyhole log audit``: who wrote what on the page, from where."""

from __future__ import annotations

from pathlib import Path

from supervisor.commands.files import is_there
from supervisor.commands.output import print_json
from supervisor.record.audit import MOST_KEPT, KeptDeed
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_WORDS = {
    "acknowledge": "acknowledged an alert",
    "add_note": "wrote a note",
    "withdraw_note": "took a note back",
    "add_look": "entered a witness cone",
    "withdraw_look": "took a witness cone back",
    "accept_offset": "accepted an offset",
    "withdraw_offset": "withdrew an offset",
    "begin_log": "began the log",
    "end_log": "ended the log",
    "add_past_note": "wrote a note of a firing",
    "withdraw_past_note": "took a note of a firing back",
    "add_past_look": "entered a witness cone of a firing",
    "tell_of_firing": "told of a firing",
    "find_at_unloading": "entered findings",
    "keep_traced": "had findings traced",
    "withdraw_past_look": "took a witness cone of a firing back",
    "add_photo": "sent a photo",
    "withdraw_photo": "took a photo back",
    "save_plan": "saved a plan",
    "choose_next_plan": "chose the next plan",
    "sign_in": "signed in",
    "sign_out": "signed out",
    "sign_out_everywhere": "signed everybody out",
    "wrong_pin": "WRONG PIN, under this name",
    "pin_set": "set the PIN",
    "pin_removed": "took the PIN away",
}
"""What a deed is called; one that is not named here is shown as the page calls it."""
_NOBODY = "(no name)"


def show_audit(folder: Path, *, as_json: bool) -> int:
    """Print the whole trail, the oldest first; the exit code."""
    kept: list[KeptDeed] = []
    if is_there(folder / FILE_NAME):
        with Record.open_to_read(folder) as record:
            kept = record.deeds(MOST_KEPT)[::-1]
    if as_json:
        print_json([_document(one) for one in kept])
    elif not kept:
        print(f"Nobody has written anything on the page ({folder}) yet.")
    else:
        for one in kept:
            print(_line(one))
    return 0


def _document(kept: KeptDeed) -> dict[str, object]:
    deed = kept.deed
    return {
        "number": kept.number,
        "time": deed.time,
        "who": deed.who,
        "what": deed.what,
        "detail": dict(deed.detail),
        "address": deed.address,
        "firing": deed.firing,
    }


def _line(kept: KeptDeed) -> str:
    deed = kept.deed
    words = _WORDS.get(deed.what, deed.what)
    to_what = "".join(f" [{value}]" for value in deed.detail.values())
    firing = f", firing {deed.firing}" if deed.firing else ""
    return _plain(f"{deed.time}  {deed.who or _NOBODY}: {words}{to_what} ({deed.address}{firing})")


def _plain(text: str) -> str:
    """Without what a terminal would take for a command: a stranger may have sent it."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
