"""A firing of the record looked back on: what was kept beside its readings comes with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from supervisor.core.heatwork import Correction
from supervisor.core.heatwork.offset import Observation, Offset
from supervisor.core.watch import Watch, WatchSettings
from supervisor.record.reviewed import facts_of, plan_of, points_of, settings_at_end
from supervisor.record.rows import Firing, Mode, NewFiring, NewNote
from supervisor.record.store import Record
from tests.core.firings import HOUR_S, Rig, seen
from tests.core.review.logs import GLAZE, RIG, fired

PLAN = """
name = "made up"
kind = "glaze"
target_cone = "6"
[[step]]
rate = 80
to = 120
hold_min = 20
[[step]]
rate = 150
to = 1090
[[step]]
rate = 60
to = 1205
hold_min = 30
"""


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Firing]:
    """A folder with one firing, its notes and a look at a cone."""
    folder = tmp_path_factory.mktemp("data")
    readings = seen(fired(cools_s=4 * HOUR_S), rig=RIG)
    watch = Watch(GLAZE, ("kiln",))
    events = [event for reading in readings for event in watch.feed(reading)]
    settings = WatchSettings(corrections={"kiln": Correction(3.0, 2.0)})
    new = NewFiring(
        "kiln",
        ("kiln",),
        "made up",
        PLAN,
        Mode.IMPORT,
        settings={"watch": settings.kept()},
    )
    notes = [NewNote(60.0, "meter 1000 kWh"), NewNote(60000.0, "meter 1077.5 kWh")]
    with Record.open(folder) as record:
        firing = record.import_readings(new, readings, events, notes).result(10.0)
        record.add_observation(firing.id, Observation(11 * HOUR_S, "7", "upright")).result(10.0)
    return folder, firing


def test_plan_notes_cones_and_events_come_with_the_readings(kept: tuple[Path, Firing]) -> None:
    folder, firing = kept
    with Record.open_to_read(folder) as record:
        facts = facts_of(record, firing)
        thin = facts_of(record, firing, every_s=60.0)
    assert facts.plan is not None
    assert (facts.plan.name, facts.plan.target_cone) == ("made up", "6")
    assert facts.plan.finished_s is not None
    assert facts.energy is not None
    assert facts.energy.kwh == 77.5
    assert [(look.cone, look.channel) for look in facts.looks] == [("7", "kiln")]
    assert facts.lead_cones is not None
    assert facts.lead_cones.offset_c == 3.0
    assert thin.readings == pytest.approx(facts.readings / 2.0, abs=1.0)
    assert thin.lead_cones is not None
    assert thin.lead_cones.place == pytest.approx(facts.lead_cones.place, abs=0.02)


def test_a_correction_accepted_while_it_was_fired_counts(kept: tuple[Path, Firing]) -> None:
    folder, firing = kept
    with Record.open(folder) as record:
        assert settings_at_end(record, firing).corrections == {"kiln": Correction(3.0, 2.0)}
        record.accept_offset(
            "kiln", "kiln", Offset(5.0, 1.5, 1, 1), during=(firing.id, 40000.0)
        ).result(10.0)
        assert settings_at_end(record, firing).corrections == {"kiln": Correction(5.0, 1.5)}
        record.withdraw_offset("kiln", "kiln", during=(firing.id, 41000.0)).result(10.0)
        assert settings_at_end(record, firing).corrections == {}


def test_a_stoked_kiln_tells_nothing_of_what_it_could_climb(tmp_path: Path) -> None:
    readings = seen(fired(cools_s=9 * HOUR_S), rig=Rig(every_s=60.0, noise_c=0.3))
    with Record.open(tmp_path) as record:
        for kind in ("electric", "wood"):
            kept = {"watch": WatchSettings(kiln_kind=kind).kept()}
            new = NewFiring("kiln", ("kiln",), "x", PLAN, Mode.IMPORT, settings=kept)
            record.import_readings(new, readings).result(10.0)
        electric, wood = points_of(record, record.seen_in_kiln("kiln"))
    assert electric.heating is not None
    assert wood.heating is None
    assert wood.late_s is not None


def test_a_plan_of_another_version_stops_nobody_from_looking_back(tmp_path: Path) -> None:
    readings = seen(fired(cools_s=9 * HOUR_S), rig=Rig(every_s=60.0, noise_c=0.3))
    with Record.open(tmp_path) as record:
        new = NewFiring("kiln", ("kiln",), "x", 'name = "x"\nnew_key = 1\n', Mode.IMPORT)
        firing = record.import_readings(new, readings).result(10.0)
        facts = facts_of(record, firing)
        (point,) = points_of(record, record.seen_in_kiln("kiln"))
    assert facts.plan is None
    assert facts.is_whole
    assert point.plan is None


def test_a_firing_without_a_plan_has_none() -> None:
    firing = Firing(
        "x", "kiln", "", None, Mode.IMPORT, False, ("kiln",), GLAZE.units,
        None, None, None, None, None, {},
    )  # fmt: skip
    assert plan_of(firing) is None
