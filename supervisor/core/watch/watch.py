"""The way of one reading: channels, the kiln's temperature, the plan, heat-work, detectors.

Pure: the same readings give the same events, live, replayed or simulated.
"""

from __future__ import annotations

import math

from supervisor.core.events import Event
from supervisor.core.heatwork import Correction, Progress, pack_around
from supervisor.core.readings import Reading
from supervisor.core.schedule import Schedule, Timeline
from supervisor.core.watch.ahead import Ahead, expected_ahead
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.cone_forecast import ConeForecast, Outlook, forecast_of
from supervisor.core.watch.detectors.by_whom import is_kept
from supervisor.core.watch.detectors.cones import Cones
from supervisor.core.watch.detectors.heat_lost import HeatLost
from supervisor.core.watch.detectors.heat_stuck_on import HeatStuckOn
from supervisor.core.watch.detectors.lagging import Lagging
from supervisor.core.watch.detectors.moment import Moment
from supervisor.core.watch.detectors.opened_hot import OpenedHot
from supervisor.core.watch.detectors.overshoot import OverLimit, Overshoot
from supervisor.core.watch.detectors.phases import Phases
from supervisor.core.watch.detectors.progress import CoolToOpen, told
from supervisor.core.watch.detectors.runs_ahead import RunsAhead
from supervisor.core.watch.detectors.sensors import NoReadings, SensorFaults
from supervisor.core.watch.detectors.stall import Stall
from supervisor.core.watch.detectors.uneven import Uneven
from supervisor.core.watch.fired_to import BY_HAND, FiredTo
from supervisor.core.watch.flicker import FLICKER_S, Flame
from supervisor.core.watch.follower import PlanFollower
from supervisor.core.watch.following import Following
from supervisor.core.watch.kiln import KilnEstimate
from supervisor.core.watch.moves import CLIMBING, COOLING, FINISHED, HOLDING, WAITING
from supervisor.core.watch.sensitivity import Sensitivity
from supervisor.core.watch.settings import WatchSettings
from supervisor.core.watch.status import ChannelStatus, ConeStatus, PlanStatus, WatchStatus
from supervisor.core.watch.step_end import NATURAL_LEAST_C_PER_H, NEAR_C
from supervisor.core.watch.wording import Words

LOOK_S, STEADY_LOOK_S = 8.5, 14.5
"""The kiln is looked at before so long is over; its temperature moves in tens of seconds. So a log
of a reading a second is looked at like one of eight seconds, at each of whose readings it is. One
that is kept to its plan, and goes on as it did, may be left alone for the second time."""
_STEADY, _STEADY_PART = 0.75, 0.85
"""A rate that has changed since the last look by less than this part of its standard deviation has
not begun to turn, and a climb at the second part of its plan is well."""
_COOLS_S = 3 * 3600.0
"""What comes after the end of the plan is of interest for so long."""
_FARTHEST_S = 1e9
"""No log is longer than thirty years; what is outside (NaN as well) is not a time."""


