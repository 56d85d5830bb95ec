"""What Linux tells of a running process: memory, open files, processor time, bytes written."""

from __future__ import annotations

import os
from pathlib import Path

_TICKS_PER_S = os.sysconf("SC_CLK_TCK")
KB = 1024


def resident_kb(pid: int) -> int:
    """Memory that is resident at the moment, in KiB."""
    return _status(pid, "VmRSS")


def most_resident_kb(pid: int) -> int:
    """The most memory that was ever resident, in KiB."""
    return _status(pid, "VmHWM")


def open_files(pid: int) -> int:
    """How many files, sockets and pipes are open."""
    return len(list(Path(f"/proc/{pid}/fd").iterdir()))


def processor_s(pid: int) -> float:
    """Seconds of processor time used since the start, kernel and all."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICKS_PER_S


def bytes_written(pid: int) -> int:
    """Bytes sent towards a disk since the start; a tmpfs counts none."""
    for line in Path(f"/proc/{pid}/io").read_text(encoding="ascii").splitlines():
        name, _, value = line.partition(":")
        if name == "write_bytes":
            return int(value)
    return 0


def _status(pid: int, wanted: str) -> int:
    for line in Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
        name, _, value = line.partition(":")
        if name == wanted:
            return int(value.split()[0])
    return 0
