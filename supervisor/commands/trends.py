"""``spyhole trends``: what changes from firing to firing, before it costs a load."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from functools import partial

from supervisor.commands.files import data_folder, is_there
from supervisor.commands.numbers import count_number
from supervisor.commands.output import Progressing, print_json
from supervisor.core.errors import InputError
from supervisor.core.review import document_of
from supervisor.core.trends import FiringPoint, Trend, say, trends_of
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from supervisor.record.followed import all_followed
from supervisor.record.looking import RecordReader
from supervisor.record.schema import FILE_NAME

USUAL_FIRINGS = 40
"""So many firings back are looked at; older ones tell of another kiln."""


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Looks through a kiln's firings, oldest first, for what changes: how fast it still\n"
        "climbs when it is hot (elements, burners), how far each thermocouple reads from the\n"
        "real cones, how even it is, how late it gets, energy, stalls. It warns before a load\n"
        "is lost, and says how sure it is; from five firings on a trend can be told.\n\n"
        "Energy is taken from notes such as “energy 84 kWh”, or “meter 10234.5 kWh” at the\n"
        "beginning and at the end of a firing."
    )
    parser.epilog = "after new elements: spyhole trends --since FIRING, the first one with them"
    parser.add_argument("--kiln", metavar="NAME", help="the kiln; default: every kiln")
    parser.add_argument("--since", metavar="FIRING", help="only from this firing on")
    parser.add_argument(
        "--last",
        type=count_number,
        default=USUAL_FIRINGS,
        metavar="N",
        help=f"look at so many firings back (default {USUAL_FIRINGS})",
    )
    parser.add_argument(
        "--warnings",
        action="store_true",
        help="only what is worth a warning: where nothing is, print nothing",
    )
    parser.add_argument("--data", metavar="DIR", help="folder of the record; default: SPYHOLE_DATA")
    parser.add_argument("--units", choices=["C", "F"], help="scale of the text")
    parser.add_argument("--json", action="store_true", help="one JSON document on stdout")


def run(options: argparse.Namespace) -> int:
    folder = data_folder(options.data)
    if not is_there(folder / FILE_NAME):
        raise InputError(f"there is no firing to look at: no record is in {folder} yet")
    documents = []
    with RecordReader.open_to_read(folder) as record:
        units = {firing.kiln: firing.units for firing in reversed(record.firings())}
        since = None if options.since is None else record.firing(options.since)
        kiln = options.kiln if since is None else since.kiln
        if options.kiln is not None and options.kiln not in units:
            raise InputError(
                f'there is no kiln "{options.kiln[:60]}" in the record; it has {", ".join(units)}'
            )
        if since is not None and options.kiln not in (None, since.kiln):
            raise InputError(f'firing {since.id} is of kiln "{since.kiln}"')
        for name, unit in units.items():
            if kiln not in (None, name):
                continue
            history = record.seen_in_kiln(name)
            if since is not None:
                places = [seen.firing.id for seen in history]
                history = history[places.index(since.id) :] if since.id in places else []
            looked_at = history[-options.last :]
            progress = Progressing("looked at")
            told = partial(progress.at, unit=f"of {len(looked_at)} firings")
            points = all_followed(record, name, looked_at, told)
            progress.end()
            trends = trends_of(points)
            if options.warnings:
                trends = tuple(one for one in trends if one.is_worth_a_warning)
                if not trends and not options.json:
                    continue
            if options.json:
                documents.append(_document(name, points, trends))
            else:
                words = Words(Unit(options.units) if options.units else unit)
                print("\n".join(_lines(name, points, trends, words)))
    if options.json:
        print_json({"kilns": documents})
    return 0


def _document(
    kiln: str, points: Sequence[FiringPoint], trends: Sequence[Trend]
) -> dict[str, object]:
    return {
        "kiln": kiln,
        "firings": document_of(points),
        "trends": [
            {
                **document_of(trend),
                "said": {unit.value: say(trend, Words(unit)) for unit in Unit},
            }
            for trend in trends
        ],
    }


def _lines(
    kiln: str, points: Sequence[FiringPoint], trends: Sequence[Trend], words: Words
) -> list[str]:
    firings = "1 firing" if len(points) == 1 else f"{len(points)} firings"
    lines = [f"{kiln}: {firings}" + (f", {_span(points)}" if points else "")]
    if not trends:
        lines.append("  Nothing to tell yet.")
    for trend in sorted(trends, key=lambda one: not one.is_worth_a_warning):
        first, *others = say(trend, words)
        mark = "!" if trend.is_worth_a_warning else "-"
        lines.append(f"  {mark} {first}")
        lines += [f"    {other}" for other in others]
    lines.append("")
    return lines


def _span(points: Sequence[FiringPoint]) -> str:
    return f"{points[0].firing} to {points[-1].firing}"
