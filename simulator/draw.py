"""Firings made up by dice: any kiln, any hand, any plan and rig, with or without a fault.

``draw_firing`` gives a plausible firing for each seed; ``healthy`` and ``onset_s`` of ``truth``
say what it would have been without its fault and when that really began. All ranges are common
practice, no source, unless they name one.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from simulator.draw_plans import drawn_plan, raku_plan
from simulator.faults import OF_A_CHANNEL, FaultKind, FaultSpec
from simulator.kiln_spec import ZONES, KilnKind, KilnSpec
from simulator.operation import Operation, OperatorKind, Reduction, Stage
from simulator.presets import kiln_names, kiln_spec
from simulator.scenario_model import Scenario
from simulator.thermocouple import SensorSpec
from simulator.truth import healthy, onset_s
from supervisor.core.schedule import Atmosphere, Schedule

__all__ = ["draw_firing", "healthy", "onset_s"]

LONGEST_S = 96 * 3600.0
_ELECTRIC_ONLY = frozenset({FaultKind.WORN_ELEMENTS, FaultKind.PHASE_LOST, FaultKind.RELAY_STUCK})
_TWO_ZONES = frozenset({FaultKind.PHASE_LOST, FaultKind.COLD_ZONE})
"""Faults that one probe alone can't show."""
_WITH_SWITCHES = ("studio-electric", "test-electric")
_WIRE = 0.004
"""IEC 60584 class 1: 0.4 % of the temperature."""


def draw_firing(seed: int, *, fault: FaultKind | None = None) -> Scenario:
    """A firing for this seed, with a fault of that kind or none. The same seed, the same firing.

    The fault's onset is drawn where the fault means something: heat goes missing while the plan
    climbs or holds, a relay sticks where heat is not wanted. It may still come to nothing, as
    when a kiln with worn elements just makes it: ``onset_s`` then says None.
    """
    dice = Random(f"{seed} firing {fault or 'healthy'}")  # noqa: S311
    kiln = _kiln(dice, fault)
    operation = _operation(dice, kiln, fault)
    schedule = _schedule(dice, kiln, operation)
    operation = _reducing(dice, operation, schedule)
    ambient_c = round(dice.uniform(-2.0, 32.0), 1)
    sensors = _sensors(dice, fault)
    spec = None if fault is None else _fault(dice, fault, kiln, schedule, sensors)
    warm = dice.random() < 0.15
    return Scenario(
        name=f"drawn-{seed}" if fault is None else f"drawn-{seed}-{fault}",
        title=f"{schedule.name}, {kiln.name} by {operation.kind}",
        kiln=kiln,
        schedule=schedule,
        sensors=sensors,
        faults=() if spec is None else (spec,),
        ambient_c=ambient_c,
        start_delay_s=60.0 * dice.randint(0, 120) if dice.random() < 0.3 else 0.0,
        max_s=LONGEST_S,
        seed=seed,
        operation=operation,
        start_c=round(max(ambient_c, dice.uniform(35.0, 90.0)), 1) if warm else None,
        interval_s=float(dice.choice([1, 1, 2, 5, 5, 10, 15, 30])),
        began="2026-03-01T18:00:00+00:00" if fault is FaultKind.CLOCK_STEP else None,
    )


def _kiln(dice: Random, fault: FaultKind | None) -> KilnSpec:
    kilns = [kiln_spec(name) for name in kiln_names()]
    if fault in _ELECTRIC_ONLY:
        kilns = [kiln for kiln in kilns if kiln.kind is KilnKind.ELECTRIC]
    if fault is FaultKind.PHASE_LOST:
        kilns = [kiln for kiln in kilns if kiln.phases == 3]
    if fault is FaultKind.GAS_ICING:
        kilns = [kiln for kiln in kilns if kiln.kind is KilnKind.GAS]
    # Most kilns that are watched are electric.
    weights = [2.0 if kiln.kind is KilnKind.ELECTRIC else 1.0 for kiln in kilns]
    kiln = dice.choices(kilns, weights)[0].loaded(round(dice.uniform(0.6, 1.2), 2))
    return replace(
        kiln,
        ageing=round(dice.uniform(0.92, 1.0), 3),
        mains_sag=round(dice.uniform(0.0, 0.03), 3) if kiln.kind is KilnKind.ELECTRIC else 0.0,
    )


