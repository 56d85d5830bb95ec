"""The tables of witness cones, accepted offsets and new probes: how a row is written and found.

Knows SQL within somebody else's transaction; knows nothing of what cones say of an offset.

Rows of offsets are only ever added: an acceptance, or a withdrawal (a row without figures), of
which the latest counts. Each remembers how many firings there were, so that it can be told
later which offsets were in force when a firing began, whatever the wall clock did. What was
accepted from the cones of a simulation is in force for simulations alone, and no longer once
the kiln has a real firing.
"""

from __future__ import annotations

import math
import sqlite3

from supervisor.core.errors import InputError
from supervisor.core.heatwork import CONES
from supervisor.core.heatwork.cones import ALLOWED_CONES
from supervisor.core.heatwork.offset import Observation
from supervisor.core.heatwork.tip import parse_clock
from supervisor.core.reasons import Reason
from supervisor.record.fired_in_order import fired_in_order
from supervisor.record.rows import (
    FIRING_COLUMNS,
    OBSERVATION_COLUMNS,
    OFFSET_CHANGE_COLUMNS,
    AcceptedOffset,
    KeptObservation,
    Mode,
    OffsetChange,
    SeenFiring,
    firing_from_row,
    observation_from_row,
    offset_change_from_row,
)

LONGEST_SHELF = 200
"""Characters in the name of a shelf, at most."""


def must_be_an_observation(seen: Observation) -> None:
    """Raise InputError for an unknown cone or clock, a time that is none, an endless shelf."""
    if seen.cone not in CONES:
        raise InputError(f'there is no cone "{seen.cone[:20]}": allowed are {ALLOWED_CONES}')
    parse_clock(seen.clock)
    if not math.isfinite(seen.elapsed_s):
        raise InputError(f"a cone was seen at {seen.elapsed_s} s: it must be a number")
    if seen.shelf is not None and not 0 < len(seen.shelf.strip()) <= LONGEST_SHELF:
        raise InputError(f"a shelf is named by 1 to {LONGEST_SHELF} characters")


def insert_observation(
    connection: sqlite3.Connection,
    firing_n: int,
    channels: tuple[str, ...],
    kept: KeptObservation,
    client_id: str | None,
) -> KeptObservation:
    """Write an observation; one whose ``client_id`` the firing has already is left as it is.

    Raises InputError for a channel that the firing does not have.
    """
    seen = kept.seen
    if seen.channel is not None and seen.channel not in channels:
        raise InputError(
            f'the firing has no channel "{seen.channel}"; it has {", ".join(channels)}'
        )
    if client_id is not None:
        found = connection.execute(
            f"SELECT {OBSERVATION_COLUMNS} FROM observation "  # noqa: S608 - constant text
            "WHERE firing_n = ? AND client_id = ?",
            (firing_n, client_id),
        ).fetchone()
        if found is not None:
            return observation_from_row(found)
    number = connection.execute(
        "INSERT INTO observation (firing_n, elapsed_s, cone, clock, channel, shelf, time, by, "
        "written_label, client_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            firing_n,
            seen.elapsed_s,
            seen.cone,
            seen.clock,
            seen.channel,
            seen.shelf,
            kept.time,
            kept.by,
            kept.written_label,
            client_id,
        ),
    ).lastrowid
    return KeptObservation(int(number or 0), seen, kept.time, kept.by, kept.written_label)


def withdraw_observation(connection: sqlite3.Connection, firing_n: int, number: int) -> None:
    """Let an observation count no longer. Raises InputError if the firing has none of it."""
    changed = connection.execute(
        "UPDATE observation SET is_withdrawn = 1 WHERE id = ? AND firing_n = ? "
        "AND is_withdrawn = 0",
        (number, firing_n),
    ).rowcount
    if not changed:
        raise InputError(f"this firing has no look at a cone with the number {number}").because(
            Reason.NO_LOOK, number=number
        )


def select_observations(connection: sqlite3.Connection, firing_n: int) -> list[KeptObservation]:
    """The firing's observations that were not withdrawn, in the order of their time."""
    rows = connection.execute(
        f"SELECT {OBSERVATION_COLUMNS} FROM observation "  # noqa: S608 - constant text
        "WHERE firing_n = ? AND is_withdrawn = 0 ORDER BY elapsed_s, id",
        (firing_n,),
    )
    return [observation_from_row(row) for row in rows]


def is_real(connection: sqlite3.Connection, kiln: str, before_firing_n: int | None = None) -> bool:
    """Whether the kiln has a firing that was not simulated, or had one before that number."""
    found = connection.execute(
        "SELECT 1 FROM firing WHERE kiln = ? AND mode <> ? AND n < coalesce(?, 9e999) LIMIT 1",
        (kiln, Mode.SIMULATION.value, before_firing_n),
    ).fetchone()
    return found is not None


