"""Which band a kiln is in, by the temperatures that it has and is expected to have."""

from __future__ import annotations

from dataclasses import replace

from supervisor.core.phases import BANDS, Band, bands_of
from supervisor.core.phases.crossed import bands_crossed
from supervisor.core.schedule import starter
from supervisor.core.schedule.model import BandName, Way


def band(name: str, from_c: float, to_c: float, way: Way) -> Band:
    return replace(BANDS[0], name=name, from_c=from_c, to_c=to_c, way=way)


UP = band("up", 100.0, 200.0, Way.HEATING)
TOP = band("top", 0.0, 0.0, Way.HOLDING)
DOWN = band("down", 250.0, 150.0, Way.COOLING)
TIMES = [float(n) for n in range(9)]
TEMPS = [20.0, 120.0, 220.0, 299.0, 300.0, 298.0, 240.0, 140.0, 50.0]


def spans(*bands: Band) -> list[tuple[str, float, float]]:
    return [(one.band.name, one.from_s, one.to_s) for one in bands_crossed(bands, TIMES, TEMPS)]


def test_a_band_is_crossed_on_its_own_side_of_the_peak() -> None:
    assert spans(DOWN, UP, TOP) == [("up", 1.0, 2.0), ("top", 3.0, 5.0), ("down", 6.0, 7.0)]


def test_what_the_kiln_never_comes_to_is_left_out() -> None:
    assert spans(band("far", 400.0, 500.0, Way.HEATING), band("cold", 10.0, 5.0, Way.COOLING)) == []
    assert bands_crossed([UP], [], []) == []


def test_a_band_that_is_not_left_yet_goes_on_to_the_last_time() -> None:
    half = [(s, c) for s, c in zip(TIMES, TEMPS, strict=True) if s < 7.0]
    crossed = bands_crossed(
        [replace(DOWN, from_c=299.0)], [s for s, _ in half], [c for _, c in half]
    )
    assert [(one.from_s, one.to_s) for one in crossed] == [(5.0, 6.0)]


def test_a_plan_kept_to_the_second_crosses_its_bands_in_their_order() -> None:
    schedule = starter("midfire-slow-cool")
    peak_c = schedule.peak_c
    temps = [*range(20, int(peak_c)), peak_c, *range(int(peak_c), 40, -1)]
    crossed = bands_crossed(bands_of(schedule), range(len(temps)), temps)
    names = [one.band.name for one in crossed]
    assert names.index(BandName.QUARTZ_TURNS) < names.index(BandName.MELTING)
    assert names.index(BandName.MELTING) < names.index(BandName.QUARTZ_TURNS_BACK)
