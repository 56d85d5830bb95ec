"""Who may read the page and how it is served, as the configuration says. Opens no file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from web.access.access import Reading


@dataclass(frozen=True, slots=True)
class PageRules:
    """Who may read the page, and how it is served: as the configuration says.

    ``certificate`` and ``key`` are files for HTTPS, both or neither. With ``behind_proxy`` a
    proxy on this machine asks for others and says for whom.
    """

    reading: Reading = Reading.OPEN
    certificate: Path | None = None
    key: Path | None = None
    behind_proxy: bool = False
