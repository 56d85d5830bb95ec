"""What a daemon is told when it is started: what to watch, with what, and whom to tell."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from supervisor.core.alerts import AlertRules
from supervisor.core.readings import Source
from supervisor.core.schedule import Schedule
from supervisor.core.watch import WatchSettings
from supervisor.messaging.mqtt import BrokerSettings
from supervisor.messaging.notify import Address
from supervisor.record.rows import CONFIGURED_OFFSETS, Mode
from supervisor.service.page_rules import PageRules
from web.models import Mode as PageMode

PLAN_CHOICE = "plan_choice"
"""Among a firing's settings: the token of the choice, made on the page, whose plan it has."""


@dataclass(frozen=True, slots=True)
class Setup:
    """Everything that ``supervisor.service.run.run`` needs.

    ``identity`` tells one simulated firing from another (scenario, seed): a simulation is
    resumed only where it is the same. ``starts_at_s`` is the elapsed time at which the clock of
    a new firing stands, for logs that do not begin at 0. ``configured_offsets_c`` has, by channel,
    the °C that the source adds to every value because the configuration says so. ``plans_dir`` is
    the folder of the user's own plans, left out ``plans`` beside the record. ``plan_is_named``
    says that the plan was named when spyhole was started, ``plan_choice`` is the token of a plan
    that was chosen on the page.
    """

    source: Source
    schedule: Schedule
    schedule_toml: str
    data_dir: Path
    kiln: str = "kiln"
    kiln_kind: str = "electric"
    settings: WatchSettings = field(default_factory=WatchSettings)
    mode: Mode = Mode.LIVE
    page_mode: PageMode = PageMode.LIVE
    speed: float = 1.0
    interval_s: float = 1.0
    broker: BrokerSettings | None = None
    alerts: AlertRules = field(default_factory=AlertRules)
    notify: tuple[Address, ...] = ()
    host: str = "127.0.0.1"
    port: int = 0
    host_names: tuple[str, ...] = ()
    page: PageRules = field(default_factory=PageRules)
    begins_anew: bool = False
    identity: Mapping[str, object] = field(default_factory=dict)
    starts_at_s: float = 0.0
    configured_offsets_c: Mapping[str, float] = field(default_factory=dict)
    plans_dir: Path | None = None
    plan_is_named: bool = False
    plan_choice: str | None = None
    say: Callable[[str], None] = print

    def kept_settings(self) -> dict[str, object]:
        """What is kept with a firing so that it can be resumed and replayed as it was watched."""
        kept: dict[str, object] = {
            "speed": self.speed,
            "identity": dict(self.identity),
            "watch": self.settings.kept(),
            CONFIGURED_OFFSETS: dict(self.configured_offsets_c),
        }
        return kept if self.plan_choice is None else kept | {PLAN_CHOICE: self.plan_choice}


def watch_settings_of(kept: Mapping[str, object]) -> WatchSettings | None:
    """The tolerances kept with a firing; None where there are none or they are of another time."""
    return WatchSettings.of_kept(kept.get("watch"))
