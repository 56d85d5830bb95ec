"""A process that keeps a link until it is killed.

``python -m tests.messaging.publisher PORT [KEEPALIVE_S]``
"""

from __future__ import annotations

import asyncio
import sys

from supervisor.messaging.mqtt import BrokerSettings, LinkState
from tests.messaging.shelf import Shelf, running


async def main(port: int, keepalive_s: int = 20) -> None:
    """Say when connected, then stay."""
    settings = BrokerSettings("127.0.0.1", port, keepalive_s=keepalive_s)
    async with running(port, Shelf(), settings=settings) as (_, _, states):
        await states.wait_for(LinkState.CONNECTED)
        print("connected", flush=True)
        await asyncio.sleep(60.0)


if __name__ == "__main__":
    asyncio.run(main(*map(int, sys.argv[1:])))
