"""Which plan is fired next: chosen once, through restarts, and spent exactly by its own log."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from supervisor.core.readings import Reading
from supervisor.core.schedule import starter_text
from supervisor.record.rows import Mode
from supervisor.record.store import Record
from supervisor.service.begin import begin_new
from supervisor.service.clock import FiringClock
from supervisor.service.plans.next_plan import FILE_NAME, NextPlan
from supervisor.service.setup import Setup
from tests.service.test_logbook import Kiln, live

BISQUE = starter_text("bisque")


def setup_of(record: Record) -> Setup:
    data_dir = record.path.parent
    return replace(live(data_dir, Kiln(lambda _s: 20.0)), data_dir=data_dir)


async def test_a_choice_outlives_a_restart_and_the_file_that_it_came_from(record: Record) -> None:
    setup = setup_of(record)
    NextPlan.open(setup, record).choose("mine.toml", BISQUE)
    again = NextPlan.open(setup, record)
    assert again.choice is not None
    assert again.choice.plan_id == "mine.toml"
    assert again.on(setup).schedule.name.startswith("Bisque")
    assert again.on(setup).schedule_toml == BISQUE
    again.forget()
    assert NextPlan.open(setup, record).on(setup) == setup


async def test_a_choice_is_spent_by_a_log_with_readings_and_by_nothing_else(record: Record) -> None:
    setup = setup_of(record)
    chosen = NextPlan.open(setup, record)
    chosen.choose("bisque", BISQUE)
    begun = await begin_new(chosen.on(setup), record, FiringClock())
    # The power goes before a first reading is on disk: nothing has been fired yet.
    assert NextPlan.open(setup, record).choice is not None
    record.append(begun.firing.id, Reading(0.0, {"top": 20.0}))
    record.flush().result(10.0)
    assert NextPlan.open(setup, record).choice is None
    assert not (setup.data_dir / FILE_NAME).exists()


async def test_what_was_spent_leaves_no_file_once_its_log_is_over_and_what_came_since_stays(
    record: Record,
) -> None:
    setup = setup_of(record)
    chosen = NextPlan.open(setup, record)
    chosen.choose("bisque", BISQUE)
    chosen.tidy()
    chosen.spend()
    assert (setup.data_dir / FILE_NAME).exists(), "the record may not have its readings yet"
    chosen.tidy()
    assert not (setup.data_dir / FILE_NAME).exists()
    chosen.choose("bisque", BISQUE)
    chosen.spend()
    chosen.choose("lowfire-glaze", starter_text("lowfire-glaze"))
    chosen.tidy()
    kept = NextPlan.open(setup, record).choice
    assert kept is not None
    assert kept.plan_id == "lowfire-glaze"


async def test_a_plan_named_at_the_start_takes_its_place(record: Record) -> None:
    setup = setup_of(record)
    NextPlan.open(setup, record).choose("bisque", BISQUE)
    assert NextPlan.open(replace(setup, plan_is_named=True), record).choice is None
    assert NextPlan.open(setup, record).choice is None


async def test_a_simulation_leaves_the_kilns_choice_alone(record: Record) -> None:
    setup = setup_of(record)
    NextPlan.open(setup, record).choose("bisque", BISQUE)
    simulated = NextPlan.open(replace(setup, mode=Mode.SIMULATION), record)
    assert simulated.choice is None
    simulated.choose("lowfire-glaze", starter_text("lowfire-glaze"))
    kept = NextPlan.open(setup, record).choice
    assert kept is not None
    assert kept.plan_id == "bisque"


@pytest.mark.parametrize("text", ["{", "[]", '{"id": "x", "token": "1", "text": "no plan"}'])
async def test_a_damaged_choice_is_told_of_and_not_used(
    record: Record, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    setup = setup_of(record)
    (setup.data_dir / FILE_NAME).write_text(text)
    assert NextPlan.open(setup, record).choice is None
    assert "choose it again on the page" in capsys.readouterr().err


def test_what_is_no_plan_is_not_chosen(tmp_path: Path) -> None:
    chosen = NextPlan(tmp_path / FILE_NAME)
    with pytest.raises(ValueError, match="step"):
        chosen.choose("mine.toml", 'name = "x"')
    assert chosen.choice is None
    assert not (tmp_path / FILE_NAME).exists()
