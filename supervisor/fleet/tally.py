"""Counts and quantiles over many trials: what was found, how late, and what was said for nothing.

Knows trials and nothing of how they are shown.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from supervisor.core.events import Kind
from supervisor.fleet.plain import MEANS, PlainAlarm, PlainLimits, grid
from supervisor.fleet.trial import Said, Trial


@dataclass(frozen=True, slots=True)
class Delays:
    """How many were found, how many in time, and how late in seconds; None where none was."""

    owed: int
    found: int
    in_time: int
    median_s: float | None
    late_s: float | None
    """The 95th percentile of those found."""


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One kind of fault, by what it did."""

    fault: str
    what: str
    promised: bool
    within_s: float
    watch: Delays
    ideal: Delays | None
    plain: Delays


@dataclass(frozen=True, slots=True)
class AlarmRow:
    """Warnings of one kind in firings in which nothing was broken."""

    kind: Kind
    raised: int
    false: int


@dataclass(frozen=True, slots=True)
class Tally:
    """The figures of a fleet. ``tried`` and ``came`` count each fault's firings and those in
    which something was owed."""

    healthy: int
    healthy_h: float
    tried: dict[str, int]
    came: dict[str, int]
    faults: tuple[FaultRow, ...]
    alarms: tuple[AlarmRow, ...]
    plain_limits: PlainLimits
    plain_alarms: int
    strays: int
    """Warnings of the kiln that were not so, where only the rig or the clock had a fault."""
    labels_matter: int


def quantile(values: Sequence[float], part: float) -> float | None:
    """The value below which so large a part lies, straight between neighbours.

    >>> quantile([3.0, 1.0, 2.0], 0.5), quantile([], 0.5)
    (2.0, None)
    """
    if not values:
        return None
    ordered = sorted(values)
    place = part * (len(ordered) - 1)
    low = int(place)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (place - low) * (ordered[high] - ordered[low])


def tally(trials: Iterable[Trial], limits: PlainLimits) -> Tally:
    """The figures of these trials; ``limits`` are the plain watcher's."""
    trials = list(trials)
    healthy = [trial for trial in trials if trial.fault is None]
    groups: dict[tuple[str, str], list[Trial]] = defaultdict(list)
    tried: dict[str, int] = defaultdict(int)
    came: dict[str, int] = defaultdict(int)
    for trial in trials:
        if trial.fault is None:
            continue
        tried[trial.fault.value] += 1
        if trial.owed is not None and not trial.stood_already:
            came[trial.fault.value] += 1
            groups[trial.fault.value, trial.owed.what].append(trial)
    counts: dict[Kind, list[Said]] = defaultdict(list)
    for trial in healthy:
        for said in trial.said:
            counts[said.kind].append(said)
    rows = [_row(group, limits) for _, group in sorted(groups.items())]
    return Tally(
        healthy=len(healthy),
        healthy_h=sum(trial.hours for trial in healthy),
        tried=dict(tried),
        came=dict(came),
        faults=tuple(rows),
        alarms=tuple(
            AlarmRow(kind, len(counts[kind]), sum(not said.is_so for said in counts[kind]))
            for kind in Kind
            if counts[kind]
        ),
        plain_limits=limits,
        plain_alarms=sum(len(_in_force(trial, limits)) for trial in healthy),
        strays=sum(
            not said.is_so for trial in trials if trial.fault is not None for said in trial.said
        ),
        labels_matter=sum(trial.labels_matter for trial in trials),
    )


def _row(group: list[Trial], limits: PlainLimits) -> FaultRow:
    due = group[0].owed
    assert due is not None and group[0].fault is not None  # noqa: S101, PT018 - grouped by both
    has_ideal = any(trial.ideal_delay_s is not None for trial in group)
    return FaultRow(
        fault=group[0].fault.value,
        what=due.what,
        promised=due.promised,
        within_s=due.within_s,
        watch=_delays(group, [trial.delay_s for trial in group]),
        ideal=_delays(group, [t.ideal_delay_s for t in group]) if has_ideal else None,
        plain=_delays(group, [plain_delay_s(trial, limits) for trial in group]),
    )


def _delays(group: list[Trial], delays_s: list[float | None]) -> Delays:
    found = [delay_s for delay_s in delays_s if delay_s is not None]
    in_time = sum(
        delay_s is not None and trial.owed is not None and delay_s <= trial.owed.within_s
        for trial, delay_s in zip(group, delays_s, strict=True)
    )
    return Delays(len(group), len(found), in_time, quantile(found, 0.5), quantile(found, 0.95))


def _in_force(trial: Trial, limits: PlainLimits) -> list[PlainAlarm]:
    rules = limits.rules()
    return [alarm for alarm in trial.plain if (alarm.rule, alarm.limit) in rules]


def plain_delay_s(trial: Trial, limits: PlainLimits) -> float | None:
    """How late the plain watcher with these limits would have been; None if it said nothing."""
    due, onset_s = trial.owed, trial.onset_s
    if due is None or onset_s is None:
        return None
    at_s = [
        alarm.at_s
        for alarm in _in_force(trial, limits)
        if alarm.at_s >= onset_s and MEANS[alarm.rule] & due.kinds
    ]
    return max(0.0, min(at_s) - due.since_s) if at_s else None


def best_of(trials: Iterable[Trial]) -> PlainLimits:
    """The plain watcher's best limits on these trials.

    Best has the largest part of faults found in time less the part of healthy firings with a
    false alarm (W. J. Youden, Index for rating diagnostic tests, Cancer 3, 1950).
    """
    trials = list(trials)
    healthy = [trial for trial in trials if trial.fault is None]
    due = [t for t in trials if t.owed is not None and t.owed.promised and not t.stood_already]

    def index(limits: PlainLimits) -> float:
        found = sum(
            delay_s is not None and trial.owed is not None and delay_s <= trial.owed.within_s
            for trial in due
            for delay_s in (plain_delay_s(trial, limits),)
        )
        spoilt = sum(bool(_in_force(trial, limits)) for trial in healthy)
        return found / max(len(due), 1) - spoilt / max(len(healthy), 1)

    return max(grid(), key=index)
