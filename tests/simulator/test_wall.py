"""The wall grid against closed-form solutions and worked textbook examples."""

from __future__ import annotations

import pytest
from scipy.special import erfc

from simulator.materials import (
    FIBRE_BLANKET,
    FIRECLAY,
    INSULATING_FIREBRICK,
    LIGHT_BRICK_1260,
    LIGHT_BRICK_1400,
    ZERO_CELSIUS_K,
    Material,
    heat_table,
)
from simulator.wall import Layer, Skin, Wall

HOURS_S = 3600.0


def constant(k_w_per_m_k: float, density_kg_per_m3: float = 500.0) -> Material:
    return Material("test", density_kg_per_m3, ((20.0, 1000.0),), ((20.0, k_w_per_m_k),))


def held_wall(wall: Wall, face_c: float, ambient_c: float, for_s: float, dt_s: float) -> float:
    """Keep the face at ``face_c`` for a time; the flux into the wall at the end, in W."""
    ambient_k = ambient_c + ZERO_CELSIUS_K
    for _ in range(round(for_s / dt_s)):
        wall.prepare(dt_s, ambient_k)
        wall.finish(face_c + ZERO_CELSIUS_K, dt_s, ambient_k)
    return wall.into_wall_w()


def heat_face(wall: Wall, heat_w: float, dt_s: float, ambient_k: float) -> None:
    """One step with so much heat let into the face."""
    stiffness_w_per_k, own_w = wall.prepare(dt_s, ambient_k)
    wall.finish((heat_w + own_w) / stiffness_w_per_k, dt_s, ambient_k)


def test_a_composite_wall_passes_the_steady_flux_of_its_resistances() -> None:
    # q = dT / (sum of L/k + 1/h): 114 mm of k 0.25, 50 mm of k 0.10, film 12 W/m2K, 1250 to
    # 20 °C: 1183.5 W/m2, joint 710.3 °C, skin 118.6 °C (Carslaw and Jaeger, 2nd ed., 1959).
    wall = Wall(
        [Layer(constant(0.25), 0.114), Layer(constant(0.10), 0.050)],
        1.0,
        skin=Skin(film_w_per_m2_k=12.0, still_air_w_per_m2_k43=0.0, emissivity=0.0),
        start_c=20.0,
    )
    flux_w = held_wall(wall, 1250.0, 20.0, 200 * HOURS_S, 60.0)
    assert flux_w == pytest.approx(1183.5, abs=0.1)
    assert wall.loss_w(20.0 + ZERO_CELSIUS_K) == pytest.approx(1183.5, abs=0.1)
    joint = round(0.114 / 0.0125) - 1
    assert wall.inside_c[joint] == pytest.approx(710.3, abs=0.1)
    assert wall.inside_c[-1] == pytest.approx(118.6, abs=0.1)


def test_a_fireclay_wall_passes_the_flux_of_the_textbook() -> None:
    # Incropera, DeWitt, Bergman and Lavine, 6th ed., 2007, example 1.1: 0.15 m of k 1.7 W/mK
    # between 1400 and 1150 K: 2833 W/m2, 1700 W through 0.5 m x 1.2 m.
    wall = Wall(
        [Layer(constant(1.7, 2000.0), 0.15)],
        0.5 * 1.2,
        skin=Skin(film_w_per_m2_k=1e4, still_air_w_per_m2_k43=0.0, emissivity=0.0),
        start_c=1150.0 - ZERO_CELSIUS_K,
        spacing_m=0.025,
    )
    flux_w = held_wall(wall, 1400 - ZERO_CELSIUS_K, 1150 - ZERO_CELSIUS_K, 30 * HOURS_S, 2.0)
    assert flux_w == pytest.approx(1700.0, rel=0.002)


def test_conductivity_that_rises_with_temperature_counts_at_its_mean() -> None:
    straight = Material("straight", 600.0, ((20.0, 1000.0),), ((0.0, 0.15), (1000.0, 0.32)))
    wall = Wall(
        [Layer(straight, 0.1)],
        1.0,
        skin=Skin(film_w_per_m2_k=1e3, still_air_w_per_m2_k43=0.0, emissivity=0.0),
        start_c=20.0,
    )
    flux_w = held_wall(wall, 1000.0, 20.0, 60 * HOURS_S, 4.0)
    skin_c = wall.inside_c[-1]
    mean_k = straight.conductivity_w_per_m_k((1000.0 + skin_c) / 2.0)
    assert flux_w == pytest.approx(mean_k * (1000.0 - skin_c) / 0.1, rel=1e-6)


