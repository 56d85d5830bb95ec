"""The schedules that come with spyhole do what their names say."""

from __future__ import annotations

import pytest

from supervisor.core.errors import InputError
from supervisor.core.heatwork.cones import WHOLE_CONE_NAMES
from supervisor.core.phases import cautions_for, heatwork_of, phases_of
from supervisor.core.schedule import (
    Atmosphere,
    FiringKind,
    Timeline,
    parse_schedule,
    starter,
    starter_names,
    starter_text,
)
from supervisor.core.units import Unit
from supervisor.core.watch.wording import Words


def test_there_are_five_of_the_kinds_that_a_studio_fires() -> None:
    kinds = {name: (starter(name).kind, starter(name).atmosphere) for name in starter_names()}
    assert kinds == {
        "bisque": (FiringKind.BISQUE, Atmosphere.OXIDATION),
        "lowfire-glaze": (FiringKind.GLAZE, Atmosphere.OXIDATION),
        "midfire-glaze": (FiringKind.GLAZE, Atmosphere.OXIDATION),
        "midfire-slow-cool": (FiringKind.GLAZE, Atmosphere.OXIDATION),
        "highfire-reduction": (FiringKind.GLAZE, Atmosphere.REDUCTION),
    }


@pytest.mark.parametrize("name", starter_names())
def test_a_starter_is_an_ordinary_schedule_file(name: str) -> None:
    schedule = parse_schedule(starter_text(name), f"{name}.toml")
    assert schedule == starter(name)
    assert schedule.target_cone is not None
    assert all(step.rate_c_per_h is not None for step in schedule.steps[: schedule.peak_step])


@pytest.mark.parametrize("name", starter_names())
def test_by_calculation_the_target_cone_goes_down_and_the_next_does_not(name: str) -> None:
    schedule = starter(name)
    target = schedule.target_cone
    assert target is not None
    following = WHOLE_CONE_NAMES[WHOLE_CONE_NAMES.index(target) + 1]
    timeline = Timeline(schedule)
    progress = heatwork_of(timeline)
    assert progress.down_at_s[target] < timeline.total_s
    assert progress.work[target] >= 1.0
    assert progress.work[following] < 1.0
    assert following not in progress.down_at_s


@pytest.mark.parametrize("name", starter_names())
def test_a_starter_is_kind_to_the_ware(name: str) -> None:
    schedule = starter(name)
    assert cautions_for(schedule, Timeline(schedule), Words(Unit.C)) == []
    names = [phase.band.name for phase in phases_of(schedule, Timeline(schedule))]
    assert names[0] == "drying"
    assert "quartz turns" in names


def test_an_unknown_starter_is_answered_with_the_known_ones() -> None:
    with pytest.raises(InputError, match=r"bisque, lowfire-glaze, midfire-glaze") as caught:
        starter("raku")
    assert "\n" not in str(caught.value)
