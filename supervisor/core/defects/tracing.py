"""Which causes a firing's facts speak for or against, for what a potter has ticked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from supervisor.core.defects.defect import DEFECTS, Defect, DefectKind, Outside
from supervisor.core.defects.finding import Case, Finding, Verdict
from supervisor.core.defects.registry import CONDITIONS
from supervisor.core.defects.rules import RULES, Rule
from supervisor.core.defects.saying import Saying
from supervisor.core.events import Value
from supervisor.core.review import FiringFacts
from supervisor.core.watch.wording import Words

_ORDER = (Verdict.SUPPORTED, Verdict.UNKNOWN, Verdict.RULED_OUT)


@dataclass(frozen=True, slots=True)
class Cause:
    """One rule held against the firing."""

    name: str
    cause: str
    verdict: Verdict
    saying: Saying
    said: str
    figures: Mapping[str, Value]
    next_time: str
    source: str


@dataclass(frozen=True, slots=True)
class Traced:
    """One defect: its causes in the firing, those that are supported first, and those outside."""

    defect: DefectKind
    title: str
    looks: str
    causes: tuple[Cause, ...]
    outside: tuple[Outside, ...]

    def of(self, verdict: Verdict) -> tuple[Cause, ...]:
        """The causes with that verdict."""
        return tuple(cause for cause in self.causes if cause.verdict is verdict)


def trace_defects(
    facts: FiringFacts, ticked: Sequence[DefectKind], words: Words
) -> tuple[Traced, ...]:
    """What the firing says of each defect that was ticked, each once, in the order given."""
    case = Case(facts, words)
    found: dict[str, Finding] = {}
    for name in {rule.condition for rule in RULES if set(rule.defects) & set(ticked)}:
        found[name] = CONDITIONS[name](case)
    return tuple(_traced(DEFECTS[kind], found) for kind in dict.fromkeys(ticked))


def _traced(defect: Defect, found: Mapping[str, Finding]) -> Traced:
    causes = [_cause(rule, found[rule.condition]) for rule in RULES if defect.kind in rule.defects]
    return Traced(
        defect.kind,
        defect.title,
        defect.looks,
        tuple(sorted(causes, key=lambda cause: _ORDER.index(cause.verdict))),
        defect.outside,
    )


def _cause(rule: Rule, finding: Finding) -> Cause:
    return Cause(
        rule.name,
        rule.cause,
        finding.verdict,
        finding.saying,
        finding.said,
        finding.figures,
        rule.next_time,
        rule.source,
    )
