"""The phases of the ware as the kiln comes to them, and guarded bands crossed too fast.

What too fast means is ``supervisor.core.phases.pace``, the same rule by which a plan is
cautioned; this module decides only which temperatures to believe and what to say.
"""

from __future__ import annotations

from supervisor.core.events import Event, Kind, Severity, State, Value
from supervisor.core.phases.bands import Band, bands_of
from supervisor.core.phases.pace import BandPace, Paces
from supervisor.core.schedule.model import BandName, Schedule, Way
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.moves import CLIMBING, HOLDING, WAITING

_BLURRED_C = 3.0
"""A temperature less sure than this says nothing of a pace over 25 °C."""


class Phases:
    """Says of each band once that the kiln has come to it, and of each hurry that it is one.

    Heating bands begin while the plan has not passed its peak, cooling bands after it. Paces
    are told whichever way the plan goes, but not before the firing has begun, and a fall not
    while heat is lost: then there are other things to do.
    """

    __slots__ = (
        "_activity",
        "_high_c",
        "_is_blurred",
        "_low_c",
        "_paces",
        "_peak_step",
        "_pending",
        "_standing",
    )

    def __init__(self, schedule: Schedule, *, is_stoked: bool = False) -> None:
        """``is_stoked``: the kiln is known to be fired with wood."""
        bands = bands_of(schedule)
        self._paces = Paces(bands, is_stoked=is_stoked)
        self._pending = list(bands)
        self._peak_step = schedule.peak_step
        self._standing: list[BandPace] = []
        self._activity = WAITING
        self._is_blurred = True
        self._low_c, self._high_c = float("inf"), float("-inf")

    @property
    def falls_too_fast(self) -> bool:
        """Whether it stands that a band is crossed too fast on the way down."""
        return len(self._standing) > 0 and any(pace.band.cooling for pace in self._standing)

    def feed(self, moment: Moment, *, heat_is_lost: bool) -> list[Event]:
        """Events of this moment; a kiln that loses heat is spoken of as that, not as a hurry."""
        temp_c = moment.temp_c
        if temp_c is None or moment.sigma_c > _BLURRED_C:
            self._is_blurred = True
            return []
        elapsed_s, has_looked = moment.elapsed_s, False
        # After a gap, a jump or another probe, how the kiln came here is not known.
        if moment.moved_s == 0.0 or self._is_blurred:
            self._paces.begin(elapsed_s, temp_c)
        else:
            has_looked = self._paces.feed(elapsed_s, temp_c)
        self._is_blurred = False
        activity = moment.plan.activity
        if activity is WAITING:
            if has_looked:
                self._paces.forgive()
            return []
        events: list[Event] = []
        if activity is not self._activity or not self._low_c < temp_c < self._high_c:
            self._activity = activity
            events += self._begun(moment, temp_c)
        if self._standing:
            events += self._eased(moment, temp_c)
        if has_looked:
            events += self._hurries(moment, temp_c, heat_is_lost=heat_is_lost)
        return events

    def _begun(self, moment: Moment, temp_c: float) -> list[Event]:
        """The bands that the kiln has come to; those that it has passed are let go."""
        events = []
        is_past_peak = moment.plan.is_past_peak
        for band in list(self._pending):
            if band.way is Way.HOLDING:
                is_in, is_behind = self._holds_at_peak(moment), is_past_peak
            elif band.way is Way.HEATING:
                is_in = not is_past_peak and band.from_c <= temp_c < band.to_c
                is_behind = is_past_peak or temp_c >= band.to_c
            else:
                is_in = is_past_peak and band.to_c < temp_c <= band.from_c
                is_behind = is_past_peak and temp_c <= band.to_c
            if is_in or is_behind:
                self._pending.remove(band)
            if is_in:
                events.append(self._enters(moment, band))
        heating = [b.from_c for b in self._pending if b.way is Way.HEATING]
        cooling = [b.from_c for b in self._pending if b.cooling]
        self._high_c = min((c for c in heating if c > temp_c), default=float("inf"))
        self._low_c = max((c for c in cooling if c < temp_c), default=float("-inf"))
        return events

    def _holds_at_peak(self, moment: Moment) -> bool:
        step = moment.plan.step
        holds = moment.plan.activity is HOLDING
        return holds and step is not None and step.index == self._peak_step

    def _enters(self, moment: Moment, band: Band) -> Event:
        words = moment.words
        rate_c_per_h = -moment.rate_c_per_h if band.cooling else moment.rate_c_per_h
        fastest_c_per_h = band.fastest_c_per_h
        pace = ""
        if fastest_c_per_h is not None:
            pace = f", up to {words.rate(fastest_c_per_h)} is advisable"
        data: dict[str, Value] = {
            "band": str(band.name),
            "from_c": round(band.from_c, 1),
            "to_c": round(band.to_c, 1),
            "fastest_c_per_h": None if fastest_c_per_h is None else round(fastest_c_per_h, 1),
            "rate_c_per_h": round(rate_c_per_h, 1),
        }
        message = (
            f"The ware comes to “{band.name}” ({band.limits(words)}{pace}): "
            f"{band.reason(words)}. {band.care[0].upper()}{band.care[1:]}."
        )
        return moment.event(Kind.PHASE_BEGUN, Severity.INFO, message, data)

    def _eased(self, moment: Moment, temp_c: float) -> list[Event]:
        events = []
        for pace in list(self._standing):
            pace.ease(moment.elapsed_s, temp_c)
            if not pace.is_too_fast:
                self._standing.remove(pace)
                events.append(_cleared(moment, pace, temp_c))
        return events

    def _hurries(self, moment: Moment, temp_c: float, *, heat_is_lost: bool) -> list[Event]:
        events = []
        for pace in self._paces.of:
            if not pace.is_too_fast or pace in self._standing:
                continue
            burns_down = moment.kiln_kind == "wood" and moment.plan.activity is CLIMBING
            if pace.band.cooling and (heat_is_lost or burns_down):
                pace.is_too_fast = False
            else:
                self._standing.append(pace)
                events.append(_raised(moment, pace, temp_c))
        return events


