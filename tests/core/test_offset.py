"""The belief about a channel's offset: right in sign, in size and in how sure it is."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import norm

from supervisor.core.errors import InputError
from supervisor.core.heatwork import CONES, Cone, Correction
from supervisor.core.heatwork.offset import (
    FARTHEST_C,
    USUAL,
    Evidence,
    Observation,
    Offset,
    Spread,
    WorkOfOffset,
    carried,
    channel_of,
    contradicted,
    estimate,
    evidence_of,
)
from supervisor.core.heatwork.tip import clock_of, work_range_of

PLAIN = replace(USUAL, mistaken=0.0)
"""The model without mistaken cones: with exact looks it has a closed form."""
CLIMB_C_PER_H = 60.0


def seen(low_c: float, high_c: float, witness: str = "6") -> Evidence:
    return Evidence((witness, None), low_c, high_c)


def exact(offset_c: float, witness: str = "6") -> Evidence:
    """A look that leaves nothing open but the cone's own error."""
    return seen(offset_c - 0.01, offset_c + 0.01, witness)


def climbing(cone: Cone, temp_c: float) -> WorkOfOffset:
    """Work of a cone at ``temp_c`` of a climb, as a function of the offset."""
    step_c = 0.5

    def work(offset_c: float) -> float:
        total, at_c = 0.0, temp_c + offset_c - step_c / 2.0
        while (gain := cone.rate_per_s(at_c) * step_c / CLIMB_C_PER_H * 3600.0) > 1e-7:
            total += gain
            at_c -= step_c
        return total

    return work


def kalman(firings: Sequence[Sequence[float]], spread: Spread = USUAL) -> tuple[float, float]:
    """Closed form for exact looks at different cones: δ is N(0, 8²) before the first firing that
    tells and walks by N(0, 1²) from each firing to the next; a firing's own offset is
    N(δ, 2.5²), the mean of its n cones N(that, 2²/n). Kalman's filter in one dimension, with his
    gain (R. E. Kalman, J. Basic Eng. 82, 35-45, 1960; from memory)."""
    mean_c, variance, has_begun = 0.0, spread.kiln_c**2, False
    for offsets_c in firings:
        if has_begun:
            variance += spread.drift_c**2
        if offsets_c:
            has_begun = True
            noise = spread.firing_c**2 + spread.cone_c**2 / len(offsets_c)
            gain = variance / (variance + noise)
            mean_c += gain * (sum(offsets_c) / len(offsets_c) - mean_c)
            variance *= 1.0 - gain
    return mean_c, math.sqrt(variance)


FIRINGS: list[list[list[float]]] = [
    [[0.0]],
    [[6.0]],
    [[-14.0, -9.0]],
    [[3.0, 5.0, 4.0], [9.0]],
    [[2.0], [7.5], [4.0, 4.5], [-1.0]],
    [[12.0]] * 12,
    [[], [], [6.0], [], [], [5.0, 4.0], []],
    [[2.0], *[[]] * 20, [9.0]],
]


@pytest.mark.parametrize("model", [PLAIN, replace(PLAIN, drift_c=0.0), replace(PLAIN, drift_c=2.0)])
@pytest.mark.parametrize("firings", FIRINGS)
def test_exact_looks_give_the_kalman_filter_of_a_random_walk(
    firings: list[list[float]], model: Spread
) -> None:
    found = estimate(
        [[exact(c, str(n)) for n, c in enumerate(firing)] for firing in firings], model
    )
    mean_c, sigma_c = kalman(firings, model)
    assert found.mean_c == pytest.approx(mean_c, abs=0.01)
    assert found.sigma_c == pytest.approx(sigma_c, abs=0.01)
    assert (found.observations, found.firings) == (sum(map(len, firings)), sum(map(bool, firings)))


def test_a_probe_that_has_been_exchanged_or_has_drifted_is_told_after_some_firings() -> None:
    agreeing = [[exact(0.0)]] * 20
    for count, at_least_c in ((1, 3.0), (3, 7.0), (6, 10.0)):
        found = estimate([*agreeing, *[[exact(12.0)]] * count], PLAIN)
        mean_c, _ = kalman([*[[0.0]] * 20, *[[12.0]] * count])
        assert found.mean_c == pytest.approx(mean_c, abs=0.01)
        assert found.mean_c > at_least_c


