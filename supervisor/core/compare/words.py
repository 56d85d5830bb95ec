"""A comparison in plain short sentences, the biggest difference first."""

from __future__ import annotations

from collections.abc import Iterator

from supervisor.core.alerts.titles import TITLES
from supervisor.core.compare.aligned import Align, zero_s
from supervisor.core.compare.compare import Comparison
from supervisor.core.compare.differences import Difference
from supervisor.core.compare.parting import Parting, beyond, farthest
from supervisor.core.compare.so_far import SoFar
from supervisor.core.compare.subject import Subject
from supervisor.core.events import Kind
from supervisor.core.report.short import DECIDE, cones_off
from supervisor.core.review.cones import name_of_place
from supervisor.core.units import difference_from_c
from supervisor.core.watch.wording import Words, show_clock, show_duration

_ALIKE = {
    "cones": "cones",
    "peak": "peak",
    "hold": "hold",
    "climb": "length of the climb",
    "last 100 °C": "rate before the peak",
    "evenness": "evenness",
    "opened": "opening",
}
_VERBS = {
    "climb": ("took", "for the climb to the hold"),
    "holds on the way down": ("held", "on the way down"),
}
_WORTH = 0.05
_HELD_S = 60.0
_SAME_C = 1.0
_MUCH_MORE = 1.5


def sentences(one: Comparison, words: Words) -> tuple[str, ...]:
    """How far one that goes on has come, where they parted, what differs, what is alike."""
    said = [*_so_far(one, words), *_parted(one, words)]
    for difference in one.differences:
        if not difference.is_alike:
            said += _differs(one, difference, words)
    alike = [_ALIKE.get(d.what, d.what) for d in one.differences if d.is_alike]
    if alike:
        said.append(f"Alike: {', '.join(alike)}.")
    return tuple(said)


def _so_far(one: Comparison, words: Words) -> Iterator[str]:
    for now in one.so_far:
        yield _now(now, words)
        if now.later_s is not None and now.reached_c is not None:
            way = "later" if now.later_s > 0.0 else "earlier"
            when = "when"
            if abs(now.later_s) >= _HELD_S:
                when = f"{show_duration(abs(now.later_s))} {way} than"
            did = " did" if when == "when" else ""
            yield (
                f"{_capital(now.name)} first came to {words.temp(now.reached_c)} {when} "
                f"{now.against}{did}."
            )
        yield (
            f"The peak of {now.name} is behind it; its cooling is told as far as it has gone."
            if now.has_peaked
            else f"{_capital(now.name)} is not past its peak yet, so nothing is said of peak, hold "
            "and cooling."
        )


def _now(now: SoFar, words: Words) -> str:
    goes_on = f"{_capital(now.name)} still goes on"
    if now.at_s is None or now.temp_c is None:
        return f"{goes_on}, and has not begun to climb."
    here = f"{goes_on}: after {show_clock(now.at_s)} h it is at {words.temp(now.temp_c)}"
    if now.against_c is None:
        return f"{here}; so long {now.against} did not last."
    by_c = now.temp_c - now.against_c
    if abs(by_c) < _SAME_C:
        return f"{here}, as {now.against} was at the same hour."
    way = "hotter" if by_c > 0.0 else "cooler"
    return (
        f"{here}, {words.difference(abs(by_c))} {way} than {now.against} was at the same hour "
        f"({words.temp(now.against_c)})."
    )


def _parted(one: Comparison, words: Words) -> Iterator[str]:
    if one.laid is None and one.align is Align.PEAK and not all(s.has_peaked for s in one.so_far):
        yield "So there is no peak yet from which they could be laid over each other."
        return
    if one.laid is None:
        yield f"{_capital(one.reference.name)} and {one.other.name} have no temperatures in common."
        return
    limit = beyond(one.laid)
    if not one.partings:
        within = show_duration(limit) if one.align is Align.TEMPERATURE else words.difference(limit)
        until = ""
        if one.align is not Align.TEMPERATURE:
            until = f", for the {show_duration(one.laid.at[-1] - one.laid.at[0])} that both have"
        yield f"They did not part: no difference that lasts is beyond {within}{until}."
        return
    for parting in one.partings:
        if one.align is Align.TEMPERATURE:
            yield _by_temperature(one, parting, words)
        else:
            yield _by_time(one, parting, words)
    yield from _farthest(one, words)


