"""``spyhole report``: one firing of the record, written to a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from supervisor.commands.files import data_folder, is_there
from supervisor.core.errors import InputError
from supervisor.core.units import Unit
from supervisor.picture.paper import Paper, usual_paper
from supervisor.picture.sheets import Sheet
from supervisor.picture.thumbnail import can_shrink, thumbnail
from supervisor.picture.write_report import DRAWN, write_report
from supervisor.record.export import export_csv, export_json
from supervisor.record.papers import OFTEN_S, papers_of
from supervisor.record.photos import PhotoFiles
from supervisor.record.reviewed import facts_of
from supervisor.record.schema import FILE_NAME
from supervisor.record.store import Record

_ENDINGS = (*DRAWN, ".csv", ".json")


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Writes one firing to a file. .html and .pdf are the report: chart, steps planned and "
        "fired, cones calculated and seen, what the ware went through, warnings and how they were "
        "handled, notes; .svg and .png are its sheet for the wall. .csv is the log, which replay "
        "takes back; .json is all there is of the firing, its facts among it, in °C and seconds "
        "(JSON Schema: supervisor/record/firing.schema.json)."
    )
    parser.epilog = (
        "exit codes: 1 where the record, or the firing in it, is not there; 3 where the record "
        "can't be read or the file can't be written."
    )
    parser.add_argument("firing", help="the firing's id, or the beginning of it (spyhole log)")
    parser.add_argument("--out", required=True, type=Path, metavar="FILE", help=" ".join(_ENDINGS))
    parser.add_argument(
        "--sheet",
        choices=[sheet.value for sheet in Sheet],
        help="wall: the most important on one sheet; binder: everything, on as many as it takes; "
        "default: binder, for .svg and .png wall",
    )
    parser.add_argument(
        "--paper",
        choices=[paper.value for paper in Paper],
        help="size of the sheets; default: letter for a firing in °F, else a4",
    )
    parser.add_argument(
        "--units",
        choices=["C", "F"],
        help="scale of the report and of a .csv; default: the firing's own, for a .csv C, which "
        "alone is true to the last digit",
    )
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")


def run(options: argparse.Namespace) -> int:
    ending = options.out.suffix.lower()
    if ending not in _ENDINGS:
        raise InputError(
            f"a report can't be written as {ending or 'a file without an ending'}; "
            f"give a name that ends in {', '.join(_ENDINGS[:-1])} or {_ENDINGS[-1]}",
            where=str(options.out),
        )
    folder = data_folder(options.data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f'there is no firing "{options.firing}": no record is in {folder} yet')
    with Record.open_to_read(folder) as record:
        firing = record.firing(options.firing)
        unit = Unit(options.units) if options.units else None
        if ending == ".csv":
            export_csv(record, firing.id, options.out, units=unit or Unit.C)
        elif ending == ".json":
            facts = facts_of(record, firing, every_s=OFTEN_S)
            export_json(record, firing.id, options.out, facts)
        else:
            papers = papers_of(
                record,
                firing,
                unit,
                photos=PhotoFiles(folder),
                shrink=thumbnail if can_shrink() else None,
            )
            write_report(options.out, papers, _sheet(options, ending), _paper(options, papers.unit))
    print(f"{options.out}: firing {firing.id}")
    return 0


def _sheet(options: argparse.Namespace, ending: str) -> Sheet:
    if options.sheet is not None:
        return Sheet(options.sheet)
    return Sheet.WALL if ending in (".svg", ".png") else Sheet.BINDER


def _paper(options: argparse.Namespace, unit: Unit) -> Paper:
    return Paper(options.paper) if options.paper is not None else usual_paper(unit)
