"""A report as a file, in the format that the file's name asks for. Draws nothing itself."""

from __future__ import annotations

from pathlib import Path

from supervisor.core.errors import InputError
from supervisor.core.report import Papers, chart_of, report_of
from supervisor.picture.paper import Paper
from supervisor.picture.pdf import pdf_of
from supervisor.picture.png import png_of
from supervisor.picture.report_page import report_page
from supervisor.picture.sheets import Sheet, binder_sheets, wall_sheet
from supervisor.picture.svg import svg_file
from supervisor.whole_file import whole_file

DRAWN = (".html", ".pdf", ".svg", ".png")
"""The endings that a report may have; the last two are the sheet for the wall."""


def write_report(path: Path, papers: Papers, sheet: Sheet, paper: Paper) -> None:
    """Draw the report of a firing into ``path``.

    Texts may come from strangers. The file appears whole or not at all. Raises InputError for
    another ending, for a folder that is not there, for a drawing or an image of the binder's
    report, and where a library is missing; PeerError when the disk refuses.
    """
    try:
        content = drawn_report(path.suffix.lower(), papers, sheet, paper)
    except InputError as error:
        raise InputError(error.what, where=str(path)) from None
    with whole_file(path) as file:
        file.buffer.write(content)


def drawn_report(suffix: str, papers: Papers, sheet: Sheet, paper: Paper) -> bytes:
    """The report as the bytes of a file with this ending.

    Raises InputError for another ending, for a drawing or an image of the binder's report, and
    where a library is missing.
    """
    if suffix not in DRAWN:
        raise InputError(
            f"a report is drawn as {', '.join(DRAWN)}; give the file one of these endings"
        )
    is_wall = sheet is Sheet.WALL
    if suffix in (".svg", ".png") and not is_wall:
        raise InputError(
            "the binder's report has several sheets: give the file the ending .html or .pdf, or "
            "ask for the wall's"
        )
    report, chart = report_of(papers), chart_of(papers)
    if suffix == ".html":
        printed = wall_sheet(report, chart, paper) if is_wall else None
        return report_page(report, chart, paper, printed).encode()
    scenes = [wall_sheet(report, chart, paper)] if is_wall else binder_sheets(report, chart, paper)
    if suffix == ".pdf":
        return pdf_of(scenes)
    return png_of(scenes[0]) if suffix == ".png" else svg_file(scenes[0]).encode()
