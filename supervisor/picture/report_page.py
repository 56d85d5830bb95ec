"""A report as one page that needs nothing else: the chart, then every section as real text.

Knows HTML, not firings. No script, nothing from outside. It follows the reader's light or dark
screen. Printed, the report for the wall is the one sheet that the drawing of it is; the one for
the binder flows over as many as it needs.
"""

from __future__ import annotations

from html import escape

from supervisor.core.report import Block, Chart, Lines, Photo, Photos, Report, Section, Table
from supervisor.picture.firing_drawing import draw_chart
from supervisor.picture.lettering import harmless
from supervisor.picture.page import head_of, look_of
from supervisor.picture.paper import Paper
from supervisor.picture.scene import Scene
from supervisor.picture.svg import data_uri, svg_of

_MORE = """
h1 { font-size: 1.6rem; line-height: 1.2; margin: .5rem 0 .3rem; }
.about { color: var(--muted); margin: 0; }
.short { font-size: 1.0625rem; margin: .8rem 0 1rem; }
.short p, section p { margin: .2rem 0; }
.quiet { color: var(--muted); }
.scroll { overflow-x: auto; }
table { border-collapse: collapse; margin: .3rem 0 .6rem; font-size: .9375rem; }
th { color: var(--muted); text-align: left; vertical-align: bottom; font-weight: 600; }
th, td { padding: .2rem .9rem .2rem 0; border-bottom: 1px solid var(--grid); }
td { vertical-align: top; }
table { overflow-wrap: break-word; }
.long { min-width: 11rem; }
.figure { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
.album { display: grid; grid-template-columns: repeat(auto-fill, minmax(15rem, 1fr)); gap: 1rem; }
figure { margin: 0; break-inside: avoid; }
figure img { display: block; width: auto; max-width: 100%; height: auto; max-height: 24rem; }
figcaption { font-size: .9375rem; padding-top: .25rem; }
footer { margin-top: 2rem; color: var(--muted); font-size: .875rem; }
svg.sheet { display: none; }
@media print {
  .scroll { overflow: visible; }
  table { font-size: 9pt; }
  .short { font-size: 11pt; }
  .long { min-width: 0; }
  tr { break-inside: avoid; }
  .album { grid-template-columns: 1fr 1fr; }
  figure img { max-height: 75mm; }
  figcaption { font-size: 9pt; }
}
"""
_LONG = 22
"""Characters from which on a cell is given room on a phone."""
_ONE_SHEET = """
@media print {{
  @page {{ size: {paper}; margin: 0; }}
  main {{ display: none; }}
  svg.sheet {{ display: block; width: {width}pt; height: {height}pt; max-height: none; }}
}}
"""


def report_page(report: Report, chart: Chart, paper: Paper, sheet: Scene | None) -> str:
    """The page; ``sheet`` is the drawing that is printed in its place, None to print as it is."""
    title = escape(harmless(report.title))
    more = _MORE
    if sheet is not None:
        more += _ONE_SHEET.format(paper=paper.value, width=sheet.width, height=sheet.height - 0.5)
    else:
        more += f"@media print {{ @page {{ size: {paper.value}; margin: 14mm; }} }}\n"
    parts = [
        *head_of(title, f"{look_of()}{more}"),
        f'<h1 dir="auto">{title}</h1>',
        *(f'<p class="about" dir="auto">{_said(line)}</p>' for line in report.about),
        '<div class="short">',
        *(f'<p dir="auto">{_said(line)}</p>' for line in report.short),
        "</div>",
        svg_of(_on_paper(draw_chart(chart, 900.0, 380.0, 13.0)), "wide"),
        svg_of(_on_paper(draw_chart(chart, 360.0, 260.0, 12.0)), "narrow"),
        *(part for section in report.sections for part in _section(section)),
        f"<footer><p>{_said(report.foot)}</p></footer>",
        "</main>",
    ]
    if sheet is not None:
        parts.append(svg_of(sheet, "sheet"))
    parts.append("</body>\n</html>\n")
    return "\n".join(parts)


def _on_paper(scene: Scene) -> Scene:
    """A little air about the drawing, which a browser cuts off at its edge."""
    return Scene(scene.width, scene.height + 4.0, scene.title, scene.description, scene.shapes)


def _section(section: Section) -> list[str]:
    heading = _said(section.heading)
    parts = [f'<section class="{section.key}">', f'<h2 dir="auto">{heading}</h2>']
    for block in section.blocks:
        parts += _block(block, heading)
    return [*parts, "</section>"]


def _block(block: Block, heading: str) -> list[str]:
    if isinstance(block, Lines):
        quiet = ' class="quiet"' if block.is_quiet else ""
        return [f'<p{quiet} dir="auto">{_said(line)}</p>' for line in block.lines]
    if isinstance(block, Photos):
        figures = [part for photo in block.photos for part in _figure(photo)]
        return ['<div class="album">', *figures, "</div>"]
    return _table(block, heading)


def _figure(photo: Photo) -> list[str]:
    alt = escape(harmless(photo.caption)) or "a photo of the firing"
    size = f'width="{photo.width_px}" height="{photo.height_px}"'
    parts = ["<figure>", f'<img src="{data_uri(photo.data, photo.kind)}" alt="{alt}" {size}>']
    if photo.caption:
        parts.append(f'<figcaption dir="auto">{_said(photo.caption)}</figcaption>')
    return [*parts, "</figure>"]


def _table(table: Table, heading: str) -> list[str]:
    kinds = []
    for place, column in enumerate(table.columns):
        is_long = any(len(row[place]) > _LONG for row in table.rows)
        kind = "figure" if column.is_figure else "long" if is_long else ""
        kinds.append(f' class="{kind}"' if kind else "")
    heads = "".join(
        f'<th scope="col"{kind} dir="auto">{_said(column.head)}</th>'
        for column, kind in zip(table.columns, kinds, strict=True)
    )
    parts = [
        # What scrolls must be reached from the keyboard too, and be named.
        f'<div class="scroll" tabindex="0" role="region" aria-label="{heading}"><table>',
        f"<thead><tr>{heads}</tr></thead>",
        "<tbody>",
    ]
    for row in table.rows:
        cells = "".join(
            f'<td{kind} dir="auto">{_said(text)}</td>'
            for text, kind in zip(row, kinds, strict=True)
        )
        parts.append(f"<tr>{cells}</tr>")
    return [*parts, "</tbody></table></div>"]


def _said(text: str) -> str:
    """A figure and its degrees never part at the end of a line."""
    return escape(harmless(text).replace(" °", "\N{NO-BREAK SPACE}°"))
