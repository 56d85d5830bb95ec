"""Kilns to simulate, by name.

Sizes, masses and powers are common practice, no source. What the walls are made of has its
sources in ``materials``. A flue's part follows from the flue gas: 0.36 kg for each MJ of
propane with a little spare air, at 1.25 kJ/kgK, is 4.5e-4 of the heat for each degree; wood
with half as much air again as it needs, about 0.55 kg for each MJ, 6.0e-4 (combustion sums,
from memory).
"""

from __future__ import annotations

from simulator.kiln_spec import KilnKind, KilnSpec, Tuning, ZoneSpec
from simulator.materials import (
    BURNER_BLOCK_HEAT_J_PER_KG_K,
    FIBRE_BLANKET,
    FIBRE_BOARD,
    FIRECLAY,
    INSULATING_FIREBRICK,
    LIGHT_BRICK_1260,
    LIGHT_BRICK_1400,
)
from simulator.wall import Layer, Skin
from supervisor.core.errors import InputError

STUDIO_ELECTRIC = KilnSpec(
    name="studio-electric",
    kind=KilnKind.ELECTRIC,
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
        gain_per_k=0.03, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=104_000.0
    ),
    chamber_j_per_k=3_000.0,
    opening_m2=0.10,
    mixing_w_per_k=18.0,
    film_w_per_m2_k=8.0,
    door_m2=0.30,
    vent_w_per_k=14.0,
    phases=3,
)

STUDIO_GAS = KilnSpec(
    name="studio-gas",
    kind=KilnKind.GAS,
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
    door_m2=0.55,
    vent_w_per_k=90.0,
    unsteady=0.02,
    flue_per_k=4.5e-4,
    source_heat_j_per_kg_k=BURNER_BLOCK_HEAT_J_PER_KG_K,
    source_emissivity=0.8,
)


def _zones(
    *,
    shares: tuple[float, float, float],
    wall_m2: float,
    ware_kg: float,
    ware_m2: float,
    furniture_kg: float,
    furniture_m2: float,
    source_kg: float,
    source_m2: float,
    leak_w_per_k: float,
) -> tuple[ZoneSpec, ZoneSpec, ZoneSpec]:
    """Three zones of a kiln given as a whole: top and bottom have their ends as well."""
    top, middle, bottom = (
        ZoneSpec(
            power_share=share,
            wall_area_m2=wall_m2 * of_wall,
            ware_kg=ware_kg / 3.0,
            ware_area_m2=ware_m2 / 3.0,
            furniture_kg=furniture_kg / 3.0,
            furniture_area_m2=furniture_m2 / 3.0,
            source_kg=source_kg / 3.0,
            source_area_m2=source_m2 / 3.0,
            leak_w_per_k=leak_w_per_k * of_wall,
        )
        for share, of_wall in zip(shares, (0.375, 0.25, 0.375), strict=True)
    )
    return top, middle, bottom


_TEST = _zones(
    shares=(0.345, 0.31, 0.345),
    wall_m2=0.50,
    ware_kg=4.0,
    ware_m2=0.40,
    furniture_kg=3.5,
    furniture_m2=0.25,
    source_kg=1.2,
    source_m2=0.15,
    leak_w_per_k=0.45,
)
TEST_ELECTRIC = KilnSpec(
    name="test-electric",
    kind=KilnKind.ELECTRIC,
    power_w=3_000.0,
    layers=(Layer(INSULATING_FIREBRICK, 0.064), Layer(FIBRE_BLANKET, 0.025)),
    skin=Skin(emissivity=0.4),
    top=_TEST[0],
    middle=_TEST[1],
    bottom=_TEST[2],
    tuning=Tuning(
        gain_per_k=0.025, integral_s=1200.0, derivative_s=60.0, thermal_mass_j_per_k=22_000.0
    ),
    chamber_j_per_k=700.0,
    opening_m2=0.03,
    mixing_w_per_k=5.0,
    film_w_per_m2_k=8.0,
    door_m2=0.07,
    vent_w_per_k=2.5,
)
"""A kiln of 20 l for tests, on a household's socket."""

_FRONT = _zones(
    shares=(0.355, 0.29, 0.355),
    wall_m2=4.6,
    ware_kg=85.0,
    ware_m2=5.6,
    furniture_kg=75.0,
    furniture_m2=4.0,
    source_kg=14.0,
    source_m2=1.8,
    leak_w_per_k=5.0,
)
FRONT_LOADER = KilnSpec(
    name="front-loader",
    kind=KilnKind.ELECTRIC,
    power_w=36_000.0,
    layers=(Layer(FIBRE_BLANKET, 0.100), Layer(FIBRE_BOARD, 0.050)),
    skin=Skin(emissivity=0.8),
    top=_FRONT[0],
    middle=_FRONT[1],
    bottom=_FRONT[2],
    tuning=Tuning(
        gain_per_k=0.025, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=190_000.0
    ),
    chamber_j_per_k=9_000.0,
    opening_m2=0.25,
    mixing_w_per_k=45.0,
    film_w_per_m2_k=8.0,
    door_m2=0.8,
    vent_w_per_k=45.0,
    phases=3,
)
"""An electric kiln of 0.6 m3 with a door, lined with fibre."""