def _by_temperature(one: Comparison, parting: Parting, words: Words) -> str:
    way = "later" if parting.by > 0.0 else "earlier"
    moved = "fell behind" if parting.by > 0.0 else "got ahead"
    until = "" if parting.until is None else f", until {words.temp(parting.until)}"
    return (
        f"They parted at {words.temp(parting.at)} on the way up: from there {one.other.name} "
        f"{moved}{until}, and was {show_duration(abs(parting.by))} {way} at "
        f"{words.temp(parting.worst_at)}."
    )


def _by_time(one: Comparison, parting: Parting, words: Words) -> str:
    zero = zero_s(one.reference, one.align, one.from_c)
    assert zero is not None  # noqa: S101 - they were laid over each other
    temp_c = one.reference.trace.temp_at(zero + parting.at)
    where = _step(one.reference, zero + parting.at, words)
    way = "hotter" if parting.by > 0.0 else "cooler"
    by = words.difference(abs(parting.by))
    until = "" if parting.until is None else f", until {show_clock(abs(parting.until))} h"
    if one.align is Align.PEAK:
        if parting.at < 0.0:
            return (
                f"Before the peak they agree from {show_clock(-parting.at)} h before it on, at "
                f"{words.temp(temp_c)}{_but_for_peaks(one, words)}; earlier {one.other.name} was "
                f"up to {by} {way}."
            )
        return (
            f"After the peak they parted {show_clock(parting.at)} h after it began, at "
            f"{words.temp(temp_c)}{where}{_but_for_peaks(one, words)}: from there "
            f"{one.other.name} was up to {by} {way}{until}."
        )
    return (
        f"They parted after {show_clock(parting.at)} h, at {words.temp(temp_c)}{where}: from "
        f"there {one.other.name} was {way}, by up to {by}{until}."
    )


def _but_for_peaks(one: Comparison, words: Words) -> str:
    assert one.laid is not None  # noqa: S101 - asked for by the caller
    off = words.difference(one.laid.offset)
    return "" if one.laid.offset < 1.0 else f" (but for the {off} between their peaks)"


def step_at(reference: Subject, at_s: float) -> tuple[int, str, float] | None:
    """The step in which the reference then was: its number, what it did (hold, climb or way
    down), and the °C that it led to."""
    for step in reference.facts.steps:
        leg = step.actual
        if leg is not None and leg.start_s <= at_s < leg.end_s:
            if at_s >= leg.reach_s:
                return step.number, "hold", leg.to_c
            return step.number, "climb" if leg.to_c > leg.from_c else "way down", step.planned.to_c
    return None


def _step(reference: Subject, at_s: float, words: Words) -> str:
    found = step_at(reference, at_s)
    if found is None:
        return ""
    number, doing, to_c = found
    if doing == "hold":
        return f", in the hold at {words.temp(to_c)} (step {number})"
    return f", on the {doing} to {words.temp(to_c)} (step {number})"


def farthest_worth_a_word(one: Comparison) -> tuple[float, float] | None:
    """Where they were farthest apart, and by how much, where it is much more than the partings."""
    most = None if one.laid is None else farthest(one.laid)
    told = max((abs(parting.by) for parting in one.partings), default=0.0)
    if most is None or abs(most[1]) < _MUCH_MORE * told or not one.partings:
        return None
    return most