def test_twenty_agreeing_firings_leave_what_a_probe_drifts_from_one_to_the_next() -> None:
    agreeing = [[exact(4.0)]] * 20
    # The filter's steady state: P²/(P + R) = Q with P before the look, R = 2.5² + 2², Q = 1.
    noise = USUAL.firing_c**2 + USUAL.cone_c**2
    before = (1.0 + math.sqrt(1.0 + 4.0 * noise)) / 2.0
    assert estimate(agreeing, PLAIN).sigma_c == pytest.approx(math.sqrt(before - 1.0), abs=0.03)
    aged = estimate([*agreeing, *[[]] * 30], PLAIN)
    assert aged.sigma_c == pytest.approx(math.sqrt(before - 1.0 + 30.0), abs=0.03)
    assert aged.mean_c == estimate(agreeing, PLAIN).mean_c


RANGES: list[list[list[Evidence]]] = [
    [[seen(4.0, 7.0)]],
    [[seen(5.0, math.inf)]],
    [[seen(-math.inf, -6.0)]],
    [[seen(2.0, math.inf, "6"), seen(-math.inf, 9.0, "7")], [seen(1.0, 3.0)]],
    [[seen(20.0, math.inf)], [seen(-4.0, 0.0), seen(-math.inf, 30.0, "8")]],
]


def density(value: float, mean: float, sigma: float) -> float:
    """The normal density: as ``scipy.stats.norm.pdf`` gives it, which takes its time."""
    return math.exp(-0.5 * ((value - mean) / sigma) ** 2) / (sigma * math.sqrt(2.0 * math.pi))


@pytest.mark.parametrize("model", [replace(PLAIN, drift_c=0.0), replace(USUAL, drift_c=0.0)])
@pytest.mark.parametrize("firings", RANGES)
def test_ranges_give_what_quadrature_gives(firings: list[list[Evidence]], model: Spread) -> None:
    def firing_given(offset_c: float, firing: list[Evidence]) -> float:
        def both(of_firing_c: float) -> float:
            share = density(of_firing_c, offset_c, model.firing_c)
            for one in firing:
                by_range = ndtr((one.high_c - of_firing_c) / model.cone_c) - ndtr(
                    (one.low_c - of_firing_c) / model.cone_c
                )
                width_c = min(one.high_c, FARTHEST_C) - max(one.low_c, -FARTHEST_C)
                by_chance = model.mistaken * width_c / (2.0 * FARTHEST_C)
                share *= (1.0 - model.mistaken) * by_range + by_chance
            return float(share)

        reach_c = 5.0 * model.firing_c
        return float(quad(both, offset_c - reach_c, offset_c + reach_c, epsabs=1e-12)[0])

    def weight(offset_c: float) -> float:
        total = density(offset_c, 0.0, model.kiln_c)
        for firing in firings:
            total *= firing_given(offset_c, firing)
        return total

    # The trapezoidal rule, on a grid of its own: smooth and zero at both ends, it converges fast.
    grid_c = [-50.0 + n * 0.7 for n in range(144)]
    weights = [weight(offset_c) for offset_c in grid_c]
    total = sum(weights)
    mean_c = sum(w * c for w, c in zip(weights, grid_c, strict=True)) / total
    variance = sum(w * (c - mean_c) ** 2 for w, c in zip(weights, grid_c, strict=True)) / total
    found = estimate(firings, model)
    assert found.mean_c == pytest.approx(mean_c, abs=0.02)
    assert found.sigma_c == pytest.approx(math.sqrt(variance), abs=0.02)


ENDS = st.floats(-30.0, 30.0)
LOOKS = st.builds(
    lambda a, b, witness, open_end: seen(
        -math.inf if open_end == 1 else min(a, b),
        math.inf if open_end == 2 else max(a, b),
        witness,
    ),
    ENDS,
    ENDS,
    st.sampled_from(["5", "6", "7"]),
    st.integers(0, 2),
)
HISTORIES = st.lists(st.lists(LOOKS, min_size=1, max_size=4), min_size=1, max_size=4)


