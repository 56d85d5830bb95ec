"""What the ware goes through at which temperatures, and where a plan is likely to hurt it.

Each band names its source; "common practice" means that potters do so and no source is
claimed. Temperatures are of the ware, so a thermocouple shows them a little early.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.heatwork import CONES, HeatWork, Progress
from supervisor.core.schedule import Atmosphere, FiringKind, PlannedStep, Schedule, Timeline
from supervisor.core.watch.wording import Words, show_duration, show_share

QUARTZ_C = 573.0
"""Alpha-beta inversion at 1 atm (Dodd and Murfin 1994)."""
CRISTOBALITE_C = 226.0
"""Alpha-beta inversion (Hamer and Hamer, The Potter's Dictionary, from memory)."""
SAMPLE_S = 60.0
"""A plan is looked at this often when its heat-work and phases are added up."""


@dataclass(frozen=True, slots=True)
class Band:
    """A range of temperature in which something happens to the ware.

    ``fastest_c_per_h`` is the rate above which it is likely to hurt, None where no rate does.
    ``why`` may speak of one temperature as ``{at}``, which is ``at_c``.
    """

    name: str
    low_c: float
    high_c: float
    cooling: bool
    why: str
    source: str
    fastest_c_per_h: float | None = None
    kinds: tuple[FiringKind, ...] = tuple(FiringKind)
    atmospheres: tuple[Atmosphere, ...] = tuple(Atmosphere)
    at_c: float = 0.0

    def reason(self, words: Words) -> str:
        """Why the band matters, in the reader's scale."""
        return self.why.format(at=words.temp(self.at_c))


BANDS: tuple[Band, ...] = (
    Band(
        "drying",
        20.0,
        120.0,
        False,
        "water between the grains turns to steam; thick or damp ware bursts if it is hurried",
        "range: Singer and Singer, Industrial Ceramics, 1963 (from memory); rate: common practice",
        100.0,
    ),
    Band(
        "chemical water",
        450.0,
        600.0,
        False,
        "clay minerals give up the water that they are built with",
        "Brindley and Nakahira, J. Am. Ceram. Soc. 42, 1959 (from memory); rate: common practice",
        170.0,
        (FiringKind.BISQUE,),
    ),
    Band(
        "quartz turns",
        550.0,
        600.0,
        False,
        "quartz grows suddenly at {at}",
        "Dodd and Murfin, Dictionary of Ceramics, 3rd ed. 1994; rate: common practice",
        170.0,
        at_c=QUARTZ_C,
    ),
    Band(
        "burning out",
        650.0,
        900.0,
        False,
        "carbon and sulphur leave the clay and need air; what stays makes bloats and pinholes",
        "Rhodes, Clay and Glazes for the Potter (from memory); rate: common practice",
        180.0,
        (FiringKind.BISQUE,),
    ),
    Band(
        "body reduction",
        880.0,
        1000.0,
        False,
        "the clay is still open to the smoky flame that colours it",
        "between cone 012 and cone 06: common practice",
        None,
        (FiringKind.GLAZE, FiringKind.OTHER),
        (Atmosphere.REDUCTION,),
    ),
    Band(
        "quartz turns back",
        600.0,
        550.0,
        True,
        "quartz shrinks suddenly at {at}; uneven cooling cracks (dunts) the ware",
        "Dodd and Murfin 1994; rate: common practice for studio kilns with the lid shut "
        "(Fortuna, Sanitaryware, 2000, advises a third of it for large ware)",
        150.0,
        at_c=QUARTZ_C,
    ),
    Band(
        "cristobalite turns back",
        280.0,
        200.0,
        True,
        "cristobalite, where the body has formed any, shrinks by up to 2.4 % in volume near {at}",
        "Dodd and Murfin 1994; range: digitalfire reference; rate: common practice",
        120.0,
        at_c=CRISTOBALITE_C,
    ),
    Band(
        "opening",
        100.0,
        65.0,
        True,
        "hot ware in cold air crazes and cracks: wait until it can be held in the hand",
        "common practice",
    ),
)


@dataclass(frozen=True, slots=True)
class PlannedPhase:
    """A band as a plan passes through it; ``rate_c_per_h`` is the mean there, positive."""

    band: Band
    start_s: float
    end_s: float
    rate_c_per_h: float


def phases_of(schedule: Schedule, timeline: Timeline) -> list[PlannedPhase]:
    """The bands that the plan crosses wholly, in order of time."""
    found = []
    for band in BANDS:
        if schedule.kind not in band.kinds or schedule.atmosphere not in band.atmospheres:
            continue
        steps = [s for s in timeline.steps if (s.cools if band.cooling else s.climbs)]
        start_s = _passes(steps, band.low_c, timeline)
        end_s = _passes(steps, band.high_c, timeline)
        if start_s is None and not band.cooling and timeline.start_c >= band.low_c:
            start_s = 0.0
        if start_s is None or end_s is None or end_s <= start_s:
            continue
        hours = (end_s - start_s) / 3600.0
        found.append(PlannedPhase(band, start_s, end_s, abs(band.high_c - band.low_c) / hours))
    return sorted(found, key=lambda phase: phase.start_s)


def _passes(steps: list[PlannedStep], temp_c: float, timeline: Timeline) -> float | None:
    """When one of the steps passes ``temp_c``; the last time it does."""
    at_s = None
    for step in steps:
        low, high = sorted((step.from_c, step.to_c))
        if low <= temp_c <= high:
            at_s = step.time_at(temp_c, timeline.shed_c)
    return at_s


def heatwork_of(timeline: Timeline) -> Progress:
    """The heat-work that the plan is worth if it is kept to the minute."""
    return _heatwork_until(timeline, timeline.total_s)


def _heatwork_until(timeline: Timeline, end_s: float) -> Progress:
    count = int(end_s // SAMPLE_S)
    corners = {step.reach_s for step in timeline.steps if step.reach_s < end_s}
    work = HeatWork()
    for at_s in (*sorted({n * SAMPLE_S for n in range(count + 1)} | corners), end_s):
        work.add(at_s, timeline.at(at_s))
    return work.progress()


def cautions_for(
    schedule: Schedule, timeline: Timeline, words: Words, limit_c: float | None = None
) -> list[str]:
    """Sentences on what in the plan is likely to hurt the ware or the kiln."""
    said = []
    for phase in phases_of(schedule, timeline):
        fastest = phase.band.fastest_c_per_h
        if fastest is not None and phase.rate_c_per_h > fastest + 0.5:
            said.append(
                f"{words.rate(phase.rate_c_per_h)} from {words.temp(phase.band.low_c)} to "
                f"{words.temp(phase.band.high_c)} is fast for “{phase.band.name}”: "
                f"{phase.band.reason(words)} (up to {words.rate(fastest)}: {phase.band.source})."
            )
    if limit_c is not None and schedule.peak_c > limit_c:
        said.append(
            f"The peak of {words.temp(schedule.peak_c)} is above the kiln's limit of "
            f"{words.temp(limit_c)}: do not fire it in this kiln."
        )
    said += _cone_cautions(schedule, timeline)
    return said


def _cone_cautions(schedule: Schedule, timeline: Timeline) -> list[str]:
    target = schedule.target_cone
    if target is None:
        return []
    progress = heatwork_of(timeline)
    work = progress.work[target]
    if work < 1.0:
        message = (
            f"By calculation the plan reaches only {show_share(work)} of the heat-work of cone "
            f"{target}: hold longer, go hotter, or climb slower at the end."
        )
        return [message]
    peak = timeline.steps[schedule.peak_step]
    early_s = peak.end_s - progress.down_at_s[target]
    if work > 3.0:
        message = (
            f"By calculation cone {target} is down {show_duration(early_s)} before the peak is "
            f"over, and has {work:.0f} times the heat-work it needs: expect an overfired load."
        )
        return [message]
    return []


def hold_for(cone: str, schedule: Schedule, timeline: Timeline) -> float | None:
    """Minutes to hold at the plan's peak that bring ``cone`` down, in place of its own hold.

    0 where the climb alone does it; None where it would take more than 48 h.
    """
    peak = timeline.steps[schedule.peak_step]
    missing = 1.0 - _heatwork_until(timeline, peak.reach_s).work[cone]
    if missing <= 0.0:
        return 0.0
    hold_s = missing / CONES[cone].rate_per_s(peak.to_c)
    return hold_s / 60.0 if hold_s <= 48 * 3600.0 else None
