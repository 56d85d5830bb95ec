"""A flame that flickers is no movement of the kiln, and a kiln that moves does not flicker."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pytest

from supervisor.core.events import Kind
from supervisor.core.readings import Reading
from supervisor.core.watch import WatchSettings
from supervisor.core.watch.channel import ChannelTrack
from supervisor.core.watch.filter import LEANS
from supervisor.core.watch.flicker import FLICKER_S, Flame, Flicker, alike
from tests.core.firings import HOUR_S, as_planned, at, plan, raised, told


def flame(seed: int, every_s: float, spread_c: float, constant_s: float) -> Callable[[], float]:
    """Noise whose correlation dies away with ``constant_s`` (Uhlenbeck and Ornstein 1930)."""
    dice, kept = random.Random(seed), math.exp(-every_s / constant_s)
    sways_c = [dice.gauss(0.0, spread_c)]

    def sway_c() -> float:
        sways_c[0] = kept * sways_c[0] + dice.gauss(0.0, spread_c * math.sqrt(1.0 - kept * kept))
        return sways_c[0]

    return sway_c


def density_c2_s(value_c: Callable[[float], float], every_s: float, noise_c: float) -> float:
    """What is seen after four hours of a kiln that climbs by 100 °C/h."""
    flicker, dice = Flicker(), random.Random(7)
    for n in range(int(4 * HOUR_S / every_s)):
        elapsed_s = n * every_s
        seen_c = value_c(elapsed_s) + 100.0 * elapsed_s / HOUR_S + dice.gauss(0.0, noise_c)
        if flicker.look(elapsed_s, seen_c):
            flicker.judge(noise_c**2, every_s)
    return flicker.density_c2_s


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize("constant_s", [10.0, 25.0, 40.0])
def test_the_density_of_a_flame_is_seen(constant_s: float, every_s: float) -> None:
    sway_c = flame(1, every_s, 2.0, constant_s)
    # The spectral density of such noise at its slowest is 2·s²·τ.
    seen = density_c2_s(lambda _: sway_c(), every_s, 0.5)
    # The filter remembers for its fourth root: a factor of four makes 1.4.
    assert 0.2 < seen / (2.0 * 2.0**2 * constant_s) < 4.0


@pytest.mark.parametrize("noise_c", [0.2, 1.5])
@pytest.mark.parametrize("every_s", [1.0, 5.0, 30.0])
def test_noise_of_single_readings_does_not_hang_together(every_s: float, noise_c: float) -> None:
    assert density_c2_s(lambda _: 0.0, every_s, noise_c) < 0.5 * noise_c**2 * every_s


@pytest.mark.parametrize("every_s", [1.0, 5.0])
@pytest.mark.parametrize(("swing_c", "period_s"), [(3.0, 300.0), (8.0, 600.0)])
def test_a_kiln_that_swings_does_not_flicker(
    swing_c: float, period_s: float, every_s: float
) -> None:
    seen = density_c2_s(lambda s: swing_c * math.sin(2 * math.pi * s / period_s), every_s, 0.3)
    assert seen < 0.5


@pytest.mark.parametrize("every_s", [1.0, 5.0, 15.0])
def test_a_sum_with_a_short_memory_scatters_by_so_much_more(every_s: float) -> None:
    sway_c, leans_c = flame(3, every_s, 1.0, 25.0), [0.0]
    for _ in range(100_000):
        leans_c.append(LEANS * leans_c[-1] + sway_c())
    scatter_c2 = sum(c * c for c in leans_c) / len(leans_c)
    independent_c2 = 1.0 / (1.0 - LEANS**2)
    assert scatter_c2 / independent_c2 == pytest.approx(alike(every_s, LEANS), rel=0.1)


def rates_off(*, flickers: bool, every_s: float) -> float:
    """How far the rate is off, in its own standard deviations, at a flame of 2 °C."""
    track, sway_c = ChannelTrack("kiln"), flame(5, every_s, 2.0, 25.0)
    looks = Flame(track)
    dice, squares = random.Random(2), []
    for n in range(int(4 * HOUR_S / every_s)):
        elapsed_s = n * every_s
        value_c = 500.0 + elapsed_s * 60.0 / HOUR_S + sway_c() + dice.gauss(0.0, 0.3)
        track.look(elapsed_s, value_c, None)
        if flickers and n % math.ceil(FLICKER_S / every_s) == 0:
            looks.look(elapsed_s)
        if elapsed_s > HOUR_S:
            off = (track.rate_c_per_s or 0.0) - 60.0 / HOUR_S
            squares.append((off / track.rate_sigma_c_per_s) ** 2)
    return math.sqrt(sum(squares) / len(squares))


@pytest.mark.parametrize("every_s", [1.0, 5.0])
def test_the_rate_says_how_uncertain_a_flame_makes_it(every_s: float) -> None:
    assert (
        rates_off(flickers=True, every_s=every_s) < 1.5 < rates_off(flickers=False, every_s=every_s)
    )


@pytest.mark.parametrize("seed", range(4))
def test_a_flame_that_licks_the_probe_is_neither_a_stall_nor_heat_that_sticks(seed: int) -> None:
    schedule = plan("150 900", "65 1260 120")
    points = as_planned(schedule)
    sway_c, dice = flame(seed, 5.0, 3.5, 30.0), random.Random(seed)
    readings = [
        Reading(s, {"kiln": at(points, s) + sway_c() + dice.gauss(0.0, 0.3)})
        for s in (5.0 * n for n in range(int(points[-1][0] // 5.0)))
    ]
    events = told(schedule, readings, settings=WatchSettings(kiln_kind="gas"))
    for kind in (Kind.STALL, Kind.HEAT_LOST, Kind.HEAT_STUCK_ON, Kind.OVERSHOOT):
        assert raised(events, kind) == []


def test_a_fall_beside_a_flame_is_followed() -> None:
    track, sway_c = ChannelTrack("kiln"), flame(9, 1.0, 2.0, 25.0)
    looks = Flame(track)
    for n in range(3 * 3600):
        elapsed_s = float(n)
        fell_c = max(elapsed_s - 2.9 * HOUR_S, 0.0) * 400.0 / HOUR_S
        track.look(elapsed_s, 800.0 - fell_c + sway_c(), None)
        if n % math.ceil(FLICKER_S) == 0:
            looks.look(elapsed_s)
    assert track.temp_c == pytest.approx(800.0 - 40.0, abs=6.0)
    assert track.rate_c_per_s is not None
    assert track.rate_c_per_s * 3600.0 < -250.0


def test_a_log_that_begins_late_or_stays_away_for_hours_is_taken_as_it_comes() -> None:
    track, dice = ChannelTrack("kiln"), random.Random(4)
    looks = Flame(track)
    for begun_s in (40_000.0, 80_000.0):
        for n in range(600):
            elapsed_s = begun_s + 5.0 * n
            track.look(elapsed_s, 500.0 + dice.gauss(0.0, 0.5), None)
            looks.look(elapsed_s)
    assert track.temp_c == pytest.approx(500.0, abs=1.0)
