"""Firings looked for among years of them. Knows SQL and what may be asked; writes nothing."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from supervisor.record.readings import extent, firing_number
from supervisor.record.rows import FIRING_COLUMNS, Extent, Firing, Mode, firing_from_row
from supervisor.record.summary import Summary, summary_from_line

MOST_FOUND = 200
"""Firings in one answer, at most."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which firings are looked for; what is not given matches all.

    Each word of ``text`` is somewhere in the firing's id, kiln, name, plan, notes, accounts or
    findings, whatever its case. ``since`` and ``until`` are days (2026-11-25), both included, as
    the clock on the wall had them. ``cone`` is the hardest that is down by calculation.
    """

    text: str = ""
    kiln: str | None = None
    since: str | None = None
    until: str | None = None
    cone: str | None = None
    mode: Mode | None = None
    offset: int = 0
    limit: int = 50


@dataclass(frozen=True, slots=True)
class FoundFiring:
    """One firing of a list. ``summary`` is None while it goes on, and until it is summed up.

    ``alerts`` counts its alerts by severity; of a log that was taken in, what the watch tells of
    it afterwards, as nobody was told at the time.
    """

    firing: Firing
    extent: Extent | None
    summary: Summary | None
    alerts: Mapping[str, int]
    notes: int
    looks: int
    findings: int
    photos: int


@dataclass(frozen=True, slots=True)
class Found:
    """One page of what was found, the latest firing first; ``total`` is how many there are."""

    total: int
    firings: Sequence[FoundFiring]


_IS_NOT_ARMED = (
    "(firing.state = 'closed' OR firing.mode <> 'live' OR EXISTS (SELECT 1 FROM reading "
    "WHERE reading.n BETWEEN firing.n * 4294967296 AND firing.n * 4294967296 + 4294967295))"
)
"""Of a firing that waits for its kiln to climb nothing is kept yet."""

_SAYS_SOMETHING = (
    "(firing.state <> 'closed' OR EXISTS (SELECT 1 FROM reading WHERE reading.n BETWEEN "
    "firing.n * 4294967296 AND firing.n * 4294967296 + 4294967295) "
    "OR EXISTS (SELECT 1 FROM block WHERE block.n BETWEEN "
    "firing.n * 4294967296 AND firing.n * 4294967296 + 4294967295) "
    "OR EXISTS (SELECT 1 FROM alert WHERE firing_n = firing.n "
    "AND json_extract(line, '$.kind') <> 'trend') "
    "OR EXISTS (SELECT 1 FROM note WHERE firing_n = firing.n AND withdrawn_at_s IS NULL) "
    "OR EXISTS (SELECT 1 FROM observation WHERE firing_n = firing.n) "
    "OR EXISTS (SELECT 1 FROM account WHERE firing_n = firing.n) "
    "OR EXISTS (SELECT 1 FROM finding WHERE firing_n = firing.n) "
    "OR EXISTS (SELECT 1 FROM photo WHERE firing_n = firing.n))"
)
"""One that waited for its climb and was told of nothing but a trend is no firing to anybody."""

_HOLDS = (
    "(instr(fold(firing.id || char(10) || firing.kiln || char(10) || firing.name || char(10) || "
    "coalesce(firing.schedule_toml, '')), {word}) "
    "OR EXISTS (SELECT 1 FROM note WHERE firing_n = firing.n AND withdrawn_at_s IS NULL "
    "AND instr(fold(text), {word})) "
    "OR EXISTS (SELECT 1 FROM account WHERE firing_n = firing.n AND instr(fold(text), {word}) "
    "AND id IN (SELECT max(id) FROM account GROUP BY firing_n, topic)) "
    "OR EXISTS (SELECT 1 FROM finding WHERE firing_n = firing.n AND level > 0 "
    "AND instr(fold(key || ' ' || place || ' ' || coalesce(text, '')), {word}) "
    "AND id IN (SELECT max(id) FROM finding GROUP BY firing_n, key, place)))"
)

_MOST_WORDS = 12


def find(connection: sqlite3.Connection, wanted: Wanted) -> Found:
    """The firings that are wanted, one page of them."""
    connection.create_function("fold", 1, _fold, deterministic=True)
    where, values = _conditions(wanted)
    source = f"FROM firing LEFT JOIN summary ON summary.firing_n = firing.n WHERE {where}"
    (total,) = connection.execute(f"SELECT count(*) {source}", values).fetchone()
    columns = ", ".join(f"firing.{name.strip()}" for name in FIRING_COLUMNS.split(","))
    rows = connection.execute(
        f"SELECT firing.n, summary.line, {columns} {source} "
        "ORDER BY firing.started_label IS NULL, substr(firing.started_label, 1, 19) DESC, "
        "firing.n DESC LIMIT :limit OFFSET :offset",
        {**values, "limit": min(wanted.limit, MOST_FOUND), "offset": wanted.offset},
    ).fetchall()
    return Found(
        total,
        [_found(connection, row[0], row[1], firing_from_row(row[2:])) for row in rows],
    )


def find_one(connection: sqlite3.Connection, firing: Firing) -> FoundFiring:
    """One firing as it is in a list."""
    firing_n = firing_number(connection, firing.id)
    row = connection.execute("SELECT line FROM summary WHERE firing_n = ?", (firing_n,)).fetchone()
    return _found(connection, firing_n, None if row is None else row[0], firing)


def kilns(connection: sqlite3.Connection) -> list[str]:
    """The names of the kilns that have firings."""
    return [name for (name,) in connection.execute("SELECT DISTINCT kiln FROM firing ORDER BY 1")]


def _fold(text: str | None) -> str:
    return "" if text is None else text.casefold()


def _conditions(wanted: Wanted) -> tuple[str, dict[str, object]]:
    where = [_IS_NOT_ARMED, _SAYS_SOMETHING]
    values: dict[str, object] = {}
    for name, value, condition in (
        ("kiln", wanted.kiln, "firing.kiln = :kiln"),
        ("since", wanted.since, "substr(firing.started_label, 1, 10) >= :since"),
        ("until", wanted.until, "substr(firing.started_label, 1, 10) <= :until"),
        ("cone", wanted.cone, "summary.cone = :cone"),
        ("mode", None if wanted.mode is None else wanted.mode.value, "firing.mode = :mode"),
    ):
        if value is not None:
            where.append(condition)
            values[name] = value
    for place, word in enumerate(wanted.text.split()[:_MOST_WORDS]):
        where.append(_HOLDS.format(word=f":word{place}"))
        values[f"word{place}"] = _fold(word)
    return " AND ".join(where), values


def _found(
    connection: sqlite3.Connection, firing_n: int, line: str | None, firing: Firing
) -> FoundFiring:
    summary = None if line is None else summary_from_line(line)
    counts = connection.execute(
        "SELECT (SELECT count(*) FROM note WHERE firing_n = :n AND withdrawn_at_s IS NULL), "
        "(SELECT count(*) FROM observation WHERE firing_n = :n AND is_withdrawn = 0), "
        "(SELECT count(*) FROM finding WHERE level > 0 AND id IN (SELECT max(id) FROM finding "
        "WHERE firing_n = :n GROUP BY key, place)), "
        "(SELECT count(*) FROM photo WHERE firing_n = :n AND is_withdrawn = 0)",
        {"n": firing_n},
    ).fetchone()
    if firing.mode is Mode.IMPORT and summary is not None:
        alerts = Counter(trouble["severity"] for trouble in summary.facts["troubles"])
    else:
        alerts = Counter(
            dict(
                connection.execute(
                    "SELECT json_extract(line, '$.severity'), count(*) FROM alert "
                    "WHERE firing_n = ? GROUP BY 1",
                    (firing_n,),
                )
            )
        )
    reach = (
        extent(connection, firing_n)
        if summary is None
        else Extent(summary.readings, summary.first_s, summary.last_s)
    )
    return FoundFiring(firing, reach, summary, alerts, *counts)
