"""The boiling point of water against published figures.

Sources: IAPWS R7-97(2012), "Industrial Formulation 1997", table 36 (values to check a program
by) and table 35; ISO 2533:1975, standard atmosphere, pressures at heights above the sea (both from
memory).
"""

from __future__ import annotations

import pytest

from supervisor.core.water import boiling_point_c, pressure_hpa

TABLE_36 = [(1_000.0, 372.755919), (10_000.0, 453.035632), (100_000.0, 584.149488)]
"""hPa (of 0.1, 1 and 10 MPa), K."""
TABLE_35 = [(35.3658941, 300.0), (123_443.146, 600.0)]
"""The same line from its other side: hPa at so many K."""


@pytest.mark.parametrize(("hpa", "kelvin"), TABLE_36 + TABLE_35)
def test_the_saturation_line_meets_the_formulations_own_check_values(
    hpa: float, kelvin: float
) -> None:
    assert boiling_point_c(hpa) + 273.15 == pytest.approx(kelvin, abs=1e-5)


def test_water_boils_a_little_below_100_degrees_at_sea_level() -> None:
    """99.974 °C on ITS-90 (IAPWS)."""
    assert boiling_point_c(1013.25) == pytest.approx(99.974, abs=1e-3)


@pytest.mark.parametrize(
    ("altitude_m", "hpa"),
    [(0.0, 1013.25), (500.0, 954.61), (1000.0, 898.76), (2000.0, 795.01), (3000.0, 701.21)],
)
def test_the_standard_atmosphere_meets_its_table(altitude_m: float, hpa: float) -> None:
    assert pressure_hpa(altitude_m) == pytest.approx(hpa, abs=0.01)
