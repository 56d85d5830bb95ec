"""A thermocouple can't be believed, or nothing arrives at all."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.readings import FaultCause
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import CLIMBING, HOLDING
from supervisor.core.watch.wording import show_duration


class SensorFaults:
    """Says once when a channel becomes unusable, and once when it is well again.

    A fault whose cause changes is two: the old one is cleared and the new one raised at the
    same moment. That a probe may be live is critical, all else a warning.
    """

    __slots__ = ("_said", "_tracks")

    def __init__(self, tracks: tuple[ChannelTrack, ...]) -> None:
        self._tracks = tracks
        self._said: list[FaultCause | None] = [None] * len(tracks)

    def feed(self, moment: Moment) -> list[Event]:
        events: list[Event] = []
        for i, track in enumerate(self._tracks):
            fault, said = track.fault, self._said[i]
            if fault is said:
                continue
            self._said[i] = fault
            if said is not None:
                message = self._over(track, said)
                events.append(self._event(moment, track, said, message, State.CLEARED))
            if fault is not None:
                check = SENSOR_CHECKS[fault]
                message = f"Thermocouple “{track.name}” {check.whole}."
                if check.is_hands_on:
                    message += f" {BEFORE_TOUCHING}"
                if not any(other.is_healthy for other in self._tracks):
                    message += " No other channel can stand in: look at the kiln itself."
                events.append(self._event(moment, track, fault, message, State.RAISED))
        return events

    def _over(self, track: ChannelTrack, said: FaultCause) -> str:
        name = f"Thermocouple “{track.name}”"
        if said is FaultCause.VOLTAGE:
            still = " but can't be believed yet" if track.fault is not None else ""
            return (
                f"{name} no longer sees a voltage that no thermocouple gives{still}: leave it "
                f"alone all the same until a licensed electrician has looked."
            )
        if track.fault is not None:
            return f"{name} still can't be believed, now for another reason."
        return f"{name} can be believed again."

    def _event(
        self, moment: Moment, track: ChannelTrack, cause: FaultCause, message: str, state: State
    ) -> Event:
        last = track.last_value_c
        return moment.event(
            Kind.SENSOR_FAULT,
            Severity.CRITICAL if cause is FaultCause.VOLTAGE else Severity.WARNING,
            message,
            {"cause": cause.value, "last_value_c": None if last is None else round(last, 1)},
            state=state,
            channel=track.name,
        )


_MISSED = 4.0
"""Logs may be kept at minutes; four readings missed is as good as two minutes (common practice,
no source)."""
DARK = "dark"
"""The ``cause`` of a silence in which nobody asked the thermocouples."""
_PACE_PART, _SLOWEST_PACE_S = 0.1, 3600.0
"""The pace is a running mean over ten readings or so; nobody keeps a log slower than hourly."""


class NoReadings:
    """Raises when no channel has given a value for long; due at a fixed time, not at a look.

    A rig that is asked and gives nothing is critical. Where nobody asked (spyhole was not running,
    or the log has a gap) nothing can be said of the rig, and it is over when it is found: critical
    where the plan heats, for what stopped spyhole may have stopped the kiln, else a warning.

    The event carries the time at which it became due (and no label, for no reading was taken
    then), so that a live watch that looks every second and a replay that next hears an hour
    later say the same.
    """

    __slots__ = ("_after_s", "_interval_s", "_last_s", "_silent_from_s", "is_raised")

    def __init__(self, after_s: float) -> None:
        self._after_s = after_s
        self._interval_s = 0.0
        self._last_s: float | None = None
        self._silent_from_s = 0.0
        """From when on a silence is the rig's: the last value, or the first look after a gap."""
        self.is_raised = False

    def due(self, moment: Moment, since_look_s: float = 0.0) -> list[Event]:
        """Called first for every reading, with whatever it holds.

        ``since_look_s`` is how long ago the one before was taken, with values or without.
        """
        elapsed_s = moment.elapsed_s
        if self._last_s is None:
            self._last_s = self._silent_from_s = elapsed_s
            return []
        patience_s = max(self._after_s, _MISSED * self._interval_s)
        due_s = round(self._silent_from_s + patience_s, 3)
        if self.is_raised or elapsed_s <= due_s:
            return []
        if since_look_s > patience_s:
            self._silent_from_s = elapsed_s
            return self._dark(moment, since_look_s, round(elapsed_s - since_look_s, 3), patience_s)
        self.is_raised = True
        silent_s = due_s - self._last_s
        message = (
            f"No thermocouple has given a usable value for {show_duration(silent_s)}: spyhole "
            "can't see the kiln. Go and look at the kiln itself, then at the rig's power and "
            "wiring."
        )
        return [
            moment.event(
                Kind.NO_READINGS,
                Severity.CRITICAL,
                message,
                {"silent_s": round(silent_s, 1), "last_reading_s": round(self._last_s, 3)},
                elapsed_s=due_s,
            )
        ]

    @staticmethod
    def _dark(moment: Moment, dark_s: float, looked_s: float, patience_s: float) -> list[Event]:
        """Nobody has looked for ``dark_s``, since ``looked_s``."""
        lasted = show_duration(dark_s)
        data: dict[str, Value] = {
            "cause": DARK,
            "silent_s": round(dark_s, 1),
            "last_reading_s": looked_s,
        }
        message = (
            f"Nobody looked at the thermocouples for {lasted}: spyhole was not running, or the log "
            f"has a gap, and what the kiln did meanwhile is not known. Look at the kiln itself: "
            f"what stops spyhole, such as a power cut, may stop a kiln too."
        )
        heats = moment.plan.activity in (CLIMBING, HOLDING)
        severity = Severity.CRITICAL if heats else Severity.WARNING
        due_s = round(looked_s + patience_s, 3)
        return [
            moment.event(Kind.NO_READINGS, severity, message, data, elapsed_s=due_s),
            moment.event(
                Kind.NO_READINGS,
                severity,
                f"The thermocouples are looked at again, after {lasted}.",
                {"cause": DARK, "silent_s": round(dark_s, 1)},
                state=State.CLEARED,
            ),
        ]

    def arrived(self, moment: Moment) -> list[Event]:
        """Called when a channel gave a value."""
        elapsed_s, last_s, silent_from_s = moment.elapsed_s, self._last_s, self._silent_from_s
        self._last_s = self._silent_from_s = elapsed_s
        silent_s = 0.0 if last_s is None else elapsed_s - last_s
        interval_s = self._interval_s
        if last_s is not None and silent_s != interval_s:
            # A first silence may be no more than the pace of the log.
            if not interval_s:
                self._interval_s = min(silent_s, _SLOWEST_PACE_S)
            elif not (self.is_raised or silent_from_s > last_s):
                self._interval_s += _PACE_PART * (min(silent_s, _SLOWEST_PACE_S) - interval_s)
        if not self.is_raised:
            return []
        self.is_raised = False
        return [
            moment.event(
                Kind.NO_READINGS,
                Severity.CRITICAL,
                f"Readings arrive again after {show_duration(silent_s)} without.",
                {"silent_s": round(silent_s, 1)},
                state=State.CLEARED,
            )
        ]
