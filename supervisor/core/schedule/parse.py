"""Schedules as people write them: TOML in, a Schedule or one clear sentence out.

Every mistake is answered with the line it stands on, the key, and what is allowed.

Beside its steps a schedule may change the bands of temperature that guard the ware, each in a
table of its own, in the units of the file::

    [[band]]                  # a known band, made stricter for large, thick ware
    name = "quartz turns back"
    from = 620                # both limits or neither; heating bands go up, cooling ones down
    to = 520
    fastest = 60              # degrees an hour; "any": no rate is too fast

    [[band]]                  # a known band that does not concern this ware
    name = "cristobalite turns back"
    leave_out = true

    [[band]]                  # a band of one's own; the limits say which way
    name = "glass anneals"
    from = 520
    to = 460
    fastest = 30
    why = "the glass that was melted in relaxes here"
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from supervisor.core.errors import InputError
from supervisor.core.heatwork.cones import ALLOWED_CONES, CONES
from supervisor.core.reasons import Reason, Why
from supervisor.core.schedule.model import (
    Atmosphere,
    BandChange,
    BandName,
    FiringKind,
    Schedule,
    Step,
    Way,
)
from supervisor.core.toml_places import Path, parse_toml, shown
from supervisor.core.toml_reader import TomlReader
from supervisor.core.units import Unit, difference_from_c, difference_to_c, from_c, to_c

MAX_STEPS = 100
MAX_TEXT = 500
MAX_BANDS = 50
MAX_BAND_NAME = 60
LOWEST_C, HIGHEST_C = 0.0, 1500.0
FASTEST_C_PER_H = 2000.0
SLOWEST_PER_H = 0.5
"""A kiln moves more than this by itself; below it, a plan takes months."""
LONGEST_HOLD_MIN = 7 * 24 * 60.0
NARROWEST_BAND_C = 20.0
"""Less than this a kiln swings through without meaning it (common practice, no source)."""
ANY_RATE = "any"

_TOP_KEYS = ("name", "units", "kind", "atmosphere", "target_cone", "step", "band")
_STEP_KEYS = ("rate", "to", "hold_min", "note")
_BAND_KEYS = ("name", "from", "to", "fastest", "leave_out", "why")
_BARE_CONE = re.compile(r"^[ \t]*target_cone[ \t]*=[ \t]*(0\d[\d.]*)[ \t]*(#.*)?\r?$", re.MULTILINE)
"""A cone such as 06 without its quotes, which TOML itself refuses as a number."""


def parse_schedule(text: str, where: str = "schedule") -> Schedule:
    """The schedule written in ``text``; ``where`` is the file's name for messages.

    Raises InputError with line, key and what is allowed.
    """
    return _Reader(text, where).schedule()


def read_schedule(data: dict[str, Any], where: str = "schedule") -> Schedule:
    """The schedule in a document that was never a text, under the keys of a file.

    Raises MistakeError with the path of what does not fit.
    """
    return _Reader("", where, data).schedule()


def cone_name(text: str) -> str | None:
    """The cone that ``text`` names in our spelling, or None: "06", "6", "5.5", "5 1/2".

    >>> cone_name("5 1/2"), cone_name("06"), cone_name("10"), cone_name("cone 6"), cone_name("6.0")
    ('5.5', '06', '10', '6', None)
    """
    plain = text.strip().lower().removeprefix("cone").strip()
    plain = plain.replace("½", ".5").replace(" 1/2", ".5").replace("-1/2", ".5")
    return plain if plain in CONES else None


def named_cone(text: str) -> str:
    """As ``cone_name``, of what a person has entered; raises InputError where it is no cone."""
    name = cone_name(text)
    if name is None:
        raise InputError(f'"{text[:20]}" is not a cone; allowed are {ALLOWED_CONES}').because(
            Reason.NO_CONE, text=text[:20]
        )
    return name


def _known_bands() -> str:
    return ", ".join(f'"{name}"' for name in BandName)


class _Reader(TomlReader):
    def __init__(self, text: str, where: str, data: dict[str, Any] | None = None) -> None:
        super().__init__(text, where)
        if data is not None:
            self._data = data
            return
        try:
            self._data = parse_toml(text, where)
        except InputError:
            bare = _BARE_CONE.search(text)
            if bare is None:
                raise
            raise InputError(
                f'target_cone = {bare.group(1)[:10]} needs quotes, as in "06": 06 and 6 are '
                f"different cones",
                where=f"{where}, line {text.count(chr(10), 0, bare.start(1)) + 1}",
            ) from None

    def schedule(self) -> Schedule:
        data = self._data
        self._only_known(data, _TOP_KEYS, (), "a schedule")
        units = self._choice(data, "units", Unit, Unit.C, ())
        steps = data.get("step")
        if not isinstance(steps, list) or not steps or not all(isinstance(s, dict) for s in steps):
            raise self._error("a schedule needs at least one [[step]]", ("step",)).because(
                Reason.NO_STEP
            )
        if len(steps) > MAX_STEPS:
            raise self._error(f"a schedule has at most {MAX_STEPS} steps", ("step",)).because(
                Reason.TOO_MANY_STEPS, most=MAX_STEPS
            )
        target_cone = self._target_cone(data)
        return Schedule(
            name=self._text(data, "name", (), required=True),
            units=units,
            kind=self._choice(data, "kind", FiringKind, FiringKind.OTHER, ()),
            atmosphere=self._choice(data, "atmosphere", Atmosphere, Atmosphere.OXIDATION, ()),
            target_cone=target_cone,
            steps=tuple(self._step(step, ("step", i), units) for i, step in enumerate(steps)),
            bands=self._bands(data, units),
        )

    def _target_cone(self, data: dict[str, Any]) -> str | None:
        if "target_cone" not in data:
            return None
        value = data["target_cone"]
        cone = cone_name(value) if isinstance(value, str) else None
        if cone is None:
            hint = (
                " (in quotes: 06 and 6 are different cones)" if not isinstance(value, str) else ""
            )
            raise self._error(
                f"target_cone = {shown(value)} is not a cone{hint}; allowed are {ALLOWED_CONES}",
                ("target_cone",),
            ).because(Reason.NO_CONE, text=shown(value))
        return cone

    def _step(self, step: dict[str, Any], path: Path, units: Unit) -> Step:
        self._only_known(step, _STEP_KEYS, path, "a step")
        if "to" not in step:
            raise self._error("this step has no `to`, the temperature it goes to", path).because(
                Reason.NO_TO
            )
        temp_c = self._temp_c(step, "to", path, units)
        rate_c_per_h = None
        if "rate" in step:
            hint = "the direction follows from `to`; leave `rate` out for as fast as the kiln goes"
            rate_c_per_h = self._rate_c_per_h(step, "rate", path, units, hint)
        hold_min = 0.0
        if "hold_min" in step:
            hold_min = self._number(
                step,
                "hold_min",
                path,
                lambda x: 0.0 <= x <= LONGEST_HOLD_MIN,
                f"0 to {LONGEST_HOLD_MIN:.0f} minutes",
                Why(Reason.HOLD_NOT_ALLOWED, {"most": LONGEST_HOLD_MIN}),
            )
        note = self._text(step, "note", path)
        return Step(temp_c, rate_c_per_h, hold_min * 60.0, note)

    def _bands(self, data: dict[str, Any], units: Unit) -> tuple[BandChange, ...]:
        if "band" not in data:
            return ()
        tables = data["band"]
        if not isinstance(tables, list) or not all(isinstance(t, dict) for t in tables):
            raise self._error("bands are written as [[band]], one table each", ("band",))
        if len(tables) > MAX_BANDS:
            raise self._error(f"a schedule has at most {MAX_BANDS} bands", ("band",))
        changes: list[BandChange] = []
        for i, table in enumerate(tables):
            change = self._band(table, ("band", i), units)
            if any(change.name == earlier.name for earlier in changes):
                raise self._error(
                    f"the band {shown(change.name)} is here twice; say all of it in one [[band]]",
                    ("band", i, "name"),
                )
            changes.append(change)
        return tuple(changes)

    def _band(self, table: dict[str, Any], path: Path, units: Unit) -> BandChange:
        self._only_known(table, _BAND_KEYS, path, "a band")
        name = self._band_name(table, path)
        known = BandName(name) if name in list(BandName) else None
        left_out = table.get("leave_out", False)
        if not isinstance(left_out, bool):
            raise self._error(
                f"leave_out = {shown(left_out)} is not allowed; give true or false",
                (*path, "leave_out"),
            )
        if left_out:
            if known is None or len(table) > 2:
                raise self._error(
                    f"leave_out is for a known band and stands alone beside its name; known are "
                    f"{_known_bands()}",
                    (*path, "leave_out"),
                )
            return BandChange(name, is_left_out=True)
        limits = self._band_limits(table, path, units, known)
        fastest_c_per_h = None
        at_any_rate = table.get("fastest") == ANY_RATE
        if "fastest" in table and not at_any_rate:
            if known is not None and known.way is Way.HOLDING:
                raise self._error(
                    f"the band “{name}” is a hold and has no rate", (*path, "fastest")
                )
            hint = f'or "{ANY_RATE}", for no rate is too fast'
            fastest_c_per_h = self._rate_c_per_h(table, "fastest", path, units, hint)
        why = self._text(table, "why", path).strip().rstrip(".")
        return BandChange(name, *limits, fastest_c_per_h, at_any_rate=at_any_rate, why=why)

    def _band_name(self, table: dict[str, Any], path: Path) -> str:
        if "name" not in table:
            raise self._error(
                f"this band has no `name`; known are {_known_bands()}, and any other name is a "
                f"band of your own",
                path,
            )
        value = table["name"]
        name = value.strip() if isinstance(value, str) else ""
        if not name or len(name) > MAX_BAND_NAME or not name.isprintable():
            raise self._error(
                f"name = {shown(value)} is not allowed; give 1 to {MAX_BAND_NAME} printable "
                f"characters in quotes",
                (*path, "name"),
            )
        return name

    def _band_limits(
        self, table: dict[str, Any], path: Path, units: Unit, known: BandName | None
    ) -> tuple[float | None, float | None]:
        given = [key for key in ("from", "to") if key in table]
        if not given and known is not None:
            return None, None
        if known is not None and known.way is Way.HOLDING:
            raise self._error(
                f"the band “{known}” is the hold at the peak and has no limits of its own",
                (*path, given[0]),
            )
        if len(given) < 2:
            own = "" if known else f" (a band of your own needs them; known are {_known_bands()})"
            raise self._error(
                f"give both `from` and `to` of the band {shown(table['name'])}{own}",
                (*path, given[0] if given else "name"),
            )
        first_c = self._temp_c(table, "from", path, units)
        last_c = self._temp_c(table, "to", path, units)
        if abs(last_c - first_c) < NARROWEST_BAND_C - 1e-9:
            least = difference_from_c(NARROWEST_BAND_C, units)
            raise self._error(
                f"`from` and `to` of a band must be at least {least:.0f} °{units.value} apart",
                (*path, "to"),
            )
        if known is not None and (known.way is Way.COOLING) is not (last_c < first_c):
            which, how = ("cooling", "below") if known.way is Way.COOLING else ("heating", "above")
            raise self._error(
                f"“{known}” is a {which} band: its `to` must lie {how} its `from`", (*path, "to")
            )
        return first_c, last_c

    def _temp_c(self, table: dict[str, Any], key: str, path: Path, units: Unit) -> float:
        low, high = from_c(LOWEST_C, units), from_c(HIGHEST_C, units)
        allowed = f"{low:.0f} to {high:.0f} °{units.value}"
        why = Why(
            Reason.TEMP_NOT_ALLOWED,
            {"low": round(low), "high": round(high), "unit": f"°{units.value}"},
        )
        return to_c(self._number(table, key, path, lambda x: low <= x <= high, allowed, why), units)

    def _rate_c_per_h(
        self, table: dict[str, Any], key: str, path: Path, units: Unit, hint: str
    ) -> float:
        fastest = difference_from_c(FASTEST_C_PER_H, units)
        allowed = (
            f"a positive number of degrees an hour, {SLOWEST_PER_H:g} to {fastest:.0f} ({hint})"
        )
        why = Why(Reason.RATE_NOT_ALLOWED, {"slowest": SLOWEST_PER_H, "fastest": round(fastest)})
        rate = self._number(table, key, path, lambda x: SLOWEST_PER_H <= x <= fastest, allowed, why)
        return difference_to_c(rate, units)

    def _text(self, table: dict[str, Any], key: str, path: Path, *, required: bool = False) -> str:
        if key not in table:
            if required:
                raise self._error(
                    f"`{key}` is missing; give the schedule a name in quotes", path
                ).because(Reason.NO_NAME)
            return ""
        value = table[key]
        if not isinstance(value, str):
            raise self._error(f"{key} = {shown(value)} must be text in quotes", (*path, key))
        if len(value) > MAX_TEXT or (required and not value.strip()):
            raise self._error(f"{key} must be 1 to {MAX_TEXT} characters", (*path, key)).because(
                Reason.TEXT_LENGTH, most=MAX_TEXT
            )
        return value

    def _number(
        self,
        table: dict[str, Any],
        key: str,
        path: Path,
        fits: Callable[[float], bool],
        allowed: str,
        why: Why,
    ) -> float:
        value = table[key]
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        # An integer too long for a float would raise OverflowError.
        if not is_number or abs(value) > 1e9 or not math.isfinite(value) or not fits(float(value)):
            raise self._error(
                f"{key} = {shown(value)} is not allowed; give {allowed}", (*path, key)
            ).because(why.reason, value=shown(value), **why.figures)
        return float(value)
