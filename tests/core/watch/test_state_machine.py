"""Whatever a rig throws at the watch, it survives, contradicts nothing and repeats itself."""

from __future__ import annotations

import math

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from supervisor.core.events import Event, Kind, State
from supervisor.core.readings import FaultCause, Reading
from supervisor.core.schedule import starter
from supervisor.core.watch import Watch, WatchSettings
from tests.core.firings import CONDITIONS, plan

CHANNELS = ("top", "bottom")
PLANS = {
    "glaze": starter("midfire-glaze"),
    "slow cool": starter("midfire-slow-cool"),
    "reduction": starter("highfire-reduction"),
    "natural": plan("- 1000 10", "- 800", "60 500 20"),
}
VALUES = st.one_of(
    st.floats(-80.0, 1600.0),
    st.sampled_from([math.nan, math.inf, -math.inf, 1e9, -1e9, 0.0]),
    st.none(),
)


class AnyRig(RuleBasedStateMachine):
    """Feeds one watch; a twin is asked for its status at random and must say the same."""

    @initialize(
        name=st.sampled_from(sorted(PLANS)),
        kind=st.sampled_from([None, "electric", "gas", "wood"]),
        per_1000_h=st.sampled_from([0.01, 1.0, 100.0]),
        temp_c=st.sampled_from([15.0, 90.0, 600.0, 1100.0]),
    )
    def begin(self, name: str, kind: str | None, per_1000_h: float, temp_c: float) -> None:
        self.schedule = PLANS[name]
        self.settings = WatchSettings(
            kiln_kind=kind, false_alarms_per_1000_h=per_1000_h, limit_c=1250.0
        )
        self.watch = Watch(self.schedule, CHANNELS, self.settings)
        self.twin = Watch(self.schedule, CHANNELS, self.settings)
        self.readings: list[Reading] = []
        self.lines: list[str] = []
        self.standing: set[tuple[Kind, str | None, object]] = set()
        self.elapsed_s, self.temp_c, self.count = 0.0, temp_c, 0

    def feed(self, reading: Reading) -> None:
        self.readings.append(reading)
        events = self.watch.feed(reading)
        lines = [event.to_json() for event in events]
        assert [event.to_json() for event in self.twin.feed(reading)] == lines
        self.lines += lines
        for event in events:
            self.believe(event)

    def believe(self, event: Event) -> None:
        """No condition is cleared that was not raised, nor raised while it stands."""
        which = (event.kind, event.channel, event.data.get("cone", event.data.get("band")))
        assert math.isfinite(event.elapsed_s)
        if event.state is State.CLEARED:
            assert which in self.standing, event
            self.standing.remove(which)
        elif event.kind in CONDITIONS:
            assert which not in self.standing, event
            self.standing.add(which)

    @rule(
        rate_c_per_h=st.sampled_from([-2000.0, -400.0, -80.0, -10.0, 0.0, 30.0, 150.0, 600.0]),
        every_s=st.sampled_from([1.0, 5.0, 30.0, 119.0]),
        count=st.integers(5, 120),
    )
    def fire(self, rate_c_per_h: float, every_s: float, count: int) -> None:
        for _ in range(count):
            self.elapsed_s += every_s
            self.count += 1
            self.temp_c += rate_c_per_h * every_s / 3600.0
            self.temp_c = min(max(self.temp_c, 5.0), 1400.0)
            noise_c = 0.3 * math.sin(12.9 * self.count)
            temps_c = {"top": self.temp_c + noise_c, "bottom": self.temp_c - 6.0 - noise_c}
            self.feed(Reading(self.elapsed_s, temps_c))

    @rule(top=VALUES, bottom=VALUES, fault=st.sampled_from([None, *FaultCause]))
    def odd_values(self, top: float | None, bottom: float | None, fault: FaultCause | None) -> None:
        self.elapsed_s += 5.0
        faults = {} if fault is None else {"top": fault}
        self.feed(Reading(self.elapsed_s, {"top": top, "bottom": bottom}, faults))

    @rule(back_s=st.sampled_from([0.0, 1.0, 500.0, 1e7, math.nan, math.inf]))
    def time_goes_back_or_stands_still(self, back_s: float) -> None:
        self.feed(Reading(self.elapsed_s - back_s, {"top": self.temp_c, "bottom": self.temp_c}))

    @rule(jump_c=st.floats(-700.0, 700.0))
    def the_kiln_jumps(self, jump_c: float) -> None:
        self.temp_c = min(max(self.temp_c + jump_c, 5.0), 1400.0)

    @rule(days=st.floats(0.01, 4.0))
    def nothing_for_days(self, days: float) -> None:
        self.elapsed_s += days * 86_400.0

    @rule()
    def somebody_looks_at_the_twin(self) -> None:
        self.twin.status()
        self.twin.progress()

    @invariant()
    def statuses_agree(self) -> None:
        if hasattr(self, "watch"):
            assert self.watch.status() == self.twin.status()

    def teardown(self) -> None:
        """The same readings once more say the same, byte for byte."""
        if not hasattr(self, "watch"):
            return
        again = Watch(self.schedule, CHANNELS, self.settings)
        lines = [e.to_json() for reading in self.readings for e in again.feed(reading)]
        assert lines == self.lines


AnyRig.TestCase.settings = settings(max_examples=40, stateful_step_count=25, deadline=None)
TestAnyRig = AnyRig.TestCase
