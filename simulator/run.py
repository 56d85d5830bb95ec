"""A whole simulated firing at once, and its log as a file.

Knows the log's format: ``elapsed_s``, a column for each channel, a blank cell where there is no
value, and a ``<channel>_fault`` column where the hardware reported a fault.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from simulator.firing import SimulatedFiring
from simulator.scenario import Scenario
from simulator.source import SimulatedSource
from supervisor.core.errors import InputError, PeerError
from supervisor.core.readings import Reading
from supervisor.core.units import Unit, from_c


def simulate(scenario: Scenario, interval_s: float = 1.0) -> Iterator[Reading]:
    """All the readings of ``scenario``, one each ``interval_s``, from second 0 to its end."""
    source = SimulatedSource(SimulatedFiring(scenario), interval_s)
    due_s = source.due_s(None)
    count = 0
    while due_s is not None:
        reading = source.read(count * interval_s)
        yield reading
        count += 1
        due_s = source.due_s(reading.elapsed_s)


def write_log(
    readings: Iterable[Reading],
    channels: Sequence[str],
    path: Path | str,
    unit: Unit = Unit.C,
) -> int:
    """Write ``readings`` as a log to ``path`` and return how many there were.

    The file appears under its name only when it is complete. Raises InputError when its folder
    does not exist, PeerError when the disk refuses.
    """
    path = Path(path).absolute()
    if not path.parent.is_dir():
        raise InputError("there is no such folder to write the log in", where=str(path.parent))
    if path.exists() and not path.is_file():
        raise InputError(
            "this is not a file that a log could replace; give another name", where=str(path)
        )
    rows: list[str] = []
    faults: list[tuple[int, Reading]] = []
    for reading in readings:
        if reading.faults:
            faults.append((len(rows), reading))
        cells = [_number(reading.elapsed_s)]
        for channel in channels:
            temp_c = reading.temps_c[channel]
            cells.append("" if temp_c is None else _number(from_c(temp_c, unit)))
        rows.append(",".join(cells))
    faulty = [
        channel for channel in channels if any(channel in reading.faults for _, reading in faults)
    ]
    header = ["elapsed_s", *(f"{channel}_{unit.value.lower()}" for channel in channels)]
    header += [f"{channel}_fault" for channel in faulty]
    blank = "," * len(faulty)
    told = {
        index: "".join(f",{reading.faults.get(channel, '')}" for channel in faulty)
        for index, reading in faults
    }
    try:
        _write_whole(
            path,
            [
                ",".join(header) + "\n",
                *(f"{row}{told.get(index, blank)}\n" for index, row in enumerate(rows)),
            ],
        )
    except OSError as error:
        raise PeerError(f"{path}: the log can't be written ({error.strerror})") from None
    return len(rows)


def _write_whole(path: Path, lines: Iterable[str]) -> None:
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with draft.open("w", encoding="utf-8", newline="") as file:
            file.writelines(lines)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise


def _number(value: float) -> str:
    """As short as it can be written without losing a step of the converter."""
    return f"{value:.7f}".rstrip("0").rstrip(".")