def select_seen_in_kiln(connection: sqlite3.Connection, kiln: str) -> list[SeenFiring]:
    """The kiln's real firings in the order in which they were fired, with what was seen in each.

    Simulated firings count only for a kiln that has no others.
    """
    looks: dict[int, list[KeptObservation]] = {}
    rows = connection.execute(
        f"SELECT firing.n, {OBSERVATION_COLUMNS} FROM observation "  # noqa: S608 - constant text
        "JOIN firing ON firing.n = firing_n WHERE kiln = ? AND is_withdrawn = 0 "
        "ORDER BY observation.elapsed_s, observation.id",
        (kiln,),
    )
    for firing_n, *row in rows:
        looks.setdefault(firing_n, []).append(observation_from_row(row))
    new_after_n: dict[str, int] = dict(
        connection.execute(
            "SELECT channel, after_firing_n FROM probe_change WHERE kiln = ? ORDER BY id", (kiln,)
        )
    )
    firings = connection.execute(
        f"SELECT n, {FIRING_COLUMNS} FROM firing "  # noqa: S608 - constant text
        "WHERE kiln = ? AND (mode <> ? OR ?) ORDER BY n",
        (kiln, Mode.SIMULATION.value, not is_real(connection, kiln)),
    )
    numbered = [(n, firing_from_row(row)) for n, *row in firings]
    n_of = {firing.id: n for n, firing in numbered}
    return [
        SeenFiring(
            firing,
            tuple(looks.get(n_of[firing.id], ())),
            frozenset(name for name, after in new_after_n.items() if n_of[firing.id] <= after),
        )
        for firing in fired_in_order(firing for _, firing in numbered)
    ]


def insert_new_probe(
    connection: sqlite3.Connection,
    kiln: str,
    channel: str,
    since_firing_n: int | None,
    label: str | None,
) -> None:
    """Write that a channel's thermocouple is another since a firing, or from the next one on.

    What is in force for the channel was told by the old one, and is withdrawn.
    """
    connection.execute(
        "INSERT INTO probe_change (kiln, channel, label, after_firing_n) "
        "VALUES (?, ?, ?, coalesce(? - 1, (SELECT coalesce(max(n), 0) FROM firing)))",
        (kiln, channel, label, since_firing_n),
    )
    if channel in offsets_in_force(connection, kiln, Mode.SIMULATION):
        insert_offset_change(connection, OffsetChange(kiln, channel, None, label), None)


def insert_offset_change(
    connection: sqlite3.Connection, change: OffsetChange, firing_n: int | None
) -> None:
    """Write an acceptance or a withdrawal.

    A firing that goes on may have what is no longer in force for others, and withdraws that.
    Raises InputError for any other withdrawal where nothing is in force.
    """
    offset = change.offset
    if (
        offset is None
        and firing_n is None
        and change.channel not in offsets_in_force(connection, change.kiln, Mode.SIMULATION)
    ):
        raise InputError(
            f'no offset of channel "{change.channel}" of kiln "{change.kiln}" is in force'
        )
    connection.execute(
        "INSERT INTO offset_change (kiln, channel, offset_c, sigma_c, observations, firings, "
        "label, firing_n, elapsed_s, configured_c, is_simulated, after_firing_n) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, (SELECT coalesce(max(n), 0) FROM firing))",
        (
            change.kiln,
            change.channel,
            None if offset is None else offset.mean_c,
            None if offset is None else offset.sigma_c,
            None if offset is None else offset.observations,
            None if offset is None else offset.firings,
            change.label,
            firing_n,
            change.elapsed_s,
            change.configured_c,
            change.is_simulated,
        ),
    )


def offsets_in_force(
    connection: sqlite3.Connection,
    kiln: str,
    mode: Mode | None = None,
    before_firing_n: int | None = None,
) -> dict[str, AcceptedOffset]:
    """By channel, what is in force now, or was when the firing of that number began.

    For a firing of that mode; None: as the kiln is, real once it has a real firing.
    """
    takes_real = mode not in (None, Mode.SIMULATION) or is_real(connection, kiln, before_firing_n)
    rows = connection.execute(
        f"SELECT {OFFSET_CHANGE_COLUMNS}, "  # noqa: S608 - constant text
        "(SELECT count(*) FROM firing WHERE kiln = :kiln AND n > after_firing_n "
        "AND n < coalesce(:before, 9e999) AND (mode <> :simulated OR NOT :takes_real)) "
        "FROM offset_change WHERE kiln = :kiln AND after_firing_n < coalesce(:before, 9e999) "
        "ORDER BY id",
        {
            "kiln": kiln,
            "before": before_firing_n,
            "simulated": Mode.SIMULATION.value,
            "takes_real": takes_real,
        },
    )
    found: dict[str, AcceptedOffset] = {}
    for *row, firings_since in rows:
        change = offset_change_from_row(row)
        found.pop(change.channel, None)
        if change.offset is not None and not (takes_real and change.is_simulated):
            found[change.channel] = AcceptedOffset(
                change.kiln,
                change.channel,
                change.offset,
                change.label,
                change.firing_id,
                change.elapsed_s,
                change.configured_c,
                change.is_simulated,
                firings_since,
            )
    return found


def witness_mark(connection: sqlite3.Connection) -> tuple[int, ...]:
    """Figures that differ once a look, a firing or a probe has come or gone."""
    found: tuple[int, ...] = connection.execute(
        "SELECT (SELECT count(*) FROM observation), "
        "(SELECT count(*) FROM observation WHERE is_withdrawn = 1), "
        "(SELECT count(*) FROM firing), (SELECT count(*) FROM probe_change)"
    ).fetchone()
    return found


def select_offset_changes(connection: sqlite3.Connection, firing_n: int) -> list[OffsetChange]:
    """The changes that were made for a firing while it went on, in their order."""
    rows = connection.execute(
        f"SELECT {OFFSET_CHANGE_COLUMNS} FROM offset_change "  # noqa: S608 - constant text
        "WHERE firing_n = ? ORDER BY id",
        (firing_n,),
    )
    return [offset_change_from_row(row) for row in rows]
