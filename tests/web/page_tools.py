"""Where the tools are that the page is checked with, or a loud skip where they are not."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent / "tools"
MODULES = HERE / "node_modules"


def tool(pattern: str) -> Path:
    """The file of the installed tools that matches ``pattern``."""
    found = next(iter(sorted(MODULES.glob(pattern))), None)
    if found is None:
        pytest.skip("the page's checking tools are not installed: `./task test` installs them")
    return found
