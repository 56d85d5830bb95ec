"""A draft from the form: what does not fit is told at its field, what fits reads back the same."""

from __future__ import annotations

from typing import Any

import pytest

from supervisor.core.schedule import parse_schedule, starter, starter_names, starter_text
from supervisor.core.units import Unit
from supervisor.service.plans.draft import draft_of, read_draft
from web.plans import DraftStep, PlanDraft


def draft(*steps: dict[str, Any], **fields: Any) -> PlanDraft:
    made = [DraftStep(**step) for step in steps] or [DraftStep(to="600")]
    return PlanDraft(**({"name": "Mine", "units": Unit.C, "steps": made} | fields))


def mistakes(of: PlanDraft) -> dict[str, str]:
    schedule, text, found = read_draft(of)
    assert (schedule is None) == bool(found)
    assert (text == "") == bool(found)
    return {mistake.field: mistake.message for mistake in found}


@pytest.mark.parametrize("name", starter_names())
def test_a_starter_as_a_draft_is_the_same_plan(name: str) -> None:
    text = starter_text(name)
    schedule, written, found = read_draft(draft_of(text, starter(name)))
    assert (schedule, found) == (starter(name), [])
    assert parse_schedule(written) == starter(name)


def test_the_file_reads_well() -> None:
    _, text, _ = read_draft(
        draft(
            {"rate": " 100 ", "to": 600, "hold_min": "0", "note": " dry\n slowly "},
            {"rate": "", "to": "1222.5", "hold_min": "12,5"},
            name='  My "best"  glaze ',
            kind="glaze",
            target_cone="5 1/2",
            bands=[{"name": "crystals grow", "leave_out": True}],
        )
    )
    assert (
        text
        == """\
name = "My \\"best\\" glaze"
units = "C"
kind = "glaze"
atmosphere = "oxidation"
target_cone = "5.5"

[[step]]
rate = 100
to = 600
note = "dry slowly"

[[step]]
to = 1222.5
hold_min = 12.5

[[band]]
name = "crystals grow"
leave_out = true
"""
    )


def test_each_mistake_is_told_at_its_own_field_and_all_at_once() -> None:
    told = mistakes(
        draft(
            {"rate": "0", "to": "1,250"},
            {"rate": 60},
            {"to": 900, "hold_min": "ten"},
            name=" ",
            kind="raku",
            target_cone="66",
            bands=[{"name": "quartz turns", "from": 5.0}, {"name": "drying", "leave_out": 1.0}],
        )
    )
    assert list(told) == [
        "name",
        "kind",
        "target_cone",
        "step.0.to",
        "step.0.rate",
        "step.1.to",
        "step.2.hold_min",
        "band.0",
        "band.1",
    ]
    assert told["step.0.to"] == '"1,250" is not allowed; give 0 to 1500 °C.'
    assert told["step.1.to"] == "Give the temperature that it goes to."
    assert told["step.2.hold_min"] == '"ten" is not allowed; give 0 to 10080 minutes.'


def test_what_is_allowed_is_told_in_the_drafts_own_scale() -> None:
    told = mistakes(draft({"to": "9000"}, units=Unit.F))
    assert told == {"step.0.to": "9000 is not allowed; give 32 to 2732 °F."}


def test_a_plan_of_no_steps_or_too_many_is_refused() -> None:
    assert mistakes(draft(steps=[])) == {"step": "A schedule needs at least one [[step]]."}
    many = draft(steps=[DraftStep(to=600)] * 101)
    assert mistakes(many) == {"step": "A schedule has at most 100 steps."}
