"""What is known of one firing when it is looked back on. Knows figures, not how they are found.

Temperatures are °C, times seconds of the firing's own clock, rates °C an hour and positive
whichever way the kiln goes. None is "can't be told", never zero. Temperatures of "the kiln" are
those of the channel that leads, put where the first channel's would be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from supervisor.core.events import Kind, Severity, Value
from supervisor.core.schedule.model import Atmosphere, FiringKind, Way

_MOST_APART_C = 150.0
"""No zone of a kiln that is fired is so much cooler than its hottest (common practice, no
source): such a channel had failed before."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One move and its hold: it starts at ``from_c``, is at ``to_c`` at ``reach_s``, holds to
    ``end_s``.

    ``rate_c_per_h`` is None for a natural step of a plan, and where a kiln hardly moved.
    """

    start_s: float
    reach_s: float
    end_s: float
    from_c: float
    to_c: float
    rate_c_per_h: float | None

    @property
    def hold_s(self) -> float:
        return self.end_s - self.reach_s


@dataclass(frozen=True, slots=True)
class StepFacts:
    """One step of the plan beside what the kiln made of it.

    ``planned`` lies on the firing's clock, counted from where the plan began. ``actual`` is None
    for a step that the kiln never came to. ``is_complete`` is False for the one that the log, or
    a loss of heat, broke off. The differences are actual less planned: ``late_s`` at the step's
    end, ``rate_off_c_per_h``, ``hold_off_s``, and ``top_off_c`` (of where it held or turned).
    """

    number: int
    note: str
    planned: Leg
    actual: Leg | None
    is_complete: bool
    late_s: float | None = None
    rate_off_c_per_h: float | None = None
    hold_off_s: float | None = None
    top_off_c: float | None = None


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """The plan as a whole. ``begun_s`` is None where the kiln never began to climb.

    ``planned_s`` is its length, ``lasted_s`` how long the kiln took for it and ``finished_s``
    when it was through, None where it was not.
    """

    name: str
    kind: FiringKind
    atmosphere: Atmosphere
    target_cone: str | None
    peak_c: float
    peak_hold_s: float
    begun_s: float | None
    planned_s: float
    finished_s: float | None
    lasted_s: float | None


@dataclass(frozen=True, slots=True)
class PeakFacts:
    """The hottest of the firing.

    ``hold_s`` is how long the kiln stood within 5 °C of its level there, from ``hold_from_s`` to
    ``hold_to_s``. ``rate_c_per_h`` is the mean over the last 100 °C of the climb, the rate that
    cone charts go by. ``channels_c`` is each channel's own highest temperature.
    """

    temp_c: float
    at_s: float
    hold_from_s: float
    hold_to_s: float
    hold_s: float
    level_c: float
    rate_c_per_h: float | None
    channels_c: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class TimeAbove:
    """How long the kiln was hotter than ``temp_c``."""

    temp_c: float
    time_s: float


@dataclass(frozen=True, slots=True)
class Passage:
    """How the kiln went through a range of temperatures, one way.

    ``part`` is how much of the range it saw. ``entered_s`` is when it was last at ``from_c`` before
    it reached ``to_c`` at ``left_s`` (or at the ends of what it saw); both are None, as the rates
    are, where it saw less than half. ``fastest_c_per_h`` is the fastest stretch of 25 °C (of all of
    it, where it is narrower), which began at ``fastest_at_c``.
    """

    from_c: float
    to_c: float
    part: float
    entered_s: float | None
    left_s: float | None
    mean_c_per_h: float | None
    fastest_c_per_h: float | None
    fastest_at_c: float | None

    @property
    def time_s(self) -> float | None:
        if self.entered_s is None or self.left_s is None:
            return None
        return self.left_s - self.entered_s


@dataclass(frozen=True, slots=True)
class BandFacts:
    """One of the bands that the ware goes through, as the kiln crossed it.

    ``allowed_c_per_h`` is the fastest advisable rate, None where there is no guard.
    ``too_fast`` is by how much at the worst: 1.3 is 30 % more than the rule allows; at most 1 is
    no hurry; None where there is no guard. It is the very rule of the watch and of the plan's
    cautions. ``planned_c_per_h`` is the plan's own mean rate there, None where it says none.
    """

    name: str
    way: Way
    passage: Passage
    allowed_c_per_h: float | None
    too_fast: float | None
    planned_c_per_h: float | None


@dataclass(frozen=True, slots=True)
class Opening:
    """From ``at_s`` the kiln fell faster than one that is shut.

    ``rate_c_per_h`` is its fall over the next five minutes or so, ``shut_c_per_h`` what it would
    have been, None where that is not known: the watch told of it before the kiln had shown its own.
    """

    at_s: float
    temp_c: float
    rate_c_per_h: float
    shut_c_per_h: float | None


@dataclass(frozen=True, slots=True)
class CoolingFacts:
    """How the kiln cooled after its peak.

    ``crystals`` (1,100 to 760 °C), ``glaze_sets`` (750 to 600: the glaze stiffens and anneals),
    ``quartz`` (600 to 530, about 573) and ``cristobalite`` (280 to 200, about 226) are the ranges
    that matter, None where the firing was never so hot. ``dwells`` are the holds on the way down.
    ``opened`` is the first fall that no shut kiln makes: lid, door, damper or vents. ``end_c`` is
    the last temperature of the log: a lid that was opened later can't be seen. ``first_c_per_h``
    is the mean rate of the first 100 °C below the peak's level.
    ``shut_constant_s`` is the time in which it lost 63 % of its excess over ``ambient_c``, the air
    about the kiln as far as that was told, while shut, about 573 °C.
    """

    begun_s: float
    from_c: float
    end_s: float
    end_c: float
    first_c_per_h: float | None
    crystals: Passage | None
    glaze_sets: Passage | None
    quartz: Passage | None
    cristobalite: Passage | None
    dwells: tuple[Leg, ...]
    opened: Opening | None
    shut_constant_s: float | None
    ambient_c: float


@dataclass(frozen=True, slots=True)
class EvennessAt:
    """How far the channels were apart at one time, and which was the hottest and the coolest."""

    at_s: float
    temp_c: float
    apart_c: float
    hottest: str
    coolest: str


@dataclass(frozen=True, slots=True)
class EvennessFacts:
    """How even a kiln of several channels was, from 600 °C on while it was fired.

    ``over_time`` is a value every quarter of an hour. ``at_peak_c`` is how far each channel was
    from the mean of all during the peak's hold. ``cones_apart`` is how many cones the hottest
    channel had beyond the coolest, by calculation.
    """

    worst: EvennessAt
    mean_c: float
    at_peak_c: Mapping[str, float]
    peak_apart_c: float | None
    cones_apart: float | None
    hottest: str | None
    coolest: str | None
    over_time: tuple[EvennessAt, ...]


@dataclass(frozen=True, slots=True)
class ConeLook:
    """What was seen of a real cone, beside what is calculated for that time.

    ``work`` is the calculated share of the cone's heat-work, ``clock`` how it would look by that.
    ``offset_low_c`` and ``offset_high_c`` are what would have to be added to the readings for
    the cone to look as it was seen (None: no limit on that side). ``counts`` is False for a look
    that can't be, which is then not gone by.
    """

    elapsed_s: float
    cone: str
    seen_clock: str
    channel: str | None
    shelf: str | None
    work: float | None
    clock: str | None
    offset_low_c: float | None
    offset_high_c: float | None
    counts: bool


@dataclass(frozen=True, slots=True)
class ChannelCones:
    """The cones of one channel: calculated, how sure that is, and what real ones said.

    ``place`` is the heat-work as a figure on the series of whole cones, 0 for 022 just down, 1
    for 021 and so on; None below that. ``coolest`` and ``hottest`` hold four of five firings.
    ``seen_place_low`` and ``seen_place_high`` are between which figures the real cones beside
    this channel put the firing; None where none tell. ``offset_c`` is what was in force.
    """

    channel: str
    cone: str | None
    place: float | None
    next_cone: str | None
    toward_next: float
    work: Mapping[str, float]
    down_at_s: Mapping[str, float]
    coolest: str | None
    hottest: str | None
    offset_c: float
    seen_place_low: float | None = None
    seen_place_high: float | None = None


@dataclass(frozen=True, slots=True)
class ReductionFacts:
    """When the ware was reduced, as far as anybody wrote it down: a thermocouple can't tell.

    ``planned_from_s`` to ``planned_to_s`` is when the kiln was in the plan's step, or band, of
    reduction. ``begun_s`` and ``ended_s`` are of notes that say so, with their words.
    """

    planned_from_s: float | None
    planned_to_s: float | None
    begun_s: float | None = None
    begun_said: str | None = None
    begun_c: float | None = None
    ended_s: float | None = None
    ended_said: str | None = None
    ended_c: float | None = None


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that the watch told of, from when to when; ``ended_s`` None: to the end."""

    kind: Kind
    severity: Severity
    channel: str | None
    began_s: float
    ended_s: float | None
    temp_c: float | None
    message: str
    data: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Gap:
    """Nobody saw the kiln from ``from_s`` to ``to_s``; what is between is a straight line."""

    from_s: float
    to_s: float
    from_c: float
    to_c: float


