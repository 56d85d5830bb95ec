"""A third of all seeds is for the end: no choice of options mixes the two."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from simulator.faults import FaultKind
from supervisor.fleet.many import Fleet
from supervisor.fleet.seeds import is_held_out, seeds


@given(st.integers(1, 50), st.integers(0, 10_000))
def test_tuning_never_sees_a_held_out_seed_and_the_end_sees_no_other(
    count: int, start: int
) -> None:
    tuning = seeds(count, start, held_out=False)
    final = seeds(count, start, held_out=True)
    assert not any(is_held_out(seed) for seed in tuning)
    assert all(is_held_out(seed) for seed in final)
    assert not set(tuning) & set(final)
    assert len(tuning) == len(final) == count
    assert min(tuning) >= start
    assert min(final) >= start


def test_a_third_is_held_out() -> None:
    assert sum(is_held_out(seed) for seed in range(300)) == 100


def test_a_fleet_has_as_many_healthy_firings_as_faulty_and_every_fault_in_turn() -> None:
    fleet = Fleet(len(FaultKind))
    members = fleet.members()
    assert [seed for seed, fault in members if fault is None] == list(fleet.seeds)
    assert {fault for _, fault in members if fault is not None} == set(FaultKind)
    assert all(not is_held_out(seed) for seed, _ in members)
    held = Fleet(5, held_out=True)
    assert all(is_held_out(seed) for seed, _ in held.members())


def test_only_one_half_is_tried_where_only_one_is_asked_for() -> None:
    assert {fault for _, fault in Fleet(3, kinds=()).members()} == {None}
    stalls = Fleet(3, healthy=False, kinds=(FaultKind.STALL,))
    assert [fault for _, fault in stalls.members()] == [FaultKind.STALL] * 3
