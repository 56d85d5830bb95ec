"""What really happened in a simulated firing: for proofs, and never for the watch.

Knows how to fire a scenario without looking at it through a rig.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from simulator.firing import SimulatedFiring
from simulator.scenario_model import Scenario

LOOK_S = 60.0


def healthy(scenario: Scenario) -> Scenario:
    """The same firing without its faults: same kiln, plan, operator, rig and noise."""
    return replace(scenario, faults=())


def onset_s(scenario: Scenario) -> float | None:
    """When the scenario's first fault really began to do something, in elapsed seconds.

    Where heat is lost, when it is first missing, not when an element wears; where it is too
    much, when the first of it is given; for a sensor's fault the first value that is off by
    more than a degree, or missing. None if nothing of it came to pass.
    """
    firing = SimulatedFiring(scenario)
    while firing.onset_s is None and not firing.finished:
        firing.advance_to(firing.elapsed_s + LOOK_S)
    return firing.onset_s


def quiet(scenario: Scenario) -> Scenario:
    """The same firing seen by perfect probes: no noise and no error but their lag."""
    return replace(
        scenario,
        sensors=tuple(
            replace(
                sensor,
                noise_c=0.0,
                offset_c=0.0,
                gain_error=0.0,
                drift_c_per_h=0.0,
                cold_junction_c=0.0,
                spikes_per_h=0.0,
                hum_c=0.0,
                resolution_c=None,
            )
            for sensor in scenario.sensors
        ),
    )


def probe_temps(
    scenario: Scenario, interval_s: float | None = None
) -> Iterator[tuple[float, dict[str, float]]]:
    """(elapsed seconds, temperature of each probe's junction in °C) over the whole firing.

    The junctions are where the probes are, with their lag: free of noise and of every error
    behind them. Every ``interval_s``, or as often as the scenario's rig looks.
    """
    every_s = scenario.interval_s if interval_s is None else interval_s
    firing = SimulatedFiring(scenario)
    count = 0
    while True:
        elapsed_s = round(count * every_s, 6)
        firing.advance_to(elapsed_s)
        yield elapsed_s, firing.probe_c
        if firing.finished:
            return
        count += 1
