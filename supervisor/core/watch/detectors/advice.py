"""What a fault usually is in a kiln of this kind, and what to go and look at, with the cautions.

Knows words only; None is a kiln of which nobody has told how it is heated. Nothing here tells a
person to do more to a kiln than its maker does: what is live is an electrician's, what smells of
gas is shut off, and what is hot stays shut.
"""

from __future__ import annotations

from collections.abc import Mapping

_GAS_CARE = (
    "Where you smell gas, shut it off, air the room and touch no switch; relight only as the "
    "kiln maker says"
)
_LIVE_CARE = "what is behind a cover is a licensed electrician's"

CLIMB_STOPPED: Mapping[str | None, str] = {
    None: (
        "go and look whether every element or burner still heats, at breaker, gas bottle and "
        f"regulator, damper and door; {_LIVE_CARE}. {_GAS_CARE}."
    ),
    "electric": (
        "go and look at breaker, switches and door, and whether every element still glows; often "
        f"an element, a relay or one phase has gone, and {_LIVE_CARE}."
    ),
    "gas": (
        "go and look at flame, gas bottle (one that ices up gives less and less), regulator, "
        f"damper and door. {_GAS_CARE}."
    ),
    "wood": (
        "go and look at the fire, embers and grate, damper and door: it wants stoking, air, or "
        "a bed of embers raked down."
    ),
}
"""For a stall: the rest of the sentence."""

HEAT_LOST: Mapping[str | None, str] = {
    None: (
        "Go and look at power and breaker, burners, door and lid: usually the power, the flame or "
        f"the controller has gone. {_GAS_CARE}."
    ),
    "electric": (
        "Go and look at power, breaker, door and lid: usually the mains or a relay has gone, or "
        f"the controller has stopped; {_LIVE_CARE}."
    ),
    "gas": (
        "Go and look at the burners: usually the flame is out or its safety has shut the gas off. "
        f"{_GAS_CARE}. Look at bottle, regulator and door as well."
    ),
    "wood": (
        "Go and look at the fire, the damper and the door: usually it has burnt down, or cold "
        "air comes in."
    ),
}

STUCK_ON: Mapping[str | None, str] = {
    None: (
        "Go and look now: a relay may have welded itself shut, or a gas valve stand open. Switch "
        "the kiln off at its isolator or shut off the gas as its maker says, keep it shut, and do "
        "not fire again before a licensed electrician or gas fitter has looked."
    ),
    "electric": (
        "Go and look now: a relay may have welded itself shut. Switch the kiln off at its "
        "isolator or breaker, keep it shut, and do not fire again before a licensed electrician "
        "has looked."
    ),
    "gas": (
        "Go and look now whether the gas is really turned down or off, and shut it off at the "
        f"bottle or main valve as the kiln maker says. {_GAS_CARE}."
    ),
    "wood": (
        "Go and look now: stop stoking, and close air inlets and damper as this kiln is used to "
        "be closed."
    ),
}

COOLING_FAST: Mapping[str | None, str] = {
    None: (
        "Go and look that lid or door is shut, damper, ports and vents are closed and the "
        "spyholes plugged"
    ),
    "electric": "Go and look that lid or door is shut, and the vents and spyholes are plugged",
    "gas": (
        "Go and look that the door is shut, damper and burner ports are closed and the spyholes "
        "plugged"
    ),
    "wood": (
        "Go and look that door, firebox and air inlets are shut, the damper is in and the "
        "spyholes are plugged"
    ),
}

UNEVEN: Mapping[str | None, str] = {
    None: (
        "for an element that no longer glows, a burner that is out or a draught; look at dampers "
        f"and stoking. {_LIVE_CARE[0].upper()}{_LIVE_CARE[1:]}."
    ),
    "electric": (
        "through the spyhole for elements that no longer glow, and for a draught; often an "
        f"element, a relay or one phase has gone, and {_LIVE_CARE}."
    ),
    "gas": f"for a burner that is out or a draught, and at the dampers. {_GAS_CARE}.",
    "wood": "at fire and embers, stoking, dampers, and for a draught.",
}
"""Where one side of the kiln is cold: what to look for there."""

LATE: Mapping[str | None, str] = {
    None: "worn elements, a low mains voltage or gas pressure or a full kiln make it slow",
    "electric": "worn elements, a low mains voltage or a full kiln make it slow",
    "gas": "an icing bottle, a low regulator or a damper too far out or in make it slow",
    "wood": "damp wood, a choked grate or a damper too far out or in make it slow",
}

SLIPPED = " A probe that has slipped looks the same."
"""To be added where no other channel can say whether the kiln falls or the probe."""
