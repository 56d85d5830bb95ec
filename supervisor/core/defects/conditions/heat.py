"""Whether the ware got the heat-work of its cone, everywhere in the kiln."""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.defects.conditions.shared import unknown
from supervisor.core.defects.finding import Case, Finding, Verdict, between
from supervisor.core.defects.saying import Saying
from supervisor.core.events import Value
from supervisor.core.review import ChannelCones
from supervisor.core.review.cones import name_of_place, place_of_cone

_APART_C, _EVEN_C = 20.0, 10.0
_APART_CONES, _EVEN_CONES = 0.7, 0.35


def underfired(case: Case) -> Finding:
    """Whether the ware got less heat-work than its cone."""
    return _against_target(case, _SHORT)


def overfired(case: Case) -> Finding:
    """Whether the ware got more heat-work than its cone: the guard cone is down as well."""
    return _against_target(case, _BEYOND)


@dataclass(frozen=True, slots=True)
class _Side:
    """One side of the target, as cones short of it (``sign`` 1) or beyond it (−1).

    ``calculated`` and ``seen`` support it from so many cones on; up to ``rules_out`` it is none.
    """

    sign: float
    calculated: float
    seen: float
    rules_out: float


_SHORT = _Side(1.0, calculated=0.4, seen=0.15, rules_out=0.05)
_BEYOND = _Side(-1.0, calculated=1.15, seen=0.9, rules_out=0.6)
"""Within a cone's own tolerance (± 2 °C, a few minutes) nobody tells a difference. The target is
met from when it is down until the guard cone, the next one, is down too."""


def _against_target(case: Case, side: _Side) -> Finding:
    facts = case.facts
    target = None if facts.plan is None else facts.plan.target_cone
    cones = facts.lead_cones
    if target is None or cones is None:
        return unknown(Saying.NO_CONE, "The plan names no cone to hold the firing against.")
    aim = place_of_cone(target)
    seen = _by_real_cones(case, target, aim, side)
    if seen is not None:
        return seen
    if cones.place is None:
        verdict = Verdict.SUPPORTED if side.sign > 0.0 else Verdict.RULED_OUT
        said = f"By calculation not even cone 022 went down; the plan wants cone {target}."
        return Finding(verdict, Saying.NO_CONE_DOWN, said, {"target": target})
    figures: dict[str, Value] = {
        "target": target,
        "cone": name_of_place(cones.place),
        "apart_cones": round(cones.place - aim, 2),
        "coolest": cones.coolest,
        "hottest": cones.hottest,
        "offset_c": round(cones.offset_c, 1),
    }
    by = (
        f"By calculation the firing was a cone {name_of_place(cones.place)}, and the plan wants "
        f"cone {target}"
    )
    if side.sign * (aim - cones.place) >= side.calculated:
        return Finding(Verdict.SUPPORTED, Saying.CALCULATED, f"{by}.", figures)
    limit = cones.coolest if side.sign > 0.0 else cones.hottest
    spread = f"it may be anything from cone {cones.coolest or 'none'} to {cones.hottest}"
    if limit is not None and side.sign * (aim - place_of_cone(limit)) <= side.rules_out:
        return Finding(
            Verdict.RULED_OUT,
            Saying.CALCULATED_SURELY,
            f"{by}; with what is unsure {spread}.",
            figures,
        )
    return Finding(
        Verdict.UNKNOWN,
        Saying.CALCULATED_UNSURE,
        f"{by}; but by a thermocouple alone {spread}. What the witness cones did would tell: "
        "note it with `spyhole witness`.",
        figures,
    )


