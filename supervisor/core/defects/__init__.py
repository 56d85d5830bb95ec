"""Defects traced: what in a firing's record speaks for a cause, against it, or can't be told.

Causes outside the firing (body, glaze, application, handling) are named beside, and nothing is
claimed of them.
"""

from supervisor.core.defects.defect import DEFECTS, Defect, DefectKind, defect_of
from supervisor.core.defects.finding import Finding, Verdict
from supervisor.core.defects.rules import RULES, Rule
from supervisor.core.defects.saying import Saying
from supervisor.core.defects.tracing import Traced, trace_defects

__all__ = [
    "DEFECTS",
    "RULES",
    "Defect",
    "DefectKind",
    "Finding",
    "Rule",
    "Saying",
    "Traced",
    "Verdict",
    "defect_of",
    "trace_defects",
]
