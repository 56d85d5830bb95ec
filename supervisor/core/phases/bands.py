"""The bands of temperature in which something happens to the ware, each with its source.

Knows the table and what a schedule changes of it; knows nothing of times or of any one firing.
"Common practice" means that potters do so and no source is claimed; "from memory" means that
the publication was not at hand. Temperatures are of the kiln at the thermocouple. The middle of
thick ware comes later, so a guarded band goes on beyond the textbook's figure in the direction
of travel. Cristobalite turning on the way *up* matters only where glazed stoneware is fired
again; a schedule for that adds a band of its own.

Of a firing of kind "other" nobody knows what is in the kiln: its bands are named, but none is
guarded unless the schedule says how fast it may be crossed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from supervisor.core.schedule.model import (
    Atmosphere,
    BandChange,
    BandName,
    FiringKind,
    Schedule,
    Way,
)

if TYPE_CHECKING:
    from supervisor.core.watch.wording import Words

QUARTZ_C = 573.0
"""Alpha-beta inversion at 1 atm (Dodd and Murfin, Dictionary of Ceramics, 3rd ed. 1994)."""
CRISTOBALITE_C = 226.0
"""Alpha-beta inversion (Hamer and Hamer, The Potter's Dictionary, from memory)."""
CONE_012_C, CONE_06_C = 861.0, 998.0
"""Temperature equivalents at 60 °C/h (Orton, chart for self-supporting cones, 2016)."""
_SOFTEST_C = 586.0
"""Cone 022, the softest, at 60 °C/h (Orton, 2016): a plan that peaks below melts no glaze."""
MELTING_C = 100.0
"""The heating rate over so much below the peak is the one that the cone chart goes by (Orton,
text of the chart of temperature equivalents, 2016)."""
SLOW_COOLING_C_PER_H = 120.0
"""A kiln that is let go falls faster than this between 1,100 and 760 °C: slower is meant
(common practice, no source)."""
_LEAST_SLOW_C = 40.0
"""A slow descent over less grows no crystals worth naming (common practice, no source)."""
_LEAST_GASES_C = 50.0
"""A glaze that melts before has no such band: lustres and china paints are fired on glaze."""

CARE_ASKED = "the schedule asks for care here"
"""Said of a schedule's own band for which it gives no reason."""

_CLAY = (FiringKind.BISQUE, FiringKind.OTHER)
_GLAZED = (FiringKind.GLAZE,)
_NOT_BISQUE = (FiringKind.GLAZE, FiringKind.OTHER)


@dataclass(frozen=True, slots=True)
class Band:
    """A range of temperature in which something happens to the ware.

    The kiln comes to it at ``from_c`` and leaves it at ``to_c``, so a cooling band has the
    higher limit first. ``fastest_c_per_h`` is the rate (positive) above which it is likely to
    hurt, None where no rate does. ``why`` is what happens, ``care`` what a person does about
    it at the kiln, both clauses; they may speak of one temperature as ``{at}``, which is
    ``at_c``. ``is_of_peak`` says that the limits are counted from the plan's peak, which
    ``bands_of`` settles.
    """

    name: str
    from_c: float
    to_c: float
    way: Way
    why: str
    care: str
    source: str
    fastest_c_per_h: float | None = None
    kinds: tuple[FiringKind, ...] = tuple(FiringKind)
    atmospheres: tuple[Atmosphere, ...] = tuple(Atmosphere)
    at_c: float = 0.0
    is_of_peak: bool = False

    @property
    def cooling(self) -> bool:
        return self.way is Way.COOLING

    @property
    def width_c(self) -> float:
        return abs(self.to_c - self.from_c)

    def reason(self, words: Words) -> str:
        """Why the band matters, in the reader's scale."""
        return self.why.replace("{at}", words.temp(self.at_c))

    @property
    def why_key(self) -> str | None:
        """The name of ``why``, which is the table's; None where the schedule has its own."""
        if self.why == CARE_ASKED:
            return "asked"
        for band in BANDS:
            if band.why == self.why:
                is_of_glaze = band.name == BandName.DRYING and band.kinds == _GLAZED
                return "drying, glazed" if is_of_glaze else str(band.name)
        return None

    def limits(self, words: Words) -> str:
        """Where the band lies, in the reader's scale."""
        if self.way is Way.HOLDING:
            return f"at {words.temp(self.to_c)}"
        return f"{words.temp(self.from_c)} to {words.temp(self.to_c)}"


BANDS: tuple[Band, ...] = (
    Band(
        BandName.DRYING,
        20.0,
        120.0,
        Way.HEATING,
        "water between the grains turns to steam; thick or damp ware bursts if it is hurried",
        "leave the vents open, and stay below boiling while a mirror still mists at the spyhole",
        "range: Singer and Singer, Industrial Ceramics, 1963 (from memory); rate: common practice",
        100.0,
        _CLAY,
    ),
    Band(
        BandName.DRYING,
        20.0,
        120.0,
        Way.HEATING,
        "the water of glazing leaves; damp glaze flakes off and crawls if it is hurried",
        "leave the vents open until no mirror mists at the spyhole",
        "range: Singer and Singer, Industrial Ceramics, 1963 (from memory); rate: common practice",
        150.0,
        _GLAZED,
    ),
    Band(
        BandName.CHEMICAL_WATER,
        450.0,
        600.0,
        Way.HEATING,
        "clay minerals give up the water that they are built with, and the ware is at its weakest",
        "keep the climb even and the vents open",
        "range: Brindley and Nakahira, J. Am. Ceram. Soc. 42, 1959 (from memory); "
        "rate: common practice",
        170.0,
        _CLAY,
    ),
    Band(
        BandName.QUARTZ_TURNS,
        550.0,
        620.0,
        Way.HEATING,
        "quartz grows suddenly at {at}, in the outside of the ware before the inside",
        "keep the climb even",
        "inversion: Dodd and Murfin, Dictionary of Ceramics, 3rd ed. 1994; "
        "range and rate: common practice",
        170.0,
        at_c=QUARTZ_C,
    ),
    Band(
        BandName.BURNING_OUT,
        650.0,
        900.0,
        Way.HEATING,
        "carbon and sulphur leave the clay and need air, and carbonates give off their gas; what "
        "stays makes black cores, bloats and pinholes",
        "leave air: vents or damper open, a clear flame",
        "Rhodes, Clay and Glazes for the Potter (from memory); rate: common practice",
        180.0,
        _CLAY,
    ),
    Band(
        BandName.GASES_LEAVE,
        700.0,
        950.0,
        Way.HEATING,
        "carbonates and sulphates in body and glaze give off gas while the glaze still lets it "
        "through; what comes after it has sealed makes pinholes and blisters",
        "let it climb steadily, without a rush",
        "carbonates, free from 898 °C: CRC Handbook of Chemistry and Physics; rate: common "
        "practice",
        220.0,
        _GLAZED,
    ),
    Band(
        BandName.BODY_REDUCTION,
        CONE_012_C,
        CONE_06_C,
        Way.HEATING,
        "the clay is still open to the smoky flame that colours it",
        "set damper and gas by the flame at the spyhole; smoke is carbon monoxide, so air the "
        "room and go by the kiln maker and the local codes",
        "cone 012 to cone 06: common practice; as temperatures: Orton chart, 2016, 60 °C/h",
        kinds=_NOT_BISQUE,
        atmospheres=(Atmosphere.REDUCTION,),
    ),
    Band(
        BandName.MELTING,
        -MELTING_C,
        0.0,
        Way.HEATING,
        "the glaze melts, bubbles and heals, and the cones get nearly all their heat-work",
        "watch the witness cones",
        "last 100 °C: Orton, text of the chart, 2016; the rest: common practice",
        kinds=_GLAZED,
        is_of_peak=True,
    ),
    Band(
        BandName.LEVELLING,
        0.0,
        0.0,
        Way.HOLDING,
        "the glaze flows level and its last bubbles heal; the heat evens out top and bottom",
        "go by the witness cones, not by the clock",
        "common practice",
        kinds=_GLAZED,
        is_of_peak=True,
    ),
    Band(
        BandName.CRYSTALS_GROW,
        1100.0,
        760.0,
        Way.COOLING,
        "crystals grow in the glaze, which makes satin and matt surfaces",
        "keep lid, damper and peeps shut",
        "common practice",
        kinds=_GLAZED,
    ),
    Band(
        BandName.GLAZE_SETS,
        750.0,
        600.0,
        Way.COOLING,
        "the glaze stiffens to glass and from here on pulls at the body",
        "keep the kiln shut",
        "Singer and Singer, Industrial Ceramics, 1963 (from memory)",
        kinds=_GLAZED,
    ),
    Band(
        BandName.QUARTZ_TURNS_BACK,
        600.0,
        530.0,
        Way.COOLING,
        "quartz shrinks suddenly at {at}; uneven cooling cracks (dunts) the ware",
        "keep lid, damper and peeps shut",
        "inversion: Dodd and Murfin 1994; range and rate: common practice for studio kilns with "
        "the lid shut (Fortuna, Sanitaryware, 2000, advises a third of it for large ware)",
        150.0,
        at_c=QUARTZ_C,
    ),
    Band(
        BandName.CRISTOBALITE_TURNS_BACK,
        280.0,
        200.0,
        Way.COOLING,
        "cristobalite, where the body has formed any, shrinks by up to 2.4 % in volume near {at}",
        "keep lid, damper and peeps shut",
        "inversion: Dodd and Murfin 1994; range: digitalfire reference; rate: common practice",
        120.0,
        at_c=CRISTOBALITE_C,
    ),
    Band(
        BandName.OPENING,
        100.0,
        65.0,
        Way.COOLING,
        "hot ware in cold air crazes and cracks, and burns the hand",
        "open when the ware can be held, and not before the kiln maker allows it",
        "common practice",
    ),
)
"""The table, in the order of a firing. Limits of ``is_of_peak`` are relative to the peak."""


def bands_of(schedule: Schedule) -> tuple[Band, ...]:
    """The bands that concern this schedule, its own changes applied, in the table's order.

    A band that the schedule itself names concerns it, whatever its kind and atmosphere.
    """
    changes = {change.name: change for change in schedule.bands}
    found: list[Band] = []
    for band in BANDS:
        change = changes.get(band.name)
        if change is not None and change.is_left_out:
            continue
        if not _concerns(band, schedule):
            named = change is not None and not any(
                other.name == band.name and _concerns(other, schedule) for other in BANDS
            )
            if not named or any(other.name == band.name for other in found):
                continue
        settled = _settled(band, schedule)
        found.append(settled if change is None else _changed(settled, change))
    known = {band.name for band in BANDS}
    found += [_own(change) for change in schedule.bands if change.name not in known]
    return tuple(found)


def _concerns(band: Band, schedule: Schedule) -> bool:
    if schedule.kind not in band.kinds or schedule.atmosphere not in band.atmospheres:
        return False
    if band.name == BandName.GASES_LEAVE:
        return schedule.peak_c - MELTING_C - band.from_c >= _LEAST_GASES_C
    if band.name in (BandName.MELTING, BandName.LEVELLING) and schedule.peak_c < _SOFTEST_C:
        return False
    if band.name == BandName.LEVELLING:
        return schedule.steps[schedule.peak_step].hold_s > 0.0
    if band.name == BandName.CRYSTALS_GROW:
        return _cools_slowly(schedule, band.from_c, band.to_c)
    return True


def _cools_slowly(schedule: Schedule, high_c: float, low_c: float) -> bool:
    """Whether the plan, once past its peak, lingers between the two temperatures."""
    at_c = schedule.peak_c
    for step in schedule.steps[schedule.peak_step + 1 :]:
        slow_c = min(at_c, high_c) - max(step.to_c, low_c)
        rate_c_per_h = step.rate_c_per_h
        if (
            rate_c_per_h is not None
            and rate_c_per_h <= SLOW_COOLING_C_PER_H
            and slow_c >= _LEAST_SLOW_C
        ):
            return True
        if step.hold_s > 0.0 and low_c <= step.to_c <= high_c:
            return True
        at_c = step.to_c
    return False


def _settled(band: Band, schedule: Schedule) -> Band:
    """The band with its limits in °C, below the peak where they would lie above."""
    peak_c = schedule.peak_c
    if band.is_of_peak:
        band = replace(band, from_c=peak_c + band.from_c, to_c=peak_c + band.to_c, is_of_peak=False)
    elif band.name == BandName.GASES_LEAVE:
        # A low-fire glaze seals earlier.
        to_c = max(peak_c - MELTING_C, band.from_c + _LEAST_GASES_C)
        band = replace(band, to_c=min(band.to_c, to_c))
    if schedule.kind is FiringKind.OTHER:
        band = replace(band, fastest_c_per_h=None)
    return band


def _changed(band: Band, change: BandChange) -> Band:
    source = band.source
    if change.from_c is not None and change.to_c is not None:
        band = replace(band, from_c=change.from_c, to_c=change.to_c)
        source = "this schedule"
    if change.at_any_rate or change.fastest_c_per_h is not None:
        band = replace(band, fastest_c_per_h=change.fastest_c_per_h)
        source = "this schedule"
    return replace(band, source=source, why=change.why or band.why)


def _own(change: BandChange) -> Band:
    from_c, to_c = change.from_c, change.to_c
    assert from_c is not None and to_c is not None  # noqa: S101, PT018 - the parser sees to it
    cools = to_c < from_c
    return Band(
        change.name,
        from_c,
        to_c,
        Way.COOLING if cools else Way.HEATING,
        change.why or CARE_ASKED,
        "keep lid, damper and peeps shut" if cools else "keep the climb even",
        "this schedule",
        change.fastest_c_per_h,
    )
