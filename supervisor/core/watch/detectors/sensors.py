"""A thermocouple can't be believed, or nothing arrives at all."""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State
from supervisor.core.readings import FaultCause
from supervisor.core.sensor_checks import BEFORE_TOUCHING, SENSOR_CHECKS
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.detectors.moment import Moment
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
_PACE_PART, _SLOWEST_PACE_S = 0.1, 3600.0
"""The pace is a running mean over ten readings or so; nobody keeps a log slower than hourly."""


class NoReadings:
    """Raises when no channel has given a value for long; due at a fixed time, not at a look.

    The event carries the time at which it became due (and no label, for no reading was taken
    then), so that a live watch that looks every second and a replay that next hears an hour
    later say the same.
    """

    __slots__ = ("_after_s", "_interval_s", "_last_s", "is_raised")

    def __init__(self, after_s: float) -> None:
        self._after_s = after_s
        self._interval_s = 0.0
        self._last_s: float | None = None
        self.is_raised = False

    def due(self, moment: Moment) -> list[Event]:
        """Called first for every reading, with whatever it holds."""
        if self._last_s is None:
            self._last_s = moment.elapsed_s
            return []
        due_s = round(self._last_s + max(self._after_s, _MISSED * self._interval_s), 3)
        if self.is_raised or moment.elapsed_s <= due_s:
            return []
        self.is_raised = True
        silent_s = due_s - self._last_s
        message = (
            f"No thermocouple has given a reading for {show_duration(silent_s)}: spyhole can't "
            f"see the kiln. Go and look at the kiln itself, then at the rig's power and wiring."
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

    def arrived(self, moment: Moment) -> list[Event]:
        """Called when a channel gave a value."""
        last_s, self._last_s = self._last_s, moment.elapsed_s
        silent_s = 0.0 if last_s is None else moment.elapsed_s - last_s
        # A first silence may be no more than the pace of the log.
        if silent_s > 0.0 and not (self.is_raised and self._interval_s):
            part = _PACE_PART if self._interval_s else 1.0
            self._interval_s += part * (min(silent_s, _SLOWEST_PACE_S) - self._interval_s)
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