def _operation(dice: Random, kiln: KilnSpec, fault: FaultKind | None) -> Operation:
    drawn = dice.random()
    kind = OperatorKind.CONTROLLER
    if kiln.kind is KilnKind.WOOD:
        kind = OperatorKind.STOKING
    elif kiln.kind is KilnKind.GAS and drawn < 0.7:
        kind = OperatorKind.BURNER
    elif kiln.name in _WITH_SWITCHES and drawn < 0.18 and fault is not FaultKind.RELAY_STUCK:
        kind = OperatorKind.SWITCHES
    visit_min = (20.0, dice.uniform(30.0, 60.0))
    if kind is OperatorKind.STOKING or kiln.name == "raku-gas":
        visit_min = (5.0, dice.uniform(8.0, 15.0))
    elif kind is OperatorKind.SWITCHES:
        visit_min = (15.0, dice.uniform(20.0, 40.0))
    by_hand = kind is not OperatorKind.CONTROLLER
    candles = kiln.name != "raku-gas" and dice.random() < 0.08
    pauses = dice.random() < 0.05
    return Operation(
        kind=kind,
        gain_error=round(dice.uniform(-_WIRE, _WIRE), 5),
        offset_c=round(dice.uniform(-2.0, 2.0), 2),
        visit_s=(visit_min[0] * 60.0, visit_min[1] * 60.0),
        looks_per_h=round(dice.uniform(0.3, 3.0), 2) if by_hand and dice.random() < 0.6 else 0.0,
        candle_s=3600.0 * dice.randint(4, 11) if candles else 0.0,
        candle_share=round(dice.uniform(0.008, 0.025), 4) if candles else 0.0,
        pause_at_c=round(dice.uniform(150.0, 700.0)) if pauses else None,
        pause_s=60.0 * dice.randint(10, 40) if pauses else 0.0,
        skipped_step=1 if dice.random() < 0.02 else None,
    )


def _schedule(dice: Random, kiln: KilnSpec, operation: Operation) -> Schedule:
    if kiln.name == "raku-gas":
        return raku_plan(dice)
    fuel = kiln.kind is not KilnKind.ELECTRIC
    return drawn_plan(
        dice,
        kiln,
        by_hand=operation.kind is not OperatorKind.CONTROLLER,
        reduction=fuel and dice.random() < 0.55,
        short_holds=operation.kind is OperatorKind.SWITCHES,
    )


def _reducing(dice: Random, operation: Operation, schedule: Schedule) -> Operation:
    if schedule.atmosphere is not Atmosphere.REDUCTION:
        return operation
    if operation.kind not in (OperatorKind.BURNER, OperatorKind.STOKING):
        return operation
    planned = next(
        (
            (before.to_c, step.rate_c_per_h)
            for before, step in pairwise(schedule.steps)
            if "body reduction" in step.note and step.rate_c_per_h is not None
        ),
        (870.0, 50.0),
    )
    # Some let it climb nearly as planned, some let it all but stand for a while.
    part = dice.choice([1.0, 0.6, 0.3, 0.0])
    lasts_s = 60.0 * (dice.randint(30, 70) if part else dice.randint(10, 25))
    return replace(
        operation,
        reduction=Reduction(planned[0] + dice.uniform(0.0, 15.0), lasts_s, planned[1] * part),
    )


