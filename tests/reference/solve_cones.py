"""Solve each cone's (A, Q) from the published temperature equivalents and write the table.

    python -m tests.reference.solve_cones > supervisor/core/heatwork/cones.csv

Source of the figures: The Edward Orton Jr. Ceramic Foundation, *Temperature Equivalents for
Orton Pyrometric Cones (°C), Cone Numbers 022-14* (2016), self-supporting cones, heating at 60
and 150 °C/h over the last 100 °C (``cone-equivalents.csv`` beside this script).

A cone is down when ``∫ exp(ln A − Q/(R·T)) dt = 1``. Two equivalents fix two unknowns, but
they are printed to the degree, and the difference of two rounded figures leaves Q loose: half
a degree at each end moves the equivalent at 10 °C/h by four degrees. Neighbouring cones are
made of neighbouring mixtures, so among all the pairs of figures that round to within
``SLACK_C`` of print, the ones are taken whose step between rates varies least from cone to
cone. Cones 022 and 021 get more slack: their printed steps, 4 and 17 °C, would let 021 go
down before 022 in a slow firing.
"""

from __future__ import annotations

import csv
import math
import sys
from pathlib import Path

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq, lsq_linear

TABLE = Path(__file__).with_name("cone-equivalents.csv")
SLACK_C = 0.9
WIDE_SLACK_C = {"022": 1.2, "021": 1.2}
START_K = 293.15
KELVIN = 273.15
GAS_CONSTANT = 8.31446261815324
"""J/(mol·K), exact since the 2019 revision of the SI."""
PRINT_WEIGHT = 0.15
"""How much a degree off print costs beside a degree of unevenness between neighbours."""


def published(kind: str = "self-supporting") -> dict[str, tuple[float, float]]:
    """Cone -> published equivalents in °C at 60 and 150 °C/h, lowest cone first."""
    found: dict[str, dict[str, float]] = {}
    with TABLE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["type"] == kind:
                found.setdefault(row["cone"], {})[row["rate_c_per_h"]] = float(row["temp_c"])
    return {cone: (temps["60"], temps["150"]) for cone, temps in found.items()}


def smoothed(table: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """The same table moved within its slack so that the step between rates varies least.

    The step is compared as step/T², in which the Arrhenius law makes it Q's alone.
    """
    cones = list(table)
    count = len(cones)
    scale = np.array([((table[c][0] + KELVIN) / 1300.0) ** 2 for c in cones])
    printed = np.array([table[c] for c in cones])
    rows, right = [], []
    for i in range(1, count - 1):
        row = np.zeros(2 * count)
        offset = 0.0
        for j, weight in ((i - 1, 1.0), (i, -2.0), (i + 1, 1.0)):
            row[2 * j] -= weight / scale[j]
            row[2 * j + 1] += weight / scale[j]
            offset += weight * (printed[j, 1] - printed[j, 0]) / scale[j]
        rows.append(row)
        right.append(-offset)
    for i in range(2 * count):
        row = np.zeros(2 * count)
        row[i] = PRINT_WEIGHT
        rows.append(row)
        right.append(0.0)
    slack = np.repeat([WIDE_SLACK_C.get(c, SLACK_C) for c in cones], 2)
    moved = lsq_linear(np.array(rows), np.array(right), bounds=(-slack, slack), tol=1e-12).x
    moved = moved.reshape(count, 2) + printed
    return {c: (float(moved[i, 0]), float(moved[i, 1])) for i, c in enumerate(cones)}


def solve(temp_60_c: float, temp_150_c: float) -> tuple[float, float]:
    """(ln A, Q) with A in 1/s and Q in J/mol, from the two equivalents in °C."""
    ends_k = (temp_60_c + KELVIN, temp_150_c + KELVIN)
    rates = (60.0 / 3600.0, 150.0 / 3600.0)

    def log_reach(q_over_r: float, end_k: float) -> float:
        def relative(temp_k: float) -> float:
            return math.exp(-q_over_r * (1.0 / temp_k - 1.0 / end_k))

        low_k = max(START_K, end_k - 400.0)
        value: float = quad(relative, low_k, end_k, epsrel=1e-12, limit=500)[0]
        return math.log(value)

    def unbalance(q_over_r: float) -> float:
        low = -q_over_r / ends_k[0] + log_reach(q_over_r, ends_k[0]) - math.log(rates[0])
        high = -q_over_r / ends_k[1] + log_reach(q_over_r, ends_k[1]) - math.log(rates[1])
        return low - high

    q_over_r = float(brentq(unbalance, 5e3, 5e5, rtol=1e-13))
    ln_a = math.log(rates[0]) + q_over_r / ends_k[0] - log_reach(q_over_r, ends_k[0])
    return ln_a, q_over_r * GAS_CONSTANT


def rows() -> list[tuple[str, str, str]]:
    """(cone, ln A, Q) as text, as they stand in the shipped table."""
    solved = {cone: solve(*temps) for cone, temps in smoothed(published()).items()}
    return [(cone, f"{ln_a:.5f}", f"{q:.1f}") for cone, (ln_a, q) in solved.items()]


def main() -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(["cone", "ln_a_per_s", "q_j_per_mol"])
    writer.writerows(rows())


if __name__ == "__main__":
    main()
