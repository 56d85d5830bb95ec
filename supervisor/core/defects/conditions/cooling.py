"""How it stood at the top and how it cooled."""

from __future__ import annotations

from supervisor.core.defects.conditions.shared import figures_of, peak_step, rates, unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.defects.saying import Saying
from supervisor.core.review.cooling import CRYSTALS_C
from supervisor.core.watch.wording import show_duration

_HOT_C, _COOL_C = 150.0, 100.0
_SOAKED_S, _UNSOAKED_S = 15 * 60.0, 5 * 60.0
_FIRST_C = 100.0
_DROP_FAST_C_PER_H, _DROP_SLOW_C_PER_H = 450.0, 280.0
_CRYSTALS_FAST_C_PER_H, _CRYSTALS_SLOW_C_PER_H = 150.0, 90.0
_LONG_HOT_S, _SHORT_HOT_S = 6 * 3600.0, 4 * 3600.0
_CRISTOBALITE_FROM_C = 1100.0
"""Above, free silica of a stoneware body slowly turns to cristobalite (Hamer and Hamer, from
memory); how long is long is common practice, no source."""


def opened_hot(case: Case) -> Finding:
    """Whether the kiln was opened while it was hot."""
    cooling, words = case.facts.cooling, case.words
    if cooling is None:
        return unknown(Saying.LOG_ENDS_HOT, "The log ends before the kiln had cooled.")
    opened = cooling.opened
    if opened is not None:
        said = (
            f"At {words.temp(opened.temp_c)} it suddenly fell {words.rate(opened.rate_c_per_h)}: "
            f"lid, door, damper or vents were opened there."
        )
        return Finding(
            between(opened.temp_c, rules_out=_COOL_C, supports=_HOT_C),
            Saying.OPENED,
            said,
            {
                "opened_c": round(opened.temp_c, 1),
                "opened_at_s": round(opened.at_s),
                "rate_c_per_h": round(opened.rate_c_per_h, 1),
            },
        )
    figures = {"opened_c": None, "end_c": round(cooling.end_c, 1)}
    if cooling.end_c <= _COOL_C:
        return Finding(
            Verdict.RULED_OUT,
            Saying.SHUT,
            f"It cooled like a shut kiln down to {words.temp(cooling.end_c)}.",
            figures,
        )
    return Finding(
        Verdict.UNKNOWN,
        Saying.SHUT_SO_FAR,
        f"It cooled like a shut kiln down to {words.temp(cooling.end_c)}, where the log ends.",
        figures,
    )


def dropped_fast(case: Case) -> Finding:
    """Whether the kiln fell so fast from its peak that bubbles had no time to heal."""
    cooling = case.facts.cooling
    if cooling is None or cooling.first_c_per_h is None:
        return unknown(Saying.LOG_ENDS_HOT, "The log ends before the kiln had cooled.")
    rate = cooling.first_c_per_h
    first = case.words.difference(_FIRST_C)
    return Finding(
        between(rate, rules_out=_DROP_SLOW_C_PER_H, supports=_DROP_FAST_C_PER_H),
        Saying.FIRST_FALL,
        f"Its first {first} from the top it fell {case.words.rate(rate)}.",
        {"first_c": _FIRST_C, "first_c_per_h": round(rate, 1)},
    )


def little_time_to_heal(case: Case) -> Finding:
    """Whether the glaze had hardly any time at the top to flow level."""
    peak = case.facts.peak
    if peak is None or not case.facts.is_whole:
        return unknown(Saying.NO_FIRING, "The record shows no firing.")
    step = peak_step(case)
    hold_s = peak.hold_s
    if step is not None and step.actual is not None and step.is_complete:
        hold_s = max(hold_s, step.actual.hold_s)
    return Finding(
        between(hold_s, rules_out=_SOAKED_S, supports=_UNSOAKED_S),
        Saying.STOOD,
        f"It stood {show_duration(hold_s)} at its top.",
        {"hold_s": round(hold_s)},
    )


def crystals_had_no_time(case: Case) -> Finding:
    """Whether the kiln fell too fast where crystals grow."""
    return _crystals(case, is_slow=False)


def crystals_had_time(case: Case) -> Finding:
    """Whether the kiln lingered where crystals grow."""
    return _crystals(case, is_slow=True)


def _crystals(case: Case, *, is_slow: bool) -> Finding:
    cooling = case.facts.cooling
    passage = None if cooling is None else cooling.crystals
    if passage is None or passage.mean_c_per_h is None:
        high, low = case.words.temp(CRYSTALS_C[0]), case.words.temp(CRYSTALS_C[1])
        return unknown(
            Saying.NOT_FALLEN,
            f"The record does not show it falling from {high} to {low}.",
            from_c=CRYSTALS_C[0],
            to_c=CRYSTALS_C[1],
        )
    rate = passage.mean_c_per_h
    if is_slow:
        verdict = between(rate, rules_out=_CRYSTALS_FAST_C_PER_H, supports=_CRYSTALS_SLOW_C_PER_H)
    else:
        verdict = between(rate, rules_out=_CRYSTALS_SLOW_C_PER_H, supports=_CRYSTALS_FAST_C_PER_H)
    return Finding(verdict, Saying.FELL, f"{rates(case, passage)}.", figures_of(passage))


def long_hot(case: Case) -> Finding:
    """Whether the body had long to form cristobalite."""
    peak = case.facts.peak
    if peak is None:
        return unknown(Saying.NO_FIRING, "The record shows no firing.")
    time_s = case.facts.time_above_s(_CRISTOBALITE_FROM_C) or 0.0
    above = case.words.temp(_CRISTOBALITE_FROM_C)
    return Finding(
        between(time_s, rules_out=_SHORT_HOT_S, supports=_LONG_HOT_S),
        Saying.HOT_FOR,
        f"It was above {above} for {show_duration(time_s)}.",
        {"above_c": _CRISTOBALITE_FROM_C, "time_s": round(time_s)},
    )
