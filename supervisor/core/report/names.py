"""What a report calls the things that the page shows too: one name for each, here.

A test holds the page's English against it.
"""

from __future__ import annotations

from collections.abc import Mapping

STEPS = "Steps, planned and fired"
CONES = "Cones"
WARE = "What the ware went through"
WARNED_OF = "What spyhole warned of"
NOTES = "Notes"
ACCOUNTS = "Load and result"
FOUND = "Found at unloading"
ADVISABLE = "advisable"
"""The fastest that a guarded band wants."""

TOPICS: Mapping[str, str] = {
    "load": "What was in the load",
    "glazes": "Glazes",
    "result": "How it came out",
    "traced": "What the defects were traced to",
}
"""Usual topics of accounts, in the order in which they are told."""

AMOUNTS: Mapping[int, str] = {1: "a little", 2: "some", 3: "much"}
"""How much of a defect was found, by its level; a higher one is much, too."""


def amount(level: int) -> str:
    """The level of a finding, from 1, in words.

    >>> amount(1), amount(7)
    ('a little', 'much')
    """
    return AMOUNTS[min(max(level, 1), max(AMOUNTS))]
