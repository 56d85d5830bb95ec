"""What looking at a PIN costs: time and memory. Run it: `python -m tests.bench_access`."""

from __future__ import annotations

import multiprocessing
import resource
import statistics
import time

from web.access.pin import COST, Cost, hashed

PIN = "581093"
TIMES = 9
COSTS = (COST, Cost(2**14, 8, 1), Cost(2**15, 8, 3), Cost(2**13, 8, 10))


def measure(cost: Cost) -> tuple[float, float]:
    """Median seconds of a look, and MiB by which the process grew at its most."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    kept = hashed(PIN, cost)
    took_s = []
    for _ in range(TIMES):
        begun_s = time.process_time()
        if not kept.fits(PIN):
            raise RuntimeError("the PIN does not fit its own hash")
        took_s.append(time.process_time() - begun_s)
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    return statistics.median(took_s), grown / 1024


def main() -> None:
    print("scrypt                core seconds    MiB at most")
    for cost in COSTS:
        # In a process of its own, for memory at its most never falls again.
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            took_s, grown_mib = pool.apply(measure, (cost,))
        mark = "  <- in use" if cost == COST else ""
        print(f"N={cost.n:<6} r={cost.r} p={cost.p:<3} {took_s:12.3f} {grown_mib:14.1f}{mark}")


if __name__ == "__main__":
    main()
