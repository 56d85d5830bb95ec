"""Why something is refused or does not count, by a name that stays and its figures.

Knows the names. The English sentence is said where the thing is refused; whoever says it in
another language (the page) takes the name and the figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from supervisor.core.events import Value


class Reason(StrEnum):
    """Which sentence it is."""

    # What is written does not fit.
    MISSING = "missing"
    EMPTY = "empty"
    TOO_LONG = "too-long"
    NO_NUMBER = "no-number"
    AT_LEAST = "at-least"
    AT_MOST = "at-most"
    UNPRINTABLE = "unprintable"
    UNFIT = "unfit"
    BODY_TOO_LARGE = "body-too-large"
    # Who writes.
    SIGN_IN_TO_READ = "sign-in-to-read"
    SIGN_IN_TO_WRITE = "sign-in-to-write"
    WRONG_PIN = "wrong-pin"
    TOO_MANY_PINS = "too-many-pins"
    NO_PIN = "no-pin"
    NO_PIN_TO_SIGN_IN = "no-pin-to-sign-in"
    PIN_UNREADABLE = "pin-unreadable"
    # The log.
    READINGS_OVER = "readings-over"
    LOG_KEPT = "log-kept"
    LOG_NOT_BEGUN = "log-not-begun"
    OTHER_LOG = "other-log"
    NO_LOG_CAN_BEGIN = "no-log-can-begin"
    NO_PLAN_CAN_BE_CHOSEN = "no-plan-can-be-chosen"
    DISK_REFUSES = "disk-refuses"
    # Looks at cones.
    NO_CONE = "no-cone"
    NO_TIP = "no-tip"
    NO_CHANNEL = "no-channel"
    NO_LOOK = "no-look"
    BEFORE_FIRING = "before-firing"
    AFTER_FIRING = "after-firing"
    STOOD_UP = "stood-up"
    TOO_COLD_FOR_LOOK = "too-cold-for-look"
    TOO_HOT_FOR_LOOK = "too-hot-for-look"
    NOTHING_TO_ACCEPT = "nothing-to-accept"
    OFFSET_CHANGED = "offset-changed"
    NOTHING_TO_CORRECT = "nothing-to-correct"
    ONLY_SIMULATED = "only-simulated"
    # What is not there.
    NO_ALERT = "no-alert"
    NO_NOTE = "no-note"
    NO_FIRING = "no-firing"
    NO_FIRING_YET = "no-firing-yet"
    NO_SCENARIO = "no-scenario"
    NO_PLAN = "no-plan"
    NO_KILN = "no-kiln"
    NOTHING_HERE = "nothing-here"
    # Photos.
    NO_PHOTO = "no-photo"
    NO_IMAGE = "no-image"
    PHOTO_CUT_SHORT = "photo-cut-short"
    PHOTO_UNSOUND = "photo-unsound"
    PHOTO_HAS_TOO_MANY_PIXELS = "photo-has-too-many-pixels"
    PHOTO_TOO_LARGE = "photo-too-large"
    PHOTOS_BUSY = "photos-busy"
    PHOTO_NOT_KEPT = "photo-not-kept"
    PHOTO_UNREADABLE = "photo-unreadable"
    PHOTO_SPOILT = "photo-spoilt"
    # Plans.
    NO_STEP = "no-step"
    TOO_MANY_STEPS = "too-many-steps"
    NO_NAME = "no-name"
    TEXT_LENGTH = "text-length"
    NO_TO = "no-to"
    TEMP_NOT_ALLOWED = "temp-not-allowed"
    RATE_NOT_ALLOWED = "rate-not-allowed"
    HOLD_NOT_ALLOWED = "hold-not-allowed"
    NOT_AMONG = "not-among"
    UNKNOWN_KEY = "unknown-key"
    NO_TOML = "no-toml"
    FILE_UNREADABLE = "file-unreadable"
    FILE_TOO_LARGE = "file-too-large"
    NO_TEXT = "no-text"
    STARTER_HAS_NAME = "starter-has-name"
    PLAN_IS_THERE = "plan-is-there"
    PLANS_UNREADABLE = "plans-unreadable"
    PLAN_NOT_KEPT = "plan-not-kept"
    # What is worked out.
    TOO_MANY_ASK = "too-many-ask"
    FILM_IMPOSSIBLE = "film-impossible"
    NOTHING_TO_PLAY = "nothing-to-play"
    NAMED_TWICE = "named-twice"
    ONLY_ONE = "only-one"
    NO_PLAN_KNOWN = "no-plan-known"
    NEVER_HOT = "never-hot"
    CHANGE_GONE = "change-gone"
    REPORT_LATE = "report-late"
    REPORT_FAILED = "report-failed"
    BUG = "bug"


@dataclass(frozen=True, slots=True)
class Why:
    """A reason with its figures: °C, °F where a plan is in it, seconds, texts as given.

    Figures named ``..._tip`` are places of a cone's tip, ``where`` a file with its line.
    """

    reason: Reason
    figures: Mapping[str, Value]
