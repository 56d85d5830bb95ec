"""Solve each cone's rate of softening from the published temperature equivalents.

    python -m tests.reference.solve_cones > supervisor/core/heatwork/cones.csv

Source of the figures: The Edward Orton Jr. Ceramic Foundation, *Temperature Equivalents for
Orton Pyrometric Cones (°C), Cone Numbers 022-14* (2016), self-supporting cones, heating at 60
and 150 °C/h over the last 100 °C (``cone-equivalents.csv`` beside this script).

A cone is down when ``∫ exp(a − B/(T − T0)) dt = 1`` (Vogel 1921; Fulcher 1925). Two
equivalents fix two of the three unknowns; T0 is ``T0_SHARE`` of the equivalent at 60 °C/h. That
share is chosen for two other published things, not for the equivalents: what the cone maker's
text says of holds at a cone's own temperature (the next cone after 1 to 2 h, two cones higher
after 4 to 6 h; the hours from memory), which Arrhenius' law (share 0) puts
too early, and the rates of 1926 (below), by which cones fall at slow rates later than Arrhenius'
law says.

The equivalents are printed to the degree, and the difference of two rounded figures leaves the
law loose: half a degree at each end moves the equivalent at 10 °C/h by four degrees.
Neighbouring cones are made of neighbouring mixtures, so among all the pairs of figures that lie
within ``SLACK_C`` of print, the ones are taken whose step between rates varies least from cone
to cone and is nearest to what C. O. Fairchild and M. F. Peters measured (*Characteristics of
pyrometric cones*, J. Am. Ceram. Soc. 9 (11), 701-743, 1926, steps from 20 to 150 °C/h, from
memory; their doubtful rows 010, 09 and 13 are left out). The cones of 1926 had other mixtures:
their steps pull, their temperatures are not used.
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
SLACK_C = 0.95
KELVIN = 273.15
T0_SHARE = 0.75
PRINT_WEIGHT, STEP_WEIGHT = 0.15, 2.0
"""How much a degree off print, and a degree off the step of 1926, cost beside a degree of
unevenness between neighbours."""
FAIRCHILD_PETERS_C = {
    "022": (585, 605), "021": (595, 615), "020": (625, 650), "019": (630, 660),
    "018": (670, 720), "017": (720, 770), "016": (735, 795), "015": (770, 805),
    "014": (795, 830), "013": (825, 860), "012": (840, 875), "011": (875, 905),
    "08": (945, 950), "07": (975, 990), "06": (1005, 1015), "05": (1030, 1040),
    "04": (1050, 1060), "03": (1080, 1115), "02": (1095, 1125), "01": (1110, 1145),
    "1": (1125, 1160), "2": (1135, 1165), "3": (1145, 1170), "4": (1165, 1190),
    "5": (1180, 1205), "6": (1190, 1230), "7": (1210, 1250), "8": (1225, 1260),
    "9": (1250, 1285), "10": (1260, 1305), "11": (1285, 1325), "12": (1310, 1335),
}  # fmt: skip
"""Cone -> °C at 20 and at 150 °C/h (1926, from memory; see above)."""
STEP_SHARE = math.log(150.0 / 60.0) / math.log(150.0 / 20.0)
"""The part of a step from 20 to 150 °C/h that lies between 60 and 150, by the logarithm."""


def published(kind: str = "self-supporting") -> dict[str, tuple[float, float]]:
    """Cone -> published equivalents in °C at 60 and 150 °C/h, lowest cone first."""
    found: dict[str, dict[str, float]] = {}
    with TABLE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["type"] == kind:
                found.setdefault(row["cone"], {})[row["rate_c_per_h"]] = float(row["temp_c"])
    return {cone: (temps["60"], temps["150"]) for cone, temps in found.items()}


def smoothed(table: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """The same table moved within its slack, for even steps between the rates.

    A step is compared as step/T², in which the law of softening makes it its slope's alone.
    """
    cones = list(table)
    count = len(cones)
    printed = np.array([table[cone] for cone in cones])
    scale = ((printed[:, 0] + KELVIN) / 1300.0) ** 2
    steps = printed[:, 1] - printed[:, 0]
    rows, right = [], []

    def want(weights: dict[int, float], step_c: float) -> None:
        """Ask that the weighted, scaled steps of some cones come out at ``step_c``."""
        row = np.zeros(2 * count)
        have = 0.0
        for i, weight in weights.items():
            row[2 * i] -= weight / scale[i]
            row[2 * i + 1] += weight / scale[i]
            have += weight * steps[i] / scale[i]
        rows.append(row)
        right.append(step_c - have)

    for i in range(1, count - 1):
        want({i - 1: 1.0, i: -2.0, i + 1: 1.0}, 0.0)
    for i, cone in enumerate(cones):
        if cone in FAIRCHILD_PETERS_C:
            slow_c, fast_c = FAIRCHILD_PETERS_C[cone]
            step_c = (fast_c - slow_c) * STEP_SHARE
            want({i: STEP_WEIGHT}, STEP_WEIGHT * step_c / scale[i])
    matrix = np.vstack([np.array(rows), PRINT_WEIGHT * np.eye(2 * count)])
    wanted = np.concatenate([np.array(right), np.zeros(2 * count)])
    moved = lsq_linear(matrix, wanted, bounds=(-SLACK_C, SLACK_C), tol=1e-12).x
    moved = moved.reshape(count, 2) + printed
    return {cone: (float(moved[i, 0]), float(moved[i, 1])) for i, cone in enumerate(cones)}


def solve(temp_60_c: float, temp_150_c: float) -> tuple[float, float, float]:
    """(a, B, T0) with the rate in 1/s and B and T0 in K, from the two equivalents in °C."""
    ends_k = (temp_60_c + KELVIN, temp_150_c + KELVIN)
    rates = (60.0 / 3600.0, 150.0 / 3600.0)
    t0_k = T0_SHARE * ends_k[0]

    def log_reach(b_k: float, end_k: float) -> float:
        """ln of ∫ k(T)/k(end) dT on the way to the end, in K."""

        def relative(temp_k: float) -> float:
            return math.exp(-b_k * (1.0 / (temp_k - t0_k) - 1.0 / (end_k - t0_k)))

        low_k = t0_k + 0.05 * (end_k - t0_k)
        value: float = quad(relative, low_k, end_k, epsrel=1e-12, limit=500)[0]
        return math.log(value)

    def unbalance(b_k: float) -> float:
        low = -b_k / (ends_k[0] - t0_k) + log_reach(b_k, ends_k[0]) - math.log(rates[0])
        high = -b_k / (ends_k[1] - t0_k) + log_reach(b_k, ends_k[1]) - math.log(rates[1])
        return low - high

    b_k = float(brentq(unbalance, 300.0, 5e4, rtol=1e-13))
    a = math.log(rates[0]) + b_k / (ends_k[0] - t0_k) - log_reach(b_k, ends_k[0])
    return a, b_k, t0_k


def rows() -> list[tuple[str, str, str, str]]:
    """(cone, a, B, T0) as text, as they stand in the shipped table."""
    solved = {cone: solve(*temps) for cone, temps in smoothed(published()).items()}
    return [
        (cone, f"{a:.5f}", f"{b_k:.2f}", f"{t0_k:.2f}") for cone, (a, b_k, t0_k) in solved.items()
    ]


def main() -> None:
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(["cone", "a_ln_per_s", "b_k", "t0_k"])
    writer.writerows(rows())


if __name__ == "__main__":
    main()
