"""What several conditions need: the plan's last climb, a passage in words, and "can't tell"."""

from __future__ import annotations

from supervisor.core.defects.finding import Case, Finding, Verdict
from supervisor.core.defects.saying import Saying
from supervisor.core.events import Value
from supervisor.core.review import Passage, StepFacts


def unknown(saying: Saying, said: str, **figures: Value) -> Finding:
    """Nothing can be told, and why."""
    return Finding(Verdict.UNKNOWN, saying, said, figures)


def peak_step(case: Case) -> StepFacts | None:
    """The step that ends at the plan's peak, None without a plan."""
    steps = [step for step in case.facts.steps if step.planned.to_c >= step.planned.from_c]
    peak_c = max((step.planned.to_c for step in steps), default=None)
    found = [step for step in steps if step.planned.to_c == peak_c]
    return found[-1] if found else None


def rates(case: Case, passage: Passage) -> str:
    """How fast the kiln went through, without a full stop."""
    words = case.words
    fastest = passage.fastest_c_per_h or 0.0
    mean = passage.mean_c_per_h or 0.0
    span = f"From {words.temp(passage.from_c)} to {words.temp(passage.to_c)}"
    return f"{span} it went {words.rate(mean)} on average and {words.rate(fastest)} at its fastest"


def figures_of(passage: Passage) -> dict[str, Value]:
    """The figures of a passage."""
    return {
        "from_c": passage.from_c,
        "to_c": passage.to_c,
        "mean_c_per_h": None if passage.mean_c_per_h is None else round(passage.mean_c_per_h, 1),
        "fastest_c_per_h": None
        if passage.fastest_c_per_h is None
        else round(passage.fastest_c_per_h, 1),
    }
