"""The firings of the campaign: a glaze firing with enough trouble in it to have much to tell.

Writes scenario files and knows which alerts their faults are owed: what a daemon that was left
in peace tells of the same firing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from simulator.run import simulate
from simulator.scenario import load_scenario
from supervisor.commands.service import patient
from supervisor.core.alerts import AlertBook
from supervisor.core.events import Severity
from supervisor.core.watch import Watch, WatchSettings

LOOSE = ("middle", "bottom")
"""The probes that break off and come back."""
FLAPS = 14
"""A scenario takes sixteen faults; two are kept for the kiln's own."""


class Owed(NamedTuple):
    """One sort of alert: kind, channel, severity."""

    kind: str
    channel: str | None
    severity: str

    def __str__(self) -> str:
        return f"{self.kind} ({self.channel or 'the kiln'}, {self.severity})"


def busy_firing(path: Path, seed: int, *, hours: float, flap_every_min: float = 45.0) -> Path:
    """A firing that stalls once and whose second and third probe break off again and again."""
    lines = [
        'title = "A firing with much to tell"',
        'kiln = "studio-electric"',
        'schedule = "midfire-glaze"',
        f"seed = {seed}",
        f"hours = {hours:g}",
        '[[fault]]\nkind = "stall"\nat_c = 900\nfor_min = 40',
    ]
    lines += [
        f'[[fault]]\nkind = "open_thermocouple"\nchannel = "{LOOSE[flap % 2]}"\n'
        f"at_min = {20.0 + flap * flap_every_min:g}\nfor_min = 12"
        for flap in range(FLAPS)
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def healthy_firing(path: Path, seed: int, *, hours: float) -> Path:
    """A firing in which nothing goes wrong with the kiln."""
    path.write_text(
        'title = "A firing that goes well"\nkiln = "studio-electric"\n'
        f'schedule = "midfire-glaze"\nseed = {seed}\nhours = {hours:g}\n',
        encoding="utf-8",
    )
    return path


def owed(scenario: Path, *, speed: float, interval_s: float) -> Counter[Owed]:
    """How often each sort of alert is raised when nobody disturbs the watch."""
    fired = load_scenario(str(scenario))
    watch = Watch(fired.schedule, fired.channels, patient(WatchSettings(), speed))
    book = AlertBook("owed", "kiln")
    for reading in simulate(fired, interval_s):
        for event in watch.feed(reading):
            book.take(event)
    return raised(alert_messages(book))


def alert_messages(book: AlertBook) -> list[dict[str, object]]:
    """The book's alerts, as a listener counts them."""
    return [
        {
            "state": "raised",
            "alert": alert.id,
            "kind": alert.kind.value,
            "channel": alert.channel,
            "severity": alert.severity.value,
        }
        for alert in book.alerts
    ]


def raised(messages: list[dict[str, object]]) -> Counter[Owed]:
    """How often each sort was raised; an alert counts once, as the worst that it became."""
    once = {str(one["alert"]): one for one in _one_by_one(messages) if one["state"] == "raised"}
    return Counter(
        Owed(
            str(one["kind"]),
            None if one["channel"] is None else str(one["channel"]),
            str(one["severity"]),
        )
        for one in once.values()
    )


def _one_by_one(messages: list[dict[str, object]]) -> Iterator[dict[str, object]]:
    """Each alert by itself, also where several were told together."""
    for one in messages:
        parts = one.get("alerts")
        if not isinstance(parts, list):
            yield one
            continue
        for part in parts:
            if "raised" in part["states"]:
                yield {**part, "state": "raised"}


def told_of(messages: list[dict[str, object]], sort: Owed) -> str:
    """When and how such an alert was raised for the first time, and why a channel was doubted."""
    for one in messages:
        if one["state"] == "raised" and next(iter(raised([one]))) == sort:
            data = one.get("data")
            cause = data.get("cause") if isinstance(data, dict) else None
            return f"at {one['elapsed_s']} s, {cause or 'no cause'}, “{one['message']}”"
    return "told together with others"


def is_warning(sort: Owed) -> bool:
    """Whether it is more than information."""
    return sort.severity != Severity.INFO.value


SHORT_FROM_C = 825.0
"""So hot a firing's minutes begin that cones 018 to 016 go down within them, one by one."""


def short_firing(path: Path, seed: int, *, minutes: float) -> Path:
    """Minutes of a firing at its real speed: steps, a band, cones; each probe breaks off once."""
    plan = path.with_name("quick-steps.toml")
    steps = "".join(
        f"[[step]]\nrate = 500\nto = {SHORT_FROM_C + rise_c:g}\nhold_min = {minutes / 14.0:.3f}\n"
        for rise_c in (8, 16, 24)
    )
    plan.write_text(
        'name = "Quick steps of a hot kiln"\nunits = "C"\nkind = "other"\n'
        f'atmosphere = "oxidation"\ntarget_cone = "017"\n{steps}[[step]]\nrate = 600\nto = 600\n',
        encoding="utf-8",
    )
    faults = "".join(
        f'[[fault]]\nkind = "open_thermocouple"\nchannel = "{channel}"\n'
        f"at_min = {minutes * part:.3f}\nfor_min = {minutes / 16.0:.3f}\n"
        for channel, part in (("top", 0.08), ("middle", 0.3), ("bottom", 0.5))
    )
    path.write_text(
        'title = "Some minutes of a hot firing with loose probes"\nkiln = "test-electric"\n'
        f'schedule = "{plan.name}"\nseed = {seed}\nstart_c = {SHORT_FROM_C:g}\n'
        f"hours = {minutes / 60.0:.4f}\n{faults}",
        encoding="utf-8",
    )
    return path


def stalling_firing(path: Path, seed: int) -> Path:
    """A whole firing, cooling and all, whose climb dies once for forty minutes."""
    path.write_text(
        'title = "A firing that stalls once"\nkiln = "studio-electric"\n'
        f'schedule = "midfire-glaze"\nseed = {seed}\n'
        '[[fault]]\nkind = "stall"\nat_c = 900\nfor_min = 40\n',
        encoding="utf-8",
    )
    return path
