"""Changes for the next firing: each does what it says, by a calculation of its own."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from supervisor.core.defects import DefectKind, Traced, Verdict, trace_defects
from supervisor.core.heatwork import HeatWork, place_on_scale
from supervisor.core.refit import Refit, Suggestion, refit, suggestions
from supervisor.core.refit.again import about
from supervisor.core.review import ChannelCones, ConeLook, FiringFacts, Opening
from supervisor.core.schedule import Timeline
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words
from tests.core.defects import made
from tests.core.firings import HOUR_S
from tests.core.refit.test_refit import followed
from tests.core.review.logs import GLAZE, fired

CELSIUS, FAHRENHEIT = Words(Unit.C), Words(Unit.F)
CONE_6 = 27.0


@cache
def base() -> tuple[Refit, FiringFacts]:
    """A glaze firing that kept its plan, and the plan made of it."""
    course, facts, _ = followed(fired(cools_s=17 * HOUR_S))
    return refit(course, about("x", facts, GLAZE, Unit.C)), facts


def place(fitted: Refit, offset_c: float, *, hold_s: float, top_c: float) -> float:
    """The plan's heat-work with another peak, up to its end."""
    *before, _ = fitted.schedule.steps[: fitted.peak + 1]
    peak = replace(fitted.schedule.steps[fitted.peak], hold_s=hold_s, to_c=top_c)
    changed = replace(fitted.schedule, steps=(*before, peak))
    work = HeatWork(offset_c)
    for at_s, temp_c in Timeline(changed, fitted.start_c).points():
        work.add(at_s, temp_c)
    found = place_on_scale(work.progress().work)
    assert found is not None
    return found


def by_cones(offset_c: float) -> FiringFacts:
    """The firing with real cones that bent as if so many °C were to be added."""
    _, facts = base()
    (cones,) = facts.cones
    fitted, _ = base()
    step = fitted.schedule.steps[fitted.peak]
    until = place(fitted, offset_c, hold_s=step.hold_s, top_c=step.to_c)
    assert cones.place is not None
    assert fitted.place is not None
    reached = until + cones.place - fitted.place
    look = ConeLook(
        0.0, "6", "4", cones.channel, None, 0.5, "2", offset_c - 1.0, offset_c + 1.0, counts=True
    )
    seen: ChannelCones = replace(cones, seen_place_low=reached - 0.1, seen_place_high=reached + 0.1)
    return replace(facts, cones=(seen,), looks=(look,))


def cone_change(
    facts: FiringFacts, words: Words = CELSIUS, limit_c: float | None = None
) -> Suggestion:
    fitted, _ = base()
    (found,) = suggestions(fitted, facts, words, limit_c=limit_c)
    return found


def test_a_firing_on_its_cone_wants_no_change() -> None:
    fitted, facts = base()
    assert suggestions(fitted, facts, CELSIUS) == ()


@pytest.mark.parametrize("offset_c", [-18.0, -13.0, 22.0])
def test_hold_or_top_bring_the_target_just_down(offset_c: float) -> None:
    fitted, _ = base()
    facts = by_cones(offset_c)
    change = cone_change(facts)
    step = fitted.schedule.steps[fitted.peak]
    reached = facts.cones[0].seen_place_low or 0.0
    after = reached + 0.1 - place(fitted, offset_c, hold_s=step.hold_s, top_c=step.to_c)
    hold_s, top_c = change.figures["hold_s"], change.figures["top_c"]
    assert isinstance(top_c, float)
    hotter = place(fitted, offset_c, hold_s=step.hold_s, top_c=top_c) + after
    assert hotter == pytest.approx(CONE_6 + 0.1, abs=0.06)
    assert (top_c > step.to_c) is (offset_c < 0.0)
    if offset_c < 0.0:
        assert isinstance(hold_s, float)
        longer = place(fitted, offset_c, hold_s=hold_s, top_c=step.to_c) + after
        assert longer == pytest.approx(CONE_6 + 0.1, abs=0.03)
        assert hold_s > step.hold_s
        assert "longer" in change.change
        assert "hotter" in change.change
    assert "by the real cones" in change.reason


def test_nothing_hotter_than_the_kiln_makers_limit_is_suggested() -> None:
    fitted, _ = base()
    limit_c = fitted.schedule.peak_c + 1.0
    change = cone_change(by_cones(-15.0), limit_c=limit_c)
    assert change.figures["top_c"] is None
    assert "hotter" not in change.change
    assert "longer" in change.change


