"""A schedule written out and read again is the same schedule."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from supervisor.core.heatwork.cones import CONES
from supervisor.core.schedule import Schedule, parse_schedule, starter, starter_names
from supervisor.core.schedule.model import Atmosphere, BandChange, FiringKind, Step
from supervisor.core.schedule.written import schedule_toml
from supervisor.core.units import Unit

# TOML text holds every Unicode scalar value; a lone surrogate is none.
TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)

STEPS = st.builds(
    Step,
    to_c=st.floats(0.0, 1500.0),
    rate_c_per_h=st.none() | st.floats(0.5, 2000.0),
    hold_s=st.floats(0.0, 7 * 86_400.0),
    note=TEXTS,
)
SCHEDULES = st.builds(
    Schedule,
    name=TEXTS.filter(str.strip),
    steps=st.lists(STEPS, min_size=1, max_size=6).map(tuple),
    units=st.sampled_from(Unit),
    kind=st.sampled_from(FiringKind),
    atmosphere=st.sampled_from(Atmosphere),
    target_cone=st.none() | st.sampled_from(sorted(CONES)),
)


@settings(deadline=None)
@given(SCHEDULES)
def test_what_is_written_is_read_again(schedule: Schedule) -> None:
    again = parse_schedule(schedule_toml(schedule))
    assert (again.name, again.units, again.kind, again.atmosphere, again.target_cone) == (
        schedule.name,
        schedule.units,
        schedule.kind,
        schedule.atmosphere,
        schedule.target_cone,
    )
    assert len(again.steps) == len(schedule.steps)
    for step, written in zip(again.steps, schedule.steps, strict=True):
        assert step.note == written.note
        assert step.to_c == pytest.approx(written.to_c, abs=1e-8)
        assert step.hold_s == pytest.approx(written.hold_s, abs=1e-6)
        assert (step.rate_c_per_h is None) == (written.rate_c_per_h is None)
        if written.rate_c_per_h is not None:
            assert step.rate_c_per_h == pytest.approx(written.rate_c_per_h, abs=1e-8)


@settings(deadline=None)
@given(SCHEDULES)
def test_what_was_read_once_is_written_the_same_ever_after(schedule: Schedule) -> None:
    text = schedule_toml(parse_schedule(schedule_toml(schedule)))
    assert schedule_toml(parse_schedule(text)) == text


def test_what_a_schedule_says_of_bands_is_written_too() -> None:
    text = """\
name = "thick tiles"
units = "F"
kind = "bisque"
atmosphere = "oxidation"

[[step]]
to = 1900

[[band]]
name = "quartz turns back"
from = 1150
to = 970
fastest = 108

[[band]]
name = "crystals grow"
leave_out = true

[[band]]
name = "cristobalite turns back"
fastest = "any"

[[band]]
name = "glass anneals"
from = 970
to = 860
fastest = 54
why = "the glass that was melted in relaxes here"
"""
    assert schedule_toml(parse_schedule(text)) == text


@pytest.mark.parametrize("name", starter_names())
def test_a_starter_survives_exactly(name: str) -> None:
    assert parse_schedule(schedule_toml(starter(name))) == starter(name)


BANDS = (
    BandChange("quartz turns", 520.0, 620.0, 60.0),
    BandChange("cristobalite turns back", is_left_out=True),
    BandChange("glass anneals", 520.0, 460.0, 30.0, why="the glass “relaxes” here"),
    BandChange("drying", at_any_rate=True),
)


def test_bands_survive_exactly() -> None:
    schedule = replace(starter("midfire-glaze"), bands=BANDS)
    assert parse_schedule(schedule_toml(schedule)) == schedule


@settings(deadline=None, max_examples=40)
@given(TEXTS, TEXTS)
def test_a_comment_never_becomes_a_key(one: str, other: str) -> None:
    comments = [one, f'{one}\nname = "another"\r{other}', "\x7f\x00\x85\u2028"]
    plan = starter("bisque")
    assert parse_schedule(schedule_toml(plan, comments)) == plan