class Watch:
    """Watches one firing of one kiln.

    ``channels`` are the source's, in order; the first healthy one leads. Feed readings in
    order of time; one that is not later than the last is passed over.

    Each reading counts in the channels' estimates and in their heat-work. The kiln itself is
    looked at when the next reading would come later than ``LOOK_S`` after the last look
    (``STEADY_LOOK_S`` where all goes on as it did), or at once when a channel begins or ceases to
    be believed or gives a value beyond its gate.
    """

    def __init__(
        self,
        schedule: Schedule,
        channels: tuple[str, ...],
        settings: WatchSettings | None = None,
    ) -> None:
        settings = settings or WatchSettings(units=schedule.units)
        self.schedule = schedule
        self.channels = channels
        self.settings = settings
        self._works = tuple(
            ChannelWork(name, settings.wires.get(name), settings.corrections.get(name))
            for name in channels
        )
        self._tracks = tuple(work.track for work in self._works)
        self._looks = tuple((work.track.name, work.track, work.look) for work in self._works)
        self._following = (
            Following(self._tracks, settings.ambient_c) if len(self._tracks) > 1 else None
        )
        self._kiln = KilnEstimate(self._tracks)
        self._plan = PlanFollower(schedule, settings.ambient_c)
        # Where nobody told, a controller that swings within minutes might be taken for a flame.
        burns = settings.kiln_kind in ("gas", "wood")
        self._flames = tuple(Flame(track) for track in self._tracks)
        self._flames_due_s = -math.inf if burns else math.inf
        self._moment = Moment(
            self._plan,
            Words(settings.units),
            following=self._following,
            kiln_kind=settings.kiln_kind,
            ambient_c=settings.ambient_c,
        )
        sensitivity = Sensitivity(settings.false_alarms_per_1000_h)
        self._last_s: float | None = None
        self._looked_s: float | None = None
        self._look_s = LOOK_S
        """Before so long is over, the kiln is looked at again."""
        self._rate_c_per_h = 0.0
        """At the last look."""
        self._is_hearing = False
        """Whether the last reading had a value that was taken up."""
        self._surely_heard_s = min(settings.no_readings_s, LOOK_S)
        for track in self._tracks:
            track.is_stoked = settings.is_stoked
        self._no_readings = NoReadings(settings.no_readings_s)
        self._faults = SensorFaults(self._tracks)
        self._stall = Stall(sensitivity, schedule)
        self._lagging = Lagging(settings.lagging_s, sensitivity, schedule)
        self._heat_lost = HeatLost(sensitivity, schedule)
        self._stuck_on = HeatStuckOn(settings.overshoot_c, sensitivity, self._tracks)
        self._runs_ahead = RunsAhead(sensitivity)
        self._opened_hot = OpenedHot(sensitivity, schedule)
        self._overshoot = Overshoot(settings.overshoot_c, sensitivity)
        self._over_limit = OverLimit(settings.limit_c)
        self._cones = Cones(schedule.target_cone, settings.cone_near_s)
        self._phases = Phases(schedule, is_stoked=settings.is_stoked)
        self._uneven = None
        if len(self._tracks) > 1:
            offsets_c = tuple(work.offset_c for work in self._works)
            self._uneven = Uneven(self._tracks, settings.uneven_c, offsets_c)
        self._cool = CoolToOpen(settings.open_below_c)
        self._fired_to = FiredTo(schedule.target_cone)

    def feed(self, reading: Reading) -> list[Event]:
        """Take in one reading; what there is to say about it, in order."""
        elapsed_s, last_s = reading.elapsed_s, self._last_s
        if last_s is not None and not elapsed_s > last_s:
            return []
        if not abs(elapsed_s) <= _FARTHEST_S:
            return []
        since_s = 0.0 if last_s is None else elapsed_s - last_s
        self._last_s = elapsed_s
        moment, no_readings = self._moment, self._no_readings
        moment.elapsed_s, moment.time = elapsed_s, reading.time
        events: list[Event] = []
        if not self._is_hearing or since_s > self._surely_heard_s:
            events = no_readings.due(moment, since_s)
        temps_c, faults = reading.temps_c, reading.faults
        is_hearing = is_news = False
        for name, track, look in self._looks:
            if look(elapsed_s, temps_c.get(name), faults.get(name) if faults else None):
                is_hearing = True
            if track.is_news:
                is_news = True
        self._is_hearing = is_hearing
        if is_hearing:
            events += no_readings.arrived(moment)
        looked_s = self._looked_s
        if is_news or looked_s is None or elapsed_s - looked_s + since_s > self._look_s:
            self._looked_s = elapsed_s
            events += self._look(moment)
        return events

    def _look(self, moment: Moment) -> list[Event]:
        """Look at the kiln, as the channels show it now."""
        elapsed_s, kiln, following = moment.elapsed_s, self._kiln, self._following
        self._look_s = LOOK_S
        if elapsed_s >= self._flames_due_s:
            self._flames_due_s = elapsed_s + FLICKER_S
            for flame in self._flames:
                flame.look(elapsed_s)
        if following is not None:
            following.update(elapsed_s)
        elif self._tracks:
            activity, sole = self._plan.activity, self._tracks[0]
            sole.should_climb = activity is CLIMBING
            sole.should_fall = activity is COOLING or activity is FINISHED
        kiln.update(elapsed_s)
        temp_c, rate_c_per_h, rate_sigma_c_per_h, sigma_c = kiln.now()
        is_guess = temp_c is not None and not kiln.is_current
        if not is_guess:
            moment.see(temp_c, rate_c_per_h, rate_sigma_c_per_h, sigma_c, kiln.lead)
        events = self._faults.feed(moment)
        if temp_c is None or is_guess:
            # What the kiln does while its values are beyond belief is seen when they are not.
            return events
        plan, looseness = self._plan, moment.habits.looseness
        is_electric = moment.kiln_kind == "electric"
        if plan.ends_short_c == 0.0 and plan.turns_next and not plan.is_past_peak:
            plan.ends_short_c = self._fired_to.ends_short_c(
                plan.timeline, self._lead.work, looseness, moment.kiln_kind
            )
        plan.is_kept = is_electric and looseness <= BY_HAND and not plan.is_ahead(elapsed_s, temp_c)
        plan.is_led = is_kept(moment)
        if following is not None:
            zones_c = moment.zones_c or (temp_c, temp_c)
            plan.hotter_c = max(sum(zones_c) / 2.0 - temp_c, 0.0)
            if zones_c[1] - temp_c > NEAR_C:
                # It may be fired by a hotter zone, whose climb ended when that one's did.
                plan.is_kept = False
        for move in plan.update(elapsed_s, temp_c, rate_c_per_h, sigma_c):
            events.append(told(moment, move))
        events += self._look_at_heat(moment, temp_c)
        events += self._overshoot.feed(moment)
        events += self._over_limit.feed(moment)
        lost = self._heat_lost
        if self._uneven is not None:
            stands = self._stall.is_raised or lost.is_raised
            events += self._uneven.feed(moment, is_stalled=stands)
        # What falls from its top cools as fired ware does; what breaks off its climb is told once.
        cools_as_fired = lost.has_long_cooled and plan.activity is HOLDING
        events += self._phases.feed(moment, heat_is_lost=lost.is_raised and not cools_as_fired)
        events += self._cones.feed(moment, self._lead)
        events += self._cool.feed(moment, self._tracks, lost.raised_at_s)
        turned_c_per_h = abs(rate_c_per_h - self._rate_c_per_h)
        self._rate_c_per_h = rate_c_per_h
        is_steady = turned_c_per_h < _STEADY * rate_sigma_c_per_h and looseness <= BY_HAND
        if is_steady and self._goes_on(rate_c_per_h):
            self._look_s = STEADY_LOOK_S
        return events

    def _goes_on(self, rate_c_per_h: float) -> bool:
        """Whether no detector has anything to add up, or has long said what there is to say."""
        step, lost, stuck_on = self._plan.step, self._heat_lost, self._stuck_on
        if lost.is_raised or stuck_on.is_raised or lost.falls:
            return False
        if self._plan.activity is not CLIMBING:
            return not self._opened_hot.falls and stuck_on.climb_c == 0.0
        if self._stall.is_raised:
            return True
        planned_c_per_h = step.rate_c_per_h if step else None
        is_well = rate_c_per_h > _STEADY_PART * (planned_c_per_h or NATURAL_LEAST_C_PER_H)
        return is_well and not self._moment.habits.is_suspect

    def _look_at_heat(self, moment: Moment, temp_c: float) -> list[Event]:
        """Whether the kiln has the heat that its plan wants: what is lost goes before the rest."""
        plan, lost = self._plan, self._heat_lost
        if plan.step is None:
            return []
        moment.habits.look(plan, moment.elapsed_s, temp_c, moment.moved_s, moment.moved_c)
        opened, stuck_on = self._opened_hot, self._stuck_on
        events = self._runs_ahead.feed(moment, temp_c, is_told=stuck_on.is_raised)
        cools = lost.has_long_cooled or plan.activity is not CLIMBING
        if cools or opened.is_raised or stuck_on.is_raised:
            events += opened.feed(
                moment,
                is_heated=stuck_on.heats,
                is_told_of_band=self._phases.falls_too_fast,
                has_lost_heat=lost.has_long_cooled,
            )
            events += stuck_on.feed(moment, lost_c=opened.lost_c, is_opened=opened.is_raised)
        else:
            stuck_on.climbs_by_its_plan()
        events += lost.feed(moment)
        events += self._stall.feed(
            moment, heat_is_lost=lost.is_raised, heat_may_be_lost=lost.is_suspected
        )
        events += self._lagging.feed(moment, is_stalled=self._stall.is_raised or lost.is_raised)
        return events

    @property
    def _lead(self) -> ChannelWork:
        return self._works[self._kiln.lead or 0]

    def progress(self, channel: str | None = None) -> Progress:
        """Where the cones stand for ``channel``, or for the channel that leads."""
        return self.channel_work(channel).work.progress()

    def channel_work(self, channel: str | None = None) -> ChannelWork:
        """The heat-work of ``channel``, or of the channel that leads, and its path."""
        return self._lead if channel is None else self._works[self.channels.index(channel)]

    def correct(self, channel: str, correction: Correction | None) -> None:
        """Let ``correction`` count for the channel's cones from now on, None for none.

        What is past is counted anew with it; what was said already is not said again.
        """
        self.channel_work(channel).correct(correction)
        if self._uneven is not None:
            self._uneven.correct(self.channels.index(channel), correction)

    @property
    def timeline(self) -> Timeline:
        """The plan on its own clock, from where this firing began."""
        return self._plan.timeline

    @property
    def begun_s(self) -> float | None:
        """When the plan's own clock stood at 0, in elapsed seconds; None while waiting."""
        return self._plan.begun_s

    @property
    def temp_c(self) -> float | None:
        """What the leading channel shows, filtered; None while the kiln can't be seen."""
        return self._moment.temp_c

    def status(self) -> WatchStatus:
        """Everything there is to know now. Changes nothing.

        Temperatures, rates and cones are of the last reading, the plan's place of the last look.
        """
        kiln = self._kiln
        lead = kiln.lead
        temp_c, rate_c_per_h, _, _ = kiln.now()
        channels = tuple(
            ChannelStatus(
                track.name,
                track.temp_c if track.is_healthy else None,
                (track.rate_c_per_s or 0.0) * 3600.0 if track.is_healthy else None,
                track.fault,
                i == lead,
            )
            for i, track in enumerate(self._tracks)
        )
        return WatchStatus(
            elapsed_s=self._last_s or 0.0,
            time=self._moment.time,
            temp_c=temp_c,
            rate_c_per_h=None if temp_c is None else rate_c_per_h,
            channels=channels,
            plan=self._plan_status(),
            cones=self._cone_status(),
            correction=self._lead.correction,
        )

    def _plan_status(self) -> PlanStatus:
        plan, temp_c = self._plan, self._moment.temp_c
        step = plan.step
        late_s = ends_in_s = None
        if temp_c is not None:
            late_s = plan.late_s(self._looked_s or 0.0, temp_c)
            # A kiln that does not climb ends nowhere yet.
            if not (self._stall.is_raised or self._heat_lost.is_raised):
                ends_in_s = self._left_s()
        return PlanStatus(
            step=None if step is None else step.index + 1,
            steps=len(plan.timeline.steps),
            activity=plan.activity,
            target_c=None if step is None else step.to_c,
            hold_s=0.0 if step is None else step.hold_s,
            held_s=plan.held_s,
            late_s=late_s,
            ends_in_s=ends_in_s,
            begun_s=plan.begun_s,
        )

    def _left_s(self) -> float | None:
        """How long the plan takes from the present temperature on, if it is kept."""
        plan, temp_c = self._plan, self._moment.temp_c
        if temp_c is None or plan.activity is FINISHED:
            return None
        position_s = plan.position_s(temp_c)
        return None if position_s is None else plan.timeline.total_s - position_s

    def _cone_status(self) -> tuple[ConeStatus, ...]:
        progress = self.progress()
        target = self.schedule.target_cone or progress.next_cone or progress.cone
        if target is None:
            return ()
        roles = dict(zip(pack_around(target), ("guide", "target", "guard"), strict=True))
        return tuple(
            ConeStatus(
                cone,
                role,
                progress.work[cone],
                progress.down_at_s.get(cone),
                None if cone in progress.down_at_s else self._forecast(cone),
            )
            for cone, role in roles.items()
        )

    def _forecast(self, cone: str) -> ConeForecast | None:
        outlook = self._outlook()
        return None if outlook is None else forecast_of(outlook, cone)

    def _outlook(self) -> Outlook | None:
        """What a forecast starts from; None while the kiln waits or can't be seen."""
        temp_c, rate_c_per_h, rate_sigma_c_per_h, sigma_c = self._kiln.now()
        if temp_c is None or self._plan.activity is WAITING:
            return None
        return Outlook(self._plan, self._lead, temp_c, sigma_c, rate_c_per_h, rate_sigma_c_per_h)

    def ahead(self) -> Ahead | None:
        """What the leading channel is expected to show to the end of the plan, and after it for
        some hours; None while nothing can be expected. Changes nothing."""
        outlook = self._outlook()
        if outlook is None:
            return None
        return expected_ahead(outlook, _COOLS_S + (self._left_s() or 0.0))