def test_a_sudden_hot_face_soaks_in_as_in_a_half_space() -> None:
    # Carslaw and Jaeger: (T-Ti)/(Ts-Ti) = erfc(x / 2 sqrt(a t)); k 0.18, density 490, c 1000,
    # 20 to 1000 °C, 1 h: 848.9 °C at 10 mm, 344.3 °C at 50 mm, flux 2737 W/m2.
    wall = Wall(
        [Layer(constant(0.18, 490.0), 0.4)], 1.0, skin=Skin(), start_c=20.0, spacing_m=0.0025
    )
    flux_w = held_wall(wall, 1000.0, 20.0, HOURS_S, 2.0)
    assert wall.inside_c[3] == pytest.approx(848.9, abs=0.6)
    assert wall.inside_c[19] == pytest.approx(344.3, abs=0.6)
    assert flux_w == pytest.approx(2737.0, rel=0.002)
    diffusivity = 0.18 / (490.0 * 1000.0)
    exact = 20.0 + 980.0 * float(erfc(0.1 / (2.0 * (diffusivity * HOURS_S) ** 0.5)))
    assert wall.inside_c[39] == pytest.approx(exact, abs=0.6)


def test_a_ramped_face_soaks_in_as_in_a_half_space() -> None:
    # Carslaw and Jaeger, surface ramp: the same solid, 150 °C/h for 8 h: rise at 25, 50 and
    # 100 mm 904.7, 670.7 and 349.4 K; flux 2370 W/m2. The default spacing of the kilns.
    wall = Wall([Layer(constant(0.18, 490.0), 0.5)], 1.0, skin=Skin(), start_c=20.0)
    dt_s = 10.0
    for step in range(1, round(8 * HOURS_S / dt_s) + 1):
        held_wall(wall, 20.0 + 150.0 * step * dt_s / HOURS_S, 20.0, dt_s, dt_s)
    rises = [wall.inside_c[index] - 20.0 for index in (1, 3, 7)]
    assert rises == pytest.approx([904.7, 670.7, 349.4], abs=1.5)
    # The half interval at the face keeps its own part of what enters.
    kept_w = 490.0 * 1000.0 * 0.0125 / 2.0 * 150.0 / HOURS_S
    assert wall.into_wall_w() + kept_w == pytest.approx(2370.0, rel=0.005)


def test_a_grey_body_cools_by_radiation_alone_in_the_time_of_the_formula() -> None:
    # t = (m c / 3 e s A)(1/T1^3 - 1/T0^3): density 2000, c 1000, V/A 10 mm, e 0.8, 1473.15 to
    # 873.15 K, surroundings at 0 K: 174.80 s. A very conducting wall is such a body.
    wall = Wall(
        [Layer(constant(2000.0, 2000.0), 0.01)],
        1.0,
        skin=Skin(still_air_w_per_m2_k43=0.0, emissivity=0.8),
        start_c=1200.0,
    )
    dt_s = 0.01
    elapsed_s = 0.0
    while wall.inside_c[-1] > 600.0:
        heat_face(wall, 0.0, dt_s, 0.0)
        elapsed_s += dt_s
    assert elapsed_s == pytest.approx(174.80, abs=0.5)


def test_a_pipe_loses_heat_by_convection_and_radiation_as_in_the_textbook() -> None:
    # Incropera et al., 6th ed., example 1.2: 70 mm pipe, 200 °C in 25 °C, emissivity 0.8,
    # h 15 W/m2K: 998 W for each metre.
    skin = Skin(film_w_per_m2_k=15.0, still_air_w_per_m2_k43=0.0, emissivity=0.8)
    flux = skin.loss_w_per_m2(200.0 + ZERO_CELSIUS_K, 25.0 + ZERO_CELSIUS_K)
    assert flux * 3.14159265 * 0.07 == pytest.approx(998.0, rel=0.002)


