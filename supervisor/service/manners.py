"""How a process that helps the daemon behaves beside it."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

_NICER = 5
"""The kiln's readings come first."""
_GOES_FIRST = "500"
"""Of 1,000: when memory is short, a helper is ended before anything that watches (proc(5))."""


def stand_back() -> None:
    """Let the daemon have the processor and the memory, as far as this system allows."""
    with contextlib.suppress(OSError):
        os.nice(_NICER)
    with contextlib.suppress(OSError):
        Path("/proc/self/oom_score_adj").write_text(_GOES_FIRST, encoding="ascii")
