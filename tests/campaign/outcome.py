"""What a part of the campaign found, and whether a promise was broken.

Knows figures and sentences. A part counts; it never judges by itself what a figure is worth
beyond the promises that it names.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

Progress = Callable[[str], None]
"""Told a line about how far a part has come."""


@dataclass(slots=True)
class Outcome:
    """The figures of one part. ``None`` where a figure does not apply to it."""

    part: str
    done: str = ""
    """What was done how often, in words."""
    lost: int | None = None
    """Of what was promised: answers, alerts, readings older than the window at risk."""
    repeated: int | None = None
    """Messages heard again with the id they had before; allowed."""
    out_of_order: int | None = None
    false_alerts: int | None = None
    longest_recovery_s: float | None = None
    """Real seconds."""
    figures: list[str] = field(default_factory=list)
    """Whatever else was measured, a sentence each."""
    broken: list[str] = field(default_factory=list)
    """The promises that were broken, a sentence each; each sentence once."""
    slow: list[str] = field(default_factory=list)
    """What took longer than promised, a sentence each: a matter of the machine as well."""
    not_run: str | None = None
    """Why the part could not be run on this machine."""

    @property
    def verdict(self) -> str:
        """One or two words."""
        if self.broken or self.slow:
            return "broken"
        return "kept" if self.not_run is None else "not run"

    def breaks(self, sentence: str) -> None:
        """A promise was broken; said twice it counts once."""
        if sentence not in self.broken:
            self.broken.append(sentence)

    def slows(self, sentence: str) -> None:
        """Something took longer than promised."""
        if sentence not in self.slow:
            self.slow.append(sentence)

    def losing(self, what: str, missing: Collection[object]) -> None:
        """Count what is missing of a promise, and say so where anything is."""
        self.lost = (self.lost or 0) + len(missing)
        if missing:
            shown = ", ".join(map(str, list(missing)[:3]))
            self.breaks(f"{len(missing)} {what} lost, such as {shown}")

    def misordering(self, what: str, count: int) -> None:
        """Count what came out of order."""
        self.out_of_order = (self.out_of_order or 0) + count
        if count:
            self.breaks(f"{count} {what} out of order")

    def alarming(self, false: Collection[object]) -> None:
        """Count alerts for which there was no reason."""
        self.false_alerts = (self.false_alerts or 0) + len(false)
        for one in false:
            self.breaks(f"false alert: {one}")

    def recovering(self, took_s: float) -> None:
        """A recovery took so long."""
        self.longest_recovery_s = max(self.longest_recovery_s or 0.0, took_s)

    def take(self, other: Outcome) -> None:
        """Add the counts of another run of the same part."""
        for name in ("lost", "repeated", "out_of_order", "false_alerts"):
            theirs = getattr(other, name)
            if theirs is not None:
                setattr(self, name, (getattr(self, name) or 0) + theirs)
        if other.longest_recovery_s is not None:
            self.recovering(other.longest_recovery_s)
        self.figures += other.figures
        for sentence in other.broken:
            self.breaks(sentence)
        for sentence in other.slow:
            self.slows(sentence)
        self.not_run = self.not_run or other.not_run


def table(outcomes: list[Outcome]) -> str:
    """The outcomes in Markdown: the counts, then what else was measured."""
    head = (
        "| part | done | lost | repeated | out of order | false alerts | longest recovery "
        "| verdict |\n|---|---|--:|--:|--:|--:|--:|---|\n"
    )
    rows = "".join(
        f"| {one.part} | {one.done} | {_n(one.lost)} | {_n(one.repeated)} | {_n(one.out_of_order)} "
        f"| {_n(one.false_alerts)} | {_s(one.longest_recovery_s)} | {one.verdict} |\n"
        for one in outcomes
    )
    further = "".join(_further(one) for one in outcomes)
    return f"{head}{rows}\n{further}"


def _further(one: Outcome) -> str:
    lines = [*one.figures, *(f"**broken:** {sentence}" for sentence in (*one.broken, *one.slow))]
    if one.not_run is not None:
        lines.append(f"not run: {one.not_run}")
    return "".join(f"- {one.part}: {line}\n" for line in lines)


def _n(value: int | None) -> str:
    return "–" if value is None else f"{value:,}"


def _s(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f} s"


def side_by_side(whole: Outcome, firings: int, one_firing: Callable[[int], Outcome]) -> Outcome:
    """Have so many firings go on at the same time, and take what each of them found."""
    with ThreadPoolExecutor(firings) as pool:
        for one in list(pool.map(one_firing, range(firings))):
            whole.take(one)
    return whole
