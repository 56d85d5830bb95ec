"""Plain information on the way: steps, holds, the end of the plan, cool enough to open."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, Value
from supervisor.core.schedule import PlannedStep
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import WAITING, HoldDone, Move, StepBegun
from supervisor.core.watch.wording import show_duration

_HOT_C = 300.0
"""A kiln that never was this hot has nothing to cool down from (common practice, no source)."""
_LEAST_FALL_S = 3600.0
"""No kiln of brick or fibre falls from there to hand-warm within this time with its ware in it;
a probe that is pulled out does (common practice, no source)."""
_LET_GO_EARLY_S = 90.0
"""Hardly anybody counts a hold to the minute."""
_HEAT_LOST_S = 4 * 3600.0
"""While the plan still heats, a loss of heat must have stood for so long before the kiln is
spoken of as cool: a kiln cools for longer, a probe out of its hole is found by then."""


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
        if move.unseen_s > 0.0:
            data["unseen_s"] = round(move.unseen_s, 0)
            message += f" {_unseen(move.unseen_s)}."
        return moment.event(Kind.STEP_BEGUN, Severity.INFO, message, data)
    if isinstance(move, HoldDone):
        data["held_s"] = round(move.held_s, 0)
        data["is_peak"] = _is_peak(moment, step)
        below = ""
        if move.short_c > 0.0:
            data["short_c"] = round(move.short_c, 1)
            below = f" ({words.difference(move.short_c)} below it by this thermocouple)"
        short_s = step.hold_s - move.held_s
        if short_s >= _LET_GO_EARLY_S and moment.rate_c_per_h < 0.0:
            # It may be the controller's count, or it may be the power: nobody can tell from here.
            message = (
                f"The kiln falls from {words.temp(step.to_c)} {show_duration(short_s)} before its "
                f"planned hold of {show_duration(step.hold_s)} is over by our count: if nobody has "
                f"let it go, look at power or flame, and in any case at the witness cones."
            )
            return moment.event(Kind.HOLD_DONE, Severity.INFO, message, data)
        message = (
            f"The planned hold of {show_duration(step.hold_s)} at {words.temp(step.to_c)}{below} "
            f"is complete{_what_to_look_at(moment, step)}."
        )
        return moment.event(Kind.HOLD_DONE, Severity.INFO, message, data)
    if move.unseen_s > 0.0:
        data["unseen_s"] = round(move.unseen_s, 0)
        message = (
            f"The plan seems complete: the kiln cools, at {words.temp(moment.temp_c or 0.0)} now. "
            f"{_unseen(move.unseen_s)}; and keep the kiln shut until it is cool."
        )
        return moment.event(Kind.FIRING_FINISHED, Severity.INFO, message, data)
    if move.short_c > 0.0:
        # The kiln's own thermocouple may read more, or the heat has gone: both end it here.
        data["short_c"] = round(move.short_c, 1)
        message = (
            f"The plan seems complete: the kiln falls from {words.difference(move.short_c)} below "
            f"the {words.temp(step.to_c)} of its plan by this thermocouple. Look at the witness "
            f"cones; if nobody has let it go, look at power or flame; and keep the kiln shut until "
            f"it is cool."
        )
        return moment.event(Kind.FIRING_FINISHED, Severity.INFO, message, data)
    message = (
        f"The plan is complete at {words.temp(step.to_c)}: check that the heat is really off, "
        f"and keep the kiln shut until it is cool."
    )
    return moment.event(Kind.FIRING_FINISHED, Severity.INFO, message, data)


def _unseen(unseen_s: float) -> str:
    """What can be said of an end of the heating that nobody saw."""
    return (
        f"Nobody looked for {show_duration(unseen_s)}, long enough for what was left of the "
        f"heating; whether the kiln came to its top or lost its heat can't be told from here: look "
        f"at the witness cones, and at power or flame"
    )


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
    """Says once that every channel that can be believed is below hand-warm, and names the rest.

    Nothing is said while the plan still heats (unless heat was lost hours ago), nor of a fall
    that is too fast for a kiln.
    """

    __slots__ = ("_below_c", "_hot_s", "_is_settled")

    def __init__(self, below_c: float) -> None:
        self._below_c = below_c
        self._hot_s: float | None = None
        self._is_settled = False
        """Whether this cooling has been said, or was found to be a probe pulled out."""

    def feed(
        self, moment: Moment, tracks: tuple[ChannelTrack, ...], heat_lost_at_s: float | None
    ) -> list[Event]:
        """``heat_lost_at_s`` is since when a loss of heat stands, None while none does."""
        temp_c = moment.temp_c
        if temp_c is None:
            return []
        if temp_c > _HOT_C:
            self._hot_s = moment.elapsed_s
            self._is_settled = False
            return []
        hot_s = self._hot_s
        if self._is_settled or hot_s is None or temp_c > self._below_c:
            return []
        temps_c = [
            track.temp_c for track in tracks if track.is_healthy and track.temp_c is not None
        ]
        hottest_c = max(temps_c, default=temp_c)
        if hottest_c > self._below_c:
            return []
        if moment.elapsed_s - hot_s < _LEAST_FALL_S:
            self._is_settled = True
            return []
        if not self._may_be_over(moment, heat_lost_at_s):
            return []
        self._is_settled = True
        return [self._event(moment, tracks, hottest_c)]

    def _may_be_over(self, moment: Moment, heat_lost_at_s: float | None) -> bool:
        plan = moment.plan
        if plan.activity is WAITING or plan.is_past_peak:
            return True
        return heat_lost_at_s is not None and moment.elapsed_s - heat_lost_at_s >= _HEAT_LOST_S

    def _event(self, moment: Moment, tracks: tuple[ChannelTrack, ...], hottest_c: float) -> Event:
        limit = moment.words.temp(self._below_c)
        blind = [f"“{track.name}”" for track in tracks if not track.is_healthy]
        if blind:
            start = (
                f"Every channel that can be believed is below {limit}, but {' and '.join(blind)} "
                f"can't be believed: feel for heat there before you open or reach in"
            )
        else:
            start = (
                f"Every channel is below {limit}: cool enough to open, but feel for heat before "
                f"you reach in"
            )
        return moment.event(
            Kind.COOL_TO_OPEN,
            Severity.INFO,
            f"{start}; the ware in the middle is warmer than the air.",
            {"temp_c": round(hottest_c, 1), "below_c": round(self._below_c, 1)},
        )
