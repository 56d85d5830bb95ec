"""Whether the kiln did at its top what the plan asks for."""

from __future__ import annotations

from supervisor.core.defects.conditions.shared import peak_step, unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.defects.saying import Saying
from supervisor.core.events import Kind, Value
from supervisor.core.watch.wording import show_duration

_TOP_NEAR_C, _TOP_OFF_C = 4.0, 10.0
_HOLD_NEAR_S, _HOLD_OFF_S = 3 * 60.0, 8 * 60.0
_RATE_NEAR, _RATE_OFF = 0.10, 0.25


def broken_off(case: Case) -> Finding:
    """Whether the plan came to its top at all."""
    step = peak_step(case)
    if step is None:
        return unknown(Saying.NO_PLAN, "The firing is kept without its plan.")
    lost = case.facts.troubles_of(Kind.HEAT_LOST, Kind.STALL)
    why, saying = "", Saying.TOP_NOT_DONE
    if lost:
        is_lost = lost[-1].kind is Kind.HEAT_LOST
        saying = Saying.TOP_NOT_DONE_LOST if is_lost else Saying.TOP_NOT_DONE_STALLED
        at = "" if lost[-1].temp_c is None else f" at {case.words.temp(lost[-1].temp_c)}"
        why = f" ({'heat was lost' if is_lost else 'the climb stalled'}{at})"
    top = case.words.temp(step.planned.to_c)
    figures: dict[str, Value] = {
        "peak_step_complete": step.is_complete,
        "stalls_or_losses": len(lost),
        "top_c": step.planned.to_c,
    }
    if step.is_complete:
        said = f"The plan's top, {top}, was fired to its end."
        return Finding(Verdict.RULED_OUT, Saying.TOP_DONE, said, figures)
    if lost and lost[-1].temp_c is not None:
        figures["lost_c"] = round(lost[-1].temp_c, 1)
    said = f"The firing did not complete its top, {top}{why}."
    return Finding(Verdict.SUPPORTED, saying, said, figures)


def top_too_low(case: Case) -> Finding:
    """Whether the kiln stood below its planned top."""
    return _top(case, sign=-1.0)


def top_too_high(case: Case) -> Finding:
    """Whether the kiln went above its planned top."""
    return _top(case, sign=1.0)


def _top(case: Case, sign: float) -> Finding:
    step = peak_step(case)
    if step is None or step.actual is None:
        return unknown(
            Saying.NO_LAST_CLIMB, "The kiln did not come to the plan's last climb, or has no plan."
        )
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
        Saying.TOP_ABOVE if off_c >= 0.0 else Saying.TOP_BELOW,
        said,
        {"top_off_c": round(off_c, 1), "top_c": step.planned.to_c},
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
        return unknown(
            Saying.NO_HOLD_FIRED, "The kiln did not come to the plan's hold, or has no plan."
        )
    off_s = step.actual.hold_s - step.planned.hold_s
    said = (
        f"It held {show_duration(step.actual.hold_s)} at the top, planned were "
        f"{show_duration(step.planned.hold_s)}."
    )
    if sign < 0.0 and step.planned.hold_s <= 0.0:
        return Finding(
            Verdict.RULED_OUT, Saying.NO_HOLD_PLANNED, "The plan asks for no hold at the top.", {}
        )
    return Finding(
        between(sign * off_s, rules_out=_HOLD_NEAR_S, supports=_HOLD_OFF_S),
        Saying.HELD,
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
        return unknown(
            Saying.NO_PLANNED_RATE,
            "There is no planned rate, or no such climb, to hold this against.",
        )
    off = peak.rate_c_per_h / planned - 1.0
    return Finding(
        between(sign * off, rules_out=_RATE_NEAR, supports=_RATE_OFF),
        Saying.LAST_CLIMB,
        f"The last climb went {case.words.rate(peak.rate_c_per_h)}, planned was "
        f"{case.words.rate(planned)}.",
        {"rate_c_per_h": round(peak.rate_c_per_h, 1), "planned_c_per_h": round(planned, 1)},
    )