@settings(deadline=None, max_examples=50)
@given(HISTORIES, st.randoms(use_true_random=False))
def test_the_order_of_looks_does_not_matter_and_without_drift_not_that_of_firings(
    firings: list[list[Evidence]], chance: random.Random
) -> None:
    other = [list(firing) for firing in firings]
    for firing in other:
        chance.shuffle(firing)
    one, two = estimate(firings), estimate(other)
    assert one.mean_c == pytest.approx(two.mean_c, abs=1e-6)
    assert one.sigma_c == pytest.approx(two.sigma_c, abs=1e-6)
    chance.shuffle(other)
    steady = replace(USUAL, drift_c=0.0)
    one, two = estimate(firings, steady), estimate(other, steady)
    assert one.mean_c == pytest.approx(two.mean_c, abs=1e-6)
    assert one.sigma_c == pytest.approx(two.sigma_c, abs=1e-6)


def test_of_two_firings_the_later_one_counts_more() -> None:
    assert (
        estimate([[exact(0.0)], [exact(6.0)]]).mean_c
        > estimate([[exact(6.0)], [exact(0.0)]]).mean_c + 0.1
    )


@settings(deadline=None, max_examples=50)
@given(HISTORIES)
def test_no_contradiction_breaks_it(firings: list[list[Evidence]]) -> None:
    found = estimate(firings)
    assert abs(found.mean_c) < FARTHEST_C
    assert 0.0 < found.sigma_c < FARTHEST_C


@settings(deadline=None, max_examples=50)
@given(HISTORIES, st.lists(LOOKS, min_size=1, max_size=3))
def test_without_mistakes_more_looks_never_make_it_less_sure(
    firings: list[list[Evidence]], further: list[Evidence]
) -> None:
    # A law of normals cut by ranges; it ends where an offset is far outside all that is likely.
    before, after = estimate([*firings, []], PLAIN), estimate([*firings, further], PLAIN)
    assert after.sigma_c <= before.sigma_c + 0.02


def test_it_grows_surer_with_every_firing_and_never_surer_than_the_firings_allow() -> None:
    clocks = ["3", "2:30", "4", "3:30", "3", "5", "2", "4:30", "3", "4"]
    firings: list[list[Evidence]] = []
    sigmas_c = [USUAL.kiln_c]
    for count, clock in enumerate(clocks, start=1):
        looked = Observation(0.0, "6", clock)
        firings.append([evidence_of(looked, climbing(CONES["6"], 1218.0))])
        sigmas_c.append(estimate(firings).sigma_c)
        allowed_c = math.sqrt(1.0 / (1.0 / USUAL.kiln_c**2 + count / USUAL.firing_c**2))
        assert sigmas_c[-1] > allowed_c
    assert all(after < before for before, after in pairwise(sigmas_c))
    assert sigmas_c[-1] < 1.8


def test_many_cones_in_one_firing_leave_what_firings_differ_by() -> None:
    one = estimate([[exact(4.0, str(n)) for n in range(40)]])
    assert one.sigma_c == pytest.approx(
        math.sqrt(1.0 / (1.0 / USUAL.kiln_c**2 + 1.0 / USUAL.firing_c**2)), abs=0.05
    )


def test_real_cones_down_before_the_calculation_are_a_positive_offset() -> None:
    stands = climbing(CONES["6"], 1212.0)
    assert clock_of(stands(0.0)) in ("upright", "12:30", "1")
    down = estimate([[evidence_of(Observation(0.0, "6", "touching"), stands)]])
    assert down.mean_c > 4.0
    lies = climbing(CONES["6"], 1232.0)
    assert clock_of(lies(0.0)) == "touching"
    upright = estimate([[evidence_of(Observation(0.0, "6", "upright"), lies)]])
    assert upright.mean_c < -8.0