def test_in_fahrenheit_no_celsius_is_told() -> None:
    change = cone_change(by_cones(-15.0), FAHRENHEIT)
    assert "°F" in change.change
    assert "°C" not in change.reason + change.change


def test_a_kiln_that_did_not_finish_is_mended_first() -> None:
    facts = by_cones(-15.0)
    assert facts.plan is not None
    unfinished = replace(facts, plan=replace(facts.plan, finished_s=None))
    change = cone_change(unfinished)
    assert "Find what stopped the heat" in change.change


def traced(facts: FiringFacts, *kinds: DefectKind) -> tuple[Traced, ...]:
    return trace_defects(facts, kinds, CELSIUS)


def changes(facts: FiringFacts, *kinds: DefectKind) -> list[Suggestion]:
    fitted, _ = base()
    found = traced(facts, *kinds)
    assert any(one.of(Verdict.SUPPORTED) for one in found)
    return list(suggestions(fitted, facts, CELSIUS, traced=found))


def test_nothing_is_suggested_for_a_cause_that_is_not_supported() -> None:
    fitted, facts = base()
    found = traced(facts, DefectKind.PINHOLES, DefectKind.DUNTING)
    assert not any(one.of(Verdict.SUPPORTED) for one in found)
    assert suggestions(fitted, facts, CELSIUS, traced=found) == ()


def test_a_lid_opened_early_is_left_shut_for_as_long_as_the_kiln_takes() -> None:
    facts = made.cooling(opened=Opening(60_000.0, 300.0, 900.0, 56.0))
    (change,) = [one for one in changes(facts, DefectKind.CRAZING) if "later" in one.change]
    # 280 °C of excess, falling 56 °C an hour: a time constant of 5 h down to 80 °C of excess.
    assert change.figures["later_s"] == pytest.approx(5 * HOUR_S * 1.2528, rel=0.01)


def test_a_soak_costs_no_heat_work() -> None:
    fitted, _ = base()
    step = fitted.schedule.steps[fitted.peak]
    (change,) = [
        one for one in changes(made.held(2.0), DefectKind.PINHOLES) if "heat-work" in one.change
    ]
    hold_s, top_c = change.figures["hold_s"], change.figures["top_c"]
    assert isinstance(hold_s, float)
    assert isinstance(top_c, float)
    before = place(fitted, 0.0, hold_s=step.hold_s, top_c=step.to_c)
    assert hold_s == step.hold_s + 900.0
    assert place(fitted, 0.0, hold_s=hold_s, top_c=top_c) == pytest.approx(before, abs=0.06)
    assert top_c < step.to_c


def test_crystals_are_given_time_and_told_what_it_costs() -> None:
    facts = made.cooling(crystals=made.passed(220.0))
    (change,) = changes(facts, DefectKind.TOO_GLOSSY)
    assert change.figures["longer_s"] == pytest.approx(
        250.0 * (1.0 / 70.0 - 1.0 / 220.0) * HOUR_S, abs=1.0
    )


@pytest.mark.parametrize(
    ("facts", "kind", "words"),
    [
        (lambda: made.even(30.0, 1.2), DefectKind.UNEVEN_COLOUR, "last climb"),
        (lambda: made.hot_for(9.0), DefectKind.SHIVERING, "hotter"),
        (lambda: made.cooling(first_c_per_h=700.0), DefectKind.PINHOLES, "no faster than 280"),
        (lambda: made.cooling(crystals=made.passed(50.0)), DefectKind.TOO_DULL, "by itself"),
        (lambda: made.warmed(400.0), DefectKind.CRACKED_SHELF, "180 °C an hour"),
        (lambda: made.reduced(1100.0), DefectKind.WEAK_REDUCTION, "carbon monoxide"),
    ],
)
def test_each_supported_cause_has_a_change_of_its_size(
    facts: object, kind: DefectKind, words: str
) -> None:
    assert callable(facts)
    found = changes(facts(), kind)
    assert any(words in one.change for one in found), found


def test_a_band_crossed_too_fast_is_told_how_much_longer_it_takes() -> None:
    from supervisor.core.schedule.model import BandName

    facts = made.band(BandName.QUARTZ_TURNS, too_fast=1.5)
    (change,) = [
        one for one in changes(facts, DefectKind.HEATING_CRACKS) if "no faster" in one.change
    ]
    assert change.figures["rate_c_per_h"] == 170.0
    assert "550 °C to 620 °C" in change.change
