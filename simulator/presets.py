"""Kilns to simulate, by name.

Sizes, masses and powers are common practice, no source: a studio's electric kiln of 0.2 m3 and
a gas kiln of 0.5 m3. What the walls are made of has its sources in ``materials``.
"""

from __future__ import annotations

from simulator.kiln import KilnSpec, Tuning, ZoneSpec
from simulator.materials import (
    INSULATING_FIREBRICK,
    LIGHT_BRICK_1260,
    LIGHT_BRICK_1400,
    SHELF_HEAT_J_PER_KG_K,
)
from simulator.wall import Layer, Skin
from supervisor.core.errors import InputError

STUDIO_ELECTRIC = KilnSpec(
    name="studio-electric",
    kind="electric",
    power_w=12_500.0,
    layers=(Layer(INSULATING_FIREBRICK, 0.076),),
    skin=Skin(emissivity=0.4),
    top=ZoneSpec(
        power_share=0.359,
        wall_area_m2=0.78,
        ware_kg=9.0,
        ware_area_m2=0.75,
        furniture_kg=8.0,
        furniture_area_m2=0.50,
        source_kg=1.5,
        source_area_m2=0.22,
        leak_w_per_k=0.6,
    ),
    middle=ZoneSpec(
        power_share=0.295,
        wall_area_m2=0.52,
        ware_kg=9.5,
        ware_area_m2=0.80,
        furniture_kg=8.5,
        furniture_area_m2=0.55,
        source_kg=1.5,
        source_area_m2=0.22,
        leak_w_per_k=0.4,
    ),
    bottom=ZoneSpec(
        power_share=0.346,
        wall_area_m2=0.78,
        ware_kg=9.5,
        ware_area_m2=0.75,
        furniture_kg=9.0,
        furniture_area_m2=0.55,
        source_kg=1.5,
        source_area_m2=0.22,
        leak_w_per_k=0.5,
    ),
    tuning=Tuning(
        gain_per_k=0.03, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=110_000.0
    ),
    chamber_j_per_k=3_000.0,
    opening_m2=0.10,
    mixing_w_per_k=18.0,
    film_w_per_m2_k=8.0,
)

STUDIO_GAS = KilnSpec(
    name="studio-gas",
    kind="gas",
    power_w=75_000.0,
    layers=(Layer(LIGHT_BRICK_1400, 0.114), Layer(LIGHT_BRICK_1260, 0.025)),
    skin=Skin(emissivity=0.8),
    top=ZoneSpec(
        power_share=0.335,
        wall_area_m2=1.45,
        ware_kg=32.0,
        ware_area_m2=1.8,
        furniture_kg=30.0,
        furniture_area_m2=1.3,
        source_kg=8.0,
        source_area_m2=0.8,
        leak_w_per_k=3.0,
    ),
    middle=ZoneSpec(
        power_share=0.315,
        wall_area_m2=1.10,
        ware_kg=34.0,
        ware_area_m2=1.9,
        furniture_kg=32.0,
        furniture_area_m2=1.4,
        source_kg=8.0,
        source_area_m2=0.8,
        leak_w_per_k=2.2,
    ),
    bottom=ZoneSpec(
        power_share=0.350,
        wall_area_m2=1.45,
        ware_kg=34.0,
        ware_area_m2=1.8,
        furniture_kg=34.0,
        furniture_area_m2=1.4,
        source_kg=8.0,
        source_area_m2=0.8,
        leak_w_per_k=3.0,
    ),
    tuning=Tuning(
        gain_per_k=0.02, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=300_000.0
    ),
    chamber_j_per_k=8_000.0,
    opening_m2=0.30,
    mixing_w_per_k=60.0,
    film_w_per_m2_k=15.0,
    # 0.36 kg of flue gas for each MJ of propane with a little spare air, at 1.25 kJ/kgK:
    # combustion sums, from memory.
    flue_per_k=4.5e-4,
    source_heat_j_per_kg_k=SHELF_HEAT_J_PER_KG_K,
    source_emissivity=0.8,
)

_PRESETS = {spec.name: spec for spec in (STUDIO_ELECTRIC, STUDIO_GAS)}


def kiln_names() -> tuple[str, ...]:
    """The names that ``kiln_spec`` knows."""
    return tuple(_PRESETS)


def kiln_spec(name: str) -> KilnSpec:
    """The kiln of that name. Raises InputError for a name that is not there."""
    try:
        return _PRESETS[name]
    except KeyError:
        known = ", ".join(_PRESETS)
        raise InputError(f"there is no kiln “{name}” to simulate; there are {known}") from None
