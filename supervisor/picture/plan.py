"""What a picture of a plan tells: its words, and which cones it marks. Knows no geometry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from supervisor.core.heatwork import Progress
from supervisor.core.phases import PlannedPhase
from supervisor.core.schedule import FiringKind, PlannedStep, Schedule, Timeline
from supervisor.core.units import Unit, difference_from_c, show_temp
from supervisor.core.watch.wording import Words, show_duration, show_share
from supervisor.picture.lettering import harmless

CONES_SHOWN = 3
"""So many of the cones that go down last are marked, and the target."""
_SLOW = 10.0
"""Below this many degrees an hour a rate is shown with a decimal."""


def rate_figure(rate_c_per_h: float, unit: Unit) -> str:
    """A rate's number as English readers write it, in ``unit`` an hour."""
    rate = difference_from_c(rate_c_per_h, unit)
    return f"{rate:,.0f}" if rate >= _SLOW else f"{rate:.1f}".removesuffix(".0")


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that the picture shows, as the core computed it."""

    schedule: Schedule
    timeline: Timeline
    phases: Sequence[PlannedPhase]
    progress: Progress
    words: Words

    @property
    def title(self) -> str:
        return harmless(self.schedule.name) or "A firing plan"

    @property
    def hours(self) -> str:
        """What the axis of time counts."""
        return "hours"

    @property
    def strip(self) -> str:
        """The heading of the phases."""
        return "What the ware goes through"

    def number(self, value: float) -> str:
        """A whole number beside an axis."""
        return f"{value:,.0f}"

    def peak(self, step: PlannedStep, *, is_held: bool) -> str:
        """The highest place, and how long it holds there where that is to be told."""
        held = f", {self.hold(step)}" if is_held else ""
        return f"peak {self.words.temp(step.to_c)}{held}"

    @property
    def other_unit(self) -> Unit:
        """The scale on the other side."""
        return Unit.F if self.words.unit is Unit.C else Unit.C

    def both(self, temp_c: float) -> str:
        """A temperature in the reader's scale and, in brackets, in the other."""
        return f"{self.words.temp(temp_c)} ({show_temp(temp_c, self.other_unit)})"

    def facts(self) -> str:
        """What is fired, how long it takes and how hot it gets."""
        schedule = self.schedule
        cone = f", for cone {schedule.target_cone}" if schedule.target_cone else ""
        kind = "" if schedule.kind is FiringKind.OTHER else f"{schedule.kind.value} "
        return (
            f"{f'{kind}firing'.capitalize()} in {schedule.atmosphere.value}{cone}. "
            f"It takes {show_duration(self.timeline.total_s)} from "
            f"{self.words.temp(self.timeline.start_c)}; the peak is {self.both(schedule.peak_c)}."
        )

    def rate(self, step: PlannedStep) -> str:
        """How fast a step moves, briefly."""
        if step.rate_c_per_h is None:
            return "full power" if step.climbs else "by itself"
        return f"{rate_figure(step.rate_c_per_h, self.words.unit)} °{self.words.unit.value}/h"

    def phase(self, phase: PlannedPhase, *, briefly: bool) -> str:
        """A phase's name and, unless told ``briefly``, its temperatures."""
        name = harmless(phase.band.name)
        return name if briefly else f"{name}, {phase.band.limits(self.words)}"

    def cones(self) -> list[tuple[str, float]]:
        """The cones to mark and when each goes down, in order of time."""
        downs = list(self.progress.down_at_s.items())
        target = self.schedule.target_cone
        return [
            (cone, at_s)
            for place, (cone, at_s) in enumerate(downs)
            if place >= len(downs) - CONES_SHOWN or cone == target
        ]

    def cooling(self) -> list[tuple[float, float]]:
        """The kiln's own cooling after the plan, as far as a marked cone goes down in it."""
        end_s = max((at_s for _, at_s in self.cones()), default=0.0)
        if end_s <= self.timeline.total_s:
            return []
        points = [(self.timeline.total_s, self.timeline.steps[-1].to_c)]
        for point in self.timeline.cooling():
            points.append(point)
            if point[0] >= end_s:
                break
        return points

    def cone_names(self, cones: Sequence[tuple[str, float]]) -> tuple[list[str], ...]:
        """The cones that go down and when, three times, ever more briefly."""
        return (
            [self.cone(*cone) for cone in cones],
            [f"cone {cone}, {show_duration(at_s)}" for cone, at_s in cones],
            [f"cone {cone}" for cone, _ in cones],
        )

    def cone(self, cone: str, at_s: float) -> str:
        """A cone and when it goes down."""
        target = " (target)" if cone == self.schedule.target_cone else ""
        return f"cone {cone}{target} down after {show_duration(at_s)}"

    def hold(self, step: PlannedStep) -> str:
        """How long a step holds, briefly."""
        minutes = round(step.hold_s / 60.0)
        if minutes < 1:
            return "hold under 1 min"
        hours, left = divmod(minutes, 60)
        if hours == 0:
            return f"hold {minutes} min"
        return f"hold {hours:,} h {left} min" if left else f"hold {hours:,} h"

    def footnotes(self) -> list[str]:
        """What must be said beside the picture."""
        said = []
        target, down_at_s = self.schedule.target_cone, self.progress.down_at_s
        if target is not None and target not in down_at_s:
            share = show_share(self.progress.work.get(target, 0.0))
            said.append(f"By calculation cone {target} stays up: it gets {share} of what it needs.")
        elif not down_at_s:
            said.append("By calculation no cone goes down.")
        said.append("Cones are calculated from this plan; the witness cones decide.")
        if self.cooling():
            said.append("The broken line is the first of the kiln's own cooling, an estimate.")
        if any(step.rate_c_per_h is None for step in self.timeline.steps):
            said.append("“By itself” and “full power” have no rate: their length is an estimate.")
        return said

    def description(self) -> str:
        """The picture in words, for those who can't see it."""
        count = len(self.timeline.steps)
        said = [f"Temperature against hours in {count} step{'' if count == 1 else 's'}."]
        said.append(self.facts())
        cones = [self.cone(*cone) for cone in self.cones()]
        if cones:
            said.append(f"Marked: {'; '.join(cones)}.")
        if self.phases:
            names = "; ".join(self.phase(phase, briefly=False) for phase in self.phases)
            said.append(f"What the ware goes through: {names}.")
        return " ".join([*said, *self.footnotes()])
