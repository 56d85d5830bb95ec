"""The table: which cause in a firing may be behind which defects, by which condition, says who.

Data, and no logic. ``cause`` and ``next_time`` are clauses for people; ``condition`` is one of
``registry``. A source says this in general terms; the limits are the conditions' own.
"""

from __future__ import annotations

from dataclasses import dataclass

from supervisor.core.defects.defect import (
    CARDEW,
    FRASER,
    HAMER,
    ORTON,
    PARMELEE,
    PRACTICE,
    RHODES,
    DefectKind,
)

D = DefectKind


@dataclass(frozen=True, slots=True)
class Rule:
    """One possible cause in the firing."""

    name: str
    defects: tuple[DefectKind, ...]
    cause: str
    condition: str
    next_time: str
    source: str


RULES: tuple[Rule, ...] = (
    Rule(
        "quartz-down",
        (D.DUNTING,),
        "it cooled too fast where quartz shrinks",
        "quartz_too_fast_down",
        "keep it shut through those degrees; in a light kiln, cool it with some heat on",
        HAMER,
    ),
    Rule(
        "cristobalite-down",
        (D.DUNTING, D.SHIVERING),
        "it cooled too fast where cristobalite shrinks",
        "cristobalite_too_fast_down",
        "leave lid, damper and peeps shut until it is well below",
        f"{HAMER}; {CARDEW}",
    ),
    Rule(
        "opened-hot",
        (D.DUNTING, D.CRAZING, D.CRACKED_SHELF),
        "cold air came in while it was hot",
        "opened_hot",
        "open later, and by and by, when the kiln maker allows it and the ware can be held",
        HAMER,
    ),
    Rule(
        "long-hot",
        (D.DUNTING, D.SHIVERING),
        "it was long so hot that a stoneware body forms cristobalite",
        "long_hot",
        "spend less time up there: climb a little faster, or hold shorter and a little hotter",
        f"{HAMER}; {CARDEW}",
    ),
    Rule(
        "quartz-up",
        (D.HEATING_CRACKS, D.DUNTING),
        "it climbed too fast where quartz grows",
        "quartz_too_fast_up",
        "climb more slowly through those degrees",
        HAMER,
    ),
    Rule(
        "clay-water",
        (D.HEATING_CRACKS, D.BLOWN_WARE),
        "the clay's own water was driven out in a hurry",
        "clay_water_too_fast",
        "climb more slowly through those degrees, vents open",
        HAMER,
    ),
    Rule(
        "dried-fast",
        (D.BLOWN_WARE, D.HEATING_CRACKS, D.CRAWLING),
        "it was heated too fast while there was still water to dry",
        "dried_too_fast",
        "dry it longer below boiling, until a mirror at the spyhole stays clear",
        f"{RHODES}; {HAMER}",
    ),
    Rule(
        "burnt-out-fast",
        (D.BLACK_CORE, D.BLOATING, D.PINHOLES, D.BLISTERS),
        "carbon and sulphur had too little time to burn out",
        "burnt_out_too_fast",
        "climb more slowly through those degrees, with air",
        f"{RHODES}; {FRASER}",
    ),
    Rule(
        "gases-fast",
        (D.PINHOLES, D.BLISTERS),
        "gases had too little time to leave before the glaze sealed",
        "gases_too_fast",
        "climb more slowly through those degrees",
        FRASER,
    ),
    Rule(
        "no-soak",
        (D.PINHOLES, D.BLISTERS),
        "the glaze had little time at the top to heal",
        "little_time_to_heal",
        "add a hold at the top, and take some degrees off it for the heat-work",
        f"{RHODES}; {HAMER}",
    ),
    Rule(
        "dropped-fast",
        (D.PINHOLES, D.BLISTERS),
        "it fell so fast from the top that bubbles froze in",
        "dropped_fast",
        "keep it shut, and let it fall more slowly from the top",
        RHODES,
    ),
    Rule(
        "underfired",
        (D.UNDERFIRED, D.PINHOLES, D.CRAWLING, D.CRAZING, D.TOO_DULL),
        "it got less heat-work than its cone",
        "underfired",
        "hold longer or go a little hotter, by what is suggested for the next firing",
        f"{RHODES}; {HAMER}",
    ),
    Rule(
        "overfired",
        (
            D.OVERFIRED,
            D.RUNNING,
            D.BLISTERS,
            D.BLOATING,
            D.WARPING,
            D.TOO_GLOSSY,
            D.FADED_COLOUR,
        ),
        "it got more heat-work than its cone",
        "overfired",
        "hold shorter or stay a little cooler, by what is suggested for the next firing",
        f"{RHODES}; {HAMER}",
    ),
    Rule(
        "broken-off",
        (D.UNDERFIRED,),
        "the firing did not come to its end",
        "broken_off",
        "find what stopped the heat before the next firing",
        PRACTICE,
    ),
    Rule(
        "top-low",
        (D.UNDERFIRED,),
        "it stood below its planned top",
        "top_too_low",
        "see whether the kiln's thermocouple or ours is off: the witness cones tell",
        PRACTICE,
    ),
    Rule(
        "top-high",
        (D.OVERFIRED, D.RUNNING, D.BLOATING),
        "it went above its planned top",
        "top_too_high",
        "see why: a relay that sticks, a controller that overshoots, a thermocouple that is off",
        PRACTICE,
    ),
    Rule(
        "hold-short",
        (D.UNDERFIRED, D.PINHOLES),
        "the hold at the top was cut short",
        "hold_too_short",
        "hold as long as planned",
        PRACTICE,
    ),
    Rule(
        "hold-long",
        (D.OVERFIRED, D.RUNNING, D.FADED_COLOUR),
        "the hold at the top went on for longer than planned",
        "hold_too_long",
        "be there when the cone is due, and let go by the witness cones",
        PRACTICE,
    ),
    Rule(
        "last-climb-fast",
        (D.UNDERFIRED, D.PINHOLES),
        "the last climb was faster than planned, which leaves less heat-work",
        "last_climb_too_fast",
        "make the last climb as slow as planned",
        ORTON,
    ),
    Rule(
        "last-climb-slow",
        (D.OVERFIRED, D.RUNNING),
        "the last climb was slower than planned, which adds heat-work",
        "last_climb_too_slow",
        "shorten the hold by what the slow climb has added, or see why the kiln is tired",
        ORTON,
    ),
    Rule(
        "cool-corner",
        (D.UNDERFIRED,),
        "one place of the kiln was cooler",
        "cool_corner",
        "pack and fire for it: ware that wants less heat there, a longer hold, a mended element",
        PRACTICE,
    ),
    Rule(
        "hot-corner",
        (D.OVERFIRED, D.RUNNING, D.WARPING),
        "one place of the kiln was hotter",
        "hot_corner",
        "pack and fire for it: ware that bears more heat there, a slower climb before the top",
        PRACTICE,
    ),
    Rule(
        "uneven",
        (D.UNEVEN_COLOUR, D.WARPING, D.WEAK_REDUCTION),
        "the kiln was uneven",
        "uneven_kiln",
        "make the last climb slower, pack more evenly, look at elements or damper",
        PRACTICE,
    ),
    Rule(
        "crystals-no-time",
        (D.TOO_GLOSSY,),
        "it fell too fast where the crystals of matt glazes grow",
        "crystals_had_no_time",
        "cool it slowly there, with heat on: the starter midfire-slow-cool shows how",
        f"{PARMELEE}; {RHODES}",
    ),
    Rule(
        "crystals-time",
        (D.TOO_DULL,),
        "it lingered where crystals grow",
        "crystals_had_time",
        "let it fall faster from the top down to there, shut",
        f"{PARMELEE}; {RHODES}",
    ),
    Rule(
        "reduced-late",
        (D.WEAK_REDUCTION,),
        "reduction began when body and glaze had sealed",
        "reduced_late",
        "begin earlier, about cone 012 to 010, with a carbon monoxide alarm and air in the room",
        RHODES,
    ),
    Rule(
        "reduced-briefly",
        (D.WEAK_REDUCTION,),
        "the body was reduced for a short time only",
        "reduced_briefly",
        "reduce the body for longer, with a carbon monoxide alarm and air in the room",
        PRACTICE,
    ),
    Rule(
        "reduced-early",
        (D.CARBON_TRAPPED, D.BLACK_CORE, D.BLOATING),
        "reduction began so early that carbon settled in the ware",
        "reduced_early",
        "keep air in it until about cone 012",
        f"{RHODES}; {HAMER}",
    ),
    Rule(
        "shelf-heated-fast",
        (D.CRACKED_SHELF,),
        "cold shelves were heated in a hurry",
        "shelf_heated_too_fast",
        "warm the kiln up more slowly",
        PRACTICE,
    ),
)
