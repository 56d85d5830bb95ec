"""A plan's picture as a file, in the format that the file's name asks for. Draws nothing itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from supervisor.core.errors import InputError
from supervisor.core.heatwork import Progress
from supervisor.core.phases import PlannedPhase
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.watch.wording import Words
from supervisor.picture.drawing import NARROW, WIDE, draw_plan
from supervisor.picture.page import page_of
from supervisor.picture.plan import Plan
from supervisor.picture.png import png_of
from supervisor.picture.svg import svg_file
from supervisor.whole_file import whole_file

SUFFIXES = (".html", ".svg", ".png")


def write_plan(
    path: Path,
    *,
    schedule: Schedule,
    timeline: Timeline,
    phases: Sequence[PlannedPhase],
    progress: Progress,
    words: Words,
    sections: Sequence[tuple[str, Sequence[str]]],
) -> None:
    """Draw a plan into ``path``: a page (.html), a drawing (.svg) or an image (.png).

    ``progress`` is the heat-work of the whole plan; ``sections`` are headings with the lines
    below them, and only the page has them. Texts may come from strangers. The file appears
    whole or not at all. Raises InputError for another suffix, for a folder that is not there,
    and for a .png without Pillow; PeerError when the disk refuses.
    """
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        raise InputError(
            "a plan is drawn as a page (.html), a drawing (.svg) or an image (.png); give the "
            "file one of these endings",
            where=str(path),
        )
    plan = Plan(schedule, timeline, phases, progress, words)
    wide = draw_plan(plan, WIDE)
    if suffix == ".html":
        content = page_of(wide, draw_plan(plan, NARROW), sections).encode()
    elif suffix == ".svg":
        content = svg_file(wide).encode()
    else:
        try:
            content = png_of(wide)
        except InputError as error:
            raise InputError(error.what, where=str(path)) from None
    with whole_file(path) as file:
        file.buffer.write(content)
