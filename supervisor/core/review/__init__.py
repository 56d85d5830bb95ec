"""A firing looked back on: what it did, as figures that reports, defects and trends share.

``review`` makes one ``FiringFacts`` in one pass over the readings. Everything in it is °C and
seconds of the firing's own clock; what can't be told is None.
"""

from supervisor.core.review.as_json import document_of
from supervisor.core.review.facts import (
    BandFacts,
    ChannelCones,
    ConeLook,
    CoolingFacts,
    Energy,
    EvennessAt,
    EvennessFacts,
    FiringFacts,
    Gap,
    Leg,
    Opening,
    Passage,
    PeakFacts,
    PlanFacts,
    ReductionFacts,
    StepFacts,
    TimeAbove,
    Trouble,
)
from supervisor.core.review.from_json import value_of
from supervisor.core.review.review import Remark, Reviewer, review
from supervisor.core.review.trace import Trace

__all__ = [
    "BandFacts",
    "ChannelCones",
    "ConeLook",
    "CoolingFacts",
    "Energy",
    "EvennessAt",
    "EvennessFacts",
    "FiringFacts",
    "Gap",
    "Leg",
    "Opening",
    "Passage",
    "PeakFacts",
    "PlanFacts",
    "ReductionFacts",
    "Remark",
    "Reviewer",
    "StepFacts",
    "TimeAbove",
    "Trace",
    "Trouble",
    "document_of",
    "review",
    "value_of",
]
