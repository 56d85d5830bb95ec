"""Cones calculated beside cones seen."""

from __future__ import annotations

from supervisor.core.report.blocks import Block, Column, Lines, Section, Table
from supervisor.core.report.cells import UNKNOWN, minutes, off
from supervisor.core.report.names import CONES
from supervisor.core.report.papers import Papers
from supervisor.core.report.short import DECIDE
from supervisor.core.review import ChannelCones, ConeLook
from supervisor.core.review.cones import name_of_place
from supervisor.core.watch.wording import show_share


def cones_section(papers: Papers) -> Section | None:
    """The cones of each channel, and every look at a real one."""
    facts, unit = papers.facts, papers.unit
    if not facts.is_whole:
        return None
    target = None if facts.plan is None else facts.plan.target_cone
    is_corrected = any(one.offset_c for one in facts.cones)
    is_seen = any(
        one.seen_place_low is not None or one.seen_place_high is not None for one in facts.cones
    )
    columns = [Column("channel"), Column("cone down"), Column("after", True), Column("the next")]
    if target is not None:
        columns.append(Column(f"target {target}", True))
    columns.append(Column("4 of 5 such firings"))
    if is_seen:
        columns.append(Column("by real cones"))
    if is_corrected:
        columns.append(Column(f"corrected, °{unit.value}", True))
    rows = []
    for one in facts.cones:
        failed = "" if facts.saw_the_peak(one.channel) else " (failed before the peak)"
        row = [one.channel + failed, *_calculated(one)]
        if target is not None:
            at_s = one.down_at_s.get(target)
            row.append(
                show_share(one.work.get(target, 0.0)) if at_s is None else f"down {minutes(at_s)}"
            )
        row.append(_range(one.coolest, one.hottest))
        if is_seen:
            row.append(_by_looks(one))
        if is_corrected:
            row.append(off(one.offset_c, unit))
        rows.append(tuple(row))
    blocks: list[Block] = [
        Table(tuple(columns), tuple(rows)),
        Lines(
            (
                f"{DECIDE.capitalize()}.",
                *(["6+0.4 is cone 6 and 0.4 of the way to the next."] if is_seen else []),
            ),
            is_quiet=True,
        ),
    ]
    if facts.looks:
        blocks.append(
            Table(
                (
                    Column("seen after", True),
                    Column("cone"),
                    Column("it looked"),
                    Column("calculated"),
                    Column("where"),
                ),
                tuple(map(_look, facts.looks)),
            )
        )
    return Section("cones", CONES, tuple(blocks))


def _calculated(one: ChannelCones) -> tuple[str, str, str]:
    if one.cone is None:
        down, after = "none", UNKNOWN
    else:
        down, after = one.cone, minutes(one.down_at_s.get(one.cone))
    following = UNKNOWN
    if one.next_cone is not None:
        following = f"{one.next_cone}: {show_share(one.toward_next)}"
    return down, after, following


def _range(coolest: str | None, hottest: str | None) -> str:
    if hottest is None:
        return UNKNOWN
    if coolest == hottest:
        return hottest
    return f"{coolest or 'none'} to {hottest}"


def _by_looks(one: ChannelCones) -> str:
    low, high = one.seen_place_low, one.seen_place_high
    if low is not None and high is not None:
        first, last = brief_place(low), brief_place(high)
        return first if first == last else f"{first} to {last}"
    if low is not None:
        return f"{brief_place(low)} or more"
    if high is not None:
        return f"{brief_place(high)} or less"
    return UNKNOWN


def brief_place(place: float) -> str:
    """A place on the scale of cones for a cell.

    >>> brief_place(27.34), brief_place(16.5)
    ('6.3', '06+0.5')
    """
    return name_of_place(place).replace(" + ", "+")


def _look(look: ConeLook) -> tuple[str, ...]:
    where = ", ".join(part for part in (look.channel, look.shelf) if part)
    if not look.counts:
        where = f"{where} (left out: it can't be)" if where else "(left out: it can't be)"
    calculated = UNKNOWN
    if look.work is not None:
        calculated = _hand(look.clock)
        if look.work < 1.0:
            calculated = f"{calculated}, {show_share(look.work)}"
    return (
        minutes(look.elapsed_s),
        look.cone,
        _hand(look.seen_clock),
        calculated,
        where or UNKNOWN,
    )


def _hand(clock: str | None) -> str:
    """The tip as a potter says it; a bare "3:30" could be taken for a time."""
    if clock is None:
        return UNKNOWN
    return f"hand at {clock}" if clock[:1].isdigit() else clock
