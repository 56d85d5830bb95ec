"""One made-up firing tried: what was owed, what the watch said, and what the others would have.

A trial is small and plain, so that it can come back from another process.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from simulator.draw import draw_firing, healthy
from simulator.faults import OF_A_CHANNEL, FaultKind
from simulator.scenario_model import Scenario
from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.watch import Watch, WatchSettings
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.fleet.course import LiveCourse, true_course
from supervisor.fleet.ideal import threshold_for
from supervisor.fleet.judge import OF_THE_RIG, is_so
from supervisor.fleet.plain import PlainAlarm, PlainWatcher
from supervisor.fleet.told import Informed
from supervisor.fleet.wanted import Owed, owed

KILN_IS_WELL = OF_A_CHANNEL | {FaultKind.SILENT_RIG, FaultKind.CLOCK_STEP}
"""With these the kiln itself has nothing: any alert of its heat must still be so."""


@dataclass(frozen=True, slots=True)
class Said:
    """A warning or worse that was raised. ``is_so``: the truth bears it out."""

    at_s: float
    kind: Kind
    message: str
    channel: str | None
    is_so: bool


@dataclass(frozen=True, slots=True)
class Trial:
    """What became of one seed.

    ``found`` is the alert that answers what was ``owed``, ``delay_s`` how long after it was due
    to begin (0 if it came even before). ``said`` holds all warnings of a healthy firing; of one
    with a fault those before the fault, and in all of it where the kiln itself was well, but
    for the one that was owed.
    """

    seed: int
    fault: FaultKind | None
    kiln: str
    operator: str
    plan: str
    hours: float
    interval_s: float
    channels: int
    noise_c: float
    onset_s: float | None = None
    owed: Owed | None = None
    stood_already: bool = False
    found: Said | None = None
    delay_s: float | None = None
    instead: tuple[Said, ...] = ()
    """Where nothing was found: what was said instead, once the fault was there."""
    ideal_delay_s: float | None = None
    plain: tuple[PlainAlarm, ...] = ()
    said: tuple[Said, ...] = ()
    labels_matter: bool = False
    """Whether a step of the wall clock changed anything but labels."""

    @property
    def in_time(self) -> bool:
        """Whether what was owed was found, and within its limit."""
        return (
            self.owed is not None
            and self.delay_s is not None
            and self.delay_s <= self.owed.within_s
        )


def as_owned(scenario: Scenario, settings: WatchSettings | None = None) -> WatchSettings:
    """The settings, or the watch's usual ones, with what the kiln's owner would have set."""
    return replace(
        settings or WatchSettings(),
        units=scenario.schedule.units,
        kiln_kind=scenario.kiln.kind.value,
    )


def try_firing(seed: int, fault: FaultKind | None, settings: WatchSettings | None = None) -> Trial:
    """Draw the firing of this seed, let it happen and see who says what.

    ``settings`` replaces the watch's usual tolerances; scale and the kind of kiln are always
    those of the firing, as its owner would have set them.
    """
    scenario = draw_firing(seed, fault=fault)
    settings = as_owned(scenario, settings)
    watch = Watch(scenario.schedule, scenario.channels, settings)
    plain = PlainWatcher(scenario)
    live = LiveCourse(scenario)
    # Where only the rig is at fault, the kiln's course is the same without it.
    spoilt = fault is not None and fault not in KILN_IS_WELL
    twin = true_course(healthy(scenario)) if spoilt else live.course
    informed = None
    if spoilt:
        sensitivity = Sensitivity(settings.false_alarms_per_1000_h)
        informed = Informed(
            scenario,
            twin,
            live.course,
            threshold_for(sensitivity.between_s(_kind_of(fault)), scenario.interval_s),
        )
    unlabelled = None
    if fault is FaultKind.CLOCK_STEP:
        unlabelled = Watch(scenario.schedule, scenario.channels, settings)
    events: list[Event] = []
    plain_events: list[Event] = []
    last_s = 0.0
    for reading in live.readings():
        events += watch.feed(reading)
        plain.feed(reading)
        if informed is not None:
            informed.feed(reading)
        if unlabelled is not None:
            plain_events += unlabelled.feed(replace(reading, time=None))
        last_s = reading.elapsed_s
    course = live.course
    # A probe that has slipped out tells nothing of the kiln any more, which goes on as it would.
    kiln = true_course(healthy(scenario)) if fault is FaultKind.SLIPPED_THERMOCOUPLE else course
    trial = Trial(
        seed=seed,
        fault=fault,
        kiln=scenario.kiln.name,
        operator=str(scenario.operation.kind),
        plan=scenario.schedule.name,
        hours=last_s / 3600.0,
        interval_s=scenario.interval_s,
        channels=len(scenario.sensors),
        noise_c=scenario.sensors[0].noise_c,
        onset_s=course.onset_s,
        plain=tuple(plain.alarms),
    )
    warned = [
        Said(
            event.elapsed_s,
            event.kind,
            event.message,
            event.channel,
            is_so(event, course if event.kind in OF_THE_RIG else kiln),
        )
        for event in events
        if event.state is State.RAISED and event.severity is not Severity.INFO
    ]
    if fault is None:
        return replace(trial, said=tuple(warned))
    return _with_fault(
        replace(
            trial,
            owed=owed(course, twin),
            labels_matter=unlabelled is not None
            and [replace(event, time=None) for event in events] != plain_events,
        ),
        scenario,
        events,
        warned,
        None if informed is None else informed.found_s,
    )


def _kind_of(fault: FaultKind | None) -> Kind:
    """The kind whose share of the false alarms the ideal detector has."""
    if fault is FaultKind.RELAY_STUCK:
        return Kind.HEAT_STUCK_ON
    if fault is FaultKind.FAST_COOLING:
        return Kind.FAST_COOLING
    if fault in (FaultKind.POWER_CUT, FaultKind.EARLY_SHUT_OFF, FaultKind.DOOR_AJAR):
        return Kind.HEAT_LOST
    return Kind.STALL


def _with_fault(
    trial: Trial,
    scenario: Scenario,
    events: Sequence[Event],
    warned: Sequence[Said],
    ideal_s: float | None,
) -> Trial:
    due, onset_s = trial.owed, trial.onset_s
    before = [said for said in warned if onset_s is None or said.at_s < onset_s]
    if due is None:
        well = scenario.faults[0].kind in KILN_IS_WELL
        return replace(trial, said=tuple(warned if well else before))
    assert onset_s is not None  # noqa: S101 - nothing is owed before a fault has begun
    answers = [event for event in events if _answers(event, due)]
    stood = _stands_at(answers, onset_s)
    answer = next((e for e in answers if _still_stands(e, answers, onset_s, due.since_s)), None)
    found, delay_s = None, None
    if answer is not None:
        found = Said(answer.elapsed_s, answer.kind, answer.message, answer.channel, is_so=True)
        delay_s = max(0.0, answer.elapsed_s - due.since_s)
    ideal_delay_s = None
    if ideal_s is not None:
        ideal_delay_s = max(0.0, ideal_s - due.since_s)
    others = [
        said for said in warned if said.at_s >= onset_s and not (found and said.at_s == found.at_s)
    ]
    if scenario.faults[0].kind in KILN_IS_WELL:
        before += [said for said in others if said.kind not in due.kinds]
    return replace(
        trial,
        stood_already=stood,
        found=found,
        delay_s=delay_s,
        instead=tuple(others[:4]),
        ideal_delay_s=ideal_delay_s,
        said=tuple(before),
    )


def _answers(event: Event, due: Owed) -> bool:
    if event.kind not in due.kinds:
        return False
    if event.kind is not Kind.SENSOR_FAULT:
        return True
    if due.channel is not None and event.channel != due.channel:
        return False
    return not due.causes or event.data.get("cause") in due.causes


def _still_stands(event: Event, answers: Sequence[Event], onset_s: float, since_s: float) -> bool:
    """Whether this alert was raised by the fault: what was taken back before the fault had any
    effect answers nothing. What is taken back at the same moment was a milder one before it."""
    if event.state is not State.RAISED or event.elapsed_s < onset_s:
        return False
    return not any(
        other.state is State.CLEARED
        and (other.kind, other.channel) == (event.kind, event.channel)
        and event.elapsed_s < other.elapsed_s < since_s
        for other in answers
    )


def _stands_at(answers: Sequence[Event], at_s: float) -> bool:
    """Whether such an alert is up already, so that it can't be raised."""
    up: set[Kind] = set()
    for event in answers:
        if event.elapsed_s >= at_s:
            break
        if event.state is State.RAISED:
            up.add(event.kind)
        else:
            up.discard(event.kind)
    return bool(up)