@pytest.mark.parametrize("name", ["017", "06", "6", "10"])
@pytest.mark.parametrize("offset_c", [-9.0, 0.0, 12.0])
def test_the_range_holds_the_offset_that_the_cone_had(name: str, offset_c: float) -> None:
    cone = CONES[name]
    for at_c in range(-20, 12, 2):
        work = climbing(cone, cone.temp_at_rate(5e-4) + at_c - offset_c)
        clock = clock_of(work(offset_c))
        found = evidence_of(Observation(0.0, name, clock), work)
        assert found.low_c <= offset_c + 0.05
        assert found.high_c >= offset_c - 0.05
        least, most = work_range_of(clock)
        if math.isfinite(found.low_c):
            assert work(found.low_c) == pytest.approx(least, rel=0.01)
        if math.isfinite(found.high_c):
            assert work(found.high_c) == pytest.approx(most, rel=0.01)


def test_a_cone_that_no_offset_moves_says_nothing() -> None:
    far_off = evidence_of(Observation(0.0, "10", "upright"), climbing(CONES["10"], 900.0))
    assert not far_off.tells
    long_down = evidence_of(Observation(0.0, "06", "touching"), climbing(CONES["06"], 1220.0))
    assert not long_down.tells
    assert estimate([[far_off, long_down]]) == Offset(0.0, USUAL.kiln_c, 0, 0)


def test_what_no_offset_within_reach_explains_is_left_out() -> None:
    cold = evidence_of(Observation(0.0, "10", "touching"), climbing(CONES["10"], 900.0))
    assert (cold.low_c, cold.high_c) == (FARTHEST_C, math.inf)
    hot = evidence_of(Observation(0.0, "06", "3"), climbing(CONES["06"], 1220.0))
    assert (hot.low_c, hot.high_c) == (-math.inf, -FARTHEST_C)
    for impossible in (cold, hot):
        assert not impossible.is_possible
        assert not impossible.shifted(5.0).is_possible
        assert estimate([[impossible]]) == Offset(0.0, USUAL.kiln_c, 0, 0)
        assert estimate([[impossible, seen(3.0, 5.0)]]) == estimate([[seen(3.0, 5.0)]])


def look(elapsed_s: float, clock: str, **more: str) -> Observation:
    return replace(Observation(elapsed_s, "6", clock, "top"), **more)  # type: ignore[arg-type]


def test_a_cone_that_would_have_stood_up_again_is_found_with_the_look_it_contradicts() -> None:
    down, up, later = look(600.0, "touching"), look(1200.0, "12:30"), look(1800.0, "touching")
    assert contradicted([down, up]) == {0: 1, 1: 0}
    assert contradicted([up, down, later]) == {0: 1, 1: 0}
    assert contradicted([up, later]) == {}
    for other in ({"cone": "7"}, {"shelf": "back"}, {"channel": "bottom"}):
        assert contradicted([down, look(1200.0, "12:30", **other)]) == {}


@pytest.mark.parametrize(
    ("first", "second"), [("3", "2:30"), ("5:30", "5"), ("touching", "5"), ("1", "upright")]
)
def test_half_an_hour_back_is_how_people_read_and_no_contradiction(first: str, second: str) -> None:
    assert contradicted([look(600.0, first), look(1200.0, second)]) == {}


def test_evidence_for_lower_readings_is_of_larger_offsets() -> None:
    assert seen(3.0, math.inf).shifted(4.0) == seen(7.0, math.inf)
    work = climbing(CONES["6"], 1218.0)
    of_high = evidence_of(look(0.0, "3"), work)
    of_low = evidence_of(look(0.0, "3"), lambda offset_c: work(offset_c - 4.0))
    assert of_low.low_c == pytest.approx(of_high.shifted(4.0).low_c, abs=0.05)
    assert of_low.high_c == pytest.approx(of_high.shifted(4.0).high_c, abs=0.05)


def test_one_cone_taken_for_another_does_not_carry_the_offset_away() -> None:
    # Cone 5 noted as cone 6 looks 36 °C off.
    good = [[exact(3.0, "6"), exact(4.0, "7")], [exact(2.5, "6")]]
    without, with_it = estimate(good), estimate([*good, [exact(36.0, "6")]])
    assert with_it.mean_c == pytest.approx(without.mean_c, abs=0.5)
    assert with_it.observations == without.observations + 1


def test_a_probe_that_is_far_off_is_believed_once_several_cones_say_so() -> None:
    assert estimate([[exact(25.0)]] * 3).mean_c == pytest.approx(23.0, abs=1.5)