@dataclass(frozen=True, slots=True)
class Energy:
    """What somebody noted of the energy used, with the words it was read from."""

    kwh: float
    said: str


@dataclass(frozen=True, slots=True)
class FiringFacts:
    """One firing looked back on.

    ``channels`` are in the rig's order. ``above`` holds whole hundreds from 600 °C up and the
    last degrees below the peak. Lists are in order of time. ``is_whole`` is False where the
    kiln never came near a firing: no peak above 300 °C.
    """

    channels: tuple[str, ...]
    first_s: float
    last_s: float
    readings: int
    start_c: float | None
    is_whole: bool
    plan: PlanFacts | None
    steps: tuple[StepFacts, ...]
    peak: PeakFacts | None
    above: tuple[TimeAbove, ...]
    bands: tuple[BandFacts, ...]
    cooling: CoolingFacts | None
    evenness: EvennessFacts | None
    cones: tuple[ChannelCones, ...]
    looks: tuple[ConeLook, ...]
    reduction: ReductionFacts | None
    troubles: tuple[Trouble, ...]
    gaps: tuple[Gap, ...]
    energy: Energy | None

    def band(self, name: str, way: Way | None = None) -> BandFacts | None:
        """The band of that name, None where the plan has none."""
        return next(
            (b for b in self.bands if b.name == name and way in (None, b.way)),
            None,
        )

    def troubles_of(self, *kinds: Kind) -> tuple[Trouble, ...]:
        """What was told of these kinds."""
        return tuple(trouble for trouble in self.troubles if trouble.kind in kinds)

    def cones_of(self, channel: str) -> ChannelCones | None:
        """The cones of one channel."""
        return next((one for one in self.cones if one.channel == channel), None)

    @property
    def lead_cones(self) -> ChannelCones | None:
        """The cones of the first channel that has any heat-work to show and saw the peak.

        One that failed on the way tells nothing of the firing."""
        saw = [one for one in self.cones if self.saw_the_peak(one.channel)] or list(self.cones)
        with_place = (one for one in saw if one.place is not None)
        return next(with_place, saw[0] if saw else None)

    def saw_the_peak(self, channel: str) -> bool:
        """False for a channel that could not be believed when the kiln was at its hottest."""
        if self.peak is None:
            return True
        highest_c = self.peak.channels_c.get(channel)
        return highest_c is not None and highest_c > self.peak.temp_c - _MOST_APART_C

    def time_above_s(self, temp_c: float) -> float | None:
        """How long the kiln was hotter than one of the temperatures of ``above``."""
        return next((one.time_s for one in self.above if one.temp_c == temp_c), None)
