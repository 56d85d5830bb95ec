"""Reduction, as far as somebody wrote it down."""

from __future__ import annotations

from supervisor.core.defects.conditions.shared import unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.defects.saying import Saying
from supervisor.core.schedule.model import Atmosphere
from supervisor.core.watch.wording import show_duration

_SEALED_C, _OPEN_C = 1050.0, 1000.0
"""Body and glaze seal about cone 04 to 02; up to cone 06 (998 °C) they are open (Orton, chart
2016, for the temperatures; the rest common practice)."""
_EARLY_C, _USUAL_C = 800.0, 850.0
"""Reduction is usually begun about cone 012 to 010 (861 to 903 °C; common practice)."""
_REDUCED_LONG_S, _REDUCED_SHORT_S = 40 * 60.0, 20 * 60.0


def reduced_late(case: Case) -> Finding:
    """Whether reduction began when body and glaze had sealed."""
    return _begun(case, rules_out=_OPEN_C, supports=_SEALED_C)


def reduced_early(case: Case) -> Finding:
    """Whether reduction began while carbon could still settle in the ware."""
    return _begun(case, rules_out=_USUAL_C, supports=_EARLY_C)


def _begun(case: Case, *, rules_out: float, supports: float) -> Finding:
    reduction = case.facts.reduction
    if reduction is None:
        plan = case.facts.plan
        if plan is not None and plan.atmosphere is Atmosphere.OXIDATION:
            return Finding(
                Verdict.RULED_OUT,
                Saying.NO_REDUCTION,
                "Neither the plan nor a note speaks of reduction.",
                {},
            )
        return unknown(Saying.NOTHING_NOTED, "Nothing is noted of reduction.")
    if reduction.begun_c is None:
        return unknown(
            Saying.BEGIN_NOT_NOTED,
            "No note says when reduction began: write “reduction begun” and “reduction ended” "
            "on the page while firing.",
        )
    return Finding(
        between(reduction.begun_c, rules_out=rules_out, supports=supports),
        Saying.BEGUN,
        f"By the notes reduction began at {case.words.temp(reduction.begun_c)}.",
        {"begun_c": round(reduction.begun_c, 1), "begun_s": round(reduction.begun_s or 0.0)},
    )


def reduced_briefly(case: Case) -> Finding:
    """Whether the body was reduced for a short time only."""
    reduction = case.facts.reduction
    if reduction is None or reduction.begun_s is None or reduction.ended_s is None:
        return unknown(
            Saying.TIMES_NOT_NOTED,
            "No notes say from when to when it was reduced: write “reduction begun” and "
            "“reduction ended” on the page while firing.",
        )
    lasted_s = reduction.ended_s - reduction.begun_s
    return Finding(
        between(lasted_s, rules_out=_REDUCED_LONG_S, supports=_REDUCED_SHORT_S),
        Saying.REDUCED_FOR,
        f"By the notes it was reduced for {show_duration(lasted_s)}.",
        {"lasted_s": round(lasted_s)},
    )
