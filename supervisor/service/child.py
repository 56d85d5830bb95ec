"""Has a file of spyhole's own done by a process that ends with it.

What takes seconds of work or much memory and is wanted seldom is done so: the watch neither waits
nor grows. This Python is started with the file and nothing else; it is asked in JSON, and what it
says comes back as it is.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import sys
from collections.abc import Mapping
from pathlib import Path

from supervisor.core.errors import PeerError

_ROOT = Path(__file__).parents[2]
"""Where ``supervisor`` is found."""


async def ask_child(file: Path, order: Mapping[str, object]) -> bytes:
    """What the child says to its order, on its stdout. It never outlives the question.

    Its stderr is the daemon's own. Raises PeerError where no process can be started.
    """
    try:
        # -P: what lies beside the file is none of the modules that it looks for.
        child = await asyncio.create_subprocess_exec(
            sys.executable,
            "-P",
            str(file),
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": str(_ROOT)},
            start_new_session=True,
        )
    except OSError as error:
        raise PeerError(f"No process can be started for it: {error.strerror}.") from None
    try:
        said, _ = await child.communicate(json.dumps(order).encode())
    except BaseException:
        with contextlib.suppress(ProcessLookupError):
            child.kill()
        await child.wait()
        raise
    return said
