"""The simulated kiln's physics against worked textbook examples and an independent solver.

Examples: F. P. Incropera, D. P. DeWitt, T. L. Bergman and A. S. Lavine, *Fundamentals of Heat
and Mass Transfer*, 6th ed., Wiley 2007; Y. A. Çengel, *Heat and Mass Transfer*, McGraw-Hill
(data verified against the Scilab Textbook Companions, FOSSEE, IIT Bombay). Slabs, half-spaces
and composite walls stand with the wall in ``tests/simulator/test_wall.py``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from simulator.kiln import DRAUGHT_W_PER_M2_K, Kiln, KilnSpec
from simulator.materials import (
    SHELF_HEAT,
    STEFAN_BOLTZMANN_W_PER_M2_K4,
    WARE_HEAT,
    ZERO_CELSIUS_K,
    Material,
    on_the_line,
)
from simulator.presets import STUDIO_ELECTRIC, STUDIO_GAS
from simulator.wall import Layer, Skin, Wall

Array = Any


def lumped(
    density_kg_per_m3: float, heat_j_per_kg_k: float, diameter_m: float, h_w_per_m2_k: float
) -> Wall:
    """A sphere as a very conducting plate of the same volume for each area, at 25 °C."""
    stuff = Material("metal", density_kg_per_m3, ((20.0, heat_j_per_kg_k),), ((20.0, 5000.0),))
    return Wall(
        [Layer(stuff, diameter_m / 6.0)],
        1.0,
        skin=Skin(film_w_per_m2_k=h_w_per_m2_k, still_air_w_per_m2_k43=0.0, emissivity=0.0),
        start_c=25.0,
    )


def time_until_c(body: Wall, reached_c: float, around_c: float, dt_s: float) -> float:
    elapsed_s = 0.0
    around_k = around_c + ZERO_CELSIUS_K
    while body.inside_c[-1] < reached_c:
        stiffness_w_per_k, heat_w = body.prepare(dt_s, around_k)
        body.finish(heat_w / stiffness_w_per_k, dt_s, around_k)
        elapsed_s += dt_s
    return elapsed_s


def test_a_small_sphere_follows_a_step_of_gas_temperature() -> None:
    # Incropera ex. 5.1: h 400, c 400, density 8500, 0.706 mm; 25 to 199 °C in gas at 200 °C in
    # 5.2 s (5.165).
    body = lumped(8500.0, 400.0, 0.706e-3, 400.0)
    assert time_until_c(body, 199.0, 200.0, 0.002) == pytest.approx(5.165, abs=0.02)


def test_a_thermocouple_bead_needs_ten_seconds_for_99_percent() -> None:
    # Çengel ex. 4-1: 1 mm, density 8500, c 320, h 210: 10 s to 99 % (9.94).
    body = lumped(8500.0, 320.0, 1e-3, 210.0)
    assert time_until_c(body, 25.0 + 0.99 * 75.0, 100.0, 0.005) == pytest.approx(9.94, abs=0.04)


def test_two_grey_plates_exchange_what_the_textbook_says() -> None:
    # Çengel ex. 13-7: 800 K of emissivity 0.2 against 500 K of 0.7: 3625 W/m2. The chamber node
    # stands half way between: each plate's resistance is 1/e - 1/2.
    zone = replace(
        STUDIO_ELECTRIC.middle,
        ware_kg=1e7,
        ware_area_m2=1.0,
        furniture_area_m2=0.0,
        wall_area_m2=1e-9,
        source_kg=1e7,
        source_area_m2=1.0,
        leak_w_per_k=0.0,
    )
    spec = replace(
        STUDIO_ELECTRIC,
        top=zone,
        middle=zone,
        bottom=zone,
        opening_m2=0.0,
        mixing_w_per_k=0.0,
        film_w_per_m2_k=0.0,
        chamber_j_per_k=1.0,
        source_emissivity=1.0 / (1.0 / 0.2 - 0.5),
        ware_emissivity=1.0 / (1.0 / 0.7 - 0.5),
    )
    kiln = Kiln(spec, ambient_c=20.0, start_c=500.0 - ZERO_CELSIUS_K)
    for each in kiln._zones:
        each.source_k = 800.0
    for _ in range(50):
        kiln.advance(0.0, 1.0)
    before_k = kiln._zones[1].source_k
    kiln.advance(0.0, 10_000.0)
    flux_w = (before_k - kiln._zones[1].source_k) * kiln._zones[1].source_j_per_k / 10_000.0
    assert flux_w == pytest.approx(3625.0, rel=0.001)


def test_a_black_opening_radiates_by_the_fourth_power() -> None:
    # Stefan-Boltzmann, 5.670374e-8 W/m2K4: an opening of 0.01 m2 at 1000 °C to 20 °C: 1486 W,
    # beside the air that passes it.
    kiln = Kiln(STUDIO_ELECTRIC, ambient_c=20.0, start_c=1000.0)
    shut = Kiln(STUDIO_ELECTRIC, ambient_c=20.0, start_c=1000.0)
    kiln.gap_m2 = 0.01
    for each in (kiln, shut):
        each.advance(0.0, 0.001)
    lost_w = (kiln.lost_j - shut.lost_j) / 0.001
    assert lost_w - DRAUGHT_W_PER_M2_K * 0.01 * 980.0 == pytest.approx(1486.0, rel=0.002)


# The same balance, written down once more as ordinary differential equations in numpy.


def _heat(points: Any, temps_k: Array) -> Array:
    return np.array([on_the_line(points, t - ZERO_CELSIUS_K) for t in temps_k])


def equations(spec: KilnSpec, ambient_k: float) -> Callable[[float, Array, float], Array]:
    """d(temperatures)/dt for each zone: source, chamber, ware, furniture, wall nodes."""
    sigma = STEFAN_BOLTZMANN_W_PER_M2_K4
    widths, materials = [], []
    for layer in spec.layers:
        count = max(2, round(layer.thickness_m / spec.spacing_m))
        widths += [layer.thickness_m / count] * count
        materials += [layer.material] * count
    per = 4 + len(widths) + 1

    def link(zone_m2: float, emissivity: float, a_k: float, b_k: float) -> float:
        return zone_m2 * (
            emissivity * sigma * (a_k**4 - b_k**4) + spec.film_w_per_m2_k * (a_k - b_k)
        )

    def right_side(_: float, y: Array, power_w: float) -> Array:
        dy = np.zeros_like(y)
        chambers = y[1::per]
        for z, zone in enumerate(spec.zones):
            source, chamber, ware, shelf, *wall = y[z * per : (z + 1) * per]
            zone_w = power_w * zone.power_share
            from_source = link(zone.source_area_m2, spec.source_emissivity, source, chamber)
            to_ware = link(zone.ware_area_m2, spec.ware_emissivity, chamber, ware)
            to_shelf = link(zone.furniture_area_m2, spec.furniture_emissivity, chamber, shelf)
            to_face = link(zone.wall_area_m2, spec.wall_emissivity, chamber, wall[0])
            away = (zone.leak_w_per_k + spec.flue_per_k * zone_w) * (chamber - ambient_k)
            across = 0.0
            for other in (z - 1, z + 1):
                if 0 <= other < 3:
                    across += spec.opening_m2 * sigma * (chambers[other] ** 4 - chamber**4)
                    across += spec.mixing_w_per_k * (chambers[other] - chamber)
            out = dy[z * per : (z + 1) * per]
            out[0] = (zone_w - from_source) / (zone.source_kg * spec.source_heat_j_per_kg_k)
            out[1] = (
                from_source + across - to_ware - to_shelf - to_face - away
            ) / spec.chamber_j_per_k
            out[2] = to_ware / (zone.ware_kg * on_the_line(WARE_HEAT, ware - ZERO_CELSIUS_K))
            out[3] = to_shelf / (
                zone.furniture_kg * on_the_line(SHELF_HEAT, shelf - ZERO_CELSIUS_K)
            )
            flux = [to_face]
            capacity = np.zeros(len(wall))
            for n, (width, material) in enumerate(zip(widths, materials, strict=True)):
                mean_c = 0.5 * (wall[n] + wall[n + 1]) - ZERO_CELSIUS_K
                k = material.conductivity_w_per_m_k(mean_c)
                flux.append(k * zone.wall_area_m2 * (wall[n] - wall[n + 1]) / width)
                half = 0.5 * width * zone.wall_area_m2 * material.density_kg_per_m3
                capacity[n : n + 2] += half * _heat(material.heat_points, wall[n : n + 2])
            flux.append(zone.wall_area_m2 * spec.skin.loss_w_per_m2(wall[-1], ambient_k))
            out[4:] = -np.diff(flux) / capacity
        return dy

    return right_side


@pytest.mark.parametrize(("spec", "power_w"), [(STUDIO_ELECTRIC, 8_000.0), (STUDIO_GAS, 45_000.0)])
@pytest.mark.parametrize(("dt_s", "within_k"), [(5.0, 0.4), (20.0, 0.6)])
def test_the_kiln_agrees_with_the_method_of_lines(
    spec: KilnSpec, power_w: float, dt_s: float, within_k: float
) -> None:
    """Four hours of heating, one of cooling; scipy's BDF with tight tolerances."""
    ambient_k = 20.0 + ZERO_CELSIUS_K
    right_side = equations(spec, ambient_k)
    per = 5 + sum(max(2, round(x.thickness_m / spec.spacing_m)) for x in spec.layers)
    state = np.full(3 * per, ambient_k)
    kiln = Kiln(spec, ambient_c=20.0)
    for stretch_s, given_w in ((1800.0, power_w), (12_600.0, power_w), (300.0, 0.0), (3300.0, 0.0)):
        solved = solve_ivp(
            right_side, (0.0, stretch_s), state, "BDF", args=(given_w,), rtol=1e-6, atol=1e-3
        )
        state = solved.y[:, -1]
        for _ in range(round(stretch_s / dt_s)):
            kiln.advance(given_w, dt_s)
        exact_c = state[1::per] - ZERO_CELSIUS_K
        assert kiln.chambers_c == pytest.approx(tuple(exact_c), abs=within_k)
        assert kiln.wares_c == pytest.approx(tuple(state[2::per] - ZERO_CELSIUS_K), abs=within_k)
        assert kiln.faces_c == pytest.approx(tuple(state[4::per] - ZERO_CELSIUS_K), abs=within_k)
    assert kiln.chamber_c > 500.0