def test_looking_at_one_cone_again_and_again_does_not_make_it_several() -> None:
    once = estimate([[seen(3.0, 5.0)]])
    again = estimate([[seen(3.0, 5.0)] * 10])
    assert (again.mean_c, again.sigma_c) == pytest.approx((once.mean_c, once.sigma_c))
    assert (once.observations, again.observations) == (1, 10)
    others = estimate([[seen(3.0, 5.0, str(n)) for n in range(10)]])
    assert others.sigma_c < again.sigma_c - 0.2


def test_looks_at_one_cone_narrow_each_other() -> None:
    both = estimate([[seen(3.0, math.inf), seen(-math.inf, 5.0)]])
    once = estimate([[seen(3.0, 5.0)]])
    assert (both.mean_c, both.sigma_c) == pytest.approx((once.mean_c, once.sigma_c))


def test_an_offset_is_worth_proposing_when_it_stands_out() -> None:
    assert not estimate([]).stands_out
    assert not estimate([[seen(-math.inf, 8.0)]]).stands_out
    assert estimate([[seen(5.0, 7.0)]]).stands_out


@pytest.mark.parametrize(
    ("mean_c", "sigma_c", "in_force", "is_worth"),
    [
        (3.1, 3.0, None, True),
        (-2.9, 3.0, None, False),
        (4.0, 3.0, Correction(4.0, 3.0), False),
        (4.4, 2.6, Correction(4.0, 3.0), False),
        (4.6, 3.0, Correction(4.0, 3.0), True),
        (4.0, 2.4, Correction(4.0, 3.0), True),
        (0.5, 3.0, Correction(4.0, 3.0), True),
    ],
)
def test_one_rule_says_whether_accepting_is_worth_while(
    mean_c: float, sigma_c: float, in_force: Correction | None, *, is_worth: bool
) -> None:
    assert Offset(mean_c, sigma_c, 2, 1).is_worth_accepting(in_force) is is_worth


def test_an_accepted_offset_ages_as_the_estimate_does() -> None:
    firings = [[exact(4.0)], [exact(5.0)]]
    aged, waited = carried(estimate(firings), firings=7), estimate([*firings, *[[]] * 7])
    assert (aged.mean_c, aged.sigma_c) == pytest.approx((waited.mean_c, waited.sigma_c))


def test_in_a_kiln_with_one_thermocouple_every_cone_stands_for_it() -> None:
    nowhere = Observation(0.0, "6", "3", None, "back")
    assert channel_of(nowhere, ("kiln",)) == "kiln"
    assert channel_of(nowhere, ("top", "bottom")) is None
    assert channel_of(replace(nowhere, channel="top"), ("top", "bottom")) == "top"


def test_a_clock_that_cannot_be_read_is_refused() -> None:
    with pytest.raises(InputError):
        evidence_of(Observation(0.0, "6", "9"), climbing(CONES["6"], 1200.0))


def simulated(chance: random.Random, true_c: float) -> tuple[list[list[Evidence]], float]:
    """One to four firings, each with some cones read at the end of a climb; the offset then."""
    firings: list[list[Evidence]] = []
    for _ in range(chance.randint(1, 4)):
        if firings:
            true_c = chance.gauss(true_c, USUAL.drift_c)
        of_firing_c = chance.gauss(true_c, USUAL.firing_c)
        end_c = chance.uniform(1205.0, 1240.0)
        looks = []
        for name in chance.sample(["5", "6", "7"], chance.randint(1, 3)):
            of_cone_c = chance.gauss(of_firing_c, USUAL.cone_c)
            work = climbing(CONES[name], end_c)
            looks.append(evidence_of(Observation(0.0, name, clock_of(work(of_cone_c))), work))
        firings.append(looks)
    return firings, true_c


def test_four_of_five_true_offsets_lie_within_the_interval_of_four_in_five() -> None:
    chance = random.Random(20261125)
    within = count = 0
    for _ in range(400):
        firings, true_c = simulated(chance, chance.gauss(0.0, USUAL.kiln_c))
        found = estimate(firings)
        half_c = float(norm.ppf(0.9)) * found.sigma_c
        within += abs(true_c - found.mean_c) <= half_c
        count += 1
    assert 0.75 <= within / count <= 0.86