def _sensors(dice: Random, fault: FaultKind | None) -> tuple[SensorSpec, ...]:
    least = 2 if fault in _TWO_ZONES else 1
    count = max(least, dice.choice([1, 1, 2, 3, 3, 4]))
    zones = {
        1: ["middle"],
        2: ["top", "bottom"],
        3: list(ZONES),
        4: [*ZONES, "middle"],
    }[count]
    names = {1: ["kiln"], 4: [*ZONES, "back"]}.get(count, zones)
    noise_c = round(dice.uniform(0.1, 1.5), 2)
    resolution_c = dice.choice([None, None, 0.25, 0.25, 1.0])
    hums = dice.randrange(count) if dice.random() < 0.12 else None
    spikes = round(dice.uniform(0.5, 4.0), 1) if dice.random() < 0.15 else 0.0
    return tuple(
        SensorSpec(
            channel=name,
            zone=zone,
            lag_s=round(dice.uniform(15.0, 90.0), 1),
            noise_c=noise_c,
            offset_c=round(dice.uniform(-3.0, 3.0), 2),
            gain_error=round(dice.uniform(-_WIRE, _WIRE), 5),
            drift_c_per_h=round(dice.uniform(-0.4, 0.4), 2) if dice.random() < 0.1 else 0.0,
            toward_wall=round(dice.uniform(0.0, 0.3), 2),
            cold_junction_c=round(dice.uniform(-1.0, 1.0), 2),
            spikes_per_h=spikes,
            spike_c=round(dice.uniform(8.0, 60.0), 1),
            hum_c=round(dice.uniform(0.5, 2.5), 2) if hums == place else 0.0,
            resolution_c=resolution_c,
        )
        for place, (name, zone) in enumerate(zip(names, zones, strict=True))
    )


def _climbing_c(dice: Random, schedule: Schedule, least_c: float, most_part: float) -> float:
    """A temperature that the plan passes while it climbs in earnest, at least ``least_c`` and
    at most that part of the peak."""
    spans = []
    from_c = 20.0
    for step in schedule.steps[: schedule.peak_step + 1]:
        low_c = max(from_c + 15.0, least_c)
        high_c = min(step.to_c - 25.0, most_part * schedule.peak_c)
        if high_c > low_c and (step.rate_c_per_h is None or step.rate_c_per_h >= 30.0):
            spans.append((low_c, high_c))
        from_c = step.to_c
    if not spans:
        return round(0.6 * schedule.peak_c)
    low_c, high_c = dice.choices(spans, [high - low for low, high in spans])[0]
    return round(dice.uniform(low_c, high_c), 1)


def _fault(
    dice: Random,
    kind: FaultKind,
    kiln: KilnSpec,
    schedule: Schedule,
    sensors: tuple[SensorSpec, ...],
) -> FaultSpec:
    peak_c = schedule.peak_c
    zones = sorted({sensor.zone for sensor in sensors})
    for_good = dice.random() < 0.5
    if kind in OF_A_CHANNEL:
        return _sensor_fault(dice, kind, schedule, dice.choice(sensors).channel)
    if kind is FaultKind.STALL:
        return FaultSpec(
            kind,
            at_c=_climbing_c(dice, schedule, 150.0, 0.95),
            lasts_s=None if for_good else 60.0 * dice.randint(30, 120),
            severity=None if dice.random() < 0.6 else round(dice.uniform(0.5, 0.95), 2),
        )
    if kind is FaultKind.POWER_CUT:
        return FaultSpec(
            kind,
            at_c=_climbing_c(dice, schedule, 120.0, 0.99),
            lasts_s=None if for_good else 60.0 * dice.randint(8, 90),
        )
    if kind is FaultKind.EARLY_SHUT_OFF:
        held = schedule.steps[schedule.peak_step].hold_s
        if held > 1800.0 and dice.random() < 0.4:
            after_s = dice.uniform(0.1, 0.6) * held
            return FaultSpec(kind, stage=Stage.LAST_HOLD, after_s=float(round(after_s)))
        return FaultSpec(kind, at_c=_climbing_c(dice, schedule, 200.0, 0.99))
    if kind is FaultKind.WORN_ELEMENTS:
        return FaultSpec(kind, at_s=0.0, severity=round(dice.uniform(0.25, 0.5), 2))
    if kind is FaultKind.PHASE_LOST:
        at_c = _climbing_c(dice, schedule, 150.0, 0.95)
        return FaultSpec(kind, at_c=at_c, zone=dice.choice(zones))
    if kind is FaultKind.GAS_ICING:
        at_c = _climbing_c(dice, schedule, 0.45 * peak_c, 0.95)
        return FaultSpec(kind, at_c=at_c, severity=round(dice.uniform(0.5, 0.9), 2))
    if kind is FaultKind.RELAY_STUCK:
        return _stuck_relay(dice, schedule, zones)
    if kind is FaultKind.DOOR_AJAR:
        return _open_door(dice, kiln, schedule)
    if kind is FaultKind.FAST_COOLING:
        below_c = round(dice.uniform(0.55, 0.93) * peak_c)
        return FaultSpec(kind, below_c=below_c, severity=round(dice.uniform(0.5, 1.0), 2))
    if kind is FaultKind.COLD_ZONE:
        at_c = round(dice.uniform(60.0, 0.6 * peak_c))
        severity = round(dice.uniform(0.4, 0.9), 2)
        return FaultSpec(kind, at_c=at_c, severity=severity, zone=dice.choice(zones))
    at_c = _climbing_c(dice, schedule, 40.0, 0.99)
    if kind is FaultKind.SILENT_RIG:
        return FaultSpec(kind, at_c=at_c, lasts_s=None if for_good else 60.0 * dice.randint(5, 120))
    step_s = dice.choice([-1.0, 1.0]) * 60.0 * dice.choice([1, 17, 60, 600, 43_200])
    return FaultSpec(FaultKind.CLOCK_STEP, at_c=at_c, step_s=step_s)


