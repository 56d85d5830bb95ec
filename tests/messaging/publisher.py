"""A process that keeps a link until it is killed: ``python -m tests.messaging.publisher PORT``."""

from __future__ import annotations

import asyncio
import sys

from supervisor.messaging.mqtt import LinkState
from tests.messaging.shelf import Shelf, running


async def main(port: int) -> None:
    """Say when connected, then stay."""
    async with running(port, Shelf()) as (_, _, states):
        await states.wait_for(LinkState.CONNECTED)
        print("connected", flush=True)
        await asyncio.sleep(60.0)


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1])))