def _by_real_cones(case: Case, target: str, aim: float, side: _Side) -> Finding | None:
    """What the real cones say, None where they say nothing of it."""
    found: list[Finding] = []
    for cones in case.facts.cones:
        if not _has_looks(cones):
            continue
        low, high = cones.seen_place_low, cones.seen_place_high
        figures: dict[str, Value] = {
            "target": target,
            "channel": cones.channel,
            "seen_low": None if low is None else name_of_place(low),
            "seen_high": None if high is None else name_of_place(high),
        }
        is_one = len(case.facts.channels) == 1
        at = "" if is_one else f"beside “{cones.channel}” "
        saying = Saying.REAL_CONES if is_one else Saying.REAL_CONES_BESIDE
        said = f"The real cones {at}show {_range(low, high)}; the plan wants cone {target}."
        # What is surely short, or beyond, is so even at the end that is nearer to the target.
        surely, hardly = (high, low) if side.sign > 0.0 else (low, high)
        verdict = Verdict.UNKNOWN
        if surely is not None and side.sign * (aim - surely) >= side.seen:
            verdict = Verdict.SUPPORTED
        elif hardly is not None and side.sign * (aim - hardly) <= side.rules_out:
            verdict = Verdict.RULED_OUT
        found.append(Finding(verdict, saying, said, figures))
    # Any place of the kiln that missed its cone may be where the ware stood.
    order = (Verdict.SUPPORTED, Verdict.UNKNOWN, Verdict.RULED_OUT)
    return min(found, key=lambda one: order.index(one.verdict), default=None)


def _range(low: float | None, high: float | None) -> str:
    if low is None:
        return f"less than cone {name_of_place(high or 0.0)}"
    if high is None:
        return f"cone {name_of_place(low)} or more"
    first, last = name_of_place(low), name_of_place(high)
    return f"cone {first}" if first == last else f"cone {first} up to cone {last}"


def _has_looks(cones: ChannelCones) -> bool:
    return cones.seen_place_low is not None or cones.seen_place_high is not None


def cool_corner(case: Case) -> Finding:
    """Whether one place of the kiln lagged behind."""
    return _corner(case, is_cool=True)


def hot_corner(case: Case) -> Finding:
    """Whether one place of the kiln ran ahead."""
    return _corner(case, is_cool=False)


def _corner(case: Case, *, is_cool: bool) -> Finding:
    finding = uneven_kiln(case)
    even = case.facts.evenness
    if even is None or even.hottest is None or finding.verdict is Verdict.UNKNOWN:
        return finding
    where = even.coolest if is_cool else even.hottest
    which = "coolest" if is_cool else "hottest"
    return Finding(
        finding.verdict,
        Saying.UNEVEN_COOLEST if is_cool else Saying.UNEVEN_HOTTEST,
        f"{finding.said} The {which} was “{where}”.",
        {**finding.figures, "where": where},
    )


def uneven_kiln(case: Case) -> Finding:
    """Whether the channels were far apart at the peak."""
    even = case.facts.evenness
    if even is None or even.peak_apart_c is None:
        return unknown(Saying.ONE_CHANNEL, "One thermocouple can't tell how even the kiln was.")
    cones_apart = even.cones_apart or 0.0
    figures = {
        "peak_apart_c": round(even.peak_apart_c, 1),
        "cones_apart": round(cones_apart, 2),
        "worst_apart_c": round(even.worst.apart_c, 1),
    }
    said = (
        f"At the peak the channels were {case.words.difference(even.peak_apart_c)} apart, which "
        f"made {cones_apart:.1f} cones between them."
    )
    by_c = between(even.peak_apart_c, rules_out=_EVEN_C, supports=_APART_C)
    by_cones = between(cones_apart, rules_out=_EVEN_CONES, supports=_APART_CONES)
    if Verdict.SUPPORTED in (by_c, by_cones):
        return Finding(Verdict.SUPPORTED, Saying.UNEVEN, said, figures)
    if by_c is by_cones is Verdict.RULED_OUT:
        return Finding(Verdict.RULED_OUT, Saying.UNEVEN, said, figures)
    return Finding(Verdict.UNKNOWN, Saying.UNEVEN, said, figures)
