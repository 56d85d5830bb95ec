"""The alert book: which events a person has to know of, and what became of each.

Knows a firing's events, who acknowledged what and how much time goes by. Knows no clock, no
broker and no disk: times come from outside, and what is to be stored and sent is handed back to
the caller.
"""

from __future__ import annotations

from supervisor.core.alerts.alert import NOTICES, Alert, Step
from supervisor.core.alerts.book import AlertBook
from supervisor.core.alerts.message import AlertChange
from supervisor.core.alerts.rules import AlertRules, Now
from supervisor.core.alerts.titles import TITLES

__all__ = ["NOTICES", "TITLES", "Alert", "AlertBook", "AlertChange", "AlertRules", "Now", "Step"]
