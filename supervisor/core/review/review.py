"""One pass over a firing's readings, and the facts that come of it. Knows no record and no files.

The readings go through the watch's own channels, so that what the watch did not believe counts
for nothing here either; with the whole firing in view, beginnings and ends are then put where
they were, and not where they could first be told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from supervisor.core.events import Event
from supervisor.core.heatwork.offset import Observation
from supervisor.core.readings import Reading
from supervisor.core.review.bands import bands_seen
from supervisor.core.review.cones import cones_seen, looks_seen, path_of, places_by_looks
from supervisor.core.review.cooling import cooling_of
from supervisor.core.review.energy import energy_noted
from supervisor.core.review.evenness import evenness_of
from supervisor.core.review.facts import FiringFacts, Gap, PlanFacts, StepFacts
from supervisor.core.review.peak import peak_of, times_above
from supervisor.core.review.reduction import reduction_of
from supervisor.core.review.steps import Pursuit, steps_seen
from supervisor.core.review.trace import GAP_S, Trace, TraceMaker
from supervisor.core.review.troubles import troubles_of
from supervisor.core.schedule import Schedule
from supervisor.core.watch.channel_work import ChannelWork
from supervisor.core.watch.following import Following
from supervisor.core.watch.kiln import KilnEstimate
from supervisor.core.watch.settings import WatchSettings

FIRED_C = 300.0
"""A kiln that never was so hot has not been fired (common practice, no source)."""
_LOOK_S = 5.5
"""As the watch's own: the kiln is looked at before so long is over."""


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody wrote, when in the firing."""

    elapsed_s: float
    text: str


class Reviewer:
    """Takes the readings of one firing in order, and then says what it was.

    ``schedule`` is None where no plan is known, ``settings`` holds the wires and the corrections
    that the cones are calculated with.
    """

    def __init__(
        self,
        channels: Sequence[str],
        schedule: Schedule | None = None,
        settings: WatchSettings | None = None,
    ) -> None:
        settings = settings or WatchSettings()
        self.channels = tuple(channels)
        self._schedule = schedule
        self._works = tuple(
            ChannelWork(name, settings.wires.get(name), settings.corrections.get(name))
            for name in self.channels
        )
        tracks = tuple(work.track for work in self._works)
        self._tracks = tracks
        self._following = Following(tracks, settings.ambient_c) if len(tracks) > 1 else None
        self._kiln = KilnEstimate(tracks)
        self._ambient_c = settings.ambient_c
        self._is_stoked = settings.is_stoked
        self._pursuit = None if schedule is None else Pursuit(schedule, settings.ambient_c)
        self._maker = TraceMaker(self.channels)
        self._gaps: list[tuple[float, float]] = []
        self._count = 0
        self._first_s: float | None = None
        self._last_s: float | None = None
        self._looked_s: float | None = None
        self._seen_s: float | None = None

    def feed(self, reading: Reading) -> None:
        """Take in one reading; one that is not later than the last is passed over."""
        elapsed_s, last_s = reading.elapsed_s, self._last_s
        if last_s is not None and not elapsed_s > last_s:
            return
        if self._first_s is None:
            self._first_s = elapsed_s
        self._last_s = elapsed_s
        self._count += 1
        temps_c, faults = reading.temps_c, reading.faults
        is_news = False
        for work in self._works:
            name = work.track.name
            work.look(elapsed_s, temps_c.get(name), faults.get(name) if faults else None)
            is_news = is_news or work.track.is_news
        since_s = 0.0 if last_s is None else elapsed_s - last_s
        looked_s = self._looked_s
        if is_news or looked_s is None or elapsed_s - looked_s + since_s > _LOOK_S:
            self._looked_s = elapsed_s
            self._look(elapsed_s)

    def _look(self, elapsed_s: float) -> None:
        if self._following is not None:
            self._following.update(elapsed_s)
        self._kiln.update(elapsed_s)
        temp_c, rate_c_per_h, _, sigma_c = self._kiln.now()
        if temp_c is None or not self._kiln.is_current:
            return
        if self._seen_s is not None and elapsed_s - self._seen_s > GAP_S:
            self._gaps.append((self._seen_s, elapsed_s))
        self._seen_s = elapsed_s
        self._maker.add(
            elapsed_s,
            temp_c,
            [
                track.temp_c
                if track.is_healthy and track.is_current and not track.is_suspected
                else None
                for track in self._tracks
            ],
        )
        if self._pursuit is not None:
            self._pursuit.update(elapsed_s, temp_c, rate_c_per_h, sigma_c)

    @property
    def trace(self) -> Trace:
        """The firing in half minutes, as far as it was fed."""
        return self._maker.close()

    def work_of(self, channel: str) -> ChannelWork:
        """The heat-work of a channel, and its path."""
        return self._works[self.channels.index(channel)]

    def facts(
        self,
        events: Sequence[Event] = (),
        remarks: Sequence[Remark] = (),
        looks: Sequence[Observation] = (),
    ) -> FiringFacts:
        """What the firing was, so far.

        ``events`` are what the watch told of it, ``looks`` are at real cones.
        """
        trace, schedule = self.trace, self._schedule
        peak = peak_of(trace) if len(trace) else None
        is_whole = peak is not None and peak.temp_c >= FIRED_C
        steps = () if self._pursuit is None else steps_seen(self._pursuit, trace)
        paths = [path_of(work) for work in self._works]
        seen = looks_seen(looks, paths)
        fired = peak if is_whole else None
        bands = (
            ()
            if fired is None
            else bands_seen(trace, fired, schedule, self._pursuit, is_stoked=self._is_stoked)
        )
        troubles = troubles_of(events, trace)
        cones = places_by_looks(cones_seen(self._works), seen, paths)
        return FiringFacts(
            channels=self.channels,
            first_s=self._first_s or 0.0,
            last_s=self._last_s or 0.0,
            readings=self._count,
            start_c=trace.kiln_c[0] if len(trace) else None,
            is_whole=is_whole,
            plan=None if schedule is None else self._plan(schedule, steps),
            steps=steps,
            peak=peak,
            above=() if fired is None else times_above(trace, fired),
            bands=bands,
            cooling=None
            if fired is None
            else cooling_of(trace, fired, steps, troubles, ambient_c=self._ambient_c),
            evenness=None if fired is None else evenness_of(trace, fired, cones),
            cones=cones,
            looks=seen,
            reduction=reduction_of(schedule, steps, bands, remarks, trace),
            troubles=troubles,
            gaps=tuple(
                Gap(from_s, to_s, trace.temp_at(from_s), trace.temp_at(to_s))
                for from_s, to_s in self._gaps
            ),
            energy=energy_noted(remarks),
        )

    def _plan(self, schedule: Schedule, steps: Sequence[StepFacts]) -> PlanFacts:
        pursuit = self._pursuit
        assert pursuit is not None  # noqa: S101 - there is a schedule
        peak_step = pursuit.timeline.steps[schedule.peak_step]
        begun_s, last = pursuit.begun_s, steps[-1]
        finished_s = last.actual.end_s if last.is_complete and last.actual is not None else None
        is_done = begun_s is not None and finished_s is not None
        return PlanFacts(
            name=schedule.name,
            kind=schedule.kind,
            atmosphere=schedule.atmosphere,
            target_cone=schedule.target_cone,
            peak_c=schedule.peak_c,
            peak_hold_s=peak_step.hold_s,
            begun_s=begun_s,
            planned_s=pursuit.timeline.total_s,
            finished_s=finished_s,
            lasted_s=(finished_s or 0.0) - (begun_s or 0.0) if is_done else None,
        )


def review(
    channels: Sequence[str],
    readings: Iterable[Reading],
    schedule: Schedule | None = None,
    settings: WatchSettings | None = None,
    *,
    events: Sequence[Event] = (),
    remarks: Sequence[Remark] = (),
    looks: Sequence[Observation] = (),
) -> FiringFacts:
    """The facts of a whole firing; see ``Reviewer``."""
    reviewer = Reviewer(channels, schedule, settings)
    for reading in readings:
        reviewer.feed(reading)
    return reviewer.facts(events, remarks, looks)
