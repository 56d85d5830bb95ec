"""Has a file of spyhole's own done by a process that ends with it.

What takes seconds of work or much memory and is wanted seldom is done so: the watch neither waits
nor grows. This Python is started with the file and nothing else; it is asked in JSON, and what it
says comes back as it is.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from supervisor.core.errors import PeerError
from supervisor.own_process import ask_file

_ROOT = Path(__file__).parents[2]
"""Where ``supervisor`` is found."""


async def ask_child(file: Path, order: Mapping[str, object]) -> bytes:
    """What the child says to its order, on its stdout. It never outlives the question.

    Its stderr is the daemon's own. Raises PeerError where no process can be started.
    """
    try:
        said, _ = await ask_file(file, order, env={**os.environ, "PYTHONPATH": str(_ROOT)})
    except OSError as error:
        raise PeerError(f"No process can be started for it: {error.strerror}.") from None
    return said
