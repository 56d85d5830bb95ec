"""The daemon: asyncio wiring of source, watch, record, messages and page. No rules of its own."""