_RAKU = _zones(
    shares=(0.32, 0.32, 0.36),
    wall_m2=1.45,
    ware_kg=12.0,
    ware_m2=1.0,
    furniture_kg=9.0,
    furniture_m2=0.5,
    source_kg=4.0,
    source_m2=0.35,
    leak_w_per_k=4.0,
)
RAKU_GAS = KilnSpec(
    name="raku-gas",
    kind=KilnKind.GAS,
    power_w=35_000.0,
    layers=(Layer(FIBRE_BLANKET, 0.050),),
    skin=Skin(film_w_per_m2_k=5.0, emissivity=0.8),
    top=_RAKU[0],
    middle=_RAKU[1],
    bottom=_RAKU[2],
    tuning=Tuning(
        gain_per_k=0.01, integral_s=900.0, derivative_s=60.0, thermal_mass_j_per_k=30_000.0
    ),
    chamber_j_per_k=1_500.0,
    opening_m2=0.12,
    mixing_w_per_k=30.0,
    film_w_per_m2_k=15.0,
    door_m2=0.25,
    vent_w_per_k=25.0,
    flue_per_k=5.5e-4,
    source_heat_j_per_kg_k=BURNER_BLOCK_HEAT_J_PER_KG_K,
    source_emissivity=0.8,
    unsteady=0.04,
)
"""A light gas kiln of 0.12 m3, lined with fibre blanket: fired in an hour or two."""

_DOWNDRAFT = _zones(
    shares=(0.34, 0.32, 0.34),
    wall_m2=6.6,
    ware_kg=190.0,
    ware_m2=10.0,
    furniture_kg=180.0,
    furniture_m2=7.5,
    source_kg=60.0,
    source_m2=4.0,
    leak_w_per_k=14.0,
)
DOWNDRAFT_GAS = KilnSpec(
    name="downdraft-gas",
    kind=KilnKind.GAS,
    power_w=190_000.0,
    layers=(Layer(LIGHT_BRICK_1400, 0.114), Layer(LIGHT_BRICK_1260, 0.114)),
    skin=Skin(emissivity=0.9),
    top=_DOWNDRAFT[0],
    middle=_DOWNDRAFT[1],
    bottom=_DOWNDRAFT[2],
    tuning=Tuning(
        gain_per_k=0.02, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=700_000.0
    ),
    chamber_j_per_k=18_000.0,
    opening_m2=0.6,
    mixing_w_per_k=150.0,
    film_w_per_m2_k=15.0,
    door_m2=1.1,
    vent_w_per_k=220.0,
    flue_per_k=4.5e-4,
    source_heat_j_per_kg_k=BURNER_BLOCK_HEAT_J_PER_KG_K,
    source_emissivity=0.8,
    unsteady=0.02,
    spacing_m=0.019,
)
"""A gas kiln of 1 m3 in two courses of light brick, with a chimney."""

_WOOD = _zones(
    shares=(0.33, 0.32, 0.35),
    wall_m2=6.6,
    ware_kg=150.0,
    ware_m2=8.0,
    furniture_kg=150.0,
    furniture_m2=6.0,
    source_kg=90.0,
    source_m2=4.0,
    leak_w_per_k=20.0,
)
WOOD = KilnSpec(
    name="wood",
    kind=KilnKind.WOOD,
    power_w=330_000.0,
    layers=(Layer(LIGHT_BRICK_1400, 0.114), Layer(FIRECLAY, 0.114)),
    skin=Skin(emissivity=0.9),
    top=_WOOD[0],
    middle=_WOOD[1],
    bottom=_WOOD[2],
    tuning=Tuning(
        gain_per_k=0.01, integral_s=1500.0, derivative_s=90.0, thermal_mass_j_per_k=750_000.0
    ),
    chamber_j_per_k=20_000.0,
    opening_m2=0.7,
    mixing_w_per_k=200.0,
    film_w_per_m2_k=18.0,
    door_m2=1.1,
    vent_w_per_k=300.0,
    flue_per_k=6.0e-4,
    source_heat_j_per_kg_k=BURNER_BLOCK_HEAT_J_PER_KG_K,
    source_emissivity=0.8,
    unsteady=0.05,
    spacing_m=0.019,
)
"""A wood kiln of 1 m3: light brick inside, old fireclay brick outside."""

_PRESETS = {
    spec.name: spec
    for spec in (
        STUDIO_ELECTRIC,
        STUDIO_GAS,
        TEST_ELECTRIC,
        FRONT_LOADER,
        RAKU_GAS,
        DOWNDRAFT_GAS,
        WOOD,
    )
}


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
