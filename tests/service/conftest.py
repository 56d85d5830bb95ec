"""An open record in a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from supervisor.record.store import Record


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A record that is closed after the test."""
    with Record.open(tmp_path) as opened:
        yield opened
