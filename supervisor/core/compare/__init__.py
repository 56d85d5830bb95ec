"""Firings held against each other, or against a plan: where they parted, and what it was worth.

Pure: works on firings that were looked back on (``supervisor.core.review``). Everything is °C and
seconds until it is said.
"""

from supervisor.core.compare.aligned import Align
from supervisor.core.compare.compare import Comparison, compared
from supervisor.core.compare.differences import Difference
from supervisor.core.compare.parting import Parting
from supervisor.core.compare.planned import planned_subject
from supervisor.core.compare.subject import Subject, subject_of

__all__ = [
    "Align",
    "Comparison",
    "Difference",
    "Parting",
    "Subject",
    "compared",
    "planned_subject",
    "subject_of",
]