def _farthest(one: Comparison, words: Words) -> Iterator[str]:
    most = farthest_worth_a_word(one)
    if most is None:
        return
    at, by = most
    if one.align is Align.TEMPERATURE:
        way = "later" if by > 0.0 else "earlier"
        yield (
            f"Farthest apart they were at {words.temp(at)}: {one.other.name} was "
            f"{show_duration(abs(by))} {way}."
        )
        return
    way = "hotter" if by > 0.0 else "cooler"
    yield (
        f"On the climb they were farthest apart after {show_clock(at)} h: {one.other.name} was "
        f"{words.difference(abs(by))} {way}."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _differs(one: Comparison, difference: Difference, words: Words) -> Iterator[str]:
    two, ref = one.other.name, one.reference.name
    what, unit = difference.what, difference.unit
    if what == "warnings":
        yield from _warned(difference, ref, two)
    elif what == "opened":
        yield _opened(difference, ref, two, words)
    elif difference.reference is None or difference.other is None or difference.by is None:
        return
    elif what == "cones":
        yield from _cones(difference, two)
    elif what == "peak":
        way = "hotter" if difference.by > 0.0 else "cooler"
        yield (
            f"{two} stood {words.difference(abs(difference.by))} {way} at the peak: "
            f"{words.temp(difference.other)} against {words.temp(difference.reference)}."
        )
    elif what == "hold":
        way = "longer" if difference.by > 0.0 else "less long"
        yield (
            f"{two} held the peak {show_duration(abs(difference.by))} {way}: "
            f"{_held(difference.other)} against {_held(difference.reference)}."
        )
    elif unit == "s":
        verb, thing = _VERBS[what]
        way = "longer" if difference.by > 0.0 else "less long" if verb == "held" else "less"
        yield (
            f"{two} {verb} {show_duration(abs(difference.by))} {way} {thing}: "
            f"{_held(difference.other)} against {_held(difference.reference)}."
        )
    elif what == "evenness":
        way = "less even" if difference.by > 0.0 else "more even"
        yield (
            f"{two} was {way} at the peak: its channels were {words.difference(difference.other)} "
            f"apart, against {words.difference(difference.reference)}."
        )
    elif unit == "c_per_h":
        yield _rate(difference, two, words)


def _held(seconds: float) -> str:
    return "none" if seconds < _HELD_S else show_duration(seconds)


def _cones(difference: Difference, two: str) -> Iterator[str]:
    assert difference.by is not None and difference.other is not None  # noqa: S101, PT018 - asked
    assert difference.reference is not None  # noqa: S101 - asked for by the caller
    way = "more" if difference.by > 0.0 else "less"
    yield (
        f"{two} had {cones_off(abs(difference.by))} {way} heat-work: cone "
        f"{name_of_place(difference.other)} against {name_of_place(difference.reference)} "
        f"({DECIDE})."
    )
    worth = [
        f"its {part} gave {cones_off(abs(by))} {'more' if by > 0.0 else 'less'}"
        for part, by in sorted(difference.parts.items(), key=lambda item: -abs(item[1]))
        if abs(by) >= _WORTH
    ]
    if worth:
        yield f"{_capital(', '.join(worth))}."


def _rate(difference: Difference, two: str, words: Words) -> str:
    assert difference.other is not None and difference.reference is not None  # noqa: S101, PT018 - asked
    rates = f"{words.rate(difference.other)} against {words.rate(difference.reference)}"
    is_faster = difference.other > difference.reference
    if difference.what == "last 100 °C":
        last = f"the last {difference_from_c(100.0, words.unit):.0f} °{words.unit.value}"
        return f"{two} climbed {last} {'faster' if is_faster else 'more slowly'}: {rates}."
    way = "faster" if is_faster else "more slowly"
    return f"{two} cooled {way} where {_clause(difference.what)}: {rates}."


def _clause(name: str) -> str:
    """The range's name is a clause already ("quartz turns back") but for its article."""
    return {"glaze sets": "the glaze sets"}.get(name, name)


def _opened(difference: Difference, ref: str, two: str, words: Words) -> str:
    if difference.reference is None or difference.other is None:
        who, other, temp_c = (
            (two, ref, difference.other)
            if difference.reference is None
            else (ref, two, difference.reference)
        )
        assert temp_c is not None  # noqa: S101 - one of them was opened
        return f"{who} was opened at {words.temp(temp_c)}; {other} was not, as far as its log goes."
    return (
        f"{two} was opened at {words.temp(difference.other)}, {ref} at "
        f"{words.temp(difference.reference)}."
    )


def _warned(difference: Difference, ref: str, two: str) -> Iterator[str]:
    for who, other, kinds in (
        (two, ref, difference.names[1]),
        (ref, two, difference.names[0]),
    ):
        if kinds:
            things = ", ".join(f"“{TITLES[Kind(kind)]}”" for kind in kinds)
            yield f"{who} had a warning that {other} had not: {things}."
