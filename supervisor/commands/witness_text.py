"""What ``spyhole witness`` shows: looks at cones beside the calculation, and offsets.

Knows words and JSON; takes nothing from the record and changes nothing.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from supervisor.core.heatwork import Correction
from supervisor.core.heatwork.offset import Evidence, Offset
from supervisor.core.heatwork.tip import clock_of
from supervisor.core.units import Unit, difference_from_c
from supervisor.core.watch.wording import WITNESS, show_clock
from supervisor.record.rows import AcceptedOffset, KeptObservation


@dataclass(frozen=True, slots=True)
class Look:
    """One look at a cone, with what is calculated of that cone at that time.

    ``channel`` is the channel of which it says something; without one nothing is calculated.
    ``corrected`` is the work with the offset that was in force, None where none was. ``doubt``
    is one sentence on why it can't be, and does not count.
    """

    kept: KeptObservation
    channel: str | None = None
    work: float | None = None
    corrected: float | None = None
    evidence: Evidence | None = None
    doubt: str | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """One channel of a kiln: what its cones say, and what is in force.

    Both are for readings with ``configured_c`` °C of the configuration in them, as the kiln's
    newest firing has.
    """

    channel: str
    offset: Offset | None
    accepted: AcceptedOffset | None
    configured_c: float = 0.0

    @property
    def in_force(self) -> Offset | None:
        """What is in force, aged, for the readings of now."""
        return None if self.accepted is None else self.accepted.now(self.configured_c)

    @property
    def is_proposed(self) -> bool:
        """Whether accepting would change something worth changing."""
        if self.offset is None:
            return False
        now = self.in_force
        correction = None if now is None else Correction(now.mean_c, now.sigma_c)
        return self.offset.is_worth_accepting(correction)


def signed(difference_c: float, unit: Unit) -> str:
    """A difference of temperatures with its sign, to the degree.

    >>> signed(4.2, Unit.C), signed(-0.2, Unit.C), signed(-5.0, Unit.F)
    ('+4 °C', '0 °C', '−9 °F')
    """
    return f"{_sign(difference_c, unit)} °{unit.value}"


def offset_text(offset: Offset, unit: Unit) -> str:
    """An offset, how sure it is and from what."""
    sigma = max(round(difference_from_c(offset.sigma_c, unit)), 1)
    looks = "1 look at a cone" if offset.observations == 1 else f"{offset.observations} looks"
    firings = "1 firing" if offset.firings == 1 else f"{offset.firings} firings"
    return f"{signed(offset.mean_c, unit)} ± {sigma} °{unit.value} from {looks} in {firings}"


def look_lines(looks: Sequence[Look], unit: Unit) -> list[str]:
    """The table of looks at cones, in the order in which they are given."""
    with_offset = any(look.corrected is not None for look in looks)
    head = ["no.", "h", "time", "cone", "seen", "calculated"]
    head += ["with offset"] if with_offset else []
    rows = [[*head, "fits an offset", "where"]]
    for look in looks:
        seen = look.kept.seen
        row = [
            str(look.kept.id),
            show_clock(seen.elapsed_s),
            (look.kept.time or "")[11:16],
            seen.cone,
            seen.clock,
            "-" if look.work is None else clock_of(look.work),
        ]
        if with_offset:
            row.append("-" if look.corrected is None else clock_of(look.corrected))
        where = ", ".join(part for part in (look.channel, seen.shelf) if part)
        rows.append([*row, fit_text(look.evidence, unit), where or "-"])
    widths = [max(len(row[n]) for row in rows) for n in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def doubts(looks: Sequence[Look]) -> list[str]:
    """Why some of the looks can't be, each sentence once."""
    return list(dict.fromkeys(look.doubt for look in looks if look.doubt is not None))


