"""The fleet's figures as a page of Markdown, as JSON, and as a list of what went wrong."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from supervisor.core.events import Kind
from supervisor.core.watch.sensitivity import SHARES
from supervisor.fleet.many import Fleet
from supervisor.fleet.tally import Delays, FaultRow, Tally
from supervisor.fleet.trial import Said, Trial


def seeds_used(fleet: Fleet) -> str:
    """Which seeds the figures stand on, in a sentence."""
    used = fleet.seeds
    what = (
        "held out: never looked at while the watch was tuned (seed % 3 = 2)"
        if fleet.held_out
        else "for tuning: final figures are not these (seed % 3 is 0 or 1)"
    )
    return f"Seeds {used[0]} to {used[-1]}, {len(used)} of them, {what}."


def page(fleet: Fleet, figures: Tally, false_alarms_per_1000_h: float) -> str:
    """The whole page of Markdown."""
    lines = ["# What the watch finds, and what it says for nothing", "", seeds_used(fleet), ""]
    if figures.faults:
        lines += _faults(figures)
    if figures.healthy:
        lines += _alarms(figures, false_alarms_per_1000_h)
    return "\n".join(lines) + "\n"


def _faults(figures: Tally) -> list[str]:
    rows = [row for row in figures.faults if row.promised]
    lines = [
        "## Faults",
        "",
        (
            f"{sum(figures.tried.values())} firings with a fault; in "
            f"{sum(figures.came.values())} of them it kept the kiln from its plan or spoilt what "
            "is seen of it. “In time” is within the limit, counted from the moment named by what "
            "the kiln does. Delays are the median and the 95th percentile of all that were found."
        ),
        "",
        (
            "| fault | what it does | owed | in time | found at all | limit | delay, 95 % | "
            "ideal in time | ideal delay | plain in time | plain delay |"
        ),
        "|---|---|--:|--:|--:|--:|--:|--:|--:|--:|--:|",
        *(_fault_line(row) for row in rows),
        _sum_line(rows),
        "",
        "Came to pass: "
        + ", ".join(
            f"{name} {figures.came.get(name, 0)} of {count}"
            for name, count in sorted(figures.tried.items())
        )
        + ".",
        "",
    ]
    for row in figures.faults:
        if not row.promised:
            lines += [
                (
                    f"Not promised, and counted apart: {row.fault} that {row.what} "
                    f"({row.watch.owed}), of which {row.watch.found} were told at some time."
                ),
                "",
            ]
    lines += [
        (
            f"Warnings that were not so in firings with a fault (before it, or of the kiln where "
            f"only the rig or the clock had one): {figures.strays}. Firings in which a step of the "
            f"wall clock changed more than labels: {figures.labels_matter}."
        ),
        "",
        *WHAT_COUNTS,
        "",
    ]
    return lines


OF_TEMPERATURE = frozenset({Kind.OVERSHOOT, Kind.FAST_HEATING, Kind.FAST_COOLING, Kind.UNEVEN})
"""Warnings of a measured limit, which is passed or not."""
WHAT_COUNTS = (
    (
        "Counted from: *falls* the moment at which the heat goes (power cut, shut-off), or the "
        "fifth degree (door); of a fire, which burns down between two charges, the fifteenth; "
        "*stands* the moment, once the kiln has begun to climb, from which the true climb (of a "
        "fire, over whole charges) stays below a quarter of the plan for 5, 10 and 15 minutes, and "
        "over the last five of them, before it has been near its top, and more than 10 °C below "
        "the top of the plan, or of a climb to a hold, by the thermocouple "
        "that leads (so near a corner to a slower climb, below a quarter of that), and where the "
        "other zones stand as well or have left this one 15 °C behind (*dies away*: after a slow "
        "end); *lags* half an hour late and what 10 °C take, above 120 °C (where a person fires: "
        "the plan's clock begins there, for nobody else knows how long ware dries), by the plan "
        "and beside the same firing without the fault; *uneven* the moment the tolerance is passed "
        "by a degree, for good; *climbs on* 5 °C of a climb that goes on to 15 °C; *too hot* 15 °C "
        "over the top; "
        "*falls fast* the opening; *probe* the first wrong value (swapped leads: 20 °C above cold, "
        "and not in a kiln that is candled)."
    ),
    "",
    (
        "The ideal detector is told the noise and, each to within 3 °C, the true courses with the "
        "fault and without it. It adds up the log-likelihood ratio (Page 1954, Lorden 1971) of "
        "what is hardest to tell apart within those 3 °C (Huber 1965), so that it can say nothing "
        "before they have parted by 6 °C. The plain watcher is a script of fixed limits, told when "
        "the plan begins, with the best limits of a small grid."
    ),
)


def _fault_line(row: FaultRow) -> str:
    watch, ideal, plain = row.watch, row.ideal, row.plain
    return (
        f"| {row.fault} | {row.what} | {watch.owed} | {_part(watch.in_time, watch.owed)} | "
        f"{_part(watch.found, watch.owed)} | {_minutes(row.within_s)} | {_delay(watch)} | "
        f"{'–' if ideal is None else _part(ideal.in_time, ideal.owed)} | "
        f"{'–' if ideal is None else _delay(ideal)} | "
        f"{_part(plain.in_time, plain.owed)} | {_delay(plain)} |"
    )


def _sum_line(rows: list[FaultRow]) -> str:
    owed = sum(row.watch.owed for row in rows)
    ideals = [row.ideal for row in rows if row.ideal is not None]
    return (
        f"| **all** | | {owed} | {_part(sum(row.watch.in_time for row in rows), owed)} | "
        f"{_part(sum(row.watch.found for row in rows), owed)} | | | "
        f"{_part(sum(i.in_time for i in ideals), sum(i.owed for i in ideals))} | | "
        f"{_part(sum(row.plain.in_time for row in rows), owed)} | |"
    )


def _alarms(figures: Tally, false_alarms_per_1000_h: float) -> list[str]:
    hours = figures.healthy_h
    false = sum(row.false for row in figures.alarms)
    raised = sum(row.raised for row in figures.alarms)
    limits = figures.plain_limits
    return [
        "## Warnings where nothing is broken",
        "",
        (
            f"{figures.healthy} healthy firings, {hours:,.0f} hours. A warning (or worse) is right "
            "where the noise-free kiln bears it out: a hand that heats too fast, a controller that "
            f"stands paused. Accepted are {false_alarms_per_1000_h:g} false ones per 1,000 hours."
        ),
        "",
        "| alert | raised | so | false | false per 1,000 h | accepted |",
        "|---|--:|--:|--:|--:|--:|",
        *(
            f"| {row.kind} | {row.raised} | {row.raised - row.false} | {row.false} | "
            f"{_per_1000(row.false, hours)} | {_accepted(row.kind, false_alarms_per_1000_h)} |"
            for row in figures.alarms
        ),
        (
            f"| **all** | {raised} | {raised - false} | {false} | {_per_1000(false, hours)} | "
            f"{false_alarms_per_1000_h:g} |"
        ),
        (
            f"| plain watcher | {figures.plain_alarms} | | | "
            f"{_per_1000(figures.plain_alarms, hours)} (all) | |"
        ),
        "",
        (
            f"The plain watcher's limits: {limits.off_plan_c:g} °C off the plan, a fifth of the "
            f"pace for {limits.slow_min} min, a fall of {limits.fall_c_per_h:g} °C/h after the "
            f"peak, {limits.apart_c:g} °C between channels."
        ),
    ]


def _accepted(kind: Kind, per_1000_h: float) -> str:
    share = SHARES.get(kind)
    return "–" if share is None else f"{share * per_1000_h:g}"


def _per_1000(count: int, hours: float) -> str:
    return f"{1000.0 * count / hours:.2f}" if hours else "–"


def _part(count: int, of: int) -> str:
    return f"{count} ({100.0 * count / of:.0f} %)" if of else "–"


def _minutes(seconds: float | None) -> str:
    return "–" if seconds is None else f"{seconds / 60.0:.1f} min"


def _delay(delays: Delays) -> str:
    if delays.median_s is None or delays.late_s is None:
        return "–"
    return f"{delays.median_s / 60.0:.1f}, {delays.late_s / 60.0:.1f} min"


def document(fleet: Fleet, figures: Tally, trials: Iterable[Trial]) -> dict[str, Any]:
    """The same as JSON, with every trial that went wrong."""
    return {
        "seeds": {
            "first": fleet.seeds[0],
            "last": fleet.seeds[-1],
            "count": len(fleet.seeds),
            "held_out": fleet.held_out,
        },
        "healthy": {
            "firings": figures.healthy,
            "hours": round(figures.healthy_h, 1),
            "alarms": [
                {"kind": row.kind.value, "raised": row.raised, "false": row.false}
                for row in figures.alarms
            ],
            "plain_alarms": figures.plain_alarms,
        },
        "faults": [
            {
                "fault": row.fault,
                "what": row.what,
                "promised": row.promised,
                "within_s": row.within_s,
                "watch": _delays_document(row.watch),
                "ideal": None if row.ideal is None else _delays_document(row.ideal),
                "plain": _delays_document(row.plain),
            }
            for row in figures.faults
        ],
        "tried": figures.tried,
        "came": figures.came,
        "strays": figures.strays,
        "labels_matter": figures.labels_matter,
        "wrong": list(wrongs(trials)),
    }


def _delays_document(delays: Delays) -> dict[str, Any]:
    return {
        "owed": delays.owed,
        "found": delays.found,
        "in_time": delays.in_time,
        "median_s": delays.median_s,
        "late_s": delays.late_s,
    }


def wrongs(trials: Iterable[Trial]) -> list[str]:
    """Each missed or late fault and each warning that was not so, a line each, by its kind.

    Also those that spoke of the heat in a healthy firing and were right: a person who has paused
    the kiln may do without.
    """
    lines: list[tuple[str, str]] = []
    for trial in trials:
        name = f"{trial.seed}" if trial.fault is None else f"{trial.seed}:{trial.fault}"
        where = f"{name}  {trial.kiln}, {trial.operator}, a reading each {trial.interval_s:g} s, "
        where += f"noise {trial.noise_c:g} °C, {trial.channels} ch"
        due = trial.owed
        if due is not None and not trial.in_time and not trial.stood_already and due.promised:
            if trial.delay_s is None:
                state = f"MISSED {trial.fault} ({due.what})"
                tail = "; said instead: " + (
                    " | ".join(f"{_clock(s.at_s)} {s.kind}" for s in trial.instead) or "nothing"
                )
            else:
                state = f"LATE {trial.fault} ({due.what})"
                tail = f"; told {trial.delay_s / 60.0:.1f} min after, limit {due.within_s / 60:g}"
            ideal = trial.ideal_delay_s
            if ideal is not None:
                tail += f"; ideal {ideal / 60.0:.1f} min"
            lines.append((state, f"{where}: due at {_clock(due.since_s)}{tail}"))
        lines += [
            (
                f"{'RIGHT' if said.is_so else 'FALSE'} {said.kind}",
                f"{where}: {_clock(said.at_s)} {_message(said)}",
            )
            for said in trial.said
            if not said.is_so or (trial.fault is None and said.kind not in OF_TEMPERATURE)
        ]
        if trial.labels_matter:
            lines.append(("LABELS", where))
    return [f"{kind}  {line}" for kind, line in sorted(lines)]


def _message(said: Said) -> str:
    channel = f"[{said.channel}] " if said.channel else ""
    return f"{channel}{said.message}"


def _clock(elapsed_s: float) -> str:
    return f"{int(elapsed_s // 3600)}:{int(elapsed_s % 3600 // 60):02}:{int(elapsed_s % 60):02}"
