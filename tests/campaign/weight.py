"""What the daemon weighs at its real speed: memory, processor, bytes written, readings at risk.

``spyhole watch`` with page, broker, an open page and three channels at one reading a second. The
simulated kiln and its chips run in the same process, so that memory and processor are more than
on a Pi with a rig. Processor time is counted, not the clock, so that a busy machine changes
little.
"""

from __future__ import annotations

import time
from pathlib import Path

from supervisor.record.schema import FILE_NAME
from tests.campaign.judging import complaints, ends_well
from tests.campaign.outcome import Outcome, Progress
from tests.campaign.phone import Phone
from tests.campaign.process import bytes_written, most_resident_kb, processor_s, resident_kb
from tests.campaign.record import copy_of
from tests.campaign.scenarios import healthy_firing
from tests.campaign.shed import Shed
from tests.daemons import wait_until

MOST_MB = 70.0
MOST_OF_A_CORE = 0.03
MOST_MB_AN_HOUR = 5.0
AT_RISK_S = 10.0
SETTLES_S = 15.0
MB = 1024 * 1024
_LINUX_PAGE = 4096


def run(
    progress: Progress, folder: Path, *, minutes: float = 15.0, settles_s: float = SETTLES_S
) -> Outcome:
    """Weigh it for so many real minutes."""
    outcome = Outcome("weight", f"{minutes:g} minutes at 1 reading a second, 3 channels")
    folder.mkdir(parents=True)
    scenario = healthy_firing(folder / "firing.toml", seed=801, hours=12.0)
    with Shed(folder) as shed, shed.watch(scenario, 1.0) as daemon, Phone(daemon.page):
        wait_until(lambda: daemon.snapshot()["reading_age_s"] is not None, "it reads")
        time.sleep(settles_s)
        main, wal = shed.data / FILE_NAME, shed.data / f"{FILE_NAME}-wal"
        begun_s, used_s, written = (
            time.monotonic(),
            processor_s(daemon.pid),
            bytes_written(daemon.pid),
        )
        main_bytes, wal_bytes = main.stat().st_size, wal.stat().st_size
        at_risk_s, told_s = 0.0, begun_s
        while (since_s := time.monotonic() - begun_s) < minutes * 60.0:
            now_s = daemon.snapshot()["elapsed_s"]
            with copy_of(shed.data) as record:
                extent = record.extent(record.firings()[0].id)
            at_risk_s = max(at_risk_s, now_s - (0.0 if extent is None else extent.last_s))
            if time.monotonic() - told_s > 60.0:
                told_s = time.monotonic()
                progress(f"{since_s / 60.0:.0f} min, {resident_kb(daemon.pid) / 1024:.1f} MB")
            time.sleep(2.0)
        took_s = time.monotonic() - begun_s
        share = (processor_s(daemon.pid) - used_s) / took_s
        hourly_mb = (bytes_written(daemon.pid) - written) / MB / took_s * 3600.0
        if main.stat().st_size == main_bytes:
            # None of the log has been written into the file yet; that is still to come.
            hourly_mb += _checkpoint_bytes(wal, wal_bytes) / MB / took_s * 3600.0
        now_mb, most_mb = resident_kb(daemon.pid) / 1024, most_resident_kb(daemon.pid) / 1024
        ends_well(outcome, daemon)
        complaints(outcome, daemon)
    if most_mb > MOST_MB:
        outcome.breaks(f"{most_mb:.1f} MB of memory are more than {MOST_MB:g}")
    if share > MOST_OF_A_CORE:
        outcome.slows(f"{100 * share:.1f} % of a core are more than {100 * MOST_OF_A_CORE:g}")
    if hourly_mb > MOST_MB_AN_HOUR:
        outcome.slows(f"{hourly_mb:.1f} MB written an hour are more than {MOST_MB_AN_HOUR:g}")
    if hourly_mb == 0.0:
        outcome.not_run = "nothing was written to a disk: the folder lies in memory"
    if at_risk_s > AT_RISK_S:
        outcome.slows(f"{at_risk_s:.1f} s of readings were at risk, more than {AT_RISK_S:g}")
    outcome.figures.append(
        f"{now_mb:.1f} MB resident ({most_mb:.1f} MB at most, of {MOST_MB:g} promised); "
        f"{100 * share:.2f} % of a core (of {100 * MOST_OF_A_CORE:g} %); {hourly_mb:.2f} MB "
        f"written an hour (of {MOST_MB_AN_HOUR:g}), the checkpoint of the write-ahead log "
        f"counted in; at most {at_risk_s:.1f} s of readings at risk (of {AT_RISK_S:g})"
    )
    return outcome


def _checkpoint_bytes(wal: Path, from_byte: int) -> int:
    """How much of the file a checkpoint would write of the log from there, in pages of Linux.

    The log's format: a header of 32 bytes, then frames of 24 bytes and a page; a frame begins
    with the page's number (sqlite.org, "The WAL-mode file format").
    """
    log = wal.read_bytes()
    page_bytes = int.from_bytes(log[8:12], "big")
    frames = range(max(from_byte, 32), len(log) - page_bytes - 23, page_bytes + 24)
    pages = {int.from_bytes(log[at : at + 4], "big") for at in frames}
    return _LINUX_PAGE * len({page * page_bytes // _LINUX_PAGE for page in pages})