def _sensor_fault(dice: Random, kind: FaultKind, schedule: Schedule, channel: str) -> FaultSpec:
    if kind is FaultKind.REVERSED_THERMOCOUPLE:
        return FaultSpec(kind, at_s=0.0, channel=channel)
    least_c = 60.0 if kind is FaultKind.OPEN_THERMOCOUPLE else 250.0
    at_c = _climbing_c(dice, schedule, least_c, 0.99)
    severity = None
    if kind is FaultKind.SLIPPED_THERMOCOUPLE:
        severity = round(dice.uniform(0.3, 0.95), 2)
    lasts_s = None
    if kind is FaultKind.OPEN_THERMOCOUPLE and dice.random() < 0.3:
        lasts_s = 60.0 * dice.randint(3, 60)
    return FaultSpec(kind, at_c=at_c, lasts_s=lasts_s, severity=severity, channel=channel)


def _stuck_relay(dice: Random, schedule: Schedule, zones: list[str]) -> FaultSpec:
    kind = FaultKind.RELAY_STUCK
    zone = dice.choice([None, *zones])
    severity = 1.0 if dice.random() < 0.5 else round(dice.uniform(0.5, 0.95), 2)
    held_s = schedule.steps[schedule.peak_step].hold_s
    where = dice.choice(["hold", "cooling", "end"])
    if where == "hold" and held_s >= 600.0:
        after_s = float(round(dice.uniform(0.05, 0.5) * held_s))
        return FaultSpec(kind, stage=Stage.LAST_HOLD, after_s=after_s, severity=severity, zone=zone)
    if where == "cooling":
        below_c = round(dice.uniform(0.4, 0.95) * schedule.peak_c)
        return FaultSpec(kind, below_c=below_c, severity=severity, zone=zone)
    after_s = 60.0 * dice.randint(0, 90)
    return FaultSpec(kind, stage=Stage.AFTER_END, after_s=after_s, severity=severity, zone=zone)


def _open_door(dice: Random, kiln: KilnSpec, schedule: Schedule) -> FaultSpec:
    kind = FaultKind.DOOR_AJAR
    if dice.random() < 0.5:
        # A crack that takes a good part of what the kiln has to give.
        at_c = _climbing_c(dice, schedule, 200.0, 0.9)
        part = dice.uniform(0.3, 0.9)
        lost_w_per_m2 = 5.67e-8 * (at_c + 273.0) ** 4 + 550.0 * at_c
        kept = 1.0 - kiln.flue_per_k * at_c
        gap_m2 = part * 0.6 * kiln.available_w * kept / lost_w_per_m2
        severity = min(1.0, max(0.01, round(gap_m2 / kiln.door_m2, 3)))
        return FaultSpec(kind, at_c=at_c, severity=severity)
    below_c = round(dice.uniform(0.2, 0.65) * schedule.peak_c)
    return FaultSpec(
        kind,
        below_c=below_c,
        severity=round(dice.uniform(0.2, 1.0), 2),
        lasts_s=None if dice.random() < 0.5 else 60.0 * dice.randint(5, 60),
    )