def test_a_slab_heated_steadily_on_both_faces_is_ahead_of_its_middle_by_the_formula() -> None:
    # Carslaw and Jaeger: the face leads the middle by b L2 / (2 a); a 6e-7 m2/s, half thickness
    # 10 mm, 150 °C/h: 3.47 K. Half the slab is a wall that loses nothing from its skin.
    slab = Wall(
        [Layer(constant(0.6 * 2.0, 2000.0), 0.010)],
        1.0,
        skin=Skin(still_air_w_per_m2_k43=0.0, emissivity=0.0),
        start_c=20.0,
        spacing_m=0.001,
    )
    dt_s = 5.0
    for step in range(1, 721):
        held_wall(slab, 20.0 + 150.0 * step * dt_s / HOURS_S, 20.0, dt_s, dt_s)
    ahead_k = slab.face_k - ZERO_CELSIUS_K - slab.inside_c[-1]
    assert ahead_k == pytest.approx(3.47, abs=0.01)


def test_a_step_may_be_long() -> None:
    # The same ramp and depth as the half-space above, in steps of two minutes.
    wall = Wall([Layer(constant(0.18, 490.0), 0.5)], 1.0, skin=Skin(), start_c=20.0)
    dt_s = 120.0
    for step in range(1, round(8 * HOURS_S / dt_s) + 1):
        held_wall(wall, 20.0 + 150.0 * step * dt_s / HOURS_S, 20.0, dt_s, dt_s)
    rises = [wall.inside_c[index] - 20.0 for index in (1, 3, 7)]
    assert rises == pytest.approx([904.7, 670.7, 349.4], abs=3.0)


def test_what_goes_in_is_kept_or_lost() -> None:
    ambient_k = 20.0 + ZERO_CELSIUS_K
    layers = [Layer(INSULATING_FIREBRICK, 0.076), Layer(FIBRE_BLANKET, 0.025)]
    wall = Wall(layers, 0.8, skin=Skin(), start_c=20.0)
    for _ in range(2_000):
        heat_face(wall, 1500.0, 10.0, ambient_k)
    assert wall.face_k > 1100.0
    assert wall.lost_j > 1e6
    assert wall.stored_j(ambient_k) + wall.lost_j == pytest.approx(1500.0 * 20_000, rel=1e-9)


def test_what_a_wall_was_given_is_what_its_temperatures_say() -> None:
    # Heat capacity changes on the way; the books and the materials' tables still agree.
    ambient_k = 20.0 + ZERO_CELSIUS_K
    wall = Wall([Layer(LIGHT_BRICK_1400, 0.114)], 1.0, skin=Skin(), start_c=20.0)
    for step in range(3_000):
        heat_face(wall, 3000.0 if step < 1500 else -500.0, 20.0, ambient_k)
    by_tables_j = wall.stored_by_tables_j(ambient_k)
    assert wall.stored_j(ambient_k) == pytest.approx(by_tables_j, rel=2e-4)


def test_the_published_points_are_met_by_the_tables() -> None:
    # VDI Heat Atlas, 2nd ed., Springer 2010, 600 and 1000 °C.
    assert LIGHT_BRICK_1260.conductivity_w_per_m_k(1000.0) == pytest.approx(0.20)
    assert LIGHT_BRICK_1260.heat_j_per_kg_k(600.0) == pytest.approx(979.0)
    assert LIGHT_BRICK_1400.conductivity_w_per_m_k(600.0) == pytest.approx(0.30)
    assert FIRECLAY.heat_j_per_kg_k(1000.0) == pytest.approx(1037.0)
    for material in (LIGHT_BRICK_1260, LIGHT_BRICK_1400, FIRECLAY, FIBRE_BLANKET):
        table = heat_table(material.heat_points)
        heat_j = table.held_j_at(1273.15) - table.held_j_at(873.15)
        mean = (
            material.heat_j_per_kg_k(600.0)
            + 2.0 * material.heat_j_per_kg_k(800.0)
            + material.heat_j_per_kg_k(1000.0)
        ) / 4.0
        assert heat_j == pytest.approx(400.0 * mean, rel=1e-4)
