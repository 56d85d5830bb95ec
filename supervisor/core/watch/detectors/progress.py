"""Plain information on the way: steps, holds, the end of the plan, cool enough to open."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, Value
from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.follower import HoldDone, Move, StepBegun
from supervisor.core.watch.wording import show_duration

_HOT_C = 300.0
"""A kiln that never was this hot has nothing to cool down from."""


def told(moment: Moment, move: Move) -> Event:
    """The event that says what has changed in the plan."""
    step = move.step
    words = moment.words
    count = len(moment.plan.timeline.steps)
    data: dict[str, Value] = {"step": step.index + 1, "steps": count, "to_c": round(step.to_c, 1)}
    if isinstance(move, StepBegun):
        data["from_c"] = round(step.from_c, 1)
        data["rate_c_per_h"] = None if step.rate_c_per_h is None else round(step.rate_c_per_h, 1)
        message = f"Step {step.index + 1} of {count} has begun: {_heading(moment, step)}."
        if step.note:
            message += f" Note: {step.note.strip().rstrip('.')}."
        return moment.event(Kind.STEP_BEGUN, Severity.INFO, message, data)
    if isinstance(move, HoldDone):
        data["held_s"] = round(move.held_s, 0)
        data["is_peak"] = _is_peak(moment, step)
        message = (
            f"The planned hold of {show_duration(step.hold_s)} at {words.temp(step.to_c)} is "
            f"complete{_what_to_look_at(moment, step)}."
        )
        return moment.event(Kind.HOLD_DONE, Severity.INFO, message, data)
    message = (
        f"The plan is complete at {words.temp(step.to_c)}: check that the heat is really off, "
        f"and keep the kiln shut until it is cool."
    )
    return moment.event(Kind.FIRING_FINISHED, Severity.INFO, message, data)


def _is_peak(moment: Moment, step: PlannedStep) -> bool:
    return step.to_c == max(planned.to_c for planned in moment.plan.timeline.steps)


def _what_to_look_at(moment: Moment, step: PlannedStep) -> str:
    if _is_peak(moment, step):
        return ": look at the witness cones before the kiln is let go on"
    return "" if step.cools else "; the plan goes on"


def _heading(moment: Moment, step: PlannedStep) -> str:
    words = moment.words
    if step.rate_c_per_h is None:
        how = "as fast as the kiln goes" if step.climbs else "cooling by itself"
    else:
        how = f"{'climbing' if not step.cools else 'cooling'} {words.rate(step.rate_c_per_h)}"
    heading = f"{how} to {words.temp(step.to_c)}"
    if step.hold_s > 0.0:
        heading += f", then holding {show_duration(step.hold_s)}"
    return heading


class CoolToOpen:
    """Says once that every channel is below the temperature at which ware can be held."""

    __slots__ = ("_below_c", "_hottest_c", "_said")

    def __init__(self, below_c: float) -> None:
        self._below_c = below_c
        self._hottest_c = float("-inf")
        self._said = False

    def feed(self, moment: Moment, tracks: tuple[ChannelTrack, ...]) -> list[Event]:
        if moment.temp_c is None:
            return []
        hottest_c = max(
            track.temp_c for track in tracks if track.is_healthy and track.temp_c is not None
        )
        if hottest_c > self._hottest_c:
            self._hottest_c = hottest_c
        if hottest_c > _HOT_C:
            self._said = False
        if self._said or self._hottest_c < _HOT_C or hottest_c > self._below_c:
            return []
        self._said = True
        message = (
            f"Every channel is below {moment.words.temp(self._below_c)}: cool enough to open, "
            f"but feel for heat before you reach in; the ware in the middle is warmer than the "
            f"air."
        )
        data = {"temp_c": round(hottest_c, 1), "below_c": round(self._below_c, 1)}
        return [moment.event(Kind.COOL_TO_OPEN, Severity.INFO, message, data)]
