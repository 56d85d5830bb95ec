"""Every rule of the table against a firing that speaks for it, against it, and not at all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from supervisor.core.defects import DEFECTS, RULES, DefectKind, Verdict, trace_defects
from supervisor.core.defects.finding import Case
from supervisor.core.defects.registry import CONDITIONS
from supervisor.core.review import FiringFacts
from supervisor.core.schedule.model import BandName
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.defects import made
from tests.core.defects.made import band, bisque, good, peak_step

CELSIUS, FAHRENHEIT = Words(Unit.C), Words(Unit.F)
CONE_6 = 27.0

Facts = Callable[[], FiringFacts]


def no_plan() -> FiringFacts:
    return replace(good(), plan=None, steps=())


def no_cooling() -> FiringFacts:
    return replace(good(), cooling=None)


CASES: dict[str, tuple[Facts, Facts, Facts]] = {
    # name: a firing that supports it, one that rules it out, one that can't tell
    "underfired": (
        lambda: made.cones(place=26.3, coolest="4", hottest="5.5"),
        lambda: made.cones(place=27.6, coolest="6", hottest="7"),
        lambda: made.cones(place=27.2, coolest="5.5", hottest="6"),
    ),
    "overfired": (
        lambda: made.cones(place=28.4, coolest="7", hottest="8"),
        lambda: made.cones(place=27.2, coolest="5.5", hottest="6"),
        lambda: made.cones(place=27.9, coolest="6", hottest="7"),
    ),
    "cool_corner": (
        lambda: made.even(25.0, 1.0),
        lambda: made.even(3.0, 0.1),
        lambda: made.even(14.0, 0.5),
    ),
    "hot_corner": (
        lambda: made.even(8.0, 0.8),
        lambda: made.even(3.0, 0.1),
        good,
    ),
    "uneven_kiln": (lambda: made.even(25.0, 1.0), lambda: made.even(9.0, 0.3), good),
    "broken_off": (made.stalled, good, no_plan),
    "top_too_low": (
        lambda: peak_step(actual={"to_c": 1190.0}),
        good,
        lambda: peak_step(actual={"to_c": 1198.0}),
    ),
    "top_too_high": (
        lambda: peak_step(actual={"to_c": 1220.0}),
        good,
        lambda: peak_step(actual={"to_c": 1212.0}),
    ),
    "hold_too_short": (lambda: made.held(15.0), lambda: made.held(29.0), lambda: made.held(25.0)),
    "hold_too_long": (lambda: made.held(50.0), lambda: made.held(31.0), lambda: made.held(36.0)),
    "last_climb_too_fast": (
        lambda: made.peak(rate_c_per_h=80.0),
        good,
        lambda: made.peak(rate_c_per_h=70.0),
    ),
    "last_climb_too_slow": (
        lambda: made.peak(rate_c_per_h=40.0),
        good,
        lambda: made.peak(rate_c_per_h=None),
    ),
    "dried_too_fast": (
        lambda: band(BandName.DRYING, too_fast=1.4),
        good,
        lambda: made.without_band(BandName.DRYING),
    ),
    "clay_water_too_fast": (
        lambda: band(BandName.CHEMICAL_WATER, too_fast=1.1, base=bisque()),
        bisque,
        lambda: band(BandName.CHEMICAL_WATER, too_fast=0.9, base=bisque()),
    ),
    "quartz_too_fast_up": (
        lambda: band(BandName.QUARTZ_TURNS, too_fast=2.0),
        lambda: band(BandName.QUARTZ_TURNS, too_fast=0.7),
        lambda: band(BandName.QUARTZ_TURNS, too_fast=None),
    ),
    "burnt_out_too_fast": (
        lambda: band(BandName.BURNING_OUT, too_fast=1.3, base=bisque()),
        bisque,
        good,
    ),
    "gases_too_fast": (
        lambda: band(BandName.GASES_LEAVE, too_fast=1.3),
        good,
        lambda: band(BandName.GASES_LEAVE, too_fast=0.95),
    ),
    "quartz_too_fast_down": (
        lambda: band(BandName.QUARTZ_TURNS_BACK, too_fast=1.2),
        good,
        lambda: made.without_band(BandName.QUARTZ_TURNS_BACK),
    ),
    "cristobalite_too_fast_down": (
        lambda: band(BandName.CRISTOBALITE_TURNS_BACK, too_fast=3.0),
        good,
        lambda: made.without_band(BandName.CRISTOBALITE_TURNS_BACK),
    ),
    "shelf_heated_too_fast": (
        lambda: made.warmed(300.0),
        good,
        lambda: replace(good(), bands=()),
    ),
    "opened_hot": (
        lambda: made.opened(300.0),
        lambda: made.opened(80.0),
        lambda: made.cooling(opened=None, end_c=400.0),
    ),
    "dropped_fast": (
        lambda: made.cooling(first_c_per_h=600.0),
        lambda: made.cooling(first_c_per_h=200.0),
        no_cooling,
    ),
    "little_time_to_heal": (
        lambda: made.held(2.0),
        good,
        lambda: made.held(10.0),
    ),
    "crystals_had_no_time": (
        lambda: made.cooling(crystals=made.passed(220.0)),
        lambda: made.cooling(crystals=made.passed(70.0)),
        lambda: made.cooling(crystals=None),
    ),
    "crystals_had_time": (
        lambda: made.cooling(crystals=made.passed(70.0)),
        lambda: made.cooling(crystals=made.passed(220.0)),
        lambda: made.cooling(crystals=made.passed(120.0)),
    ),
    "long_hot": (lambda: made.hot_for(8.0), good, lambda: made.hot_for(5.0)),
    "reduced_late": (
        lambda: made.reduced(1100.0),
        lambda: made.reduced(900.0),
        lambda: made.reduced(None),
    ),
    "reduced_early": (
        lambda: made.reduced(700.0),
        lambda: made.reduced(900.0),
        no_plan,
    ),
    "reduced_briefly": (
        lambda: made.reduced(900.0, 10.0),
        lambda: made.reduced(900.0, 60.0),
        lambda: made.reduced(900.0),
    ),
}


@pytest.mark.parametrize("name", sorted(CONDITIONS))
def test_each_condition_has_a_firing_for_it_one_against_it_and_one_that_cannot_tell(
    name: str,
) -> None:
    supports, rules_out, unknown = (facts() for facts in CASES[name])
    for facts, verdict in (
        (supports, Verdict.SUPPORTED),
        (rules_out, Verdict.RULED_OUT),
        (unknown, Verdict.UNKNOWN),
    ):
        finding = CONDITIONS[name](Case(facts, CELSIUS))
        assert finding.verdict is verdict, finding.said
        assert finding.said.endswith(".")
        assert finding.said[0].isupper()


@pytest.mark.parametrize("name", sorted(CONDITIONS))
def test_what_is_told_in_fahrenheit_names_no_celsius(name: str) -> None:
    for facts in CASES[name]:
        said = CONDITIONS[name](Case(facts(), FAHRENHEIT)).said
        assert "°C" not in said
        assert CONDITIONS[name](Case(facts(), CELSIUS)).said.count("°") == said.count("°")


def test_every_condition_is_a_rule_and_every_rule_a_condition() -> None:
    assert {rule.condition for rule in RULES} == set(CONDITIONS)
    assert len({rule.name for rule in RULES}) == len(RULES)
    assert all(rule.source and rule.cause and rule.next_time for rule in RULES)


def test_every_defect_has_causes_in_the_firing_and_outside_of_it() -> None:
    assert set(DEFECTS) == set(DefectKind)
    for kind, defect in DEFECTS.items():
        assert any(kind in rule.defects for rule in RULES), kind
        assert defect.outside, kind


def test_causes_that_are_supported_come_first_and_each_defect_once() -> None:
    traced = trace_defects(
        made.opened(300.0),
        [DefectKind.DUNTING, DefectKind.CRAZING, DefectKind.DUNTING],
        CELSIUS,
    )
    assert [one.defect for one in traced] == [DefectKind.DUNTING, DefectKind.CRAZING]
    assert traced[0].causes[0].name == "opened-hot"
    assert "300 °C" in traced[0].causes[0].said
    assert traced[0].causes[0].figures["opened_c"] == 300.0
    assert {cause.name for cause in traced[0].of(Verdict.RULED_OUT)} >= {"quartz-down", "long-hot"}


def test_real_cones_go_before_the_calculation() -> None:
    by_calculation = replace(good().cones[0], place=27.6, coolest="6", hottest="7")
    assert _under(replace(good(), cones=(by_calculation,))) is Verdict.RULED_OUT
    seen = replace(by_calculation, seen_place_low=26.2, seen_place_high=26.6)
    assert _under(replace(good(), cones=(seen,))) is Verdict.SUPPORTED


@pytest.mark.parametrize(
    ("ranges", "under", "over"),
    [
        ([(27.1, 27.4)], Verdict.RULED_OUT, Verdict.RULED_OUT),
        ([(26.2, 26.7)], Verdict.SUPPORTED, Verdict.RULED_OUT),
        ([(28.0, 28.4)], Verdict.RULED_OUT, Verdict.SUPPORTED),
        ([(26.6, 27.3)], Verdict.UNKNOWN, Verdict.RULED_OUT),
        ([(27.1, None)], Verdict.RULED_OUT, Verdict.UNKNOWN),
        ([(None, 26.5)], Verdict.SUPPORTED, Verdict.RULED_OUT),
        ([(27.1, 27.4), (26.0, 26.4)], Verdict.SUPPORTED, Verdict.RULED_OUT),
    ],
)
def test_what_real_cones_show_beside_a_target_of_cone_6(
    ranges: list[tuple[float | None, float | None]], under: Verdict, over: Verdict
) -> None:
    facts = made.seen_cones(ranges)
    assert _under(facts) is under
    assert CONDITIONS["overfired"](Case(facts, CELSIUS)).verdict is over


def test_without_a_target_nothing_is_held_against_it() -> None:
    assert _under(made.target(None)) is Verdict.UNKNOWN
    assert _under(made.target("9")) is Verdict.SUPPORTED
    assert _under(made.target("04")) is Verdict.RULED_OUT


def _under(facts: FiringFacts) -> Verdict:
    return CONDITIONS["underfired"](Case(facts, CELSIUS)).verdict
