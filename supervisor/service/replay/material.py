"""What can be played: firings of the record, and the simulator's scenarios.

Knows where both are kept. The simulator is loaded only when a scenario is asked for: a real firing
needs none of it.
"""

from __future__ import annotations

from supervisor.core.errors import InputError
from supervisor.core.events import Severity, State
from supervisor.core.heatwork import Correction
from supervisor.core.reasons import Reason
from supervisor.core.schedule import Timeline, parse_schedule
from supervisor.core.watch import WatchSettings
from supervisor.record.looking import RecordReader
from supervisor.record.rows import Firing, Mode, Note, OffsetChange
from supervisor.service.replay.reel import Material
from supervisor.service.setup import watch_settings_of
from web import replay

MOST_FIRINGS = 100
SCENARIO = "scenario:"
SIMULATED_EVERY_S = 5.0
"""A simulated kiln is read so often; the watch looks no more often at one that is read more."""
_COOLING_S = 15 * 3600.0
"""A scenario without an end of its own goes on until the kiln is cold, about so long."""


def entries(record: RecordReader) -> replay.ReplayList:
    """The latest firings that have a plan and readings, and every scenario."""
    from simulator.scenario import load_scenario, scenario_names

    firings: list[replay.ReplayEntry] = []
    for firing in record.firings():
        if len(firings) == MOST_FIRINGS:
            break
        entry = _entry(record, firing)
        if entry is not None:
            firings.append(entry)
    return replay.ReplayList(
        firings=firings,
        scenarios=[
            replay.ReplayEntry(
                id=f"{SCENARIO}{name}",
                name=load_scenario(name).title,
                origin=replay.Origin.SCENARIO,
                is_simulated=True,
            )
            for name in scenario_names()
        ],
    )


def _entry(record: RecordReader, firing: Firing) -> replay.ReplayEntry | None:
    extent = record.extent(firing.id)
    if extent is None or firing.schedule_toml is None:
        return None
    return replay.ReplayEntry(
        id=firing.id,
        name=firing.name,
        origin=replay.Origin.FIRING,
        kiln=firing.kiln,
        started_at=firing.started_label,
        lasted_s=round(extent.last_s, 1),
        is_open=firing.is_open,
        is_simulated=firing.mode is Mode.SIMULATION,
    )


def material_of(record: RecordReader, replay_id: str, kiln_kind: str) -> Material:
    """What the film of ``replay_id`` is made of; ``kiln_kind`` is that of the record's kiln.

    Raises UnknownReplayError for an id of nothing, InputError for a firing that was kept without
    plan or readings.
    """
    if replay_id.startswith(SCENARIO):
        return _of_scenario(replay_id.removeprefix(SCENARIO))
    firing = next((one for one in record.firings() if one.id == replay_id), None)
    if firing is None:
        raise replay.UnknownReplayError(f"There is no firing “{replay_id[:80]}”.").because(
            Reason.NO_FIRING, firing=replay_id[:80]
        )
    entry = _entry(record, firing)
    if entry is None or firing.schedule_toml is None:
        raise InputError(
            f"firing {firing.id} is kept without its plan or without readings"
        ).because(Reason.NOTHING_TO_PLAY)
    settings = watch_settings_of(firing.settings) or WatchSettings(units=firing.units)
    return Material(
        entry=entry,
        kiln_kind=settings.kiln_kind or kiln_kind,
        channels=firing.channels,
        schedule=parse_schedule(firing.schedule_toml, f"the plan of firing {firing.id}"),
        settings=settings,
        readings=record.readings(firing.id),
        expected_s=entry.lasted_s or 0.0,
        notes=sorted(map(_note, record.notes(firing.id)), key=lambda note: note.elapsed_s),
        corrections=[_correction(change) for change in record.offset_changes(firing.id)],
    )


def _note(note: Note) -> replay.FilmEvent:
    return replay.FilmEvent(
        elapsed_s=note.elapsed_s,
        time=note.time,
        by=replay.Told.NOTE,
        kind="note",
        severity=Severity.INFO,
        state=State.RAISED,
        message=note.text if note.by is None else f"{note.by}: {note.text}",
    )


def _correction(change: OffsetChange) -> tuple[float, str, Correction | None]:
    offset = change.offset
    found = None if offset is None else Correction(offset.mean_c, offset.sigma_c)
    return change.elapsed_s or 0.0, change.channel, found


def _of_scenario(name: str) -> Material:
    from simulator.run import simulate
    from simulator.scenario import load_scenario, scenario_names

    # By name alone: a path is for the command line.
    if name not in scenario_names():
        raise replay.UnknownReplayError(f"There is no scenario “{name[:80]}”.").because(
            Reason.NO_SCENARIO, scenario=name[:80]
        )
    scenario = load_scenario(name)
    kind = scenario.kiln.kind.value
    return Material(
        entry=replay.ReplayEntry(
            id=f"{SCENARIO}{name}",
            name=scenario.title,
            origin=replay.Origin.SCENARIO,
            kiln=scenario.kiln.name,
            started_at=scenario.began,
            is_simulated=True,
        ),
        kiln_kind=kind,
        channels=scenario.channels,
        schedule=scenario.schedule,
        settings=WatchSettings(units=scenario.schedule.units, kiln_kind=kind),
        readings=simulate(scenario, max(scenario.interval_s, SIMULATED_EVERY_S)),
        expected_s=scenario.duration_s or Timeline(scenario.schedule).total_s + _COOLING_S,
    )
