"""Which sentence a finding says, by a name that stays.

A program, or a page in another language, says it anew from this name and the finding's figures.
"""

from __future__ import annotations

from enum import StrEnum


class Saying(StrEnum):
    """Every sentence that a condition may say of a firing."""

    NOT_PASSED = "not-passed"
    PACE_FREE = "pace-free"
    PACE = "pace"
    BURNS_IN_BISQUE = "burns-in-bisque"
    NOT_WARMED = "not-warmed"
    WARMED = "warmed"
    LOG_ENDS_HOT = "log-ends-hot"
    OPENED = "opened"
    SHUT = "shut"
    SHUT_SO_FAR = "shut-so-far"
    FIRST_FALL = "first-fall"
    NO_FIRING = "no-firing"
    STOOD = "stood"
    NOT_FALLEN = "not-fallen"
    FELL = "fell"
    HOT_FOR = "hot-for"
    NO_CONE = "no-cone"
    NO_CONE_DOWN = "no-cone-down"
    CALCULATED = "calculated"
    CALCULATED_SURELY = "calculated-surely"
    CALCULATED_UNSURE = "calculated-unsure"
    REAL_CONES = "real-cones"
    REAL_CONES_BESIDE = "real-cones-beside"
    ONE_CHANNEL = "one-channel"
    UNEVEN = "uneven"
    UNEVEN_COOLEST = "uneven-coolest"
    UNEVEN_HOTTEST = "uneven-hottest"
    NO_PLAN = "no-plan"
    TOP_DONE = "top-done"
    TOP_NOT_DONE = "top-not-done"
    TOP_NOT_DONE_STALLED = "top-not-done-stalled"
    TOP_NOT_DONE_LOST = "top-not-done-lost"
    NO_LAST_CLIMB = "no-last-climb"
    TOP_ABOVE = "top-above"
    TOP_BELOW = "top-below"
    NO_HOLD_FIRED = "no-hold-fired"
    NO_HOLD_PLANNED = "no-hold-planned"
    HELD = "held"
    NO_PLANNED_RATE = "no-planned-rate"
    LAST_CLIMB = "last-climb"
    NO_REDUCTION = "no-reduction"
    NOTHING_NOTED = "nothing-noted"
    BEGIN_NOT_NOTED = "begin-not-noted"
    BEGUN = "begun"
    TIMES_NOT_NOTED = "times-not-noted"
    REDUCED_FOR = "reduced-for"
