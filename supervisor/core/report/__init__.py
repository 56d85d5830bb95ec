"""A firing told on paper: its figures in a potter's words, and what its chart shows.

Made once for every form of the report (page, printed sheet, picture). Everything inside is °C
and seconds; what comes out is text in the reader's scale. Knows no geometry, no fonts, no files.
"""

from supervisor.core.report.blocks import (
    Block,
    Column,
    Lines,
    Photo,
    Photos,
    Report,
    Section,
    Table,
)
from supervisor.core.report.chart import Bar, Chart, ConeMark, chart_of
from supervisor.core.report.papers import Alarm, Found, Papers, Told
from supervisor.core.report.tell import report_of

__all__ = [
    "Alarm",
    "Bar",
    "Block",
    "Chart",
    "Column",
    "ConeMark",
    "Found",
    "Lines",
    "Papers",
    "Photo",
    "Photos",
    "Report",
    "Section",
    "Table",
    "Told",
    "chart_of",
    "report_of",
]
