"""Has a file of spyhole's own run by this Python, in a process that ends with its answer.

The one place that starts a process. Knows no question; it is asked in JSON.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
from collections.abc import Mapping
from pathlib import Path


async def ask_file(
    file: Path,
    order: Mapping[str, object],
    *,
    env: Mapping[str, str] | None = None,
    stderr: int | None = None,
) -> tuple[bytes, int | None]:
    """What the file says to its order, on its stdout, and the code with which it ends.

    It never outlives the question. ``env`` None: this process's own; ``stderr`` is what asyncio
    takes, None: this process's own. Raises OSError where no process can be started.
    """
    # -P: what lies beside the file is none of the modules that it looks for.
    child = await asyncio.create_subprocess_exec(
        sys.executable,
        "-P",
        str(file),
        stdin=asyncio.subprocess.PIPE,
        stdout=asyncio.subprocess.PIPE,
        stderr=stderr,
        env=env,
        start_new_session=True,
    )
    try:
        said, _ = await child.communicate(json.dumps(order).encode())
    except BaseException:
        with contextlib.suppress(ProcessLookupError):
            child.kill()
        await child.wait()
        raise
    return said, child.returncode