def fit_text(evidence: Evidence | None, unit: Unit) -> str:
    """With which offsets the cone would have looked so."""
    if evidence is None:
        return "-"
    low_c, high_c = evidence.low_c, evidence.high_c
    if not evidence.tells:
        return "any"
    if math.isinf(high_c):
        return f"{signed(low_c, unit)} or more"
    if math.isinf(low_c):
        return f"{signed(high_c, unit)} or less"
    low, high = signed(low_c, unit), signed(high_c, unit)
    return low if low == high else f"{_sign(low_c, unit)} to {high}"


def standing_lines(standing: Standing, unit: Unit, kiln_option: str) -> list[str]:
    """What is known, proposed and in force of one channel."""
    offset, accepted, in_force = standing.offset, standing.accepted, standing.in_force
    lines = []
    if accepted is not None and in_force is not None:
        since = "" if accepted.label is None else f", since {accepted.label[:10]}"
        lines.append(f"in force: {offset_text(in_force, unit)}{since}")
    if offset is None:
        return [*lines, "no look at a cone tells of it now"]
    accept = f"spyhole witness --accept {shlex.quote(standing.channel)}{kiln_option}"
    if in_force is None:
        if standing.is_proposed:
            lines.append(f"proposed: {offset_text(offset, unit)}; not in force")
            lines.append(f"accept it with: {accept}")
        else:
            lines.append(f"so far {offset_text(offset, unit)}: nothing to correct yet")
    elif standing.is_proposed:
        lines.append(f"proposed: {offset_text(offset, unit)}")
        lines.append(
            f"accepting it changes {signed(in_force.mean_c, unit)} to "
            f"{signed(offset.mean_c, unit)}: {accept}"
        )
    if offset.is_too_far:
        lines.append(
            "that is more than a sound thermocouple in its place is off: look at the probe, its "
            "place and the cones noted first"
        )
    return lines


def legend(unit: Unit) -> str:
    """What the figures of an offset mean."""
    return (
        "An offset is added to the temperature from which cones are calculated, never to the\n"
        "readings; with a plus the real cones bend before the calculation says so. In two cases\n"
        f"of three the true one lies within the ± given (°{unit.value}).\n{WITNESS.capitalize()}."
    )


def look_json(look: Look) -> dict[str, Any]:
    """One look at a cone as JSON; offsets are °C, an end that is open is null."""
    kept, seen, evidence = look.kept, look.kept.seen, look.evidence
    return {
        "number": kept.id,
        "elapsed_s": seen.elapsed_s,
        "time": kept.time,
        "cone": seen.cone,
        "clock": seen.clock,
        "channel": look.channel,
        "shelf": seen.shelf,
        "by": kept.by,
        "calculated": _calculated_json(look.work),
        "with_offset": _calculated_json(look.corrected),
        "fits_offset_c": None
        if evidence is None
        else [
            round(end_c, 1) if math.isfinite(end_c) else None
            for end_c in (evidence.low_c, evidence.high_c)
        ],
        "doubt": look.doubt,
    }


def standing_json(standing: Standing) -> dict[str, Any]:
    """One channel's offsets as JSON, in °C."""
    accepted, in_force = standing.accepted, standing.in_force
    return {
        "channel": standing.channel,
        "estimate": None if standing.offset is None else _offset_json(standing.offset),
        "is_proposed": standing.is_proposed,
        "in_force": None
        if accepted is None or in_force is None
        else {**_offset_json(in_force), "accepted": accepted.label},
    }


def _offset_json(offset: Offset) -> dict[str, Any]:
    return {
        "offset_c": round(offset.mean_c, 2),
        "sigma_c": round(offset.sigma_c, 2),
        "observations": offset.observations,
        "firings": offset.firings,
    }


def _calculated_json(work: float | None) -> dict[str, Any] | None:
    return None if work is None else {"clock": clock_of(work), "work": round(work, 4)}


def _sign(difference_c: float, unit: Unit) -> str:
    degrees = round(difference_from_c(difference_c, unit))
    return f"{degrees:+d}".replace("-", "−") if degrees else "0"
