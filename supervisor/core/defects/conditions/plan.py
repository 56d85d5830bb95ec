"""Whether the kiln did at its top what the plan asks for."""

from __future__ import annotations

from supervisor.core.defects.conditions.shared import peak_step, unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.events import Kind
from supervisor.core.watch.wording import show_duration

_TOP_NEAR_C, _TOP_OFF_C = 4.0, 10.0
_HOLD_NEAR_S, _HOLD_OFF_S = 3 * 60.0, 8 * 60.0
_RATE_NEAR, _RATE_OFF = 0.10, 0.25


def broken_off(case: Case) -> Finding:
    """Whether the plan came to its top at all."""
    step = peak_step(case)
    if step is None:
        return unknown("The firing is kept without its plan.")
    lost = case.facts.troubles_of(Kind.HEAT_LOST, Kind.STALL)
    why = ""
    if lost:
        at = "" if lost[-1].temp_c is None else f" at {case.words.temp(lost[-1].temp_c)}"
        why = (
            f" ({'heat was lost' if lost[-1].kind is Kind.HEAT_LOST else 'the climb stalled'}{at})"
        )
    top = case.words.temp(step.planned.to_c)
    figures = {"peak_step_complete": step.is_complete, "stalls_or_losses": len(lost)}
    if step.is_complete:
        return Finding(Verdict.RULED_OUT, f"The plan's top, {top}, was fired to its end.", figures)
    return Finding(Verdict.SUPPORTED, f"The firing did not complete its top, {top}{why}.", figures)


def top_too_low(case: Case) -> Finding:
    """Whether the kiln stood below its planned top."""
    return _top(case, sign=-1.0)


def top_too_high(case: Case) -> Finding:
    """Whether the kiln went above its planned top."""
    return _top(case, sign=1.0)


def _top(case: Case, sign: float) -> Finding:
    step = peak_step(case)
    if step is None or step.actual is None:
        return unknown("The kiln did not come to the plan's last climb, or has no plan.")
    off_c = step.actual.to_c - step.planned.to_c
    if sign > 0.0 and case.facts.peak is not None:
        off_c = max(off_c, case.facts.peak.temp_c - step.planned.to_c)
    how = "above" if off_c >= 0.0 else "below"
    said = (
        f"By this thermocouple it was {case.words.difference(abs(off_c))} {how} the plan's "
        f"{case.words.temp(step.planned.to_c)}."
    )
    return Finding(
        between(sign * off_c, rules_out=_TOP_NEAR_C, supports=_TOP_OFF_C),
        said,
        {"top_off_c": round(off_c, 1)},
    )


def hold_too_short(case: Case) -> Finding:
    """Whether the hold at the top was cut."""
    return _hold(case, sign=-1.0)


def hold_too_long(case: Case) -> Finding:
    """Whether the hold at the top went on."""
    return _hold(case, sign=1.0)


def _hold(case: Case, sign: float) -> Finding:
    step = peak_step(case)
    if step is None or step.actual is None:
        return unknown("The kiln did not come to the plan's hold, or has no plan.")
    off_s = step.actual.hold_s - step.planned.hold_s
    said = (
        f"It held {show_duration(step.actual.hold_s)} at the top, planned were "
        f"{show_duration(step.planned.hold_s)}."
    )
    if sign < 0.0 and step.planned.hold_s <= 0.0:
        return Finding(Verdict.RULED_OUT, "The plan asks for no hold at the top.", {})
    return Finding(
        between(sign * off_s, rules_out=_HOLD_NEAR_S, supports=_HOLD_OFF_S),
        said,
        {"hold_s": round(step.actual.hold_s), "planned_hold_s": round(step.planned.hold_s)},
    )


def last_climb_too_fast(case: Case) -> Finding:
    """Whether the last climb went faster than planned: less heat-work in them."""
    return _last_climb(case, sign=1.0)


def last_climb_too_slow(case: Case) -> Finding:
    """Whether the last climb went slower than planned: more heat-work."""
    return _last_climb(case, sign=-1.0)


def _last_climb(case: Case, sign: float) -> Finding:
    step, peak = peak_step(case), case.facts.peak
    planned = None if step is None else step.planned.rate_c_per_h
    if step is None or peak is None or peak.rate_c_per_h is None or planned is None:
        return unknown("There is no planned rate, or no such climb, to hold this against.")
    off = peak.rate_c_per_h / planned - 1.0
    return Finding(
        between(sign * off, rules_out=_RATE_NEAR, supports=_RATE_OFF),
        f"The last climb went {case.words.rate(peak.rate_c_per_h)}, planned was "
        f"{case.words.rate(planned)}.",
        {"rate_c_per_h": round(peak.rate_c_per_h, 1), "planned_c_per_h": round(planned, 1)},
    )
