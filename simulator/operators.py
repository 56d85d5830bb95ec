"""The controller at work on a kiln, and who works a given scenario.

Knows how a controller's orders become time and power. What it decides is ``controller``'s.
"""

from __future__ import annotations

from simulator.controller import RELAY_WINDOW_S, Controller, Phase
from simulator.kiln import Kiln
from simulator.operation import Operation, Operator, OperatorKind, Order
from simulator.people import BurnerHand, Stoker, SwitchHand
from supervisor.core.schedule import Schedule


class ControllerAtWork:
    """A controller that looks once each window and gives one share to all zones."""

    __slots__ = ("_controller", "_operation", "_paused_until_s", "_was_paused")

    def __init__(
        self, schedule: Schedule, operation: Operation, kiln: Kiln, measured_c: float
    ) -> None:
        self._operation = operation
        self._paused_until_s: float | None = None
        self._was_paused = False
        self._controller = Controller(
            schedule,
            kiln.spec.tuning,
            full_w=kiln.spec.power_w,
            start_c=measured_c,
            dt_s=RELAY_WINDOW_S,
            skipped_step=operation.skipped_step,
        )

    @property
    def step_index(self) -> int:
        return self._controller.step_index

    @property
    def phase(self) -> Phase:
        return self._controller.phase

    @property
    def setpoint_c(self) -> float | None:
        controller = self._controller
        return None if controller.phase is Phase.FINISHED else controller.setpoint_c

    def order(self, elapsed_s: float, measured_c: float) -> Order:
        controller = self._controller
        self._pause(elapsed_s, measured_c)
        share = controller.ask(measured_c)
        return Order(share, share, share, elapsed_s + RELAY_WINDOW_S)

    def _pause(self, elapsed_s: float, measured_c: float) -> None:
        at_c = self._operation.pause_at_c
        if at_c is not None and not self._was_paused and measured_c >= at_c:
            self._was_paused = True
            self._paused_until_s = elapsed_s + self._operation.pause_s
        self._controller.is_paused = (
            self._paused_until_s is not None and elapsed_s < self._paused_until_s
        )

    def power_returns(self, measured_c: float) -> None:
        self._controller.power_returns(measured_c)

    def stop(self) -> None:
        self._controller.phase = Phase.FINISHED


def operator_of(
    schedule: Schedule, operation: Operation, kiln: Kiln, measured_c: float, seed: int
) -> Operator:
    """Who works the kiln from now on, at ``measured_c`` on the operator's own thermocouple."""
    if operation.kind is OperatorKind.CONTROLLER:
        return ControllerAtWork(schedule, operation, kiln, measured_c)
    hands = {
        OperatorKind.SWITCHES: SwitchHand,
        OperatorKind.BURNER: BurnerHand,
        OperatorKind.STOKING: Stoker,
    }
    return hands[operation.kind](schedule, operation, kiln, measured_c, seed)
