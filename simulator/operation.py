"""How a firing is worked, and by whom: a controller, a hand at switches or burners, a stoker.

Knows what an operator is asked and what it answers. Refuses to know how each one decides; see
``operators`` and ``people``.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple, Protocol

from simulator.controller import Phase
from supervisor.core.schedule import Schedule


class OperatorKind(StrEnum):
    """Who works the kiln."""

    CONTROLLER = "controller"
    """A controller of its own, with relays on an electric kiln and a valve on a gas kiln."""
    SWITCHES = "switches"
    """A person at three-position switches, one a zone."""
    BURNER = "burner"
    """A person who sets the gas every now and then."""
    STOKING = "stoking"
    """A person who stokes wood."""


class Stage(StrEnum):
    """Where in its firing a kiln is, as its operator sees it."""

    CLIMB = "climb"
    """Climbing in a step up to the peak's own."""
    LAST_CLIMB = "last_climb"
    """Climbing in the step that ends at the peak."""
    HOLD = "hold"
    """In a hold."""
    LAST_HOLD = "last_hold"
    """In the hold at the peak."""
    COOLING = "cooling"
    """After the peak, worked or not."""
    AFTER_END = "after_end"
    """After the operator has switched off for good."""


@dataclass(frozen=True, slots=True)
class Reduction:
    """Body reduction: from ``from_c`` on, for ``lasts_s``, the kiln is let climb slowly.

    ``rate_c_per_h`` is what the person aims at meanwhile; 0 lets it stand.
    """

    from_c: float
    lasts_s: float
    rate_c_per_h: float


@dataclass(frozen=True, slots=True)
class Operation:
    """How the kiln is worked in one firing.

    The operator's own thermocouple reads ``gain_error`` of the temperature (0.01: 1 % high)
    and ``offset_c`` too much. A person looks after the kiln each ``visit_s`` (shortest,
    longest), and a stoker stokes so often. ``looks_per_h`` is how often a plug is taken out of
    a spyhole. ``candle_s`` is the time before the plan in which ``candle_share`` of full power
    burns. The plan is paused when the kiln first passes ``pause_at_c``, for ``pause_s``;
    ``skipped_step`` is the index of a step that is left out.
    """

    kind: OperatorKind = OperatorKind.CONTROLLER
    gain_error: float = 0.0
    offset_c: float = 0.0
    visit_s: tuple[float, float] = (1200.0, 3600.0)
    reduction: Reduction | None = None
    looks_per_h: float = 0.0
    candle_s: float = 0.0
    candle_share: float = 0.0
    pause_at_c: float | None = None
    pause_s: float = 0.0
    skipped_step: int | None = None


class Order(NamedTuple):
    """What an operator has set: a share of full power in each zone, until ``until_s``.

    ``draught_w_per_k`` is air that is let in beside it.
    """

    top: float
    middle: float
    bottom: float
    until_s: float
    draught_w_per_k: float = 0.0


class Operator(Protocol):
    """Works a kiln by a schedule.

    ``order`` is asked for when the last order has run out, or after a power cut;
    ``measured_c`` is what the operator's own thermocouple says.
    """

    @property
    def step_index(self) -> int:
        """Which step of the schedule is being worked at."""
        ...

    @property
    def phase(self) -> Phase:
        """Whether it moves, holds or has finished."""
        ...

    @property
    def setpoint_c(self) -> float | None:
        """What it steers for; None for a person and when it has finished."""
        ...

    def order(self, elapsed_s: float, measured_c: float) -> Order:
        """What to do next."""
        ...

    def power_returns(self, measured_c: float) -> None:
        """Take up the work again after a power cut."""
        ...

    def stop(self) -> None:
        """Switch off for good."""
        ...


def stages_of(operator: Operator, schedule: Schedule) -> frozenset[Stage]:
    """The stages that the firing is in."""
    peak_step = schedule.peak_step
    index = operator.step_index
    if operator.phase is Phase.FINISHED:
        return frozenset({Stage.COOLING, Stage.AFTER_END})
    if index > peak_step:
        holds = operator.phase is Phase.HOLDING and schedule.steps[index].hold_s > 0.0
        return frozenset({Stage.COOLING, Stage.HOLD} if holds else {Stage.COOLING})
    if operator.phase is Phase.HOLDING:
        if schedule.steps[index].hold_s <= 0.0:
            return frozenset()
        return frozenset({Stage.HOLD, Stage.LAST_HOLD} if index == peak_step else {Stage.HOLD})
    return frozenset({Stage.CLIMB, Stage.LAST_CLIMB} if index == peak_step else {Stage.CLIMB})