def _kind(pace: BandPace) -> Kind:
    return Kind.FAST_COOLING if pace.band.cooling else Kind.FAST_HEATING


def _data(moment: Moment, pace: BandPace, temp_c: float) -> dict[str, Value]:
    return {
        "band": str(pace.band.name),
        "temp_c": round(temp_c, 1),
        "rate_c_per_h": round(abs(moment.rate_c_per_h), 1),
        "fastest_c_per_h": round(pace.fastest_c_per_h, 1),
    }


def _raised(moment: Moment, pace: BandPace, temp_c: float) -> Event:
    band, words = pace.band, moment.words
    data = _data(moment, pace, temp_c)
    data["rate_c_per_h"] = round(pace.rate_c_per_h, 1)
    message = (
        f"The kiln {'falls' if band.cooling else 'climbs'} {words.rate(pace.rate_c_per_h)} "
        f"through “{band.name}” ({band.limits(words)}), where up to "
        f"{words.rate(pace.fastest_c_per_h)} is advisable: {band.reason(words)}. "
        f"{_what_to_do(pace, temp_c)}."
    )
    return moment.event(_kind(pace), Severity.WARNING, message, data)


def _what_to_do(pace: BandPace, temp_c: float) -> str:
    band = pace.band
    if pace.is_behind(temp_c):
        return "It is behind you now: look the ware over for cracks when it is unpacked"
    if band.cooling:
        return "Go and look that lid or door is shut, and close damper, vents and peeps"
    if band.name == BandName.DRYING:
        return "Turn down, open the vents, and look whether the kiln fires the right plan"
    return "Turn down, and look whether the kiln fires the right plan"


def _cleared(moment: Moment, pace: BandPace, temp_c: float) -> Event:
    words, name = moment.words, pace.band.name
    if pace.is_behind(temp_c):
        message = f"The kiln has left “{name}” behind, at {words.temp(temp_c)}."
    else:
        message = f"The kiln is no longer too fast for “{name}”, at {words.temp(temp_c)}."
    data = _data(moment, pace, temp_c)
    return moment.event(_kind(pace), Severity.WARNING, message, data, state=State.CLEARED)
