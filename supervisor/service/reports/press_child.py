"""Makes one report from the record and ends.

Run by ``press`` with its order on stdin; answers on stdout with one line of JSON and, where there
is a report, its bytes behind it, compressed. Looks into the record and changes nothing. What goes
wrong and nobody foresaw is told on stderr, which is the daemon's own.
"""

from __future__ import annotations

import gzip
import json
import sys
from pathlib import Path
from typing import Any

from supervisor.core.errors import InputError, SpyholeError
from supervisor.core.units import Unit
from supervisor.picture.page import style_hash
from supervisor.picture.paper import Paper, usual_paper
from supervisor.picture.sheets import Sheet
from supervisor.picture.thumbnail import can_shrink, thumbnail
from supervisor.picture.write_report import drawn_report
from supervisor.record.looking import RecordReader
from supervisor.record.papers import papers_of
from supervisor.record.photos import PhotoFiles
from supervisor.service.manners import stand_back


def work(order: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    """Do what is ordered: the answer's line, and the report."""
    with RecordReader.open_to_read(Path(order["record"])) as record:
        try:
            firing = record.firing(order["firing"])
        except InputError as error:
            return {"why": str(error), "is_unknown": True}, b""
        if firing.id != order["firing"]:
            why = f'there is no firing "{order["firing"]}" in the record'
            return {"why": why, "is_unknown": True}, b""
        papers = papers_of(
            record,
            firing,
            Unit(order["units"]) if order["units"] else None,
            photos=PhotoFiles(Path(order["photos"])),
            shrink=thumbnail if can_shrink() else None,
        )
    paper = Paper(order["paper"]) if order["paper"] else usual_paper(papers.unit)
    made = drawn_report(f".{order['form']}", papers, Sheet(order["sheet"]), paper)
    style = style_hash(made.decode()) if order["form"] == "html" else None
    return {"style": style}, gzip.compress(made, mtime=0)


def main() -> None:
    """Take the order from stdin, answer on stdout."""
    stand_back()
    order: dict[str, Any] = json.load(sys.stdin)
    try:
        answer, data = work(order)
    except SpyholeError as error:
        answer, data = {"why": str(error), "is_unknown": False}, b""
    sys.stdout.buffer.write(json.dumps(answer).encode() + b"\n" + data)
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
