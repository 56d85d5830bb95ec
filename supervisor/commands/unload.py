"""``spyhole unload``: what came out of the kiln, traced to what the firing's record shows."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from supervisor.commands.defects_kept import keep_result, keep_ticks
from supervisor.commands.looked_back import describe_firing, looked_back, split_list
from supervisor.commands.output import hanging, print_json
from supervisor.core.defects import DEFECTS, Traced, Verdict, defect_of, trace_defects
from supervisor.core.errors import InputError
from supervisor.core.review import document_of

_HEADINGS = {
    Verdict.SUPPORTED: "the firing speaks for",
    Verdict.UNKNOWN: "can't be told",
    Verdict.RULED_OUT: "the firing speaks against",
}


def describe(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "Tells, for each defect that you found on unloading, which causes in the firing its\n"
        "record speaks for, which it speaks against and which it can't tell, with the figures;\n"
        "and names the causes outside the firing, of which spyhole knows nothing.\n\n"
        "What you tick is kept with the firing, and what it was traced to as well. Without\n"
        "--defect it goes by what is ticked already, here or on the page."
    )
    parser.epilog = (
        "defects:\n"
        + "\n".join(f"  {kind:<16} {defect.looks}" for kind, defect in DEFECTS.items())
        + "\n\nexample: spyhole unload 2026-11-25-b07f --defect crazing --defect pinholes"
    )
    describe_firing(parser)
    parser.add_argument(
        "--defect",
        action="append",
        default=[],
        metavar="NAME",
        help="what is wrong with the ware; may be given several times, or with commas",
    )
    parser.add_argument(
        "--not",
        dest="taken_back",
        action="append",
        default=[],
        metavar="NAME",
        help="take back what was ticked by mistake",
    )
    parser.add_argument("--by", metavar="NAME", help="who found it")
    parser.add_argument(
        "--look", action="store_true", help="only look: keep nothing of it in the record"
    )
    parser.set_defaults(usage=parser.error)


def run(options: argparse.Namespace) -> int:
    ticked = [defect_of(name).kind for name in split_list(options.defect)]
    taken_back = [defect_of(name).kind for name in split_list(options.taken_back)]
    if options.firing is None:
        options.usage("name the firing (`spyhole log` lists them)")
    told = looked_back(options)
    if not told.facts.is_whole:
        raise InputError(f"{told.name} is no firing: the kiln never was hot in it")
    if told.firing is not None and not options.look and (ticked or taken_back):
        ticked = keep_ticks(options.data, told.name, ticked, taken_back, options.by)
    else:
        ticked = [kind for kind in (ticked or told.ticked) if kind not in taken_back]
    if not ticked and not taken_back:
        options.usage("tick what is wrong with --defect NAME; --help lists the names")
    traced = trace_defects(told.facts, ticked, told.words)
    if told.firing is not None and not options.look:
        keep_result(options.data, told.name, traced, options.by)
    if options.json:
        print_json({"firing": told.name, "defects": document_of(traced)})
        return 0
    print(told.heading())
    if not traced:
        print("Nothing is ticked any more.")
        return 0
    sources = _Sources()
    for one in traced:
        print()
        print("\n".join(_lines(one, sources)))
    print("\nsources:")
    for line in sources.lines():
        print(f"  {line}")
    print(
        "\nThis is what the record shows at its thermocouples, and no proof: the ware and its "
        "maker have\nthe last word. Change one thing at a time."
    )
    return 0


class _Sources:
    """Numbers the sources as they come."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, source: str) -> str:
        """The numbers of what is named in ``source``, in brackets."""
        parts = source.split("; ")
        return "".join(
            f"[{self._numbers.setdefault(part, len(self._numbers) + 1)}]" for part in parts
        )

    def lines(self) -> Iterator[str]:
        """Every source with its number."""
        return (f"[{number}] {source}" for source, number in self._numbers.items())


def _lines(traced: Traced, sources: _Sources) -> Iterator[str]:
    yield from hanging(f"{traced.title.upper()}: {traced.looks}", "")
    for verdict, heading in _HEADINGS.items():
        causes = traced.of(verdict)
        if not causes:
            continue
        yield f"  {heading}:"
        for cause in causes:
            mark = sources.mark(cause.source)
            yield from hanging(f"{cause.cause} {mark}. {cause.said}", "    - ")
            if verdict is Verdict.SUPPORTED:
                yield from hanging(f"next time: {cause.next_time}", "      ")
    yield "  outside the firing, not known to spyhole:"
    for outside in traced.outside:
        yield from hanging(f"{outside.cause} {sources.mark(outside.source)}", "    - ")
